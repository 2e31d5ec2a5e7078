"""The ground along a line of which one corner was moved: only the two legs that changed are looked up.

What lies before the moved corner's legs stays, what comes after is moved along by a constant. That holds for levels
taken from one terrain raster alone, known everywhere along the line: nothing is smoothed, bridged or moved to meet
another source across the place. Everything else is taken the whole way (``ground_line.record_levels``).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.geometry.arrays import Floats, Integers, frozen
from planner.geometry.lines import leg_lengths, points_along
from planner.profile.ground_line import GroundLine, leg_scales
from planner.profile.level_sources import LEAST_QUANTUM_M
from planner.profile.stations import stations
from planner.survey.ground import TERRAIN, Ground, Levels, PointGround, RecordedLevels, TrackGround
from planner.units import Metre


def moved_levels(before: RecordedLevels, xy: Floats, grounds: Sequence[Ground], *, step_m: Metre,
                 closed: bool = False) -> RecordedLevels | None:
    """Levels along a line after one corner was moved, from those before; equal to a whole new record.

    Args:
        before: Levels taken along the line before, at its corners and every step, from the same grounds.
        xy: Corners now. [m] Shape (m, 2).
        grounds: What knows levels.
        step_m: Distance between stations, as asked for when the record was taken. [m]
        closed: True when the line returns to its start.

    Returns:
        The record; None where it has to be taken the whole way: another number of corners, not exactly one moved, the
        start of a closed line moved, anything but one terrain, rounded levels, or a level that is not known.

    Raises:
        FileTrouble: The ground's file cannot be read.
        GridTrouble: The ground cannot be reached from the working grid.
    """
    corner = _only_moved(before.xy, xy)
    if corner is None or len(grounds) != 1 or (closed and corner in (0, len(xy) - 1)):
        return None
    ground = grounds[0]
    if not _is_plain(before, ground):
        return None
    step = min(step_m, (ground.cell_m or step_m) / 2)
    first, last = max(corner - 1, 0), min(corner + 1, len(xy) - 1)
    vertices = _vertices(before, step)
    if vertices is None or not leg_lengths(xy[first:last + 1]).min() > 0:
        return None
    low, high = int(vertices[first]), int(vertices[last])
    within = stations(xy[first:last + 1], step_m=step)
    found = ground.levels(points_along(xy[first:last + 1], within))
    if not np.isfinite(found.level_m).all() or not _is_plain(before, ground):
        return None
    within = within + before.at_m[low]
    return RecordedLevels(
        xy=frozen(xy), at_m=_spliced(before.at_m, within, low, high, shift=float(within[-1] - before.at_m[high])),
        level_m=_spliced(before.level_m, found.level_m, low, high), sd_m=_spliced(before.sd_m, found.sd_m, low, high),
        source=frozen(np.concatenate((before.source[:low], found.source, before.source[high + 1:])), np.int64),
        noise_m=before.noise_m, names=before.names, quality=before.quality)


def moved_ground_line(before: GroundLine, old: RecordedLevels, new: RecordedLevels, *, grid: str) -> GroundLine:
    """The ground line after one corner was moved, from the one before; equal to ``ground_line`` of the new record.

    Args:
        before: Ground line of the old record.
        old: Levels before.
        new: What ``moved_levels`` made of them.
        grid: Working grid, as an authority code or WKT; empty takes the grid as ground.

    Raises:
        GridTrouble: The grid is unknown, or the line has no place in it.
    """
    xy = new.xy
    corner = _only_moved(old.xy, xy)
    if corner is None:
        return before
    first, last = max(corner - 1, 0), min(corner + 1, len(xy) - 1)
    low, high = int(before.vertices[first]), int(before.vertices[last])
    more = len(new.at_m) - len(old.at_m)
    stretch = slice(low, high + more + 1)
    at, level = new.at_m[stretch] - new.at_m[low], new.level_m[stretch]
    legs = leg_lengths(xy[first:last + 1])
    corners = np.concatenate(([0.0], np.cumsum(legs)))
    inner = np.searchsorted(at, corners - 1e-7)
    whole = len(at) if last == len(xy) - 1 else len(at) - 1  # a corner's level counts for the leg that begins there
    known = Levels(level[:whole], new.sd_m[stretch][:whole], new.source[stretch][:whole])
    scale = leg_scales(xy[first:last + 1], at[:whole], known, inner, grid)
    leg = np.clip(np.searchsorted(inner, np.arange(len(at)), side="right") - 1, 0, len(scale) - 1)
    starts = np.concatenate(([0.0], np.cumsum(legs / scale)))
    chainage = before.chainage_m[low] + starts[leg] + (at - corners[leg]) / scale[leg]
    rise = np.hypot(np.diff(chainage), np.diff(level))
    slope = before.slope_m[low] + np.concatenate(([0.0], np.cumsum(rise)))
    place = points_along(xy[first:last + 1], at)
    vertices = np.concatenate((before.vertices[:first], low + inner, before.vertices[last + 1:] + more))
    return GroundLine(
        chainage_m=_spliced(before.chainage_m, chainage, low, high,
                            shift=float(chainage[-1] - before.chainage_m[high])),
        x=_spliced(before.x, place[:, 0], low, high), y=_spliced(before.y, place[:, 1], low, high),
        level_m=new.level_m, sd_m=new.sd_m, source=new.source,
        slope_m=_spliced(before.slope_m, slope, low, high, shift=float(slope[-1] - before.slope_m[high])),
        vertices=frozen(vertices, np.int64),
        scale=frozen(np.concatenate((before.scale[:first], scale, before.scale[last:]))), noise_m=new.noise_m)


def carried(chainage_m: Floats, before: GroundLine, after: GroundLine) -> Floats:
    """Chainages of places on the line as it was, on the line as it is: each stays in its leg, in proportion. [m]

    Args:
        chainage_m: Ground plan distances on the line before. [m]
        before: Ground line before.
        after: Ground line after, of as many corners.
    """
    return np.asarray(np.interp(chainage_m, before.chainage_m[before.vertices], after.chainage_m[after.vertices]))


def carried_lengths(cuts_m: Floats, before: GroundLine, after: GroundLine) -> Floats:
    """Slope length of each section after a corner was moved, its ends carried along. [m] Shape (k - 1,).

    Args:
        cuts_m: Chainages at which the sections of the line before begin and end, rising. [m] Shape (k,).
        before: Ground line before.
        after: Ground line after, of as many corners.
    """
    return np.diff(after.slope_at(carried(cuts_m, before, after)))


def _only_moved(old: Floats, new: Floats) -> int | None:
    if old.shape != new.shape:
        return None
    moved = np.flatnonzero((old != new).any(axis=1))
    return int(moved[0]) if len(moved) == 1 else None


def _is_plain(record: RecordedLevels, ground: Ground) -> bool:
    """True when a record rests on this one terrain alone, unrounded and without a gap."""
    return (not isinstance(ground, PointGround | TrackGround) and ground.cell_m is not None
            and float(getattr(ground, "quantum_m", 0.0)) < LEAST_QUANTUM_M and record.names == (ground.name,)
            and record.noise_m == float(getattr(ground, "noise_m", 0.0)) and bool((record.source == TERRAIN).all()))


def _vertices(record: RecordedLevels, step_m: Metre) -> Integers | None:
    """Index of each corner among the stations; None when there are other stations than corners and steps."""
    steps = np.maximum(1, np.ceil(leg_lengths(record.xy) / step_m - 1e-9)).astype(np.int64)
    vertices = np.concatenate(([0], np.cumsum(steps)))
    return vertices if vertices[-1] == len(record.at_m) - 1 else None


def _spliced(old: Floats, stretch: Floats, low: int, high: int, *, shift: float = 0.0) -> Floats:
    after = old[high + 1:]
    return frozen(np.concatenate((old[:low], stretch, after + shift if shift else after)))
