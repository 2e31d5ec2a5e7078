"""Sight pegs on a ridge and gully, worked out from the grades by hand."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pytest

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, frozen
from planner.profile.ground_line import GroundLine
from planner.setout.sight_pegs import sight_pegs

CHAINAGE = np.array([0, 140, 260, 410, 520, 690, 830, 960, 1120, 1250, 1400], dtype=float)
LEVEL = np.array([212, 231, 244, 226, 205, 229, 251, 240, 214, 222, 236], dtype=float)


def ground_of(x: Floats, level: Floats) -> GroundLine:
    zero = frozen(np.zeros(len(x)))
    return GroundLine(frozen(x), frozen(x), zero, frozen(level), zero, frozen(np.full(len(x), 3), np.int64), frozen(x),
                      frozen([0, len(x) - 1], np.int64), frozen([1.0]), 0.0)


def every_metre(chainage: Floats, level: Floats) -> GroundLine:
    x = np.unique(np.concatenate((np.arange(0.0, chainage[-1]), chainage)))
    return ground_of(x, np.interp(x, chainage, level))


def grazes(near: float, far: float) -> bool:
    """Whether the line of sight clears every corner of the ground, which is straight in between."""
    inside = (near < CHAINAGE) & (far > CHAINAGE)
    eye, target = np.interp([near, far], CHAINAGE, LEVEL) + np.array([1.6, 1.0])
    return bool((LEVEL[inside] <= np.interp(CHAINAGE[inside], [near, far], [eye, target]) + 1e-9).all())


def test_ridge_and_gully_from_end_to_end() -> None:
    # By hand: from the start, eye 213.6, the target 245.0 on the crest at 260 would pass 140 at 230.5, but the ground
    # is 231.0 there, so a peg goes in between. Crest 260 (eye 245.6) and crest 830 (target 252.0) see each other over
    # the gully, and from crest 830 the end is seen over 1120 to 1250. No two pegs will do: nothing short of 260 sees
    # 830 or beyond, for the crest at 260 stands in the way.
    plan = sight_pegs(every_metre(CHAINAGE, LEVEL), np.array([0.0, 1400.0]), eye_m=1.6, target_m=1.0)
    assert plan.sees == ((0.0, 1400.0, False),)
    assert plan.chainage_m.tolist() == [202.0, 260.0, 830.0]
    assert all(grazes(near, far) for near, far in pairwise([0.0, *plan.chainage_m, 1400.0]))
    assert not grazes(0.0, 260.0)


def test_the_two_crests_see_each_other_over_the_gully_and_the_last_sees_the_end() -> None:
    plan = sight_pegs(every_metre(CHAINAGE, LEVEL), np.array([1400.0, 260.0, 830.0]), eye_m=1.6, target_m=1.0)
    assert plan.sees == ((260.0, 830.0, True), (830.0, 1400.0, True))
    assert len(plan.chainage_m) == 0


def test_no_smaller_set_of_the_levelled_points_will_do() -> None:
    plan = sight_pegs(ground_of(CHAINAGE, LEVEL), np.array([0.0, 1400.0]), eye_m=1.6, target_m=1.0)
    smaller = [c for count in range(len(plan.chainage_m)) for c in combinations(CHAINAGE[1:-1], count)]
    assert not any(all(grazes(a, b) for a, b in pairwise([0.0, *c, 1400.0])) for c in smaller)


def test_stations_between_profile_points_stand_on_the_ground_between_them() -> None:
    chainage = np.array([0.0, 50, 100])
    plan = sight_pegs(ground_of(chainage, np.array([0.0, 10, 0])), np.array([20.5, 79.5]), eye_m=1.6, target_m=1.0)
    assert plan.sees == ((20.5, 79.5, False),)
    assert plan.chainage_m.tolist() == [50.0]


def test_repeated_stations_and_single_ones_need_nothing() -> None:
    ground = every_metre(CHAINAGE, LEVEL)
    for stations in ([], [5.0], [5.0, 5.0]):
        plan = sight_pegs(ground, np.array(stations), eye_m=1.6, target_m=1.0)
        assert (len(plan.chainage_m), plan.sees) == (0, ())


@pytest.mark.parametrize("station", [-1.0, 1400.1, np.nan])
def test_a_peg_off_the_line_is_said(station: float) -> None:
    with pytest.raises(OutOfRange, match=r"is not on a line that runs from 0\.00 to 1400\.00 m"):
        sight_pegs(every_metre(CHAINAGE, LEVEL), np.array([0.0, station]), eye_m=1.6, target_m=1.0)
