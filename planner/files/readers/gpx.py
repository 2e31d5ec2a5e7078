"""GPX 1.0 and 1.1: tracks, routes and waypoints, read by gpxpy after every point has been looked at.

The parser stops at the first bad number and forgets a bad time without a word; so bad points are taken out, and said,
before it sees the file. A level or time that is missing stays missing: never 0.

Source:
    GPX 1.1 schema (topografix.com/GPX/1/1): WGS 84, latitude and longitude in decimal degrees, level in metres,
    time in UTC.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np

from planner.errors import FileTrouble
from planner.files.readers.attributes import number_in
from planner.files.readers.clean_lines import lines_of
from planner.files.readers.gathering import uniquely_named
from planner.files.readers.grids import Grid
from planner.files.readers.level_units import levels_in_metres
from planner.files.readers.markup import local, read_markup, seconds, tree_of
from planner.files.readers.parts import Label, parts_of
from planner.files.readers.rules import Troubles
from planner.files.readers.shapes import points_of
from planner.geometry.arrays import Floats
from planner.progress import Progress
from planner.survey.fixes import LineKind, MeasuredPoint, Reading

_POINTS = ("wpt", "rtept", "trkpt")
_KEPT = ("ele", "time", "name", "cmt", "desc", "sym", "type")
_STAMP = re.compile(r"\d{4}-\d\d?-\d\d?[T ]\d\d?:\d\d?:\d\d?(\.\d+)?(Z|[+-]\d\d(:?\d\d)?)?")
_NOTE = "GPX positions are WGS 84 longitude and latitude, as the format says."


def read_gpx(path: Path, choices: Mapping[str, str], progress: Progress) -> Reading:
    """Every track segment and route as a line, every waypoint as a point.

    Args:
        path: File.
        choices: ``axes`` = ``swapped`` when latitude and longitude changed places.
        progress: Who waits.

    Raises:
        FileTrouble: It is no GPX, or breaks off before its first point.
    """
    troubles = Troubles(str(path))
    root, reason = tree_of(read_markup(path, troubles))
    if root is None or local(root.tag) != "gpx":
        raise FileTrouble(
            f"is no GPX that can be read: {reason or 'its first element is not gpx'}",
            where=str(path),
            remedy="export it again",
        )
    if reason:
        _cut_last_point(root)
        troubles.add("survey-56", f"the file breaks off ({reason}); what stands before the break is read.")
    progress.stop_if_cancelled()
    _look_over(root, troubles)
    progress.report(0.5, f"reading {path.name}")
    gpx = _parsed(root, path)
    grid = Grid("EPSG:4326", geographic=True, swapped=choices.get("axes") == "swapped")
    lines = lines_of(parts_of(_corners(gpx, path.stem, troubles)), grid, troubles)
    points = _waypoints(gpx, grid, troubles)
    if not lines and not points:
        troubles.add("survey-40", "there is no track, route or waypoint in it that can be used.")
    progress.report(1.0, f"read {path.name}")
    return levels_in_metres(Reading(str(path), grid.crs, tuple(uniquely_named(lines)), tuple(points),
                                    troubles.findings(), (_NOTE,)), choices)


def _cut_last_point(root: ElementTree.Element) -> None:
    """Takes out the point in the middle of which the text broke off: the last element of the last branch."""
    branch = root
    while len(branch):
        last = branch[-1]
        if local(last.tag) in _POINTS:
            if last.tail is None:
                branch.remove(last)
            return
        branch = last


def _look_over(root: ElementTree.Element, troubles: Troubles) -> None:
    """Takes names out of their namespaces, and takes out or mends what the parser would stumble over."""
    row = {"wpt": 0, "trk": 0, "rte": 0}
    point = 0
    stack: list[tuple[ElementTree.Element, ElementTree.Element | None]] = [(root, None)]
    while stack:
        element, owner = stack.pop()
        element.tag = name = local(element.tag)
        if name in row:
            row[name] += 1
        if name in ("trkseg", "rte"):
            point = 0
        if name in _POINTS and owner is not None:
            point += 1
            kind = {"trkpt": "trk", "rtept": "rte"}.get(name, "wpt")
            where = {"trk": f"point {point} in track {row['trk']}", "rte": f"point {point} in route {row['rte']}"}.get(
                kind, f"waypoint {row['wpt']}"
            )
            if not _is_sound(element, where, row[kind], troubles):
                owner.remove(element)
            continue
        _drop(element, lambda child: local(child.tag) in ("extensions", "bounds", "link", "author", "copyright", ""))
        stack.extend((child, element) for child in reversed(element))


def _drop(element: ElementTree.Element, unwanted: Any) -> None:
    for child in [c for c in element if unwanted(c)]:
        element.remove(child)


def _is_sound(point: ElementTree.Element, where: str, row: int, troubles: Troubles) -> bool:
    for axis in ("lat", "lon"):
        text = point.get(axis)
        found = number_in(text or "")
        if found is None:
            what = "has none" if text is None else f"says {text!r}"
            troubles.add(
                "survey-55", f"{where} {what} for its {axis}; left out.", row=row, remedy="Give the point its position."
            )
            return False
        if found[1]:
            troubles.add(
                "survey-61", f"{where} has a decimal comma in its {axis}, {text!r}; read as {found[0]:g}.", row=row
            )
        point.set(axis, repr(found[0]))
    for child in point:
        child.tag = local(child.tag)
    _drop(
        point,
        lambda child: child.tag not in _KEPT or (child.tag == "ele" and not _is_level(child, where, row, troubles)),
    )
    for child in point:
        text = (child.text or "").strip()
        if (
            child.tag == "time"
            and text
            and not (_STAMP.fullmatch(text) and math.isfinite(seconds(text.replace(" ", "T")) if text[4] == "-" else 0))
        ):
            troubles.add("survey-66", f"the time of {where} cannot be read: {text!r}; taken as not given.", row=row)
            child.text = ""
    return True


def _is_level(element: ElementTree.Element, where: str, row: int, troubles: Troubles) -> bool:
    text = (element.text or "").strip()
    found = number_in(text)
    if found is None:
        if text:
            troubles.add("survey-46", f"the level of {where} is {text!r}; taken as not given.", row=row)
        return False
    if found[1]:
        troubles.add(
            "survey-61", f"{where} has a decimal comma in its level, {text!r}; read as {found[0]:g} m.", row=row
        )
    element.text = repr(found[0])
    return True


def _parsed(root: ElementTree.Element, path: Path) -> Any:
    import gpxpy
    from gpxpy.gpx import GPXException

    version = "1.0" if str(root.get("version", "")).strip() == "1.0" else "1.1"
    plain = ElementTree.Element("gpx", {"version": version, "creator": "file"})
    plain.extend(child for child in root if child.tag in ("wpt", "rte", "trk"))
    for owner in plain.iter():
        if owner.tag in ("rte", "trk"):
            _drop(owner, lambda child: child.tag == "number")
    try:
        return gpxpy.parse(ElementTree.tostring(plain, encoding="unicode"))
    except (GPXException, ValueError, OverflowError) as error:
        raise FileTrouble(f"is no GPX that can be read: {error}", where=str(path), remedy="export it again") from None


def _corners(gpx: Any, stem: str, troubles: Troubles) -> list[tuple[Label, Floats, Floats | None, Floats | None]]:
    found = []
    for row, track in enumerate(gpx.tracks, start=1):
        name = " ".join((track.name or "").split())[:80] or f"{stem} track {row}"
        told = _attributes(track)
        if not track.segments:
            troubles.add("survey-41", f"track {row} ({name}) has no segment.", row=row, line=name)
        for part, segment in enumerate(track.segments, start=1):
            own = f"{name} part {part}" if len(track.segments) > 1 else name
            found.append(_one(Label(row, own, "track", "handheld", told), segment.points))
    for row, route in enumerate(gpx.routes, start=1):
        name = " ".join((route.name or "").split())[:80] or f"{stem} route {row}"
        kind: LineKind = "route"
        found.append(_one(Label(row, name, kind, "handheld", _attributes(route)), route.points))
    return found


def _attributes(thing: Any) -> tuple[tuple[str, str], ...]:
    fields = (("comment", thing.comment), ("description", thing.description), ("type", getattr(thing, "type", None)))
    return tuple((field, str(value).strip()) for field, value in fields if value)


def _one(label: Label, points: Sequence[Any]) -> tuple[Label, Floats, Floats | None, Floats | None]:
    xy = np.array([(p.longitude, p.latitude) for p in points], dtype=np.float64).reshape(-1, 2)
    level = np.array([math.nan if p.elevation is None else p.elevation for p in points], dtype=np.float64)
    time = np.array([_since_1970(p.time) for p in points], dtype=np.float64)
    return label, xy, level, time


def _since_1970(time: datetime | None) -> float:
    if time is None:
        return math.nan
    return (time if time.tzinfo else time.replace(tzinfo=UTC)).timestamp()


def _waypoints(gpx: Any, grid: Grid, troubles: Troubles) -> list[MeasuredPoint]:
    fields = [
        {
            k: str(v)
            for k, v in (
                ("name", p.name),
                ("cmt", p.comment),
                ("desc", p.description),
                ("sym", p.symbol),
                ("type", p.type),
            )
            if v
        }
        for p in gpx.waypoints
    ]
    xyz = np.array(
        [(p.longitude, p.latitude, math.nan if p.elevation is None else p.elevation) for p in gpx.waypoints],
        dtype=np.float64,
    ).reshape(-1, 3)
    names = [f.get("name", "").strip() or f"waypoint {i}" for i, f in enumerate(fields, start=1)]
    return points_of(xyz, list(range(1, len(fields) + 1)), names, fields, "handheld", grid, troubles)
