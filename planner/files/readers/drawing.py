"""DXF drawings: lines, curves and points of the model space. A drawing states no coordinate system.

Curves become straight sides that stay within 0.01 m of the curve. Blocks are not taken apart: an insert gives the
point where it stands, and how many lines its block holds is said.
"""

from __future__ import annotations

import mmap
import re
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from planner.errors import FileTrouble
from planner.files.readers.clean_lines import lines_of
from planner.files.readers.drawing_curves import SAGITTA_M, corners_of
from planner.files.readers.gathering import uniquely_named
from planner.files.readers.grids import Grid
from planner.files.readers.level_units import levels_in_metres
from planner.files.readers.overheard import overheard
from planner.files.readers.parts import Label, parts_of
from planner.files.readers.polygons import say_slivers
from planner.files.readers.rules import Troubles
from planner.files.readers.shapes import points_of
from planner.files.readers.staging import staged
from planner.geometry.arrays import Floats
from planner.progress import Progress
from planner.survey.fixes import MeasuredPoint, Reading
from planner.units import FOOT_M, INCH_M, US_SURVEY_FOOT_M

UNITS_M = {"m": 1.0, "mm": 0.001, "cm": 0.01, "km": 1000.0, "ft": FOOT_M, "us-ft": US_SURVEY_FOOT_M, "in": INCH_M}
MOST_ENTITIES = 400_000
"""Entities of a drawing, corners of old polylines counted: about half a minute of reading. Common practice."""
LARGEST_MB = 400
_NEXT = re.compile(rb"\n[ \t]*0[ \t]*\r?\n[ \t]*[A-Z]")
_STATED = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m", 7: "km", 21: "us-ft"}
_POINT_TYPES = ("POINT", "INSERT", "TEXT", "MTEXT")
_NOTE = "A drawing states no coordinate system: its numbers are taken in the one that is said."


def read_drawing(path: Path, choices: Mapping[str, str], progress: Progress) -> Reading:
    """Lines and points of a drawing.

    Args:
        path: File.
        choices: ``unit`` = ``m``, ``mm``, ``cm``, ``km``, ``ft``, ``us-ft`` or ``in``; ``axes`` = ``swapped``.
        progress: Who waits.

    Raises:
        FileTrouble: It is no drawing that can be read, even with repair.
    """
    troubles = Troubles(str(path))
    _refuse_endless(path)
    drawing = _opened(path, troubles)
    unit = _unit(drawing, choices, troubles)
    space = list(drawing.modelspace())
    corners, spots, unread = [], [], Counter[str]()
    for row, entity in enumerate(space, start=1):
        if row % 1000 == 0:
            progress.stop_if_cancelled()
            progress.report(row / len(space), f"reading {path.name}")
        kind = entity.dxftype()
        if kind in _POINT_TYPES:
            spots.append((row, entity))
        elif (found := _corners(entity, row, unit, troubles)) is not None:
            corners.append(found)
        elif found is None:
            unread[kind] += 1
    for kind, count in sorted(unread.items()):
        troubles.add("survey-60", f"{count} {kind} entities are not lines or points and are not read.")
    grid = Grid(swapped=choices.get("axes") == "swapped")
    lines = say_slivers(lines_of(parts_of(corners), grid, troubles), grid, troubles)
    points = _points(spots, unit, grid, drawing, troubles)
    if not space:
        troubles.add("survey-40", "there is nothing in the model space of the drawing.")
    reading = Reading(
        str(path),
        "",
        tuple(uniquely_named(lines)),
        tuple(points),
        troubles.findings(),
        (_NOTE, f"Curves of the drawing are followed to within {SAGITTA_M} m."),
    )
    return levels_in_metres(reading, choices)


def _refuse_endless(path: Path) -> None:
    """Counts the entities of a drawing before it is taken into memory: the lines that hold a group code of zero."""
    with path.open("rb") as stream, mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ) as text:
        count = 0 if text[8:18] == b"Binary DXF" else sum(1 for _ in _NEXT.finditer(text))
    size_mb = path.stat().st_size / 2**20
    if count > MOST_ENTITIES or size_mb > LARGEST_MB:
        what = f"it holds {count:,} entities, more than the {MOST_ENTITIES:,} that are read" \
            if count > MOST_ENTITIES else f"it is {size_mb:.0f} MB, more than the {LARGEST_MB} MB that are read"
        raise FileTrouble(what, where=str(path), remedy="export only the layers that are wanted")


