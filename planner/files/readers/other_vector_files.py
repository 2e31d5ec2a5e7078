"""Vector formats that need something done before they are opened: GeoPackage, GeoJSON, FlatGeobuf, KML, KMZ, GML."""

from __future__ import annotations

import json
import math
import re
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path
from xml.etree import ElementTree

from planner.errors import FileTrouble
from planner.files.readers.closed_doors import file_of_a_system, holds_a_command, linked_systems, without
from planner.files.readers.markup import closed_early, decoded, local, read_markup, tree_of
from planner.files.readers.rules import Troubles
from planner.files.readers.staging import staged
from planner.files.readers.vector_files import read_opened
from planner.files.sqlite_guard import look_over
from planner.progress import Progress
from planner.survey.fixes import Reading

_JSON_DRIVERS = ("GeoJSON", "GeoJSONSeq", "ESRIJSON", "TopoJSON")
_POSITIONS = re.compile(r"(<(?:[\w.-]+:)?(?:posList|pos|coordinates)(?:\s[^>]*)?>)([^<]*)")
_WORD = re.compile(r"[^\s,;]*[A-Za-z][^\s,;]*")


def read_geopackage(path: Path, choices: Mapping[str, str], progress: Progress) -> Reading:
    """All layers of shapes of a GeoPackage.

    Args:
        path: File.
        choices: ``layer`` = the one layer wanted; ``axes`` = ``swapped``.
        progress: Who waits.

    Raises:
        FileTrouble: It cannot be opened.
    """
    with path.open("rb") as stream:
        shared = stream.read(20)[18:20] == b"\2\2"  # a database in write-ahead mode makes files beside it when opened
    with staged(path, ".gpkg", always=shared) as opened:
        log = path.with_name(path.name + "-wal")
        if shared and log.is_file():
            shutil.copyfile(log, opened.with_name(opened.name + "-wal"))
        look_over(opened, path)
        return read_opened(opened, path, ("GPKG",), choices, progress, Troubles(str(path)))


def read_flatgeobuf(path: Path, choices: Mapping[str, str], progress: Progress) -> Reading:
    """A FlatGeobuf file.

    Args:
        path: File.
        choices: ``axes`` = ``swapped``.
        progress: Who waits.

    Raises:
        FileTrouble: It cannot be opened.
    """
    if wanted := file_of_a_system(path):
        raise FileTrouble(f"its coordinate system wants another file ({wanted[:80]}), which is not opened",
                          where=str(path), remedy="export it again in a common coordinate system")
    with staged(path, ".fgb") as opened:
        return read_opened(opened, path, ("FlatGeobuf",), choices, progress, Troubles(str(path)))


def read_geojson(path: Path, choices: Mapping[str, str], progress: Progress) -> Reading:
    """A GeoJSON file, or a sequence of GeoJSON texts; of a broken one, the features before the break.

    Args:
        path: File.
        choices: ``axes`` = ``swapped``.
        progress: Who waits.

    Raises:
        FileTrouble: It holds no whole feature.
    """
    troubles = Troubles(str(path))
    with path.open("rb") as stream:
        head = stream.read(4096)
    ending = ".geojsonl" if head.startswith(b"\x1e") or re.match(rb"\s*\{[^\n]*\}\s*\n\s*\{", head) else ".geojson"
    if holds_a_command(path):
        raise FileTrouble("holds a command to read other files, and no features", where=str(path),
                          remedy="run it where it was written, and give the file it makes")
    linked = linked_systems(path)
    for *_, place in linked:
        troubles.add("survey-59", f"the coordinate system is kept at another place, which is not asked ({place[:80]}).")
    with staged(path, ending, always=bool(linked)) as opened:
        if linked:
            without(opened, linked)
        try:
            return read_opened(opened, path, _JSON_DRIVERS, choices, progress, troubles)
        except FileTrouble as trouble:
            text, count = _whole_features(decoded(opened.read_bytes(), troubles, str(path)))
            if not count:
                raise trouble from None
    with tempfile.TemporaryDirectory(prefix="strainwright-") as folder:
        copy = Path(folder) / "source.geojson"
        copy.write_text(text, encoding="utf-8")
        troubles.add(
            "survey-56",
            f"the text breaks off or is spoilt after feature {count}; what stands before is read.",
            row=count,
        )
        return read_opened(copy, path, _JSON_DRIVERS, choices, progress, troubles)


