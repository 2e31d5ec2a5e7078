"""Fence lines for globe viewers: KML 2.2, a folder for each meaning, figures as extended data, no network links."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import shapely

from planner.files.atomic_save import write_text
from planner.files.derived_layers import exchange_layers
from planner.files.job_file import DerivedLayer
from planner.files.writers.lonlat_shapes import lonlat_pieces
from planner.files.writers.marked_things import MarkedThing, marked_things
from planner.files.writers.texts import one_line, xml_text
from planner.geometry.arrays import Floats
from planner.job.plan import JobPlan
from planner.survey.datum import grid_name

NAMESPACE = "http://www.opengis.net/kml/2.2"


@dataclass(frozen=True, slots=True)
class Folder:
    """One folder.

    Attributes:
        name: What it is called.
        style: Its style.
        colour: Colour, ``aabbggrr``.
        width: Width of lines, or scale of points.
        is_shown: Whether it is shown when the file is opened.
    """

    name: str
    style: str
    colour: str
    width: float
    is_shown: bool = True


FOLDERS: dict[str, Folder] = {
    "fence_lines": Folder("Fence lines", "fence", "ff2a6f2a", 4.0),
    "run": Folder("Strains", "strain", "ff1d2118", 2.0, is_shown=False),
    "gate": Folder("Gates", "gate", "ff1478d2", 6.0),
    "crossing": Folder("Crossings", "crossing", "ff90662f", 6.0),
    "fixed": Folder("Ends, corners and other fixed posts", "fixed-post", "ff2233cc", 0.7),
    "line": Folder("Line posts", "line-post", "ff888888", 0.3, is_shown=False),
    "joins": Folder("Joins", "join", "ffb030b0", 0.5, is_shown=False),
    "pegs": Folder("Pegs", "peg", "ff20c0e0", 0.6),
}
_MARKED = Folder("", "marked", "ffb07818", 3.0)
"""What stands on the ground beside the fences: a folder for each meaning."""


def write_lines_kml(target: Path, plan: JobPlan) -> None:
    """Fence lines, sections, posts, joins and pegs as KML 2.2 in WGS 84, and what is marked on the ground beside them.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
        GridTrouble: The working grid has no way to WGS 84 of known accuracy.

    Source:
        OGC 07-147r2, OGC KML 2.2.0. Checked in tests/golden/test_exchange_files.py.
    """
    root = ElementTree.Element("kml", {"xmlns": NAMESPACE})
    document = _added(root, "Document")
    _added(document, "name", one_line(plan.job.name))
    _added(document, "description", "Planned fence lines. Not a survey. Levels as planned; shown on the viewer's own "
           f"ground. Working grid: {grid_name(plan.job.crs)}.")
    for folder in (*FOLDERS.values(), _MARKED):
        _style(document, folder)
    content = dict(_sorted_out(plan))
    for key, folder in FOLDERS.items():
        if content.get(key):
            _folder(document, folder, content[key])
    for meaning, marked in marked_things(plan.job).items():
        _folder(document, replace(_MARKED, name=one_line(meaning) or "other"),
                [thing for one in marked for thing in _marked(one, plan.job.crs)])
    ElementTree.indent(root, " ")
    write_text(target, '<?xml version="1.0" encoding="UTF-8"?>\n'
               + ElementTree.tostring(root, encoding="unicode") + "\n")


@dataclass(frozen=True, slots=True)
class _Thing:
    name: str
    facts: tuple[tuple[str, Any], ...]
    pieces: list[Floats]
    is_point: bool


def _sorted_out(plan: JobPlan) -> Iterator[tuple[str, list[_Thing]]]:
    """Folder key to what lies in it."""
    found: dict[str, list[_Thing]] = {}
    for layer in exchange_layers(plan):
        for key, thing in _things(layer, plan.job.crs):
            found.setdefault(key, []).append(thing)
    yield from found.items()


def _things(content: DerivedLayer, crs: str) -> Iterator[tuple[str, _Thing]]:
    layer, rows, shapes = content
    names = [name for name, _ in layer.fields]
    for row, shape, pieces in zip(rows, shapes, lonlat_pieces(shapes, crs), strict=True):
        facts = tuple(zip(names, row, strict=True))
        is_point = shapely.get_type_id(shape) == shapely.GeometryType.POINT
        key = {"sections": dict(facts).get("kind", ""),
               "posts": "line" if dict(facts).get("kind") == "line" else "fixed"}.get(layer.name, layer.name)
        title = f"{row[1]} in {row[0]}" if layer.name == "joins" else str(row[0])
        yield key, _Thing(title, facts, pieces, is_point)


def _marked(one: MarkedThing, crs: str) -> Iterator[_Thing]:
    """A feature as placemarks: its lines in one, each of its points in one of its own."""
    lines: list[Floats] = []
    for part, pieces in zip(one.parts, lonlat_pieces(one.parts, crs), strict=True):
        if isinstance(part, shapely.Point):
            yield _Thing(one.name, one.facts, pieces, is_point=True)
        else:
            lines += pieces
    if lines:
        yield _Thing(one.name, one.facts, lines, is_point=False)


def _folder(document: ElementTree.Element, folder: Folder, things: Sequence[_Thing]) -> None:
    at = _added(document, "Folder")
    _added(at, "name", folder.name)
    if not folder.is_shown:
        _added(at, "visibility", "0")
    for thing in things:
        mark = _added(at, "Placemark")
        _added(mark, "name", one_line(thing.name))
        if not folder.is_shown:
            _added(mark, "visibility", "0")
        _added(mark, "styleUrl", f"#{folder.style}")
        facts = _added(mark, "ExtendedData")
        for name, value in thing.facts:
            cell = _added(facts, "Data")
            cell.set("name", name)
            _added(cell, "value", xml_text(f"{value:.3f}" if isinstance(value, float) else str(value)))
        _geometry(mark, thing)


def _geometry(mark: ElementTree.Element, thing: _Thing) -> None:
    if thing.is_point:
        _added(_added(mark, "Point"), "coordinates", _tuples(thing.pieces[0]))
        return
    parent = _added(mark, "MultiGeometry") if len(thing.pieces) > 1 else mark
    for piece in thing.pieces:
        line = _added(parent, "LineString")
        _added(line, "tessellate", "1")
        _added(line, "coordinates", _tuples(piece))


def _tuples(cells: Floats) -> str:
    return " ".join(",".join(f"{value:.{8 if k < 2 else 3}f}" for k, value in enumerate(cell))
                    for cell in cells.tolist())


def _style(document: ElementTree.Element, folder: Folder) -> None:
    style = _added(document, "Style")
    style.set("id", folder.style)
    icon = _added(style, "IconStyle")
    _added(icon, "color", folder.colour)
    _added(icon, "scale", f"{min(folder.width, 1.0):g}")
    label = _added(style, "LabelStyle")
    _added(label, "scale", "0.7")
    line = _added(style, "LineStyle")
    _added(line, "color", folder.colour)
    _added(line, "width", f"{folder.width:g}")


def _added(parent: ElementTree.Element, tag: str, text: str = "") -> ElementTree.Element:
    child = ElementTree.SubElement(parent, tag)
    if text:
        child.text = text
    return child
