"""Sight pegs: the fewest extra pegs so that each peg on a line is seen from the last over the ground."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, SameByValue, frozen
from planner.geometry.visibility import fewest_stops
from planner.profile.ground_line import GroundLine
from planner.units import Metre

SAME_PLACE_M = 0.001


@dataclass(frozen=True, eq=False)
class SightPlan(SameByValue):
    """Which pegs see each other, and the extra ones that close the gaps.

    Attributes:
        chainage_m: Chainage of each extra peg, all at profile points, rising. [m] Shape (k,).
        sees: For each two successive stations given: chainage of the first, chainage of the second, and whether the
            second is seen from the first without extra pegs.
    """

    chainage_m: Floats
    sees: tuple[tuple[float, float, bool], ...]


def sight_pegs(ground: GroundLine, stations_m: Floats, *, eye_m: Metre, target_m: Metre) -> SightPlan:
    """The fewest extra pegs, at profile points, so that each peg is seen from the last over the ground.

    The person stands at the earlier peg and looks along the line. Trees, crops and haze are left out. A line of
    sight runs straight, so every corner of the line must be among the stations. Among equally few pegs, those on
    higher ground are taken.

    Args:
        ground: Profile of the line.
        stations_m: Chainages of the pegs that stand anyway, in any order, repeats allowed. [m] Shape (m,).
        eye_m: Height of the eye above the ground. [m] 0 or more.
        target_m: Height of the target on a peg. [m] 0 or more.

    Returns:
        The extra pegs, and which station sees the next without them.

    Raises:
        OutOfRange: A station lies off the line, or a height is below zero.

    Source:
        "Peg on every crest, so that each peg sees the next": common practice, no source. The fewest is exact,
        checked in tests/unit/setout/test_sight_pegs.py.
    """
    stations = np.unique(np.asarray(stations_m, dtype=np.float64))
    low, high = float(ground.chainage_m[0]), float(ground.chainage_m[-1])
    off = stations[~((stations >= low - SAME_PLACE_M) & (stations <= high + SAME_PLACE_M))]
    if len(off):
        raise OutOfRange(f"a peg at chainage {off[0]:.2f} m is not on a line that runs from {low:.2f} to {high:.2f} m",
                         remedy="give chainages on the line")
    if len(stations):
        stations = stations[np.concatenate(([True], np.diff(stations) > SAME_PLACE_M))]
    levels = ground.level_at(stations)
    first = np.searchsorted(ground.chainage_m, stations + SAME_PLACE_M, side="right")
    after = np.searchsorted(ground.chainage_m, stations - SAME_PLACE_M, side="left")
    extra: list[Floats] = []
    sees: list[tuple[float, float, bool]] = []
    for here, there in zip(range(len(stations) - 1), range(1, len(stations)), strict=True):
        between = slice(int(first[here]), int(after[there]))
        x = np.concatenate(([stations[here]], ground.chainage_m[between], [stations[there]]))
        y = np.concatenate(([levels[here]], ground.level_m[between], [levels[there]]))
        stops = fewest_stops(x, y, eye=eye_m, target=target_m)
        extra.append(x[stops])
        sees.append((float(stations[here]), float(stations[there]), not len(stops)))
    return SightPlan(frozen(np.concatenate([np.empty(0), *extra])), tuple(sees))
