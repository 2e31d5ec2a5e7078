"""Fences beside lines and areas: distances, sides and the land between, by hand and against plain geometry."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from planner.alignment.beside import beside

BOUNDARY = shapely.LineString([(-100, 0), (600, 0)])
SQUARE = shapely.box(0, 0, 100, 100)


def fence(*corners: tuple[float, float]) -> np.ndarray:
    return np.array(corners, dtype=float)


def test_a_parallel_fence():
    (found,) = beside(fence((0, 10), (500, 10)), BOUNDARY, within_m=20)
    assert (found.from_m, found.to_m, found.side) == (0.0, 500.0, "left")
    assert (found.least_m, found.mean_m, found.greatest_m) == (10.0, 10.0, 10.0)
    assert (found.left_m2, found.right_m2) == (5000.0, 0.0)


def test_sides_are_seen_the_way_the_other_is_drawn():
    (found,) = beside(fence((0, 10), (500, 10)), BOUNDARY.reverse(), within_m=20)
    assert found.side == "right"
    assert (found.left_m2, found.right_m2) == (0.0, 5000.0)


def test_a_wedge_has_the_area_of_a_triangle():
    (found,) = beside(fence((0, 0), (400, 10)), BOUNDARY, within_m=20)
    assert found.left_m2 == pytest.approx(400 * 10 / 2)
    assert found.mean_m == pytest.approx(5.0, rel=1e-3)
    assert found.least_at_m == 0.0


def test_give_and_take():
    """Half the fence left, half right of the boundary: the land on each side by itself, in one stretch or two."""
    zigzag = fence((0, 5), (250, 5), (250, -5), (500, -5))
    (whole,) = beside(zigzag, BOUNDARY, within_m=20)
    assert (whole.left_m2, whole.right_m2) == pytest.approx((1250.0, 1250.0))
    left, right = beside(zigzag, BOUNDARY, within_m=20, parts_by_side=True)
    assert (left.side, right.side) == ("left", "right")
    assert left.left_m2 == pytest.approx(1250.0, rel=0.01)
    assert right.left_m2 == 0.0


@pytest.mark.parametrize(("off", "count"), [(20.0, 1), (20.01, 0)])
def test_the_limit_itself_is_beside(off: float, count: int):
    assert len(beside(fence((0, off), (500, off)), BOUNDARY, within_m=20)) == count


def test_a_fence_that_runs_at_it_is_not_beside_it():
    assert beside(fence((0, -100), (0, 100)), BOUNDARY, within_m=60) == ()


@pytest.mark.parametrize(("length", "count"), [(20.0, 1), (19.9, 0)])
def test_a_stretch_shorter_than_the_least_is_left_out(length: float, count: int):
    assert len(beside(fence((0, 5), (length, 5)), BOUNDARY, within_m=20, least_length_m=20)) == count


def test_only_the_part_that_is_near():
    (found,) = beside(fence((0, 200), (0, 10), (300, 10), (300, 200)), BOUNDARY, within_m=20)
    assert found.from_m == pytest.approx(180, abs=2)
    assert found.to_m == pytest.approx(190 + 300 + 10, abs=2)


def test_a_closed_fence_round_water():
    pond = shapely.Point(50, 50).buffer(20)
    (found,) = beside(fence((0, 0), (100, 0), (100, 100), (0, 100), (0, 0)), pond, within_m=60, closed=True)
    assert found.side == "around"
    assert found.least_m == pytest.approx(30.0)
    assert found.right_m2 == pytest.approx(10_000 - pond.area)
    assert found.left_m2 == 0.0


@pytest.mark.parametrize(("grow", "left", "right"), [(-5.0, 100**2 - 90**2, 0.0), (5.0, 0.0, 110**2 - 100**2)])
def test_a_closed_fence_inside_and_outside_a_parcel(grow: float, left: float, right: float):
    ring = shapely.box(-grow, -grow, 100 + grow, 100 + grow)
    (found,) = beside(np.array(ring.exterior.coords), SQUARE, within_m=20, closed=True)
    assert (found.left_m2, found.right_m2) == pytest.approx((left, right))
    assert found.least_m == pytest.approx(5.0)


def test_one_side_of_a_parcel_from_within():
    (found,) = beside(fence((10, 4), (90, 4)), SQUARE, within_m=5)
    assert found.side == "inside"
    assert found.left_m2 == pytest.approx(80 * 4)


def test_far_away_and_empty():
    assert beside(fence((0, 500), (500, 500)), BOUNDARY, within_m=20) == ()
    assert beside(fence((0, 500), (500, 500)), shapely.LineString(), within_m=20) == ()


@given(st.floats(1.0, 40.0), st.floats(50.0, 900.0), st.floats(-180.0, 180.0))
def test_length_and_area_do_not_depend_on_where_north_is(off: float, length: float, turned: float):
    angle = np.radians(turned)
    spin = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    line = shapely.LineString(fence((-100, 0), (1100, 0)) @ spin)
    (found,) = beside(fence((0, off), (length, off)) @ spin, line, within_m=50)
    assert found.length_m == pytest.approx(length)
    assert found.mean_m == pytest.approx(off)
    assert found.left_m2 == pytest.approx(off * length, rel=1e-6)
