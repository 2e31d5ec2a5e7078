"""Quadrant and whole-circle bearings against the latitudes and departures of printed traverses.

Source: J. Mahun, open-access surveying text (Open Access Surveying Library), traverse computations: two loop traverses;
joins from the tests of GeodePy (Geoscience Australia, Apache-2.0). Printed to 1 mm, or 1e-4 of a degree.
"""

from __future__ import annotations

import numpy as np
import pytest

from planner.geometry.bearings import bearing_of, parse_bearing, step_along

LOOP = [
    ("S68°05'35\"W", 472.68, -438.548, -176.357), ("N19°46'00\"W", 216.13, -73.093, 203.395),
    ("N45°55'20\"E", 276.52, 198.651, 192.357), ("S54°59'15\"E", 382.24, 313.065, -219.312),
]


@pytest.mark.parametrize(("bearing", "length", "east", "north"), LOOP)
def test_quadrant_bearings_give_the_printed_departures_and_latitudes(
        bearing: str, length: float, east: float, north: float) -> None:
    assert step_along(parse_bearing(bearing), length) == pytest.approx((east, north), abs=0.0006)


def test_the_loop_misses_by_the_printed_amount() -> None:
    steps = np.array([step_along(parse_bearing(bearing), length) for bearing, length, _, _ in LOOP])
    assert steps.sum(axis=0) == pytest.approx((0.075, 0.083), abs=0.001)


@pytest.mark.parametrize(("start", "end", "length", "bearing"), [
    ((500.0, 500.0), (460.529, 493.218), 40.049, 260.2505),
    ((562.677, 548.598), (580.905, 569.481), 27.719, 41.1165),
])
def test_joins(start: tuple[float, float], end: tuple[float, float], length: float, bearing: float) -> None:
    step = np.subtract(end, start)
    assert np.hypot(*step) == pytest.approx(length, abs=0.0006)
    assert bearing_of(*step) == pytest.approx(bearing, abs=0.0001)
