"""From the shapes and fields of a layer to measured lines and points."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from planner.files.readers import attributes
from planner.files.readers.clean_lines import HIGHEST_M, LOWEST_M, lines_of, out_of_reach, swap_remedy
from planner.files.readers.grids import Grid
from planner.files.readers.parts import Label, Parts
from planner.files.readers.polygons import mended, say_slivers
from planner.files.readers.rules import Troubles
from planner.geometry.arrays import Floats, Integers
from planner.survey.fixes import Accuracy, MeasuredLine, MeasuredPoint

Times = Callable[[Floats], Floats | None]


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer as its file gave it.

    Attributes:
        name: Name of the layer; leads its lines' names where a file has several.
        geometries: Shapes, None where a row has none. Shape (n,).
        rows: Row of each shape in the file, counted from 1.
        fields: Names of the fields.
        columns: Values of each field, each of shape (n,).
        accuracy: Accuracy class that the kind of file suggests.
    """

    name: str
    geometries: Any
    rows: list[int]
    fields: tuple[str, ...] = ()
    columns: tuple[Sequence[Any], ...] = ()
    accuracy: Accuracy = "unknown"


@dataclass(frozen=True, slots=True)
class _Row:
    number: int
    name: str
    plain: dict[str, str]
    attributes: tuple[tuple[str, str], ...]


def read_layer(
    layer: Layer, grid: Grid, troubles: Troubles, times: Times | None = None
) -> tuple[list[MeasuredLine], list[MeasuredPoint]]:
    """Lines and points of a layer; what cannot be used is noted with its row.

    Args:
        layer: Shapes and fields.
        grid: Grid of the file.
        troubles: Where trouble is noted.
        times: Gives the times of a line's corners, when the file keeps them elsewhere.

    Returns:
        Lines, each part of each feature one, and points.
    """
    told = _rows(layer)
    empty = shapely.is_missing(layer.geometries) | shapely.is_empty(layer.geometries)
    said = {f.place.row for f in troubles.findings() if f.rule in ("survey-41", "survey-55")}
    for i in np.flatnonzero(empty):
        if layer.rows[i] in said:
            continue
        troubles.add("survey-40", f"row {layer.rows[i]} has no shape.", row=layer.rows[i])
    flat, owner = _single(mended(layer.geometries, layer.rows, grid, troubles))
    kind = shapely.get_type_id(flat)
    crossed = frozenset(
        f.place.row for f in troubles.findings() if f.rule in ("survey-48", "survey-54") and f.place.row is not None
    )
    parts = _parts(flat, owner, kind, told, layer.accuracy, times)
    lines = say_slivers(lines_of(parts, grid, troubles), grid, troubles, crossed)
    spots = np.flatnonzero(kind == 0)
    return lines, points_of(
        shapely.get_coordinates(flat[spots], include_z=True),
        [told[i].number for i in owner[spots]],
        [told[i].name for i in owner[spots]],
        [told[i].plain for i in owner[spots]],
        layer.accuracy,
        grid,
        troubles,
        [told[i].attributes for i in owner[spots]],
    )


def _rows(layer: Layer) -> list[_Row]:
    texts = [[attributes.as_text(v) for v in column] for column in layer.columns]
    plain = [attributes.plain(f) for f in layer.fields]
    rows = []
    for i, number in enumerate(layer.rows):
        mine = [column[i] for column in texts]
        known = {p: t for p, t in reversed(list(zip(plain, mine, strict=True))) if t}
        own = tuple((f, t) for f, t in zip(layer.fields, mine, strict=True) if t)
        rows.append(_Row(number, attributes.name_in(known) or f"{layer.name} {number}", known, own))
    return rows


def _single(geometries: Any) -> tuple[Any, Integers]:
    """Collections taken apart until only single shapes are left, with the index of the feature of each."""
    flat, owner = shapely.get_parts(geometries, return_index=True)
    while len(flat) and (shapely.get_type_id(flat) >= 4).any():
        flat, inner = shapely.get_parts(flat, return_index=True)
        owner = owner[inner]
    keep = ~shapely.is_empty(flat)
    return flat[keep], owner[keep]


def _parts(
    flat: Any, owner: Integers, kind: Integers, told: list[_Row], accuracy: Accuracy, times: Times | None
) -> Parts:
    rings, polygon = shapely.get_rings(flat[kind == 3], return_index=True)
    polygon = np.flatnonzero(kind == 3)[polygon]
    straight = np.flatnonzero((kind == 1) | (kind == 2))
    pieces = np.concatenate((flat[straight], rings))
    source = np.concatenate((straight, polygon)).astype(np.int64)
    hole = np.concatenate((np.full(len(straight), -1), _place_in_run(polygon)))
    order = np.argsort(source, kind="stable")
    pieces, source, hole = pieces[order], source[order], hole[order]
    xyz, part = shapely.get_coordinates(pieces, include_z=True, return_index=True)
    labels = _labels(owner, source, hole, told, accuracy)
    time = None
    if times is not None:
        labels, time = _timed(labels, xyz[:, :2], part, times)
    return Parts(np.ascontiguousarray(xyz[:, :2]), xyz[:, 2], time, part, labels)