def _opened(path: Path, troubles: Troubles) -> Any:
    import ezdxf
    from ezdxf import recover

    failures = (
        ezdxf.DXFError,
        ValueError,
        OSError,
        KeyError,
        IndexError,
        TypeError,
        AttributeError,
        OverflowError,
        StopIteration,
    )
    with staged(path, ".dxf") as opened, overheard("ezdxf") as said:
        try:
            return ezdxf.readfile(opened)
        except failures:
            pass
        try:
            drawing, audit = recover.readfile(opened)
        except failures as error:
            raise FileTrouble(
                f"is no drawing that can be read: {' '.join(str(error).split())[:160] or type(error).__name__}",
                where=str(path),
                remedy="save it again as DXF",
            ) from None
    troubles.add(
        "survey-55",
        f"the drawing is damaged: {len(audit.errors)} faults left, {len(audit.fixes)} mended, {len(said)} guessed"
        + (f", such as: {said[0][:120]}." if said else "."),
        severity="warning",
    )
    return drawing


def _unit(drawing: Any, choices: Mapping[str, str], troubles: Troubles) -> float:
    if "unit" in choices:
        if choices["unit"] not in UNITS_M:
            raise FileTrouble(
                f"there is no unit '{choices['unit']}'", where=troubles.file, remedy=f"use one of {', '.join(UNITS_M)}"
            )
        return UNITS_M[choices["unit"]]
    stated = _STATED.get(drawing.header.get("$INSUNITS", 0), "")
    if stated not in ("", "m"):
        troubles.add(
            "survey-64",
            f"the drawing says that its unit is {stated}, which many write without meaning it; taken as metres.",
        )
    return 1.0


def _corners(
    entity: Any, row: int, unit: float, troubles: Troubles
) -> tuple[Label, Floats, Floats | None, Floats | None] | None:
    kind = entity.dxftype()
    layer = _layer_of(entity)
    try:
        found = corners_of(entity, SAGITTA_M / unit)
    except (ValueError, ArithmeticError, TypeError, IndexError, AttributeError, KeyError) as error:
        troubles.add(
            "survey-55", f"the {kind} in row {row}, layer {layer}, cannot be read ({str(error)[:100]}).", row=row
        )
        found = np.empty((0, 3))
    if found is None:
        return None
    closed = len(found) > 3 and bool((found[0, :2] == found[-1, :2]).all())
    label = Label(
        row, f"{layer} {row}", "ring" if closed else "polyline", "unknown", (("layer", layer), ("entity", kind))
    )
    return label, found[:, :2] * unit, found[:, 2] * unit, None


def _points(
    spots: list[tuple[int, Any]], unit: float, grid: Grid, drawing: Any, troubles: Troubles
) -> list[MeasuredPoint]:
    places, rows, names, fields = [], [], [], []
    for row, entity in spots:
        kind = entity.dxftype()
        point = entity.dxf.get("location" if kind == "POINT" else "insert")
        if kind != "POINT" and kind != "MTEXT":
            point = entity.ocs().to_wcs(point)
        text = _text(entity, kind)
        layer = _layer_of(entity)
        places.append((point.x * unit, point.y * unit, point.z * unit or np.nan))
        rows.append(row)
        names.append(" ".join(str(text).split())[:80] or f"{layer} {row}")
        fields.append({"name": str(text), "desc": layer})
    _say_blocks([entity for _, entity in spots if entity.dxftype() == "INSERT"], drawing, troubles)
    return points_of(np.array(places, dtype=np.float64).reshape(-1, 3), rows, names, fields, "unknown", grid, troubles)


def _layer_of(entity: Any) -> str:
    from ezdxf import DXFError

    try:
        return str(entity.dxf.get("layer", "0"))
    except DXFError:  # an entity of a damaged kind has no layer
        return "0"


def _text(entity: Any, kind: str) -> str:
    if kind == "POINT":
        return ""
    return str(entity.plain_text() if kind == "MTEXT" else entity.dxf.get("text" if kind == "TEXT" else "name", ""))


def _say_blocks(inserts: list[Any], drawing: Any, troubles: Troubles) -> None:
    for name, count in sorted(Counter(str(e.dxf.name) for e in inserts).items()):
        block = drawing.blocks.get(name)
        held = 0 if block is None else sum(1 for e in block if e.dxftype() not in ("POINT", "TEXT", "MTEXT", "ATTDEF"))
        if held:
            troubles.add(
                "survey-60",
                f"block {name} stands {count} times and gives a point each; the {held} lines drawn in it are not read.",
                remedy="Take the block apart in the drawing if its lines are wanted.",
            )
