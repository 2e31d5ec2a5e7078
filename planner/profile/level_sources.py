"""Sources of level along one line: the best first, the lesser ones moved to meet it, gaps bridged.

Two sources seldom agree on the height of a place. Taken side by side as they stand they make a cliff where one ends
and the other begins, so the lesser is moved by the difference at the places both know: in proportion between two such
places, by the whole difference beyond the outermost. Slopes come from the lesser source, height from the better.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.geometry.arrays import Booleans, Floats, SameByValue
from planner.geometry.lines import points_along
from planner.profile.stations import nearest_station
from planner.survey.ground import NONE, SURVEY, TERRAIN, TRACK, Ground, LevelQuality, Levels, PointGround, TrackGround
from planner.survey.track_heights import unround
from planner.units import FOOT_M, Metre

LEAST_QUANTUM_M = 0.05
"""Rounding below this is left as it is. [m] Common practice, no source."""
_BRIDGE_SLOPE = 0.02
"""Growth of the standard deviation with the distance from the nearest known level, inside a gap. Common practice."""
_END_SLOPE = 0.1
"""The same beyond the last known level, where the slope is not known either. Common practice, no source."""
FEET_APART_M = 20.0
"""Middle difference of two sources above which feet are thought of. [m] Common practice, no source."""
FEET_AGREE = 0.1
"""Share of that difference which may remain once feet are turned into metres. Common practice, no source."""
FEET_RELIEF_M = 4.0
"""Rise and fall above which feet show in it too. [m] Common practice, no source."""
_LEAST_SHARED = 20


@dataclass(frozen=True, eq=False)
class Offered(SameByValue):
    """Levels that one source offers at every station of a line.

    Attributes:
        name: Name of the source.
        levels: Levels, NaN where it knows none. Shape (n,) each.
        kind: Index into ``SOURCE_NAMES``.
        noise_m: Its noise. [m]
        cell_m: Its cell. [m] None for scattered points.
        quantum_m: Step to which it was rounded. [m]
    """

    name: str
    levels: Levels
    kind: int
    noise_m: Metre
    cell_m: Metre | None = None
    quantum_m: Metre = 0.0

    @property
    def known(self) -> Booleans:
        """Where it knows a level. Shape (n,)."""
        return np.isfinite(self.levels.level_m)


def offered_by(ground: Ground, at_m: Floats, place: Floats, *, fitted_xy: Floats | None = None) -> Offered:
    """What a ground offers along a line; rounded levels without the steps of rounding.

    Args:
        ground: The ground.
        at_m: Stations. [m] Shape (n,).
        place: Their positions. [m] Shape (n, 2).
        fitted_xy: Corners of the line where it was fitted to this very walk, which then gives its levels in the order
            in which it was gone. [m] Shape (m, 2).
    """
    if fitted_xy is not None and isinstance(ground, TrackGround):
        levels = ground.along_line(fitted_xy, at_m)
    else:
        levels = ground.levels(place)
    quantum = float(getattr(ground, "quantum_m", 0.0))
    if quantum >= LEAST_QUANTUM_M:
        levels = Levels(unround(at_m, levels.level_m, quantum), levels.sd_m, levels.source)
    known = levels.source[np.isfinite(levels.level_m)]
    kind = int(known.max()) if len(known) else NONE
    return Offered(ground.name, levels, kind, float(getattr(ground, "noise_m", 0.0)), ground.cell_m, quantum)


def offered_at(name: str, at_m: Floats, spots_m: Floats, levels: Levels) -> list[Offered]:
    """What single levels offer, one entry for each kind of source among them.

    Args:
        name: Name of the source.
        at_m: Stations. [m] Shape (n,).
        spots_m: Distance along the line of each level. [m] Shape (k,).
        levels: The levels. Shape (k,) each.
    """
    made = []
    for kind in (SURVEY, TERRAIN, TRACK):
        # of several at one station the best known stands: it is written last
        chosen = np.flatnonzero((levels.source == kind) & np.isfinite(levels.level_m))
        chosen = chosen[np.argsort(-levels.sd_m[chosen], kind="stable")]
        if not len(chosen):
            continue
        level, sd = np.full(len(at_m), np.nan), np.full(len(at_m), np.nan)
        station = nearest_station(at_m, spots_m[chosen])
        level[station], sd[station] = levels.level_m[chosen], levels.sd_m[chosen]
        source = np.where(np.isfinite(level), kind, NONE).astype(np.int64)
        made.append(Offered(name, Levels(level, sd, source), kind, float(np.median(levels.sd_m[chosen]))))
    return made


def points_on_line(points: PointGround, line_xy: Floats, terrains: Sequence[Ground]) -> tuple[Floats, Levels]:
    """Surveyed points brought onto the line, along the slope of the terrain where there is one.

    Args:
        points: The points.
        line_xy: Corners. [m] Shape (m, 2).
        terrains: Grounds that know the slope beside the line.

    Returns:
        Grid distance along the line of each foot, and the level there. [m] Shape (k,) each.
    """
    at, own, levels = points.along(line_xy)
    shift = np.full(len(at), np.nan)
    for ground in terrains if len(at) else ():
        both = ground.levels(np.concatenate((points_along(line_xy, at), own))).level_m
        shift = np.where(np.isfinite(shift), shift, both[:len(at)] - both[len(at):])
    return at, Levels(levels.level_m + np.where(np.isfinite(shift), shift, 0.0), levels.sd_m, levels.source)


def best_first(offers: Sequence[Offered]) -> list[Offered]:
    """Sources in the order in which they are believed: survey, terrain of the finest cell, walked heights.

    Args:
        offers: What each source offers.
    """
    return sorted((o for o in offers if o.kind != NONE), key=lambda o: (-o.kind, o.cell_m or 0.0))


def merged(at_m: Floats, offers: Sequence[Offered], *, closed: bool) -> tuple[Levels, list[Offered]]:
    """Levels of the best source at each station, lesser sources moved to meet the better.

    Args:
        at_m: Stations. [m] Shape (n,).
        offers: What each source offers, best first.
        closed: True when the last station is the first one again.

    Returns:
        Levels, NaN where no source knows one; and the sources that gave any.
    """
    level, sd = np.full(len(at_m), np.nan), np.full(len(at_m), np.nan)
    source = np.full(len(at_m), NONE, dtype=np.int64)
    used = []
    for offer in offers:
        theirs = offer.levels
        known = np.isfinite(level)
        fresh = offer.known & ~known
        if not fresh.any():
            continue
        shared = offer.known & known
        moved = theirs.level_m[fresh]
        if shared.any():
            moved = moved + np.interp(at_m[fresh], at_m[shared], level[shared] - theirs.level_m[shared],
                                      period=float(at_m[-1]) if closed else None)
        level[fresh], sd[fresh], source[fresh] = moved, theirs.sd_m[fresh], theirs.source[fresh]
        used.append(offer)
    return Levels(level, sd, source), used


def bridged(at_m: Floats, levels: Levels) -> Levels:
    """Levels with every gap filled: straight between known levels, the nearest beyond the last, 0 where none is known.

    A filled station has source NONE; its standard deviation grows with the distance from what is known, and is NaN
    where nothing is known at all.

    Args:
        at_m: Stations. [m] Shape (n,).
        levels: Levels, NaN where unknown. Shape (n,) each.
    """
    known = np.isfinite(levels.level_m)
    if known.all():
        return levels
    if not known.any():
        count = len(at_m)
        return Levels(np.zeros(count), np.full(count, np.nan), np.full(count, NONE, dtype=np.int64))
    spots, gap = at_m[known], ~known
    after = np.searchsorted(spots, at_m[gap])
    behind = at_m[gap] - spots[np.maximum(after - 1, 0)]
    ahead = spots[np.minimum(after, len(spots) - 1)] - at_m[gap]
    inside = (after > 0) & (after < len(spots))
    grown = np.where(inside, _BRIDGE_SLOPE * np.minimum(behind, ahead), _END_SLOPE * np.where(after, behind, ahead))
    level, sd, source = levels.level_m.copy(), levels.sd_m.copy(), levels.source.copy()
    level[gap] = np.interp(at_m[gap], spots, levels.level_m[known])
    sd[gap] = np.hypot(np.interp(at_m[gap], spots, levels.sd_m[known]), grown)
    source[gap] = NONE
    return Levels(level, sd, source)


def quality_of(at_m: Floats, offers: Sequence[Offered], used: Sequence[Offered],
               tracks: Sequence[TrackGround]) -> LevelQuality:
    """What there is to notice about the sources of one profile.

    Args:
        at_m: Stations. [m] Shape (n,).
        offers: What each source offers, best first.
        used: Those that gave levels.
        tracks: Walks, whether they gave levels or not.
    """
    cells = [o.cell_m for o in used if o.cell_m is not None]
    steps = [o.quantum_m for o in used if o.quantum_m >= LEAST_QUANTUM_M]
    near = [t for t in tracks if any(o.name == t.name for o in offers)]
    worst = max(near, key=lambda t: t.raw_m - t.smooth_m, default=None)
    survey, terrain, walked = (_first_of(kind, offers, len(at_m)) for kind in (SURVEY, TERRAIN, TRACK))
    off, spread, _, _ = _against(at_m, walked, terrain, least=_LEAST_SHARED)
    s_off, s_spread, s_worst, s_at = _against(at_m, survey, terrain, least=1)
    in_feet, in_feet_m = next((feet for name, own in (("surveyed levels", survey), ("walked heights", walked))
                               for feet in (_as_feet(name, own, terrain), _as_feet("terrain", terrain, own))
                               if feet), (None, None))
    return LevelQuality(
        cell_m=max(cells, default=None), quantum_m=max(steps, default=None),
        walked_noise_m=worst.noise_m if worst else None, walked_raw_m=worst.raw_m if worst else None,
        walked_smooth_m=worst.smooth_m if worst else None, walked_off_m=off, walked_spread_m=spread,
        survey_off_m=s_off, survey_spread_m=s_spread, survey_worst_m=s_worst, survey_worst_at_m=s_at,
        in_feet=in_feet, in_feet_m=in_feet_m)


def _first_of(kind: int, offers: Sequence[Offered], count: int) -> Floats:
    level = np.full(count, np.nan)
    for offer in offers:
        if offer.kind == kind:
            level = np.where(np.isfinite(level), level, offer.levels.level_m)
    return level


def _against(at_m: Floats, one: Floats, other: Floats, *, least: int,
             ) -> tuple[Metre | None, Metre | None, Metre | None, Metre | None]:
    shared = np.flatnonzero(np.isfinite(one) & np.isfinite(other))
    if len(shared) < least:
        return None, None, None, None
    off = one[shared] - other[shared]
    middle = float(np.median(off))
    spread = 1.4826 * float(np.median(np.abs(off - middle)))
    far = int(np.argmax(np.abs(off - middle)))
    return middle, spread, float(off[far] - middle), float(at_m[shared[far]])


def _as_feet(name: str, one: Floats, other: Floats) -> tuple[str, Metre] | None:
    """The first of two sources and its middle level, when it would agree with the other if it counted in feet."""
    shared = np.isfinite(one) & np.isfinite(other)
    if not shared.any():
        return None
    mine, theirs = one[shared], other[shared]
    apart, apart_as_feet = (float(np.median(np.abs(levels - theirs))) for levels in (mine, mine * FOOT_M))
    if apart <= FEET_APART_M or apart_as_feet >= FEET_AGREE * apart:
        return None
    relief = float(np.ptp(theirs))
    if relief > FEET_RELIEF_M and np.ptp(mine) < 0.5 * relief / FOOT_M:
        return None  # it rises and falls as the other does: the two only count from different levels
    return name, float(np.median(mine))
