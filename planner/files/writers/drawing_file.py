"""Fence lines as a drawing: DXF of release R2010, in metres of the working grid, true heights, layers by meaning."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from planner.files.atomic_save import write_text
from planner.files.derived_layers import exchange_layers
from planner.files.writers.marked_things import marked_things
from planner.files.writers.texts import one_line
from planner.geometry.arrays import Floats
from planner.job.plan import JobPlan
from planner.survey.datum import grid_name

LAYERS: dict[str, tuple[int, str]] = {
    "FENCE-LINES": (3, "fence lines, whole"),
    "STRAINS": (7, "straining sections"),
    "GATES": (30, "gate openings"),
    "CROSSINGS": (5, "spans across water"),
    "POSTS-FIXED": (1, "ends, corners, deviations, rises and dips"),
    "POSTS-LINE": (8, "posts between them"),
    "JOINS": (6, "mid-run and roll joins"),
    "PEGS": (2, "set-out points"),
    "TEXT-LINES": (3, "names of fence lines"),
    "TEXT-STRAINS": (7, "section ids"),
    "TEXT-PEGS": (2, "names of pegs"),
    "TEXT-GROUND": (8, "names of what is marked on the ground"),
}
"""Layer name to its colour (an index of the format's own table) and what it holds."""
_OF_SECTION = {"run": "STRAINS", "gate": "GATES", "crossing": "CROSSINGS"}
_GROUND, _GROUND_COLOUR = "GROUND-", 4
"""Layers of what is marked on the ground beside the fences, one for each meaning: ``GROUND-WATER`` and so on."""
_NOT_IN_LAYER = re.compile("[^A-Z0-9]+")
_LINE_TEXT_M, _STRAIN_TEXT_M, _PEG_TEXT_M = 4.0, 2.5, 1.5
"""Heights of letters. [m] They read at 1 : 1 000."""


def write_lines_dxf(target: Path, plan: JobPlan) -> None:
    """Fence lines, sections, posts, joins and pegs as a drawing: 3-D polylines, points and texts.

    What is marked on the ground beside them lies in a layer for each meaning, flat where no level of it is known.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
    """
    import ezdxf
    from ezdxf import units

    with _fixed_dates():
        drawing = ezdxf.new("R2010", units=units.M)
        for name, (colour, holds) in LAYERS.items():
            drawing.layers.add(name, color=colour).description = holds
        drawing.header.custom_vars.append("job", one_line(plan.job.name))
        drawing.header.custom_vars.append("grid", one_line(grid_name(plan.job.crs)))
        space = drawing.modelspace()
        for layer, rows, shapes in exchange_layers(plan):
            _DRAW[layer.name](space, rows, shapes)
        marked = _draw_marked(drawing, space, plan)
        every = [shape for _, _, shapes in exchange_layers(plan) for shape in shapes] + marked
        if every:
            _extents(drawing, np.nan_to_num(
                shapely.get_coordinates(np.asarray(every, dtype=object), include_z=True)))
        out = io.StringIO()
        drawing.write(out)
    write_text(target, out.getvalue())


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """No time of making and no random mark in the file, so that the same job gives the same file."""
    from ezdxf import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _draw_lines(space: Any, rows: Sequence[tuple[Any, ...]], shapes: Sequence[shapely.Geometry]) -> None:
    for row, shape in zip(rows, shapes, strict=True):
        _polyline(space, shape, "FENCE-LINES")
        start = shapely.get_coordinates(shape, include_z=True)[0]
        _text(space, f"{row[1]} {row[0]}", start, _LINE_TEXT_M, "TEXT-LINES")


def _draw_sections(space: Any, rows: Sequence[tuple[Any, ...]], shapes: Sequence[shapely.Geometry]) -> None:
    for row, shape in zip(rows, shapes, strict=True):
        _polyline(space, shape, _OF_SECTION[row[3]])
        middle = shapely.get_coordinates(shapely.line_interpolate_point(shape, 0.5, normalized=True), include_z=True)[0]
        _text(space, row[0], middle, _STRAIN_TEXT_M, "TEXT-STRAINS")


def _draw_posts(space: Any, rows: Sequence[tuple[Any, ...]], shapes: Sequence[shapely.Geometry]) -> None:
    for row, shape in zip(rows, shapes, strict=True):
        _point(space, shape, "POSTS-LINE" if row[1] == "line" else "POSTS-FIXED")


def _draw_joins(space: Any, rows: Sequence[tuple[Any, ...]], shapes: Sequence[shapely.Geometry]) -> None:
    for shape in shapes:
        _point(space, shape, "JOINS")


def _draw_pegs(space: Any, rows: Sequence[tuple[Any, ...]], shapes: Sequence[shapely.Geometry]) -> None:
    for row, shape in zip(rows, shapes, strict=True):
        _point(space, shape, "PEGS")
        _text(space, row[0], shapely.get_coordinates(shape, include_z=True)[0], _PEG_TEXT_M, "TEXT-PEGS")


_DRAW = {"fence_lines": _draw_lines, "sections": _draw_sections, "posts": _draw_posts, "joins": _draw_joins,
         "pegs": _draw_pegs}


def ground_layer(meaning: str) -> str:
    """The layer of what is marked on the ground with a meaning.

    Args:
        meaning: The meaning, as the job says it.

    Example:
        >>> ground_layer("buried service"), ground_layer("…")
        ('GROUND-BURIED-SERVICE', 'GROUND-OTHER')
    """
    return _GROUND + (_NOT_IN_LAYER.sub("-", meaning.upper()).strip("-") or "OTHER")


def _draw_marked(drawing: Any, space: Any, plan: JobPlan) -> list[shapely.Geometry]:
    """Draws what is marked on the ground, and gives its shapes."""
    drawn: list[shapely.Geometry] = []
    for meaning, things in marked_things(plan.job).items():
        name = ground_layer(meaning)
        if name not in drawing.layers:
            drawing.layers.add(name, color=_GROUND_COLOUR).description = one_line(meaning)
        for thing in things:
            for part in thing.parts:
                places = np.nan_to_num(shapely.get_coordinates(part, include_z=True))
                if isinstance(part, shapely.Point):
                    space.add_point(tuple(places[0].tolist()), dxfattribs={"layer": name})
                elif shapely.has_z(part):
                    space.add_polyline3d(places.tolist(), dxfattribs={"layer": name})
                else:
                    space.add_lwpolyline(places[:, :2].tolist(), dxfattribs={"layer": name})
            first = np.nan_to_num(shapely.get_coordinates(thing.parts[0], include_z=True))[0]
            _text(space, thing.name, first, _STRAIN_TEXT_M, "TEXT-GROUND")
            drawn += thing.parts
    return drawn


def _polyline(space: Any, shape: shapely.Geometry, layer: str) -> None:
    space.add_polyline3d(shapely.get_coordinates(shape, include_z=True).tolist(), dxfattribs={"layer": layer})


def _point(space: Any, shape: shapely.Geometry, layer: str) -> None:
    space.add_point((shape.x, shape.y, shape.z), dxfattribs={"layer": layer})


def _text(space: Any, text: str, at: Floats, height: float, layer: str) -> None:
    # two per cent signs would begin a code of the format
    words = one_line(text).replace("%%", "% %")
    entity = space.add_text(words, height=height, dxfattribs={"layer": layer})
    entity.set_placement((float(at[0]) + 0.4 * height, float(at[1]) + 0.4 * height, float(at[2])))


def _extents(drawing: Any, places: Floats) -> None:
    low, high = places.min(axis=0), places.max(axis=0)
    drawing.header["$EXTMIN"] = tuple(low.tolist())
    drawing.header["$EXTMAX"] = tuple(high.tolist())
    middle, height = (low + high) / 2.0, max(10.0, 1.1 * float((high - low)[:2].max()))
    drawing.set_modelspace_vport(height=height, center=(float(middle[0]), float(middle[1])))
