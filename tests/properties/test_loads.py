"""What must hold of tensions, pulls and loads whatever the numbers."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from unit.loads.fence_of import ITEMS, fence_of, mesh_of, strand_of

from planner.loads.take_up import crimp_released, pull_plan
from planner.loads.turns_and_uplift import hold_down, side_force, uplift
from planner.loads.wire_tension import temperature_table
from planner.settings import Settings

strains = st.floats(0.0, 3000.0)


@given(first=strains, second=strains, yielding=st.floats(0.0, 50.0), length_m=st.floats(1.0, 2000.0))
def test_tensions_fall_as_it_warms_and_never_push(
    first: float, second: float, yielding: float, length_m: float) -> None:
    fence = fence_of(strand_of(0.5, first), strand_of(1.0, second, item="soft-wire"), mesh=mesh_of(strain_n=400.0))
    rows = temperature_table(fence, ITEMS, length_m=length_m, settings=Settings(end_yield_mm_per_kn=yielding))
    rigid = temperature_table(fence, ITEMS, length_m=length_m, settings=Settings())
    for cold, warm in itertools.pairwise(rows):
        assert warm.total_n <= cold.total_n + 1e-6
    for row, hard in zip(rows, rigid, strict=True):
        assert all(tension >= 0 for _, tension in row.strands)
        assert row.mesh_wire_n is not None
        assert row.mesh_wire_n >= 0
        assert abs(row.total_n - fence.pull_n) <= abs(hard.total_n - fence.pull_n) + 1e-6


@given(take_ups=st.lists(st.floats(0.0, 20.0), min_size=1, max_size=6), travel=st.floats(0.1, 20.0))
def test_no_bite_is_beyond_the_travel_and_none_is_wasted(take_ups: list[float], travel: float) -> None:
    pull = pull_plan(take_ups, Settings(usable_travel_m=travel))
    assert pull.take_up_m == max(take_ups)
    assert pull.take_up_m / pull.bites <= travel * (1 + 1e-8)
    assert pull.bites == 1 or pull.take_up_m > (pull.bites - 1) * travel
    assert 0.6 <= pull.clamp_station_m <= travel + 0.6 + 1e-6


@given(lower=st.floats(0, 1e5), more=st.floats(0, 1e5), capacity=st.floats(1, 1e4))
def test_a_greater_lift_never_asks_for_less(lower: float, more: float, capacity: float) -> None:
    order = ["none", "longer post", "footed post", "second post at 45 deg", "buried log or stone", "separate section",
             "bridge the dip and infill"]
    first, second = (order.index(hold_down(n, post_capacity_n=capacity)) for n in (lower, lower + more))
    assert first <= second


@given(pull=st.floats(0, 1e5), before=st.floats(-60, 60), after=st.floats(-60, 60))
def test_uplift_is_no_more_than_the_turn_pulls_and_reverses_with_the_line(
    pull: float, before: float, after: float) -> None:
    lift = uplift(pull, grade_before_deg=before, grade_after_deg=after)
    assert abs(lift) <= side_force(pull, after - before) + 1e-6
    # walked from the other end the grades change places and signs
    assert uplift(pull, grade_before_deg=-after, grade_after_deg=-before) == pytest.approx(lift, abs=1e-6)


@given(amplitude=st.floats(0, 0.01), wave=st.floats(0.01, 0.1), left=st.floats(0, 1), less=st.floats(0, 1))
def test_straining_harder_never_releases_less(amplitude: float, wave: float, left: float, less: float) -> None:
    assert crimp_released(amplitude, wave, left_share=left * less) >= crimp_released(
        amplitude, wave, left_share=left) - 1e-12
