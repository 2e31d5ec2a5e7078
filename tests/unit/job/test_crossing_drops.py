"""Crossings to the bed: depth as typed or by the profile, and a hand count of what hangs there."""


import pytest
from unit.surroundings.ground_jobs import fence, job_of, levels, planned

from planner.alignment.line import Crossing

BANKS = ((0, 50), (290, 50), (300, 47.4), (310, 47.4), (320, 50), (640, 50))


def crossed(depth: float | None, *, known: bool = True):
    line = fence((0, 0), (640, 0), crossings=(Crossing("FG", 305.0, 0.0, 36.0, depth),))
    plan = planned(job_of([line], [], profiles={"A": levels(line, *BANKS)} if known else {}))
    (work,) = (work for work in plan.lines[0].works if work.section.is_crossing)
    return plan, work


def test_the_depth_that_was_typed_goes_before_the_profile_and_the_fence_stands_on_top():
    height = crossed(None)[1].height_m
    assert crossed(None)[1].drop_m == pytest.approx(height + 2.6)
    assert crossed(1.0)[1].drop_m == pytest.approx(height + 1.0)
    assert crossed(1.0, known=False)[1].drop_m == pytest.approx(height + 1.0)
    assert crossed(None, known=False)[1].drop_m is None


def test_what_hangs_in_the_span_is_what_a_hand_count_gives():
    plan, work = crossed(2.6)
    assert work.height_m + 2.6 == pytest.approx(3.75)
    rows = {row.item: row.net for row in plan.materials}
    # 36 m of span, cable 3.75 m over the bed: 36 places, each three droppers of 1.5 m; five rows of 0.9 m curtain
    assert rows["floodgate-dropper"] == 36 * 3
    assert rows["shackle"] == 36 * 3 + 2
    assert rows["floodgate-netting"] == pytest.approx(5 * (36.0 + 0.6))
    assert rows["steel-cable-6mm"] == pytest.approx(36.0 * (1 + 8 / 3 * 0.05**2) + 3.0)
    assert rows["cable-grip"] == 6
    assert len(work.assemblies) == 2


@pytest.mark.parametrize(("depth", "each"), [(0.35, 1), (0.36, 2), (1.85, 2), (1.86, 3)])
def test_one_more_dropper_hangs_where_the_last_just_does_not_reach(depth: float, each: int):
    plan, work = crossed(depth)
    assert work.height_m == 1.15
    assert {row.item: row.net for row in plan.materials}["floodgate-dropper"] == 36 * each
