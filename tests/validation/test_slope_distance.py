"""Slope distance, and ground distance against grid distance.

Sources: slope factor sqrt(1 + s^2) (Pythagoras). Sine ground: arc of a sine by the complete elliptic integral of the
second kind (Abramowitz & Stegun 17.3.3), evaluated by scipy. Zenith example: GeodePy tests, Geoscience Australia,
Apache-2.0: zenith 92.24305556 deg, slope 2116.254 m gives 2114.6325 m and -82.8274 m. Grid to ground: ICSM, GDA2020
Technical Manual: ground = grid / (k * R / (R + h)).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ellipe
from unit.profile.grounds import Made

from planner.profile.ground_line import ground_line, record_levels
from planner.survey.datum import point_scale

GRID = "EPSG:7855"


def _slope_length(surface, length: float, step: float) -> float:
    line = np.array([[0.0, 0.0], [length, 0.0]])
    record = record_levels(line, [Made(surface, cell_m=None)], step_m=step)
    return float(ground_line(line, record, grid="", step_m=step).slope_m[-1])


@pytest.mark.parametrize(("percent", "factor"), [(5, 1.001249), (10, 1.004988), (15, 1.011187), (20, 1.019804),
                                                 (25, 1.030776), (30, 1.044031), (40, 1.077033), (50, 1.118034)])
def test_slope_factor(percent: float, factor: float) -> None:
    assert _slope_length(lambda x, y: x * percent / 100.0, 137.0, 1.0) / 137.0 == pytest.approx(factor, abs=1e-6)


def test_zenith_example() -> None:
    across, down = 2114.6325, -82.8274
    assert _slope_length(lambda x, y: x * down / across, across, 1.0) == pytest.approx(2116.254, abs=1e-4)


def test_sine_ground_true_length() -> None:
    k = 10.0 * 2 * np.pi / 200.0
    true = 1000.0 * 2 / np.pi * np.sqrt(1 + k**2) * ellipe(k**2 / (1 + k**2))
    assert true == pytest.approx(1024.2352, abs=5e-4)


@pytest.mark.parametrize(("step", "length"), [(1.0, 1024.233), (5.0, 1024.186), (10.0, 1024.040), (20.0, 1023.462),
                                              (50.0, 1019.804)])
def test_sine_ground_sampled(step: float, length: float) -> None:
    assert _slope_length(lambda x, y: 10.0 * np.sin(2 * np.pi * x / 200.0), 1000.0, step) == pytest.approx(
        length, abs=1e-3)


@pytest.mark.parametrize(("k", "level", "longer"), [(0.9996, 500.0, 4.79), (1.0009, 500.0, -8.21)])
def test_ten_kilometres_of_grid_on_the_ground(k: float, level: float, longer: float) -> None:
    # along the grid's north the scale hardly changes: a north-south line where the grid's own scale is k
    north = 5_800_000.0

    def off(east: float) -> float:
        return float(point_scale(np.array([[east, north + 5000.0]]), GRID)[0]) - k

    east = 500_000.0 if k == 0.9996 else brentq(off, 600_000.0, 900_000.0)
    line = np.array([[east, north], [east, north + 10_000.0]])
    flat = Made(lambda x, y: np.full(len(x), level), cell_m=None)
    ground = ground_line(line, record_levels(line, [flat], step_m=10.0), grid=GRID, step_m=10.0)
    assert ground.chainage_m[-1] - 10_000.0 == pytest.approx(longer, abs=0.005)
    assert ground.slope_m[-1] == pytest.approx(ground.chainage_m[-1], rel=1e-12)
    assert ground.scale[0] == pytest.approx(k * 6371000.0 / (6371000.0 + level), abs=2e-8)


def test_ground_length_of_flinders_peak_to_buninyong() -> None:
    # ellipsoidal distance 54972.271 m, plane distance 54992.279 m (GDA2020 Technical Manual); here at level 0, so
    # that ground is ellipsoid; the chord's own length differs from the geodesic's by well under a millimetre
    line = np.array([[273741.297, 5796489.777], [228854.052, 5828259.038]])
    flat = Made(lambda x, y: np.zeros(len(x)), cell_m=None)
    ground = ground_line(line, record_levels(line, [flat], step_m=50.0), grid=GRID, step_m=50.0)
    assert ground.chainage_m[-1] == pytest.approx(54972.271, abs=0.003)
