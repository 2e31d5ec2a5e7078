from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.geometry.bearings import (
    bearing_of,
    format_angle,
    format_bearing,
    from_packed,
    parse_angle,
    parse_bearing,
    step_along,
    to_packed,
    whole_circle,
)

angles = st.floats(-360.0, 360.0)
bearings = st.floats(0.0, 360.0, exclude_max=True)


@given(angles, st.integers(0, 4))
def test_an_angle_written_down_is_read_back(degrees: float, decimals: int) -> None:
    assert parse_angle(format_angle(degrees, decimals=decimals)) == pytest.approx(
        degrees, abs=0.5 / 3600 / 10**decimals + 1e-12)


@given(bearings, st.integers(0, 4))
def test_a_bearing_written_down_is_read_back_on_the_circle(degrees: float, decimals: int) -> None:
    found = parse_bearing(format_bearing(degrees, decimals=decimals))
    assert 0.0 <= found < 360.0
    off = abs(found - degrees)
    assert min(off, 360.0 - off) <= 0.5 / 3600 / 10**decimals + 1e-9


@given(bearings, st.floats(0.01, 1e5))
def test_a_step_along_a_bearing_has_that_bearing_and_length(degrees: float, distance: float) -> None:
    east, north = step_along(degrees, distance)
    assert np.hypot(east, north) == pytest.approx(distance, rel=1e-12)
    off = abs(bearing_of(east, north) - degrees)
    assert min(off, 360.0 - off) < 1e-9


@given(angles)
def test_packed_angles_come_back(degrees: float) -> None:
    assert from_packed(to_packed(np.array([degrees])))[0] == pytest.approx(degrees, abs=2e-9)


@given(st.floats(-1e6, 1e6))
def test_the_whole_circle_is_half_open(degrees: float) -> None:
    assert 0.0 <= whole_circle(degrees) < 360.0
