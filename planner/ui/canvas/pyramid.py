"""The pyramid of a layer: the same lines at falling detail, so that a frame draws no more than the eye can see.

A level drawn at its own scale strays from the lines by about a third of a pixel at most. Levels stand close together
near the whole extent, where a frame is dearest and a level is small, and an octave apart below.

Source:
    D. Douglas and T. Peucker (1973) for the simplification, as shapely does it. Checked by
    tests/ui/canvas/test_pyramid.py against drawing every corner.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from planner.geometry.arrays import Booleans, Floats, Integers
from planner.ui.canvas.layer import VectorLayer
from planner.ui.canvas.view import Bounds

TOLERANCE_PX = 0.35
"""How far a simplified line may lie off, in pixels at the level's own scale. Coarser is no faster and can be seen."""
RUN = 12
"""Longest run of segments that is kept together; longer lines are cut, so that what is out of sight can be left out."""
FRAME_PX = 1600.0
"""Width of window for which the coarse levels are laid out. [px]"""
OCTAVES = (-5.0, -4.0, -3.0, -2.0, -1.5, -1.0, -0.75, -0.5, -0.25, 0.0, 1.0, 2.0)
"""Scales of the levels, as powers of two of the scale at which everything fills a window."""
_WORTH = 0.8
"""A level with more than this share of the segments of the next finer one is not kept."""


@dataclass(frozen=True, eq=False)
class Level:
    """The lines of a layer at one detail, as separate segments in chunks of neighbours.

    Attributes:
        scale: Ground a pixel covers at which it is good enough. [m/px] 0 for every corner as measured.
        segments: East, north, east, north of each segment, off the layer's origin. [m] Shape (n, 4), float32, but
            float64 where every corner is kept.
        starts: Where each chunk starts among the segments, and their number at the end. Shape (c + 1,).
        boxes: West, south, east, north of each chunk, off the layer's origin. [m] Shape (c, 4).
    """

    scale: float
    segments: Any
    starts: Integers
    boxes: Floats

    def in_sight(self, west: float, south: float, east: float, north: float) -> list[tuple[int, int]]:
        """Stretches of segments that may be seen in some bounds, taken off the layer's origin. [m]"""
        b = self.boxes
        seen = (b[:, 0] <= east) & (b[:, 2] >= west) & (b[:, 1] <= north) & (b[:, 3] >= south)
        edges = np.flatnonzero(np.diff(np.concatenate(([False], seen, [False])).view(np.int8)))
        return list(zip(self.starts[edges[::2]].tolist(), self.starts[edges[1::2]].tolist(), strict=True))


@dataclass(frozen=True, eq=False)
class Pyramid:
    """A layer and those of its levels that are ready.

    Attributes:
        layer: The layer.
        levels: Levels, finest first.
    """

    layer: VectorLayer
    levels: tuple[Level, ...] = ()

    def with_level(self, level: Level) -> Pyramid:
        """The pyramid with one more level; one of the same scale is replaced."""
        kept = [own for own in self.levels if own.scale != level.scale]
        return replace(self, levels=tuple(sorted([*kept, level], key=lambda one: one.scale)))

    def level_for(self, units_per_px: float) -> Level | None:
        """The coarsest level that is good enough for a scale, else the finest there is; None when none is ready."""
        good = [level for level in self.levels if level.scale <= units_per_px * 1.001] or self.levels[:1]
        return good[-1] if good else None


def fit_scale(extent: Bounds) -> float:
    """Ground a pixel covers when an extent fills a window. [m/px]

    Args:
        extent: West, south, east, north. [m]
    """
    return max(extent[2] - extent[0], 1.6 * (extent[3] - extent[1]), 1e-3) / FRAME_PX


def first_level(layer: VectorLayer, extent: Bounds) -> Level | None:
    """The level for the whole extent, quickly, so that there is something to see; None when there is nothing.

    Args:
        layer: The layer.
        extent: Bounds of all layers shown together, whose scales the levels follow. [m]
    """
    xy, counts = _usable(layer)
    if not len(counts):
        return None
    if layer.is_small:
        return _level(0.0, xy, counts, np.float64)
    fit = fit_scale(extent)
    return _level(fit, *_simplified(_lines(xy, counts), fit), np.float32)


def small_pyramid(layer: VectorLayer) -> Pyramid:
    """The pyramid of a layer so small that every corner is always drawn.

    Args:
        layer: The layer.
    """
    xy, counts = _usable(layer)
    return Pyramid(layer, (_level(0.0, xy, counts, np.float64),) if len(counts) else ())


