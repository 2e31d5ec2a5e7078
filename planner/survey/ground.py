"""Ground levels: where they come from and how well they are known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, Integers, SameByValue, frozen
from planner.geometry.feet import feet_on
from planner.geometry.lines import chainages
from planner.settings import Settings
from planner.survey.fixes import Accuracy, MeasuredPoint
from planner.survey.in_order import matched_in_order
from planner.survey.track_heights import RTK_NOISE_M, places_and_heights, quantum_of, smooth
from planner.units import Metre

SOURCE_NAMES = ("none", "track", "terrain", "survey")
"""What a level was taken from, worst first; a profile stores the index into this tuple."""
NONE, TRACK, TERRAIN, SURVEY = range(4)


@dataclass(frozen=True, eq=False)
class Levels(SameByValue):
    """Levels at some positions.

    Attributes:
        level_m: Ground level. [m] Shape (n,), NaN where unknown.
        sd_m: Standard deviation of each level. [m] Shape (n,), NaN where unknown.
        source: Index into SOURCE_NAMES. Shape (n,).
    """

    level_m: Floats
    sd_m: Floats
    source: Integers


class Ground(Protocol):
    """Something that knows ground levels over an area."""

    @property
    def name(self) -> str:
        """What to call it on a sheet."""

    @property
    def cell_m(self) -> Metre | None:
        """Distance between its own measurements. [m] None for scattered points."""

    def levels(self, xy: Floats) -> Levels:
        """Levels at positions in the job's working grid.

        Args:
            xy: Positions, east and north. [m] Shape (n, 2).
        """


@dataclass(frozen=True, slots=True)
class LevelQuality:
    """What was noticed about the sources of a profile while it was taken; None where there was nothing to notice.

    Attributes:
        cell_m: Coarsest terrain cell that gave a level. [m]
        quantum_m: Greatest step to which terrain levels were rounded; the profile was smoothed within it. [m]
        walked_noise_m: Noise of the walked heights as they came. [m]
        walked_raw_m: Slope length of the walk with its heights as they came. [m]
        walked_smooth_m: Slope length of the walk with its heights smoothed. [m]
        walked_off_m: Median of walked height minus terrain level along the line. [m] Positive: walked is higher.
        walked_spread_m: Standard deviation of that difference about its median, from the median deviation. [m]
        survey_off_m: Median of surveyed level minus terrain level at the surveyed places. [m]
        survey_spread_m: Standard deviation of that difference about its median. [m]
        survey_worst_m: The difference farthest from the median, less the median. [m]
        survey_worst_at_m: Grid distance along the line where it is. [m]
        in_feet: Which of two sources lies over the other as feet lie over metres: ``surveyed levels``, ``walked
            heights`` or ``terrain``; None where none does.
        in_feet_m: Median level of that source as it came. [m]
    """

    cell_m: Metre | None = None
    quantum_m: Metre | None = None
    walked_noise_m: Metre | None = None
    walked_raw_m: Metre | None = None
    walked_smooth_m: Metre | None = None
    walked_off_m: Metre | None = None
    walked_spread_m: Metre | None = None
    survey_off_m: Metre | None = None
    survey_spread_m: Metre | None = None
    survey_worst_m: Metre | None = None
    survey_worst_at_m: Metre | None = None
    in_feet: str | None = None
    in_feet_m: Metre | None = None


@dataclass(frozen=True, eq=False)
class RecordedLevels(SameByValue):
    """The profile taken along one fence line, kept in the job so that it can be planned again anywhere.

    Attributes:
        xy: The line's corners when it was taken; the record is stale once they differ. [m] Shape (m, 2).
        at_m: Grid distance along the line of each level. [m] Shape (n,), rising from 0 to the line's length.
        level_m: Ground level. [m] Shape (n,). NaN where unknown.
        sd_m: Standard deviation. [m] Shape (n,). NaN where nothing is known; finite where ``source`` is NONE when
            the level was bridged from its neighbours.
        source: Index into SOURCE_NAMES. Shape (n,).
        noise_m: Greatest noise among the sources; grade breaks are never looked for below twice this. [m]
        names: What the levels were taken from, for the sheets.
        quality: What was noticed about the sources, for the checks.
    """

    xy: Floats
    at_m: Floats
    level_m: Floats
    sd_m: Floats
    source: Integers
    noise_m: Metre
    names: tuple[str, ...]
    quality: LevelQuality = LevelQuality()


_CROSS_SLOPE = 0.1
"""Cross slope assumed where a point beside the line speaks for the line. Common practice, no source."""
_VERTICAL_SHARE = 1.5
"""Standard deviation of a level over that of a plan coordinate.

