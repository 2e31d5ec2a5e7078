"""Traverses: closing, adjusting, arcs, area."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planner.errors import OutOfRange
from planner.survey.traverse import arc_departure, chords_of_arc, closes_on_start, traverse
from planner.survey.traverse_legs import Leg, arc_leg

SQUARE = [Leg(bearing, 100.0) for bearing in (0.0, 90.0, 180.0, 270.0)]


def test_a_half_circle_left_and_right() -> None:
    for right, east in ((True, 20.0), (False, -20.0)):
        result = traverse([Leg(0.0, 50.0), arc_leg(None, radius_m=10.0, right=right, length_m=10.0 * np.pi)],
                          start=(0.0, 0.0), close_on=None)
        assert result.stations[-1] == pytest.approx([east, 50.0], abs=1e-9)
        top = result.corners[np.argmax(result.corners[:, 1])]
        assert top == pytest.approx([east / 2, 60.0], abs=0.05)
        assert shapely.distance(shapely.LineString(result.corners), shapely.Point(east / 2, 50.0)) >= 10.0 - 0.05 - 1e-9


def test_an_arc_runs_on_from_an_arc() -> None:
    legs = [arc_leg(45.0, radius_m=10.0, right=True, length_m=5.0 * np.pi),
            arc_leg(None, radius_m=10.0, right=True, length_m=15.0 * np.pi)]
    result = traverse(legs, start=(0.0, 0.0))
    assert result.misclose_m == pytest.approx(0.0, abs=1e-9)
    assert result.area_m2 == pytest.approx(100.0 * np.pi, abs=1e-9)


@pytest.mark.parametrize("right", [True, False])
def test_area_counts_arcs_whichever_way_round(right: bool) -> None:
    """A stadium of two straights of 100 and two half circles of radius 20."""
    straight, half = Leg(0.0, 100.0), arc_leg(None, radius_m=20.0, right=right, length_m=20.0 * np.pi)
    result = traverse([straight, half, Leg(180.0, 100.0), half], start=(500.0, 800.0))
    assert result.misclose_m == pytest.approx(0.0, abs=1e-9)
    assert result.area_m2 == pytest.approx(100.0 * 40.0 + np.pi * 400.0, abs=1e-6)


def test_an_adjusted_arc_ends_where_its_neighbours_begin() -> None:
    half = arc_leg(None, radius_m=20.0, right=True, length_m=20.0 * np.pi)
    result = traverse([Leg(0.0, 100.3), half, Leg(180.0, 100.0), half], start=(0.0, 0.0), adjust=True)
    assert result.corners[-1] == pytest.approx([0.0, 0.0], abs=1e-12)
    assert result.misclose_m == pytest.approx(0.3, abs=1e-9)
    legs = np.hypot(*np.diff(result.corners, axis=0).T)
    assert legs[1:-1].max() < 101.0
    for station in result.stations:
        assert np.hypot(*(result.corners - station).T).min() < 1e-9


def test_adjusting_shares_by_length() -> None:
    legs = [Leg(0.0, 300.0), Leg(90.0, 100.0), Leg(180.0, 300.4), Leg(270.0, 100.0)]
    result = traverse(legs, start=(0.0, 0.0), adjust=True)
    assert result.latitudes_m - [300.0, 0.0, -300.4, 0.0] == pytest.approx(
        0.4 * np.array([300.0, 100.0, 300.4, 100.0]) / 800.4, abs=1e-12)


def test_closing_on_a_known_place() -> None:
    result = traverse(SQUARE[:2], start=(0.0, 0.0), close_on=(100.0, 99.9))
    assert (result.misclose_e_m, result.misclose_n_m) == pytest.approx((0.0, 0.1))
    assert result.area_m2 is None


def test_an_open_traverse_has_no_misclose() -> None:
    result = traverse(SQUARE[:2], start=(0.0, 0.0), close_on=None)
    assert (result.misclose_m, result.misclose_bearing_deg, result.accuracy, result.area_m2) == (None,) * 4


def test_what_is_meant_to_close() -> None:
    assert closes_on_start(traverse(SQUARE, start=(0.0, 0.0)))
    assert not closes_on_start(traverse(SQUARE[:3], start=(0.0, 0.0)))
    backwards = [*SQUARE[:1], Leg(270.0, 100.0), *SQUARE[2:]]  # a gap of half the perimeter, but one leg explains it
    assert closes_on_start(traverse(backwards, start=(0.0, 0.0)))


@pytest.mark.parametrize(("back_m", "adjust", "told"), [
    (1999.0, True, False), (1998.99, True, True), (1998.99, False, False)])
def test_sharing_out_a_misclose_worse_than_one_in_two_thousand_is_told(back_m: float, adjust: bool, told: bool) -> None:
    """2001 m out and 1999 m back miss by 2 m in 4000: just good enough."""
    there_and_back = [Leg(0.0, 2001.0), Leg(180.0, back_m)]
    assert bool(traverse(there_and_back, start=(0.0, 0.0), adjust=adjust).hidden) == told


@pytest.mark.parametrize(("within", "step", "chords"), [(0.05, None, 12), (6.14, None, 1), (6.13, None, 2),
                                                       (10.0, 4.0, 24), (10.0, 94.25 / 5, 5)])
def test_chords_of_an_arc(within: float, step: float | None, chords: int) -> None:
    leg = arc_leg(0.0, radius_m=180.0, right=True, length_m=94.25)
    assert chords_of_arc(leg, within_m=within, step_m=step) == chords
    assert arc_departure(180.0, leg.angle_rad, chords) <= within


@pytest.mark.parametrize(("legs", "options", "said"), [
    ([], {}, "has no leg"),
    ([arc_leg(None, radius_m=10.0, right=True, length_m=5.0)], {}, "leg 1: there is no bearing to run on from"),
    ([Leg(None, 10.0)], {}, "leg 1: there is no bearing"),
    (SQUARE, {"close_on": None, "adjust": True}, "an open traverse cannot be adjusted"),
    ([arc_leg(0.0, radius_m=10.0, right=True, length_m=5.0)], {"arc_within_m": 0.0}, "above zero"),
    ([arc_leg(0.0, radius_m=10.0, right=True, length_m=5.0)], {"arc_step_m": -1.0}, "above zero"),
])
def test_refusals(legs: list[Leg], options: dict[str, object], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        traverse(legs, start=(0.0, 0.0), **options)  # type: ignore[arg-type]