def other_levels(layer: VectorLayer, extent: Bounds) -> Iterator[Level]:
    """The other levels of a layer: every corner first, then from fine to coarse.

    Each is made from one at least two octaves finer, so that what it strays does not add up.

    Args:
        layer: The layer.
        extent: Bounds of all layers shown together. [m]
    """
    xy, counts = _usable(layer)
    if layer.is_small or not len(counts):
        return
    fit = fit_scale(extent)
    finest = _level(0.0, xy, counts, np.float64)
    yield finest
    kept, known = len(finest.segments), {0.0: _lines(xy, counts)}
    del finest, xy
    for octave in OCTAVES:
        scale = fit * 2.0**octave
        finer = max(own for own in known if own <= scale / 3.9)
        known = {own: lines for own, lines in known.items() if own >= finer}
        simple, number = _simplified(known[finer], scale)
        if not len(number):
            return
        segments = len(simple) - len(number)
        if octave != 0.0 and segments < _WORTH * kept:
            yield _level(scale, simple, number, np.float32)
        kept = min(kept, segments) if segments < _WORTH * kept or octave == 0.0 else kept
        if octave == int(octave) and octave < 1:
            known[scale] = _lines(simple, number)


def _usable(layer: VectorLayer) -> tuple[Floats, Integers]:
    """Corners off the origin and number of corners of the lines that have two or more."""
    lengths = np.diff(layer.offsets)
    xy = layer.xy - layer.origin
    if (lengths < 2).any():
        xy, lengths = xy[np.repeat(lengths >= 2, lengths)], lengths[lengths >= 2]
    return xy, lengths


def _lines(xy: Floats, counts: Integers) -> Any:
    import shapely

    return shapely.linestrings(xy, indices=np.repeat(np.arange(len(counts)), counts))


def _simplified(lines: Any, scale: float) -> tuple[Floats, Integers]:
    """Corners and number of corners of each line, those too small to be seen left out."""
    import shapely

    tolerance = TOLERANCE_PX * scale
    simple = shapely.simplify(lines, tolerance, preserve_topology=False)
    box = shapely.bounds(simple)
    simple = simple[np.maximum(box[:, 2] - box[:, 0], box[:, 3] - box[:, 1]) >= tolerance]
    xy, of = shapely.get_coordinates(simple, return_index=True)
    return xy, np.bincount(of, minlength=len(simple))


def _level(scale: float, xy: Floats, counts: Integers, kind: Any) -> Level:
    if not len(counts):
        return Level(scale, np.empty((0, 4), kind), np.zeros(1, np.int64), np.empty((0, 4)))
    segments, run = _segments_in_runs(xy, counts, kind)
    first = np.flatnonzero(np.concatenate(([True], run[1:] != run[:-1])))
    size = np.diff(np.append(first, len(run)))
    low = np.minimum.reduceat(np.minimum(segments[:, :2], segments[:, 2:]), first, axis=0).astype(np.float64)
    high = np.maximum.reduceat(np.maximum(segments[:, :2], segments[:, 2:]), first, axis=0).astype(np.float64)
    key = _cells((low + high) / 2.0, len(segments))
    order = np.argsort(key, kind="stable")
    ends = np.cumsum(size[order])
    begin = ends - size[order]
    segments = segments[np.arange(len(segments)) + np.repeat(first[order] - begin, size[order])]
    cut = np.flatnonzero(np.concatenate(([True], np.diff(key[order]) > 0)))
    boxes = np.concatenate((np.minimum.reduceat(low[order], cut, axis=0),
                            np.maximum.reduceat(high[order], cut, axis=0)), axis=1)
    return Level(scale, segments, np.append(begin[cut], len(segments)), boxes)


def _segments_in_runs(xy: Floats, counts: Integers, kind: Any) -> tuple[Any, Integers]:
    ends = np.cumsum(counts)
    inner: Booleans = np.ones(len(xy) - 1, dtype=np.bool_)
    inner[ends[:-1] - 1] = False
    corners = xy.astype(kind, copy=False)
    segments = np.concatenate((corners[:-1], corners[1:]), axis=1)[inner]
    number = counts - 1
    along = np.arange(len(segments)) - np.repeat(np.cumsum(number) - number, number)
    line = np.repeat(np.arange(len(counts)), number)
    most = int(number.max()) // RUN + 1
    return segments, line * most + along // RUN


def _cells(middle: Floats, segments: int) -> Integers:
    """Number of the grid cell of each run, row by row, a few hundred segments to a cell."""
    across = int(np.clip(np.sqrt(segments / 100.0), 1, 72))
    low, high = middle.min(axis=0), middle.max(axis=0)
    at = ((middle - low) / np.maximum(high - low, 1e-9) * across).astype(np.int64).clip(0, across - 1)
    return np.asarray(at[:, 1] * across + at[:, 0])