def _whole_features(text: str) -> tuple[str, int]:
    """A feature collection of the features before the first one that is no JSON, and how many there are."""
    start = re.search(r'"features"\s*:\s*\[', text)
    system = re.search(r'"crs"\s*:\s*\{[^{}]*\{[^{}]*\}[^{}]*\}\s*,', text[: start.start()] if start else "")
    features: list[str] = []
    decoder, at = json.JSONDecoder(), start.end() if start else len(text)
    while at < len(text):
        at += len(text[at:]) - len(text[at:].lstrip(" \t\r\n,")) if text[at] in " \t\r\n," else 0
        try:
            found, end = decoder.raw_decode(text, at)
        except (ValueError, RecursionError):
            break
        if not isinstance(found, dict):
            break
        features.append(text[at:end])
        at = end
    stated = system[0] if system else ""
    return f'{{"type": "FeatureCollection", {stated} "features": [{",".join(features)}]}}', len(features)


def read_kml(path: Path, choices: Mapping[str, str], progress: Progress) -> Reading:
    """A KML file; links to other places are not followed.

    Args:
        path: File.
        choices: ``layer`` = the one folder wanted.
        progress: Who waits.

    Raises:
        FileTrouble: It is no sound KML.
    """
    troubles = Troubles(str(path))
    text = read_markup(path, troubles)
    text, root = _sound(text, ("Placemark",), troubles)
    links = sum(1 for element in root.iter() if local(element.tag) in ("NetworkLink", "Url", "Link"))
    if links:
        troubles.add(
            "survey-60",
            f"{links} links to other places are not followed.",
            remedy="Save what they show into a file and give that.",
        )
    with tempfile.TemporaryDirectory(prefix="strainwright-") as folder:
        copy = Path(folder) / "source.kml"
        copy.write_text('<?xml version="1.0" encoding="UTF-8"?>\n' + text, encoding="utf-8")
        return read_opened(copy, path, ("LIBKML", "KML"), choices, progress, troubles, text)


def _sound(text: str, last: tuple[str, ...], troubles: Troubles) -> tuple[str, ElementTree.Element]:
    """The text up to its last whole feature when it breaks off, and its tree."""
    root, reason = tree_of(text)
    if root is not None and not reason:
        return text, root
    text, count = closed_early(text, last)
    root, _ = tree_of(text) if count else (None, "")
    if root is None:
        raise FileTrouble(
            f"is not sound: {reason or 'it has no first element'}", where=troubles.file, remedy="export it again"
        )
    troubles.add("survey-56", f"the file breaks off or is spoilt after feature {count} ({reason}).", row=count)
    return text, root


def read_gml(path: Path, choices: Mapping[str, str], progress: Progress) -> Reading:
    """A GML file; read from a copy, because the reader writes a helper file beside it.

    Args:
        path: File.
        choices: ``layer`` = the one feature type wanted; ``axes`` = ``swapped``.
        progress: Who waits.

    Raises:
        FileTrouble: It is no sound GML.
    """
    troubles = Troubles(str(path))
    text, _ = _sound(read_markup(path, troubles), ("featureMember", "member"), troubles)
    text = _POSITIONS.sub(_told_apart, text)
    with tempfile.TemporaryDirectory(prefix="strainwright-") as folder:
        copy = Path(folder) / "source.gml"
        copy.write_text('<?xml version="1.0" encoding="UTF-8"?>\n' + text, encoding="utf-8")
        return read_opened(copy, path, ("GML",), choices, progress, troubles)


def _told_apart(positions: re.Match[str]) -> str:
    """Positions in which a word that is no finite number is one that reads as infinite: the library reads it as 0."""
    return positions[1] + _WORD.sub(lambda word: word[0] if _is_finite(word[0]) else "1e999", positions[2])


def _is_finite(word: str) -> bool:
    try:
        return math.isfinite(float(word))
    except ValueError:
        return False
