"""The register of readers: which one takes which file, told by what the file holds rather than by its ending."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from planner.errors import FileTrouble, TooLarge
from planner.files.readers.archives import read_archive
from planner.files.readers.drawing import read_drawing
from planner.files.readers.file_kinds import ENDINGS, Kind, kind_of
from planner.files.readers.gpx import read_gpx
from planner.files.readers.other_vector_files import read_flatgeobuf, read_geojson, read_geopackage, read_gml, read_kml
from planner.files.readers.point_table import read_point_table
from planner.files.readers.rules import Troubles
from planner.files.readers.table_columns import HEADINGS
from planner.files.readers.vector_files import read_shapefile
from planner.progress import Progress, Unwatched
from planner.survey.fixes import Reading

Reader = Callable[[Path, Mapping[str, str], Progress], Reading]

READERS: dict[Kind, Reader] = {
    "gpx": read_gpx,
    "shapefile": read_shapefile,
    "geopackage": read_geopackage,
    "geojson": read_geojson,
    "flatgeobuf": read_flatgeobuf,
    "kml": read_kml,
    "gml": read_gml,
    "drawing": read_drawing,
    "table": read_point_table,
}
CHOICES: dict[str, str] = {
    **{key: f"column of a table that holds the {key}, as its heading or its number from 1" for key in HEADINGS},
    "angles": "decimal or packed-dms",
    "separator": "comma, semicolon, tab, bar or blank",
    "axes": "swapped when east and north, or longitude and latitude, stand in each other's place",
    "layer": "the one layer wanted of a file with several",
    "unit": "unit of a drawing: m, mm, cm, km, ft, us-ft or in",
    "level-unit": "unit of the levels: m, ft or us-ft",
    "size": "any, to read a file however large it is",
}
LARGE_BYTES = 300_000_000
"""Size of a file above which a person is asked first: in memory its corners take some times as much. Common practice,
no source."""
_NOBODY = Unwatched()


def read(path: Path, *, columns: Mapping[str, str] | None = None, progress: Progress = _NOBODY) -> Reading:
    """Everything one source file gives: lines, points, and what was wrong with which row.

    A zip archive or a file with several layers gives one reading; its lines carry their layer in their attributes.

    Args:
        path: File of any kind in `readable_endings`, whatever its own ending says.
        columns: What a person chose about the reading, by the keys of `CHOICES`.
        progress: Who waits.

    Returns:
        Lines and points in the file's own coordinate system, with findings and notes.

    Raises:
        FileTrouble: The file is missing, empty, damaged beyond use, or of a kind that is not read; or a choice is none.
        TooLarge: It has more than `LARGE_BYTES`, and nobody said that it shall be read all the same.
        Cancelled: The user asked to stop.
    """
    path = Path(path)
    choices = {key: str(value) for key, value in (columns or {}).items()}
    for key in choices:
        if key not in CHOICES:
            raise FileTrouble(
                f"nothing can be chosen by the name '{key}'", where=str(path), remedy=f"use {', '.join(CHOICES)}"
            )
    if choices.get("axes", "swapped") != "swapped":
        raise FileTrouble(f"axes cannot be '{choices['axes']}'", where=str(path), remedy="use swapped, or leave it out")
    return _read(path, choices, progress)


def _read(path: Path, choices: Mapping[str, str], progress: Progress) -> Reading:
    kind = kind_of(path)
    _ask_about_size(path, choices)
    progress.stop_if_cancelled()
    if kind in ("zip", "kmz"):
        reading = read_archive(path, choices, progress, _read)
    else:
        try:
            reading = READERS[kind](path, choices, progress)
        except OSError as error:
            raise FileTrouble(
                f"cannot be read: {error.strerror or error}", where=str(path), remedy="check the file and its rights"
            ) from None
    stated = ENDINGS.get(path.suffix.lower())
    if stated is None or stated == kind or {stated, kind} == {"zip", "kmz"}:
        return reading
    troubles = Troubles(str(path))
    troubles.add("survey-67", f"the file is named {path.suffix} but holds a {kind}; read as that.")
    return replace(reading, troubles=reading.troubles + troubles.findings())


def _ask_about_size(path: Path, choices: Mapping[str, str]) -> None:
    said = choices.get("size", "")
    if said not in ("", "any"):
        raise FileTrouble(f"a size cannot be '{said}'", where=str(path), remedy="say any, or leave it out")
    size = path.stat().st_size
    if size > LARGE_BYTES and not said:
        raise TooLarge(
            f"it has {size / 1e6:,.0f} MB, and reading it may take minutes and several GB of memory", where=str(path),
            remedy="cut out the part around the farm, or read it all the same with --columns size=any")


def readable_endings() -> tuple[str, ...]:
    """Endings of the files that can be read, each with its dot.

    Example:
        >>> ".gpx" in readable_endings()
        True
    """
    return tuple(sorted(ENDINGS))
