"""Clamp station and bites."""

import pytest
from unit.loads.fence_of import ITEMS, fence_of, strand_of

from planner.errors import BadFenceType, OutOfRange
from planner.loads.take_up import Pull, pull_plan, take_up_per_m
from planner.settings import Settings


def test_one_bite_ends_clear_of_the_post_by_the_gap() -> None:
    assert pull_plan([0.4, 0.638], Settings()) == Pull(0.638, pytest.approx(1.238), 1)  # type: ignore[arg-type]


@pytest.mark.parametrize(("take_up_m", "bites"), [(1.499, 1), (1.5, 1), (1.501, 2), (3.0, 2), (3.001, 3)])
def test_bites_are_as_few_as_the_travel_allows(take_up_m: float, bites: int) -> None:
    pull = pull_plan([take_up_m], Settings())
    assert pull.bites == bites
    # every bite is within the travel, starts at the station, and ends at the gap
    assert take_up_m / bites <= 1.5
    assert pull.clamp_station_m - take_up_m / bites == pytest.approx(0.6)


def test_rounding_takes_no_extra_bite() -> None:
    assert pull_plan([0.1 * 3], Settings(usable_travel_m=0.3)).bites == 1


def test_settings_move_station_and_bites() -> None:
    assert pull_plan([2.0], Settings(usable_travel_m=2.0, tie_off_gap_m=1.0)) == Pull(2.0, 3.0, 1)


def test_a_section_without_wire_is_not_pulled() -> None:
    assert pull_plan([], Settings()) == Pull(0.0, 0.0, 0)


def test_a_wire_that_takes_up_nothing_is_still_pulled_once() -> None:
    assert pull_plan([0.0], Settings()) == Pull(0.0, 0.6, 1)


def test_take_up_below_zero_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"-0\.1 m is below zero"):
        pull_plan([0.5, -0.1], Settings())


def test_strand_of_an_unknown_item_is_named() -> None:
    fence = fence_of(strand_of(0.5, 1000.0, item="no-such", name="belly"))
    with pytest.raises(BadFenceType, match=r"test-fence.*belly.*no-such"):
        take_up_per_m(fence, ITEMS, Settings())
