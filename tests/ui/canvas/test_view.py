from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.ui.canvas.view import COARSEST, FINEST, MapView

VIEW = MapView(500_000.0, 6_000_000.0, 0.5, 800, 600)


def test_middle_of_the_window_is_the_centre() -> None:
    assert VIEW.to_screen(500_000.0, 6_000_000.0) == (400.0, 300.0)


def test_north_is_up_and_east_is_right() -> None:
    assert VIEW.to_screen(500_010.0, 6_000_020.0) == (420.0, 260.0)


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_there_and_back(x: float, y: float) -> None:
    back = VIEW.to_map(*VIEW.to_screen(500_000.0 + x, 6_000_000.0 + y))
    assert back == pytest.approx((500_000.0 + x, 6_000_000.0 + y), abs=1e-6)


def test_arrays_go_as_single_places_do() -> None:
    xy = np.array([[500_001.0, 6_000_002.0], [499_900.0, 5_999_000.0]])
    singly = [VIEW.to_screen(x, y) for x, y in xy]
    np.testing.assert_allclose(VIEW.screen_xy(xy), singly)
    np.testing.assert_allclose(np.column_stack(VIEW.to_screen(xy[:, 0], xy[:, 1])), singly)


@given(st.floats(0.1, 10.0), st.floats(0, 800), st.floats(0, 600))
def test_ground_under_the_pointer_stays(factor: float, sx: float, sy: float) -> None:
    before = VIEW.to_map(sx, sy)
    after = VIEW.zoom_at(factor, sx, sy)
    assert after.units_per_px == pytest.approx(0.5 / factor)
    assert after.to_map(sx, sy) == pytest.approx(before, abs=1e-6)


def test_scale_keeps_its_limits() -> None:
    assert VIEW.zoom_at(1e12, 0, 0).units_per_px == FINEST
    assert VIEW.zoom_at(1e-12, 0, 0).units_per_px == COARSEST


def test_pushing_the_map_right_looks_farther_west() -> None:
    moved = VIEW.panned(10, 4)
    assert (moved.x, moved.y) == (500_000.0 - 5.0, 6_000_000.0 + 2.0)


def test_fitted_view_holds_all_with_its_margin() -> None:
    fitted = VIEW.fitted((0.0, 0.0, 1000.0, 100.0), margin_px=40.0)
    left, top = fitted.to_screen(0.0, 100.0)
    right, foot = fitted.to_screen(1000.0, 0.0)
    assert (left, right) == pytest.approx((40.0, 760.0))
    assert 40.0 <= top < foot <= 560.0


def test_one_place_alone_is_shown_at_half_a_metre_a_pixel() -> None:
    assert VIEW.fitted((5.0, 5.0, 5.0, 5.0)).units_per_px == 0.5


def test_bounds_are_the_ground_in_sight() -> None:
    assert VIEW.bounds == (499_800.0, 5_999_850.0, 500_200.0, 6_000_150.0)
