"""The ground along one fence line: level, slope distance and how well each is known.

Levels are taken once, while the grounds are at hand (``record_levels``), and kept in the job; the ground line is
computed from that record anywhere (``ground_line``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.errors import GridTrouble, OutOfRange
from planner.geometry.arrays import Floats, Integers, SameByValue, frozen
from planner.geometry.feet import feet_on
from planner.geometry.lines import chainages, leg_lengths, points_along
from planner.profile.level_sources import (
    Offered,
    best_first,
    bridged,
    merged,
    offered_at,
    offered_by,
    points_on_line,
    quality_of,
)
from planner.profile.stations import nearest_station, stations
from planner.progress import Progress, Unwatched
from planner.survey.ground import NONE, SURVEY, Ground, Levels, PointGround, RecordedLevels, TrackGround
from planner.survey.scale import EARTH_RADIUS_M, point_scale
from planner.units import Metre

SAME_GROUND_M = 0.5
"""A recorded level holds for a moved line where the line still passes this near to it. [m] Common practice."""
_EXACT_M = 1e-6


@dataclass(frozen=True, eq=False)
class GroundLine(SameByValue):
    """Profile of one line, in order of chainage.

    Chainage is ground plan distance: grid distance divided by the combined scale factor.

    Attributes:
        chainage_m: Ground plan distance of each profile point, strictly rising from 0. [m] Shape (n,).
        x: East in the working grid. [m] Shape (n,).
        y: North in the working grid. [m] Shape (n,).
        level_m: Ground level, every one finite (flat, and said so, where nothing is known). [m] Shape (n,).
        sd_m: Standard deviation of each level. [m] Shape (n,), NaN where unknown.
        source: Index into ``survey.ground.SOURCE_NAMES``. Shape (n,).
        slope_m: Slope distance from the start. [m] Shape (n,).
        vertices: Index of each of the line's corners among the profile points. Shape (m,).
        scale: Grid distance of each leg divided by its ground distance. Shape (m - 1,).
        noise_m: Greatest noise of the level sources along the line. [m]
    """

    chainage_m: Floats
    x: Floats
    y: Floats
    level_m: Floats
    sd_m: Floats
    source: Integers
    slope_m: Floats
    vertices: Integers
    scale: Floats
    noise_m: Metre

    def slope_at(self, chainage: Floats | float) -> Floats:
        """Slope distance from the start at some chainages. [m]

        Args:
            chainage: Ground plan distance. [m]
        """
        return np.asarray(np.interp(chainage, self.chainage_m, self.slope_m))

    def chainage_at_slope(self, slope: Floats | float) -> Floats:
        """Chainage at some slope distances from the start. [m]

        Args:
            slope: Slope distance. [m]
        """
        return np.asarray(np.interp(slope, self.slope_m, self.chainage_m))

    def level_at(self, chainage: Floats | float) -> Floats:
        """Ground level at some chainages. [m]

        Args:
            chainage: Ground plan distance. [m]
        """
        return np.asarray(np.interp(chainage, self.chainage_m, self.level_m))

    def place_at(self, chainage: Floats | float) -> tuple[Floats, Floats]:
        """East and north at some chainages. [m]

        Args:
            chainage: Ground plan distance. [m]
        """
        return (np.asarray(np.interp(chainage, self.chainage_m, self.x)),
                np.asarray(np.interp(chainage, self.chainage_m, self.y)))


def record_levels(xy: Floats, grounds: Sequence[Ground], *, step_m: Metre, closed: bool = False,
                  vertex_levels: Levels | None = None, extra_at_m: Floats | None = None,
                  own_walk: TrackGround | None = None, progress: Progress | None = None) -> RecordedLevels:
    """Takes the profile along one line: levels at every corner, every step, every surveyed foot and every extra place.

    Each station takes the best source that knows it: survey, terrain, walked heights. A lesser source is moved to meet
    the better at the places both know, so that a difference of height datum makes no cliff. Gaps are bridged: straight
    between known levels, the nearest beyond the last, standard deviation grown, source NONE. Where no source knows any
    level the profile is flat at 0 with standard deviation NaN.

    Args:
        xy: Corners in the working grid, none repeated in succession; a closed line repeats its first at the end. [m]
            Shape (m, 2).
        grounds: Sources of level, in any order.
        step_m: Distance between stations. [m] Never coarser than half the finest source's cell is used.
        closed: True when the line returns to its start.
        vertex_levels: Levels measured at the corners themselves. Shape (m,) each. Walked heights belong into a
            ``TrackGround`` instead, which smooths them.
        extra_at_m: Further places, as grid distance along the line. [m]
        own_walk: The one of the grounds that the line was walked or fitted from: its heights are taken in the order
            of the walk. Any other walk gives the heights of its nearest place.
        progress: Who waits.

    Raises:
        OutOfRange: Fewer than two corners, a repeated corner, a step not above zero, or levels that are not one to a
            corner.
        FileTrouble: A ground's file cannot be read.
        GridTrouble: A ground cannot be reached from the working grid.
        Cancelled: The user asked for the work to stop.
    """
    watcher: Progress = progress or Unwatched()
    if vertex_levels is not None and len(vertex_levels.level_m) != len(xy):
        raise OutOfRange(f"{len(vertex_levels.level_m)} levels for {len(xy)} corners", remedy="give one to a corner")
    cells = [g.cell_m for g in grounds if g.cell_m is not None]
    spots = [(g.name, *points_on_line(g, xy, [t for t in grounds if t.cell_m is not None]))
             for g in grounds if isinstance(g, PointGround)]
    extra = [at for _, at, _ in spots] + ([] if extra_at_m is None else [extra_at_m])
    at = stations(xy, step_m=min([step_m] + [c / 2 for c in cells]),
                  extra_at_m=np.concatenate(extra) if extra else None)
    offers = _single_levels(xy, at, spots, vertex_levels, closed=closed)
    place = points_along(xy, at)
    wide = [g for g in grounds if not isinstance(g, PointGround)]
    for k, ground in enumerate(wide):
        watcher.stop_if_cancelled()
        watcher.report(k / len(wide), f"levels from {ground.name}")
        offers.append(offered_by(ground, at, place, fitted_xy=xy if ground is own_walk else None))
    offers = best_first(offers)
    levels, used = merged(at, offers, closed=closed)
    levels = bridged(at, levels)
    tracks = [g for g in grounds if isinstance(g, TrackGround)]
    return RecordedLevels(
        xy=frozen(xy), at_m=frozen(at), level_m=frozen(levels.level_m), sd_m=frozen(levels.sd_m),
        source=frozen(levels.source, np.int64), noise_m=max((o.noise_m for o in used), default=0.0),
        names=tuple(dict.fromkeys(o.name for o in used)), quality=quality_of(at, offers, used, tracks))


def ground_line(line_xy: Floats, recorded: RecordedLevels | None, *, grid: str, step_m: Metre) -> GroundLine:
    """The ground along a line: chainage and slope distance on the ground, not on the grid.

    Ground distance is grid distance over point scale times elevation factor, leg by leg. A record taken along other
    corners is used where the line still passes within half a metre of it; elsewhere, and without a record, the line
    is bridged or flat, which the checks say.

    Args:
        line_xy: Corners in the working grid. [m] Shape (m, 2).
        recorded: Levels taken along the line; None when there are none.
        grid: Working grid, as an authority code or WKT; empty takes the grid as ground.
        step_m: Distance between stations where there is no record to take them from. [m]

    Raises:
        OutOfRange: Fewer than two corners, a repeated corner, or a step not above zero.
        GridTrouble: The grid is unknown, or the line has no place in it.

    Source:
        ICSM, GDA2020 Technical Manual, grid calculations: ground = grid / (point scale x elevation factor). Checked in
        tests/validation/test_slope_distance.py.
    """
    at, levels = _at_hand(line_xy, recorded, step_m)
    vertices = nearest_station(at, chainages(line_xy))
    scale = leg_scales(line_xy, at, levels, vertices, grid)
    leg = np.clip(np.searchsorted(vertices, np.arange(len(at)), side="right") - 1, 0, len(scale) - 1)
    starts = np.concatenate(([0.0], np.cumsum(leg_lengths(line_xy) / scale)))
    chainage = starts[leg] + (at - chainages(line_xy)[leg]) / scale[leg]
    slope = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(chainage), np.diff(levels.level_m)))))
    place = points_along(line_xy, at)
    return GroundLine(
        chainage_m=frozen(chainage), x=frozen(place[:, 0]), y=frozen(place[:, 1]), level_m=frozen(levels.level_m),
        sd_m=frozen(levels.sd_m), source=frozen(levels.source, np.int64), slope_m=frozen(slope),
        vertices=frozen(vertices, np.int64), scale=frozen(scale), noise_m=0.0 if recorded is None else recorded.noise_m)


def leg_scales(line_xy: Floats, at: Floats, levels: Levels, vertices: Integers, grid: str) -> Floats:
    """Grid distance of each leg divided by its ground distance. Shape (m - 1,).

    Args:
        line_xy: Corners in the working grid. [m] Shape (m, 2).
        at: Stations. [m] Shape (n,).
        levels: Levels at the stations, every one finite. Shape (n,).
        vertices: Index of each corner among the stations. Shape (m,).
        grid: Working grid, as an authority code or WKT; empty takes the grid as ground.

    Raises:
        GridTrouble: The grid is unknown, or a leg has no place in it.
    """
    if not grid:
        return np.ones(len(line_xy) - 1)
    heights = np.add.reduceat(levels.level_m, vertices[:-1]) / np.diff(np.append(vertices[:-1], len(at)))
    # two legs share a corner, and so its point scale; the heights are each leg's own
    corners = len(line_xy)
    point = point_scale(np.concatenate((line_xy, (line_xy[:-1] + line_xy[1:]) / 2.0)), grid)
    whole = np.stack((point[:corners - 1], point[corners:], point[1:corners]), axis=1)
    factor = whole * EARTH_RADIUS_M / (EARTH_RADIUS_M + heights[:, None])
    if not np.isfinite(factor).all():
        leg = int(np.flatnonzero(~np.isfinite(factor).all(axis=1))[0])
        raise GridTrouble(f"the leg from corner {leg + 1} has no place in the grid {grid}",
                          remedy="check the coordinate system of the line")
    return np.asarray(6.0 / (1.0 / factor @ np.array([1.0, 4.0, 1.0])))


def is_stale(line_xy: Floats, recorded: RecordedLevels) -> bool:
    """True when levels were recorded along other corners than the line has now.

    Args:
        line_xy: Corners of the line now. [m] Shape (m, 2).
        recorded: Levels taken along it.
    """
    return line_xy.shape != recorded.xy.shape or bool(np.abs(line_xy - recorded.xy).max() > _EXACT_M)


def _single_levels(xy: Floats, at: Floats, spots: Sequence[tuple[str, Floats, Levels]], vertex_levels: Levels | None,
                   *, closed: bool) -> list[Offered]:
    offers = []
    for name, where, levels in spots:
        if closed:  # the start is the end: a point at one speaks for both
            ends = (where <= 0.0) | (where >= at[-1])
            where = np.append(where, at[-1] - where[ends])
            levels = Levels(np.append(levels.level_m, levels.level_m[ends]), np.append(levels.sd_m, levels.sd_m[ends]),
                            np.append(levels.source, levels.source[ends]))
        offers += offered_at(name, at, where, levels)
    if vertex_levels is not None:
        own = offered_at("levels of the corners", at, chainages(xy), vertex_levels)
        offers = [o for o in own if o.kind == SURVEY] + offers + [o for o in own if o.kind != SURVEY]
    return offers


def _at_hand(line_xy: Floats, recorded: RecordedLevels | None, step_m: Metre) -> tuple[Floats, Levels]:
    if recorded is None or len(recorded.at_m) < 2:
        at = stations(line_xy, step_m=step_m)
        unknown = np.full(len(at), np.nan)
        return at, bridged(at, Levels(unknown, unknown, np.full(len(at), NONE, dtype=np.int64)))
    own = Levels(recorded.level_m, recorded.sd_m, recorded.source)
    corners = chainages(line_xy)
    if not is_stale(line_xy, recorded):
        off = np.abs(recorded.at_m[nearest_station(recorded.at_m, corners)] - corners)
        if off.max() <= _EXACT_M:
            return recorded.at_m, bridged(recorded.at_m, own)
    at = stations(line_xy, step_m=min(step_m, float(np.diff(recorded.at_m).max())))
    foot, _ = feet_on(recorded.xy, points_along(line_xy, at), within=SAME_GROUND_M)
    near = np.isfinite(foot)
    source = np.where(near, recorded.source[nearest_station(recorded.at_m, np.where(near, foot, 0.0))], NONE)
    taken = Levels(np.interp(foot, recorded.at_m, recorded.level_m), np.interp(foot, recorded.at_m, recorded.sd_m),
                   source.astype(np.int64))
    # a recorded level of no source at all is not known here either
    nothing = ~np.isfinite(taken.sd_m) & (taken.source == NONE)
    return at, bridged(at, Levels(np.where(nothing, np.nan, taken.level_m), taken.sd_m, taken.source))
