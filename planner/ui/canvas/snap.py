"""Snapping: what a click near something is taken to mean, and what it is called.

Nearest things within reach are tried in this order: a corner, a track fix, a place where two edges cross, an edge;
then, when a leg is being drawn, its extension and the right angle to it; a round grid place last, only when asked for.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from planner.geometry.arrays import Floats, Integers
from planner.ui.canvas.layer import VectorLayer
from planner.ui.canvas.snap_grid import SnapGrid, snap_grid

SnapKind = Literal["corner", "edge", "intersection", "fix", "extension", "right angle", "grid"]
SAME_M = 0.02
"""A fence nearer than this to something else lies on it. [m]"""
CROSSING_EDGES = 12
"""Nearest edges among which crossings are looked for."""


@dataclass(frozen=True, slots=True)
class Snap:
    """What was caught.

    Attributes:
        kind: corner, edge, intersection, fix, extension, right angle or grid.
        x: East. [m]
        y: North. [m]
        what: What it belongs to, for the read-out.
        distance_m: How far it was from the place asked about. [m]
    """

    kind: SnapKind
    x: float
    y: float
    what: str
    distance_m: float


@dataclass(frozen=True, slots=True)
class Leg:
    """The leg before the one being drawn.

    Attributes:
        from_x: East of its start. [m]
        from_y: North of its start. [m]
        to_x: East of its end, where the new leg begins. [m]
        to_y: North of its end. [m]
    """

    from_x: float
    from_y: float
    to_x: float
    to_y: float


@dataclass
class SnapIndex:
    """Everything a click can snap to.

    The grid of the layers is built in a thread; until it is ready the layers are asked line by line, more slowly.
    What is being edited is small and always asked directly.

    Attributes:
        grid_step_m: Spacing of the round places to snap to; 0 for none. [m]
    """

    grid_step_m: float = 0.0
    _layers: tuple[VectorLayer, ...] = ()
    _grid: SnapGrid | None = None
    _tree: tuple[object, Integers, Integers] | None = None
    _edited: Floats = field(default_factory=lambda: np.empty((0, 4)))
    _edited_name: str = "fence"
    _fixes: Floats = field(default_factory=lambda: np.empty((0, 2)))
    _thread: threading.Thread | None = None

    def set_layers(self, layers: Sequence[VectorLayer], *, wait: bool = False) -> None:
        """Takes the layers to snap to; the grid follows from a thread, or before returning when asked to wait."""
        self._layers, self._grid = tuple(layers), None
        self._tree = None
        if wait:
            self._build(self._layers)
            return
        self._thread = threading.Thread(target=self._build, args=(self._layers,), daemon=True, name="snap grid")
        self._thread.start()

    def set_edited(self, lines: Sequence[Floats], name: str = "fence") -> None:
        """Takes the lines being edited, corners of each. [m] Shape (n, 2) each."""
        parts = [np.concatenate((np.asarray(xy)[:-1, :2], np.asarray(xy)[1:, :2]), axis=1)
                 for xy in lines if len(xy) > 1]
        self._edited, self._edited_name = np.concatenate([np.empty((0, 4)), *parts]), name

    def set_fixes(self, xy: Floats) -> None:
        """Takes the track fixes. [m] Shape (n, 2)."""
        self._fixes = np.asarray(xy, dtype=np.float64).reshape(-1, 2)

    @property
    def is_ready(self) -> bool:
        """True once the grid stands."""
        return self._grid is not None or not self._layers

    def wait(self) -> None:
        """Waits for the grid."""
        if self._thread is not None:
            self._thread.join()

    def nearest(self, x: float, y: float, radius: float, *, leg: Leg | None = None) -> Snap | None:
        """What a place snaps to.

        Args:
            x: East. [m]
            y: North. [m]
            radius: How far away a thing may be. [m]
            leg: The leg before the one being drawn, for its extension and right angle.

        Returns:
            What was caught; None when nothing is in reach.
        """
        found, edge = self._among_segments(x, y, radius)
        fix = self._fix(x, y, radius)
        if found is not None and found.kind == "corner":
            return found
        if fix is not None:
            return fix
        if found is not None or edge is not None:
            return found or edge
        return (_along_leg(leg, x, y, radius) if leg is not None else None) or self._round_place(x, y, radius)

    # -- parts --------------------------------------------------------------------------------------------------

    def _build(self, layers: tuple[VectorLayer, ...]) -> None:
        grid = snap_grid(layers)
        if layers is self._layers:
            self._grid = grid

    def _candidates(self, x: float, y: float, radius: float) -> tuple[Floats, Integers]:
        grid = self._grid
        if grid is None:
            return self._candidates_from_lines(x, y, radius), np.full(0, -1)
        index = grid.near(x, y, radius)
        return grid.segments[index], index

    def _among_segments(self, x: float, y: float, radius: float) -> tuple[Snap | None, Snap | None]:
        """The nearest corner, else crossing; and the nearest edge."""
        segments, index = self._candidates(x, y, radius)
        if len(self._edited):
            segments = np.concatenate((segments, self._edited))
        if not len(segments):
            return None, None
        ends = segments.reshape(-1, 2) - (x, y)
        square = np.einsum("ij,ij->i", ends, ends)
        best = self._first(square, 2)
        if square[best] <= radius * radius:
            at = segments.reshape(-1, 2)[best]
            return Snap("corner", float(at[0]), float(at[1]), self._name(best // 2, index),
                        math.sqrt(square[best])), None
        start = ends[::2]
        step = ends[1::2] - start
        length = np.einsum("ij,ij->i", step, step)
        share = np.clip(-np.einsum("ij,ij->i", start, step) / np.maximum(length, 1e-300), 0.0, 1.0)
        foot = start + share[:, None] * step
        off = np.einsum("ij,ij->i", foot, foot)
        best = self._first(off, 1)
        if off[best] > radius * radius:
            return None, None
        near = np.flatnonzero(off <= radius * radius)
        crossing = self._crossing(start, step, near, off, radius, index) if len(near) > 1 else None
        if crossing is not None:
            crossing = Snap("intersection", x + crossing.x, y + crossing.y, crossing.what, crossing.distance_m)
        return crossing, Snap("edge", x + float(foot[best, 0]), y + float(foot[best, 1]), self._name(best, index),
                              math.sqrt(off[best]))

    def _first(self, square: Floats, each: int) -> int:
        """The nearest; where an edited line, which is a fence, lies on something else, the fence."""
        best = int(square.argmin())
        mine = square[len(square) - each * len(self._edited):]
        if len(mine):
            fence = int(mine.argmin())
            if math.sqrt(mine[fence]) <= math.sqrt(square[best]) + SAME_M:
                return len(square) - len(mine) + fence
        return best

    def _crossing(self, start: Floats, step: Floats, near: Integers, off: Floats, radius: float,
                  index: Integers) -> Snap | None:
        """The nearest place in reach where two edges cross, as seen from the place asked about."""
        if len(near) > CROSSING_EDGES:
            near = near[np.argsort(off[near])[:CROSSING_EDGES]]
        i, j = np.triu_indices(len(near), 1)
        i, j = near[i], near[j]
        r, s, q = step[i], step[j], start[j] - start[i]
        cross = r[:, 0] * s[:, 1] - r[:, 1] * s[:, 0]
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (q[:, 0] * s[:, 1] - q[:, 1] * s[:, 0]) / cross
            u = (q[:, 0] * r[:, 1] - q[:, 1] * r[:, 0]) / cross
        meets = (np.abs(cross) > 1e-12) & (t >= 0) & (t <= 1) & (u >= 0) & (u <= 1)
        if not meets.any():
            return None
        at = start[i[meets]] + t[meets][:, None] * r[meets]
        away = np.hypot(at[:, 0], at[:, 1])
        best = int(away.argmin())
        if away[best] > radius:
            return None
        first, second = (self._name(int(k[meets][best]), index) for k in (i, j))
        what = first if first == second else f"{first} and {second}"
        return Snap("intersection", float(at[best, 0]), float(at[best, 1]), what, float(away[best]))

    def _name(self, number: int, index: Integers) -> str:
        """What a candidate belongs to."""
        grid = self._grid
        if grid is None or number >= len(index):
            return self._edited_name if number >= len(index) and grid is not None else "line"
        segment = index[number]
        layer = self._layers[int(grid.layer_of[segment])]
        line = int(grid.line_of[segment])
        return layer.names[line] if line < len(layer.names) else layer.name

    def _fix(self, x: float, y: float, radius: float) -> Snap | None:
        if not len(self._fixes):
            return None
        away = self._fixes - (x, y)
        square = np.einsum("ij,ij->i", away, away)
        best = int(square.argmin())
        if square[best] > radius * radius:
            return None
        at = self._fixes[best]
        return Snap("fix", float(at[0]), float(at[1]), f"track fix {best + 1}", math.sqrt(square[best]))

    def _round_place(self, x: float, y: float, radius: float) -> Snap | None:
        step = self.grid_step_m
        if step <= 0.0:
            return None
        at_x, at_y = round(x / step) * step, round(y / step) * step
        off = math.hypot(at_x - x, at_y - y)
        return Snap("grid", at_x, at_y, f"{step:g} m grid", off) if off <= radius else None

    def _candidates_from_lines(self, x: float, y: float, radius: float) -> Floats:
        """Segments of the lines whose box is in reach, while the grid is not ready."""
        parts = [np.empty((0, 4))]
        for layer in self._layers:
            if len(layer.xy) < 2:
                continue
            inside = (np.abs(layer.xy - (x, y)) <= radius).all(axis=1)
            lines = np.unique(np.searchsorted(layer.offsets, np.flatnonzero(inside), side="right") - 1)
            lines = np.union1d(lines, _boxes_in_reach(layer, x, y, radius))
            for line in lines.tolist():
                xy = layer.xy[layer.offsets[line]:layer.offsets[line + 1]]
                parts.append(np.concatenate((xy[:-1], xy[1:]), axis=1))
        return np.concatenate(parts)


def _boxes_in_reach(layer: VectorLayer, x: float, y: float, radius: float) -> Integers:
    full = np.flatnonzero(np.diff(layer.offsets) > 0)
    if not len(full):
        return full
    first = layer.offsets[full]
    low, high = np.minimum.reduceat(layer.xy, first, axis=0), np.maximum.reduceat(layer.xy, first, axis=0)
    near = (low <= (x + radius, y + radius)).all(axis=1) & (high >= (x - radius, y - radius)).all(axis=1)
    return full[near]


def _along_leg(leg: Leg, x: float, y: float, radius: float) -> Snap | None:
    """The foot on the leg carried on, or on the square to it at its end, whichever is nearer."""
    dx, dy = leg.to_x - leg.from_x, leg.to_y - leg.from_y
    length = math.hypot(dx, dy)
    if length == 0.0:
        return None
    dx, dy = dx / length, dy / length
    along = (x - leg.to_x) * dx + (y - leg.to_y) * dy
    aside = -(x - leg.to_x) * dy + (y - leg.to_y) * dx
    snaps = []
    if along > 0.0 and abs(aside) <= radius:
        snaps.append(Snap("extension", leg.to_x + along * dx, leg.to_y + along * dy, "the last leg carried on",
                          abs(aside)))
    if abs(along) <= radius and aside != 0.0:
        snaps.append(Snap("right angle", leg.to_x - aside * dy, leg.to_y + aside * dx, "square to the last leg",
                          abs(along)))
    return min(snaps, key=lambda snap: snap.distance_m, default=None)