def _place_in_run(values: Integers) -> Integers:
    """0, 1, 2 ... within each run of equal values."""
    if not len(values):
        return np.zeros(0, dtype=np.int64)
    starts = np.flatnonzero(np.concatenate(([True], np.diff(values) != 0)))
    return np.arange(len(values)) - np.repeat(starts, np.diff(np.append(starts, len(values))))


def _labels(
    owner: Integers, source: Integers, hole: Integers, told: list[_Row], accuracy: Accuracy
) -> tuple[Label, ...]:
    bodies = np.flatnonzero(hole < 1)
    number = np.zeros(len(source), dtype=np.int64)
    number[bodies] = _place_in_run(owner[source[bodies]]) + 1
    many = np.bincount(owner[source[bodies]], minlength=len(told)) > 1
    labels, last = [], 0
    for i in range(len(source)):
        row = told[int(owner[source[i]])]
        last = int(number[i]) or last
        name = f"{row.name} part {last}" if many[owner[source[i]]] else row.name
        name = f"{name} hole {hole[i]}" if hole[i] > 0 else name
        stated = attributes.accuracy_in(row.plain, accuracy)
        labels.append(Label(row.number, name, "polyline" if hole[i] < 0 else "ring", stated, row.attributes))
    return tuple(labels)


def _timed(labels: tuple[Label, ...], xy: Floats, part: Integers, times: Times) -> tuple[tuple[Label, ...], Floats]:
    time = np.full(len(xy), np.nan)
    result = list(labels)
    for i, label in enumerate(labels):
        mine = slice(int(np.searchsorted(part, i)), int(np.searchsorted(part, i, "right")))
        found = times(xy[mine])
        if found is not None:
            time[mine] = found
            result[i] = Label(label.row, label.name, "track", "handheld", label.attributes)
    return tuple(result), time


def points_of(
    xyz: Floats,
    rows: list[int],
    names: list[str],
    plain: list[dict[str, str]],
    accuracy: Accuracy,
    grid: Grid,
    troubles: Troubles,
    said: Sequence[tuple[tuple[str, str], ...]] = (),
) -> list[MeasuredPoint]:
    """Points that can be used, with code and width from their fields.

    Args:
        xyz: Positions as the file gives them, level NaN where none. [m] or [deg], [m] Shape (n, 3).
        rows: Row of each.
        names: Name of each, before it is made unique.
        plain: Texts by plain field name of each.
        accuracy: Accuracy class that the kind of file suggests.
        grid: Grid of the file.
        troubles: Where trouble is noted.
        said: Fields of each as the file names them; those of ``plain`` where none are given.
    """
    xy = xyz[:, 1::-1] if grid.swapped else xyz[:, :2]
    given = xyz[~np.isnan(xyz[:, 2]), 2]
    blank = len(given) > 0 and not given.any()
    if blank:
        troubles.add(
            "survey-47",
            f"the level of each of {len(given)} points is exactly 0.0 and is taken as not given.",
            row=rows[0],
        )
    points = []
    usable = grid.reaches(xy) & ~((xy == 0.0).all(axis=1) & grid.geographic)
    every = said or [tuple(fields.items()) for fields in plain]
    told = zip(xy.tolist(), xyz[:, 2].tolist(), usable.tolist(), rows, names, plain, every, strict=True)
    for (x, y), z, good, row, name, fields, own in told:
        if not good:
            _say_unusable(x, y, row, name, grid, troubles)
            continue
        code = attributes.code_in(fields)
        width, odd = attributes.width_in(fields, code)
        if odd:
            rule = "survey-61" if width is not None else "survey-55"
            read = f"read as {width:g} m" if width is not None else "which is no width; taken as not given"
            troubles.add(rule, f"the width of {name} is written {odd!r}, {read}.", row=row, severity="warning")
        level = None if blank else _level(z, row, name, grid, troubles)
        points.append(
            MeasuredPoint(name, x, y, level, code, width, attributes.accuracy_in(fields, accuracy), troubles.file, row,
                          own)
        )
    return points


def _say_unusable(x: float, y: float, row: int, name: str, grid: Grid, troubles: Troubles) -> None:
    if not (np.isfinite(x) and np.isfinite(y)):
        troubles.add("survey-43", f"the position of {name} is not a number; left out.", row=row)
        return
    what = f"{name} {out_of_reach(x, y, grid)} ({x:.9g}, {y:.9g}); left out."
    troubles.add("survey-44", what, row=row, remedy=swap_remedy(x, y, grid))


def _level(z: float, row: int, name: str, grid: Grid, troubles: Troubles) -> float | None:
    if np.isnan(z):
        return None
    unit = 1.0 if grid.geographic else grid.metre_per_unit
    if LOWEST_M < z * unit < HIGHEST_M:
        return z
    troubles.add("survey-46", f"the level of {name} is no level of ground: {z:.6g}.", row=row)
    return None
