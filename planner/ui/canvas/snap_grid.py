"""Segments and corners of many lines in a grid of cells, so that those near a place are found at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from planner.geometry.arrays import Booleans, Floats, Integers
from planner.ui.canvas.layer import VectorLayer

MOST_CELLS = 4_000_000
PER_CELL = 3.0


@dataclass(frozen=True, eq=False)
class SnapGrid:
    """Segments by cell.

    Attributes:
        segments: East, north, east, north of each. [m] Shape (n, 4).
        layer_of: Index of the layer of each segment. Shape (n,).
        line_of: Index of the line of each segment in its layer. Shape (n,).
        west: West edge of the first cell. [m]
        south: South edge of the first cell. [m]
        cell_m: Side of a cell. [m]
        columns: Cells across.
        rows: Cells up.
        starts: Where each cell starts among ``members``, and their number at the end. Shape (columns * rows + 1,).
        members: Indexes of the segments in each cell. Shape (m,).
    """

    segments: Floats
    layer_of: Integers
    line_of: Integers
    west: float
    south: float
    cell_m: float
    columns: int
    rows: int
    starts: Integers
    members: Any

    def near(self, x: float, y: float, radius: float) -> Any:
        """Indexes of all segments that may lie within a radius of a place; some may come twice.

        Args:
            x: East. [m]
            y: North. [m]
            radius: Radius. [m]
        """
        left = max(int((x - radius - self.west) / self.cell_m), 0)
        right = min(int((x + radius - self.west) / self.cell_m), self.columns - 1)
        low = max(int((y - radius - self.south) / self.cell_m), 0)
        high = min(int((y + radius - self.south) / self.cell_m), self.rows - 1)
        if right < left or high < low:
            return self.members[:0]
        first, last, starts, members = left, right + 1, self.starts, self.members
        if low == high:
            row = low * self.columns
            return members[starts[row + first]:starts[row + last]]
        return np.concatenate([members[starts[row + first]:starts[row + last]]
                               for row in range(low * self.columns, high * self.columns + 1, self.columns)])


def snap_grid(layers: Sequence[VectorLayer]) -> SnapGrid:
    """The segments of some layers by cell.

    Args:
        layers: The layers.
    """
    parts, layer_of, line_of = [np.empty((0, 4))], [np.empty(0, np.int64)], [np.empty(0, np.int64)]
    for number, layer in enumerate(layers):
        lengths = np.diff(layer.offsets)
        if len(layer.xy) < 2:
            continue
        inner = np.ones(len(layer.xy) - 1, dtype=np.bool_)
        ends = layer.offsets[1:-1]
        inner[ends[(ends > 0) & (ends < len(layer.xy))] - 1] = False
        part = np.concatenate((layer.xy[:-1], layer.xy[1:]), axis=1)[inner]
        parts.append(part)
        layer_of.append(np.full(len(part), number, np.int64))
        line_of.append(np.repeat(np.arange(len(lengths)), np.maximum(lengths - 1, 0)))
    segments = np.concatenate(parts)
    return _gridded(segments, np.concatenate(layer_of), np.concatenate(line_of))


def _gridded(segments: Floats, layer_of: Integers, line_of: Integers) -> SnapGrid:
    if not len(segments):
        return SnapGrid(segments, layer_of, line_of, 0.0, 0.0, 1.0, 1, 1, np.zeros(2, np.int64), np.zeros(0, np.int64))
    ax, ay, bx, by = np.ascontiguousarray(segments.T)
    left, right, foot, head = np.minimum(ax, bx), np.maximum(ax, bx), np.minimum(ay, by), np.maximum(ay, by)
    west, south = float(left.min()), float(foot.min())
    wide, tall = float(right.max()) - west, float(head.max()) - south
    longest = float(np.median(np.maximum(right - left, head - foot)))
    cell = max(np.sqrt(max(wide * tall, 1e-6) / len(segments) * PER_CELL), longest,
               np.sqrt(max(wide * tall, 1e-6) / MOST_CELLS), max(wide, tall) / 1e5, 1e-3)
    columns, rows = int(wide / cell) + 1, int(tall / cell) + 1
    x1, y1 = ((left - west) / cell).astype(np.int32), ((foot - south) / cell).astype(np.int32)
    x2, y2 = ((right - west) / cell).astype(np.int32), ((head - south) / cell).astype(np.int32)
    key, which = y1 * np.int32(columns) + x1, np.arange(len(segments), dtype=np.int32)
    spread = np.flatnonzero((x1 != x2) | (y1 != y2)).astype(np.int32)
    if len(spread):
        more_key, more = _spread(segments, spread, (x1, y1, x2, y2), west, south, cell, columns)
        alone = np.flatnonzero((x1 == x2) & (y1 == y2))
        key, which = np.concatenate((key[alone], more_key)), np.concatenate((which[alone], more))
    order = np.argsort(key)
    starts = np.zeros(columns * rows + 1, np.int64)
    np.cumsum(np.bincount(key, minlength=columns * rows), out=starts[1:])
    return SnapGrid(segments, layer_of, line_of, west, south, float(cell), columns, rows, starts, which[order])


def _spread(segments: Floats, spread: Any, box: tuple[Any, Any, Any, Any], west: float, south: float, cell: float,
            columns: int) -> tuple[Any, Any]:
    """Cells of the segments that touch more than one: key of the cell and index of the segment, pair by pair."""
    x1, y1, x2, y2 = (side[spread] for side in box)
    across = x2 - x1 + 1
    pairs = across * (y2 - y1 + 1)
    index = np.repeat(np.arange(len(spread), dtype=np.int32), pairs)
    step = np.arange(len(index), dtype=np.int32) - np.repeat((np.cumsum(pairs) - pairs).astype(np.int32), pairs)
    up = step // across[index]
    column, row = x1[index] + step - up * across[index], y1[index] + up
    which = spread[index]
    key = row * np.int32(columns) + column
    keep = _passes(segments, which, column, row, west, south, cell, pairs[index])
    return key[keep], which[keep]


def _passes(segments: Floats, which: Any, column: Any, row: Any, west: float, south: float, cell: float,
            pairs: Any) -> Booleans:
    """Which pairs of segment and cell to keep: a long slanting segment misses most cells of its box."""
    keep = np.ones(len(which), dtype=np.bool_)
    many = np.flatnonzero(pairs > 6)
    if len(many):
        x1, y1, x2, y2 = segments[which[many]].T
        cx, cy = west + (column[many] + 0.5) * cell, south + (row[many] + 0.5) * cell
        off = np.abs((x2 - x1) * (cy - y1) - (y2 - y1) * (cx - x1))
        keep[many] = off <= (np.abs(x2 - x1) + np.abs(y2 - y1)) * cell * 0.5000001 + 1e-9
    return keep
