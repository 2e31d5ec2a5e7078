"""Latitudes, departures, misclose, compass rule and area of printed loop traverses.

Source: J. Mahun, open-access surveying text (Open Access Surveying Library): traverse computations, compass rule and
area by coordinates. Steps are printed to 1 mm, bearings to 0.1 second, areas to the figures given beside them.
"""

from __future__ import annotations

import numpy as np
import pytest

from planner.geometry.bearings import bearing_of, parse_angle
from planner.survey.traverse import traverse
from planner.survey.traverse_legs import Leg, parse_legs

LOOP = """bearing,distance
S68°05'35"W,472.68
N19°46'00"W,216.13
N45°55'20"E,276.52
S54°59'15"E,382.24
"""
LOOP_2 = """226°54'23",639.15
0°,523.69
235°02'29",409.54
79°35'02",815.93
"""


def test_loop_as_printed() -> None:
    table = parse_legs(LOOP)
    assert table.findings == ()
    result = traverse(table.legs, start=(1000.0, 1000.0))
    assert result.latitudes_m == pytest.approx([-176.357, 203.395, 192.357, -219.312], abs=0.0006)
    assert result.departures_m == pytest.approx([-438.548, -73.093, 198.651, 313.065], abs=0.0006)
    assert (result.misclose_n_m, result.misclose_e_m) == pytest.approx((0.083, 0.075), abs=0.001)
    assert result.perimeter_m == pytest.approx(1347.57)
    assert result.accuracy == pytest.approx(12_100, abs=50)
    assert result.suspects == ()


def test_second_loop_adjusted_by_the_compass_rule() -> None:
    legs = parse_legs(LOOP_2).legs
    raw = traverse(legs, start=(0.0, 0.0))
    assert raw.misclose_m == pytest.approx(0.157, abs=0.001)  # printed from steps already rounded
    assert raw.accuracy == pytest.approx(15_200, abs=60)
    result = traverse(legs, start=(0.0, 0.0), adjust=True)
    assert result.latitudes_m == pytest.approx([-436.631, 523.715, -234.640, 147.556], abs=0.0006)
    assert result.departures_m == pytest.approx([-466.761, -0.023, -335.663, 802.447], abs=0.0006)
    printed = [parse_angle(text) for text in ("226°54'36.6\"", "359°59'50.8\"", "235°02'42.5\"", "79°34'50.5\"")]
    assert result.bearings_deg == pytest.approx(printed, abs=0.06 / 3600)


@pytest.mark.parametrize(("north_east", "area", "within"), [
    ([(1541.207, 2215.890), (1373.915, 2336.574), (1299.818, 2350.205), (1343.189, 2523.212), (1569.360, 2359.080)],
     38_970.0, 5.0),
    ([(600.0, 1000.0), (254.542, 1209.288), (97.543, 566.876), (470.303, 397.969)], 250_550.0, 20.0),
])
def test_area_by_coordinates(north_east: list[tuple[float, float]], area: float, within: float) -> None:
    xy = np.array(north_east)[:, ::-1]
    steps = np.diff(np.vstack((xy, xy[:1])), axis=0)
    legs = [Leg(bearing_of(float(e), float(n)), float(np.hypot(e, n))) for e, n in steps]
    result = traverse(legs, start=(float(xy[0, 0]), float(xy[0, 1])))
    assert result.stations[:-1] == pytest.approx(xy, abs=1e-9)
    assert result.area_m2 == pytest.approx(area, abs=within)