Source:
    Makers' figures for RTK, 8 mm + 1 ppm in plan and 15 mm + 1 ppm in height (RMS); common practice elsewhere.
"""
_SURVEYED = ("survey", "rtk")
_WANDER_M = 0.3
"""Least noise of heights that are not those of RTK. [m] Common practice, no source."""


class PointGround:
    """Surveyed points: each knows the level of its own spot, and speaks for the line's nearest point.

    Args:
        points: Points in the working grid, those without a level are passed over; or an array of east, north and
            level, taken as surveyed. [m] Shape (n, 3).
        name: What to call them on a sheet.
        reach_m: Greatest distance off a line at which a point speaks for it. [m] Common practice, no source.
        settings: Standard deviation of each accuracy class; a level has 1.5 times that of a plan coordinate.

    Raises:
        OutOfRange: The array is not of shape (n, 3).
    """

    cell_m: Metre | None = None

    def __init__(self, points: Sequence[MeasuredPoint] | Floats, name: str = "surveyed points", *,
                 reach_m: Metre = 2.0, settings: Settings | None = None) -> None:
        known = settings or Settings()
        self.name, self.reach_m = name, reach_m
        if isinstance(points, np.ndarray):
            if points.ndim != 2 or points.shape[1] != 3:
                raise OutOfRange(f"points of shape {points.shape} are not east, north and level",
                                 where=name, remedy="give three numbers for each point")
            xyz, classes = np.asarray(points, dtype=np.float64), ["survey"] * len(points)
        else:
            levelled = [p for p in points if p.level_m is not None]
            xyz = np.array([(p.x, p.y, p.level_m) for p in levelled], dtype=np.float64).reshape(-1, 3)
            classes = [p.accuracy for p in levelled]
        good = np.isfinite(xyz).all(axis=1)
        self._xyz = frozen(xyz[good])
        self._sd = frozen(np.array([_VERTICAL_SHARE * known.sd_of(c) for c in classes])[good])
        self._source = frozen(np.array([SURVEY if c in _SURVEYED else TRACK for c in classes], dtype=np.int64)[good],
                              np.int64)

    def levels(self, xy: Floats) -> Levels:
        """Level of the nearest point within reach of each position, its standard deviation grown with the distance.

        Args:
            xy: Positions in the working grid. [m] Shape (n, 2).
        """
        from scipy.spatial import cKDTree  # late: a profile does not need it

        result = _unknown(len(xy))
        good = np.flatnonzero(np.isfinite(xy).all(axis=1))
        if not len(self._xyz) or not len(good):
            return result
        found = cKDTree(self._xyz[:, :2]).query(xy[good])
        off, which = np.asarray(found[0], dtype=np.float64), np.asarray(found[1], dtype=np.int64)
        within = off <= self.reach_m
        near, which = good[within], which[within]
        level, sd, source = result.level_m.copy(), result.sd_m.copy(), result.source.copy()
        level[near], source[near] = self._xyz[which, 2], self._source[which]
        sd[near] = np.hypot(self._sd[which], _CROSS_SLOPE * off[within])
        return Levels(level, sd, source)

    def along(self, line_xy: Floats) -> tuple[Floats, Floats, Levels]:
        """The points within reach of a line.

        Args:
            line_xy: Corners. [m] Shape (m, 2).

        Returns:
            Grid distance along the line of each point's foot, shape (k,); the points' own positions, shape (k, 2);
            and their levels, the standard deviation grown with the distance off the line. [m]
        """
        at, off = feet_on(line_xy, self._xyz[:, :2], within=self.reach_m)
        near = np.isfinite(at)
        sd = np.hypot(self._sd[near], _CROSS_SLOPE * off[near])
        return at[near], self._xyz[near, :2], Levels(self._xyz[near, 2], sd, self._source[near])


class TrackGround:
    """Heights that a receiver logged along a walk, smoothed, known within a reach of the walk.

    Args:
        xy: Fixes in the working grid. [m] Shape (n, 2).
        level_m: Height of each. [m] Shape (n,), NaN where missing.
        name: What to call it on a sheet.
        reach_m: Greatest distance off the walk at which its heights hold. [m] Common practice, no source.
        window_m: Length over which heights are smoothed. [m]
        sd_m: Standard deviation of a height. [m] None takes 3 m, or 0.05 m where the heights are those of RTK
            [common practice], and never less than the noise.
        accuracy: Accuracy class of the fixes. Heights are those of RTK only where the class is ``survey`` or ``rtk``,
            their noise is that of RTK, and they are not rounded to a tenth of a metre or more; a receiver that filters
            what it logs looks as smooth, so that noise alone decides nothing.

    Attributes:
        noise_m: Noise of the heights as they came, never below 0.3 m where they are not those of RTK: a receiver
            that filters its heights shows little noise, and wanders. [m] Common practice, no source.
        raw_m: Slope length of the walk with its heights as they came. [m]
        smooth_m: Slope length of the walk with its heights smoothed. [m]
    """

    cell_m: Metre | None = None

    def __init__(self, xy: Floats, level_m: Floats, name: str = "walked heights", *, reach_m: Metre = 10.0,
                 window_m: Metre = 105.0, sd_m: Metre | None = None, accuracy: Accuracy = "unknown") -> None:
        self.name, self.reach_m = name, reach_m
        self._xy, self._at = frozen(xy), chainages(xy)
        # no RTK log is rounded to a tenth of a metre
        fine = accuracy in _SURVEYED and quantum_of(level_m) < RTK_NOISE_M
        self._level, self.noise_m = smooth(self._at, level_m, window_m=window_m, believed=fine)
        rtk = fine and self.noise_m <= RTK_NOISE_M
        if not rtk:
            self.noise_m = max(self.noise_m, _WANDER_M)
        if sd_m is None:
            sd_m = 0.05 if rtk else 3.0
        self.sd_m = max(sd_m, self.noise_m)
        self._fixes = self._at[np.isfinite(level_m)]
        self._hold_m = window_m / 2.0
        at, raw = places_and_heights(self._at, level_m)
        known = np.isfinite(self._level)
        smoothed = np.interp(at, self._at[known], self._level[known]) if known.any() else raw
        self.raw_m = float(np.hypot(np.diff(at), np.diff(raw)).sum())
        self.smooth_m = float(np.hypot(np.diff(at), np.diff(smoothed)).sum())

    def levels(self, xy: Floats) -> Levels:
        """Smoothed height at each position within reach of the walk; unknown far from any fix that has a height.

        Args:
            xy: Positions in the working grid. [m] Shape (n, 2).
        """
        result = _unknown(len(xy))
        if not len(self._fixes) or len(self._xy) < 2:
            return result
        at, _ = feet_on(self._xy, xy, within=self.reach_m)
        return self._levels_at(at)

    def along_line(self, line_xy: Floats, at_m: Floats) -> Levels:
        """Smoothed heights along a line that was fitted to this walk, each from the pass on which it was walked.

        Line and walk are gone through in order, so that a hairpin or a way back takes its heights from its own pass
        and not from the one that happens to be nearer.

        Args:
            line_xy: Corners of the line, in the order of the walk. [m] Shape (m, 2).
            at_m: Distances along the line, rising. [m] Shape (n,).
        """
        if not len(self._fixes) or not self._at[-1] > 0:
            return _unknown(len(at_m))
        step_at, walked, off = matched_in_order(line_xy, self._xy)
        found = self._levels_at(np.where(off <= self.reach_m, walked, np.nan))
        known = np.isfinite(found.level_m)
        if not known.any():
            return _unknown(len(at_m))
        near = known[np.rint(at_m / step_at[1]).astype(np.int64).clip(0, len(step_at) - 1)]
        return Levels(np.where(near, np.interp(at_m, step_at[known], found.level_m[known]), np.nan),
                      np.where(near, self.sd_m, np.nan), np.where(near, TRACK, NONE).astype(np.int64))

    def _levels_at(self, at: Floats) -> Levels:
        level = np.interp(at, self._at, self._level)
        beside = np.searchsorted(self._fixes, at)
        gap = np.minimum(np.abs(at - self._fixes[np.maximum(beside - 1, 0)]),
                         np.abs(self._fixes[np.minimum(beside, len(self._fixes) - 1)] - at))
        known = np.isfinite(level) & (gap <= self._hold_m)
        return Levels(np.where(known, level, np.nan), np.where(known, self.sd_m, np.nan),
                      np.where(known, TRACK, NONE).astype(np.int64))


def _unknown(count: int) -> Levels:
    return Levels(np.full(count, np.nan), np.full(count, np.nan), np.full(count, NONE, dtype=np.int64))
