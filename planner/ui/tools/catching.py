"""Catching: what a place near something is taken to mean, said in words a fencer would use."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages, nearest_on
from planner.ui.canvas.layer import VectorLayer
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.snap import Leg, Snap, SnapIndex
from planner.ui.document import Document
from planner.units import Metre

AT_ONCE = 40_000
"""Corners up to which the index is built before going on. [-]"""
ON_LINE_M = 0.02
_GROUND = ("contour", "index contour")


class Catcher:
    """Catches corners, edges, intersections, surveyed points, right angles and extensions.

    Args:
        document: Its fence lines and surveyed points are caught.
        canvas: Its layers are caught, contours left out.
    """

    def __init__(self, document: Document, canvas: MapCanvas) -> None:
        self._document, self._canvas = document, canvas
        self._index = SnapIndex()
        self._layers: tuple[VectorLayer, ...] | None = None
        self._names: dict[tuple[float, float], str] = {}

    def refresh(self, *, without: tuple[str, int] | None = None) -> None:
        """Takes up what is there now.

        Args:
            without: Name of a line and number of a corner that is being moved: its two legs catch nothing.
        """
        layers = tuple(layer for layer in self._canvas.layers if layer.role not in _GROUND)
        if self._layers is None or [id(a) for a in layers] != [id(b) for b in self._layers]:
            self._layers = layers
            self._index.wait()
            self._index.set_layers(layers, wait=sum(len(layer.xy) for layer in layers) <= AT_ONCE)
        self._index.set_edited(self._fence_parts(without), "fence")
        points = self._document.job.points
        self._index.set_fixes(np.array([(p.x, p.y) for p in points], dtype=np.float64).reshape(-1, 2))
        self._names = {(p.x, p.y): p.name for p in points}

    def close(self) -> None:
        """Waits for the index, so that no thread is left."""
        self._index.wait()

    def add(self, xy: Floats, *, without: tuple[str, int] | None = None) -> None:
        """Catches the corners of a line that is being drawn as well. [m] Shape (n, 2)."""
        self._index.set_edited([*self._fence_parts(without), *([xy] if len(xy) > 1 else [])], "fence")

    def _fence_parts(self, without: tuple[str, int] | None) -> list[Floats]:
        parts: list[Floats] = []
        for line in self._document.job.lines:
            if without is None or line.name != without[0]:
                parts.append(line.xy)
                continue
            last, corner = len(line.xy) - 1, without[1]
            moved = {0, last} if line.closed and corner in (0, last) else {corner}
            kept = [i for i in range(last) if i not in moved and i + 1 not in moved]
            parts += [line.xy[i:i + 2] for i in kept]
        return parts

    def nearest(self, x: Metre, y: Metre, radius: Metre, *, leg: Leg | None = None) -> Snap | None:
        """What a place snaps to, named.

        Args:
            x: East. [m]
            y: North. [m]
            radius: How near counts. [m]
            leg: The leg before the one being drawn.
        """
        if self._canvas.layers != self._layers and self._layers is not None:
            now = [id(layer) for layer in self._canvas.layers if layer.role not in _GROUND]
            if now != [id(layer) for layer in self._layers]:
                self.refresh()
        found = self._index.nearest(x, y, radius, leg=leg)
        if found is None or found.kind in ("extension", "right angle", "grid", "intersection"):
            return found
        if found.kind == "fix":
            return replace(found, what=self._names.get((found.x, found.y), found.what))
        if found.what in ("fence", "line"):
            return replace(found, what=self.name_at(found.x, found.y) or "the line being drawn")
        return found

    def name_at(self, x: Metre, y: Metre) -> str:
        """Name of the line that runs through a place; empty when none does."""
        found = self.line_at(x, y)
        return found[0] if found is not None else ""

    def line_at(self, x: Metre, y: Metre, within: Metre = ON_LINE_M) -> tuple[str, Floats] | None:
        """Name and corners of the line nearest to a place.

        Args:
            x: East. [m]
            y: North. [m]
            within: How far off it may be. [m]
        """
        best: tuple[Metre, str, Floats] | None = None
        for name, xy in self.lines_near(x, y, within):
            _, off = nearest_on(xy, (x, y))
            if off <= within and (best is None or off < best[0]):
                best = off, name, xy
        return None if best is None else (best[1], best[2])

    def lines_near(self, x: Metre, y: Metre, within: Metre) -> list[tuple[str, Floats]]:
        """Name and corners of every line whose box holds a place: fences first, then what was imported. [m]"""
        found = [(line.name, line.xy) for line in self._document.job.lines if _box_holds(line.xy, x, y, within)]
        for layer in self._layers or ():
            for number in _lines_of(layer, x, y, within):
                name = layer.names[number] if number < len(layer.names) else layer.name
                found.append((name, layer.xy[layer.offsets[number]:layer.offsets[number + 1]]))
        return found


def words(snap: Snap) -> str:
    """What was caught, as the read-out says it.

    Args:
        snap: What was caught.

    Example:
        >>> words(Snap("corner", 0.0, 0.0, "Creek", 0.1)), words(Snap("right angle", 0.0, 0.0, "the last leg", 0.1))
        ('corner of Creek', 'right angle')
    """
    return {"corner": f"corner of {snap.what}", "edge": f"on {snap.what}", "fix": f"point {snap.what}",
            "intersection": f"crossing of {snap.what}", "extension": "straight on", "right angle": "right angle",
            "grid": snap.what}[snap.kind]


def stretch_between(xy: Floats, start: tuple[Metre, Metre], end: tuple[Metre, Metre]) -> Floats:
    """The corners of a line from one place on it to another, both included; of a ring the shorter way.

    Args:
        xy: Corners of the line. [m] Shape (n, 2).
        start: A place on it. [m]
        end: Another. [m]
    """
    along = chainages(xy)
    length = float(along[-1])
    a, _ = nearest_on(xy, start)
    b, _ = nearest_on(xy, end)
    closed = len(xy) > 3 and bool(np.hypot(*(xy[0] - xy[-1])) < 1e-6)
    if closed and abs(b - a) > length / 2.0:
        turn = length if b < a else -length
        between = np.concatenate((along[:-1] - length, along[:-1], along[:-1] + length))
        corners = np.tile(xy[:-1], (3, 1))
        b += turn
    else:
        between, corners = along, xy
    low, high = min(a, b), max(a, b)
    inside = corners[(between > low + 1e-6) & (between < high - 1e-6)]
    if b < a:
        inside = inside[::-1]
    return np.concatenate((np.array([start]), inside, np.array([end])))


def _box_holds(xy: Floats, x: Metre, y: Metre, within: Metre) -> bool:
    low, high = xy.min(axis=0) - within, xy.max(axis=0) + within
    return bool(low[0] <= x <= high[0] and low[1] <= y <= high[1])


def _lines_of(layer: VectorLayer, x: Metre, y: Metre, within: Metre) -> list[int]:
    full = np.flatnonzero(np.diff(layer.offsets) > 1)
    if not len(full):
        return []
    first = layer.offsets[full]
    low, high = np.minimum.reduceat(layer.xy, first, axis=0), np.maximum.reduceat(layer.xy, first, axis=0)
    left, foot, right, head = low[:, 0], low[:, 1], high[:, 0], high[:, 1]
    here = (left <= x + within) & (foot <= y + within) & (right >= x - within) & (head >= y - within)
    return [int(i) for i in full[here]]
