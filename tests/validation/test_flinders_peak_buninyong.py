"""Flinders Peak to Buninyong: the worked example of the national manuals, from positions to bearings and scale.

Source: ICSM, Geocentric Datum of Australia Technical Manual (GDA94, version 2.x) and GDA2020 Technical Manual, grid
calculations, worked example; digits as quoted by the tests of Geoscience Australia's GeodePy (Apache-2.0). GRS80, so
the same digits hold for GDA94 and GDA2020.
"""

from __future__ import annotations

import numpy as np
import pytest

from planner.geometry.bearings import bearing_of, parse_angle
from planner.geometry.lines import leg_lengths
from planner.survey.datum import (
    from_lonlat,
    geodesic,
    grid_bearing,
    grid_convergence,
    line_scale,
    point_scale,
    to_lonlat,
)

FLINDERS = (parse_angle("144°25'29.5244\""), parse_angle("-37°57'03.7203\""))
BUNINYONG = (parse_angle("143°55'35.3839\""), parse_angle("-37°39'10.1561\""))
FLINDERS_55 = (273741.297, 5796489.777)
BUNINYONG_55 = (228854.052, 5828259.038)
BUNINYONG_54 = (758173.797, 5828674.340)
SECOND = 1.0 / 3600.0


@pytest.mark.parametrize("zone", [28355, 7855])
def test_grid_positions_in_zone_55_agree_to_a_millimetre(zone: int) -> None:
    # Printed to 1 mm; Buninyong E is .052 in one edition and .051 in the other, hence 1 mm and not half of it.
    found = from_lonlat(np.array([FLINDERS, BUNINYONG]), f"EPSG:{zone}")
    np.testing.assert_allclose(found, [FLINDERS_55, BUNINYONG_55], rtol=0, atol=0.001)


def test_grid_position_in_the_next_zone_agrees_to_a_millimetre() -> None:
    found = from_lonlat(np.array([BUNINYONG]), "EPSG:7854")
    np.testing.assert_allclose(found, [BUNINYONG_54], rtol=0, atol=0.001)


def test_latitude_and_longitude_come_back() -> None:
    found = to_lonlat(np.array([FLINDERS_55, BUNINYONG_55]), "EPSG:7855")
    np.testing.assert_allclose(found, [FLINDERS, BUNINYONG], rtol=0, atol=1e-8)  # 1e-8 deg is 1.1 mm


@pytest.mark.parametrize(("crs", "at", "printed"), [
    ("EPSG:7855", FLINDERS_55, "-1°35'03.65\""),
    ("EPSG:7855", BUNINYONG_55, "-1°52'43.22\""),
    ("EPSG:7854", BUNINYONG_54, "1°47'19.36\""),
])
def test_convergence_has_the_sign_and_the_size_of_the_manual(
        crs: str, at: tuple[float, float], printed: str) -> None:
    found = grid_convergence(np.array([at]), crs)[0]
    assert found == pytest.approx(parse_angle(printed), abs=0.01 * SECOND)


@pytest.mark.parametrize(("crs", "at", "printed"), [
    ("EPSG:7855", FLINDERS_55, 1.00023056),
    ("EPSG:7855", BUNINYONG_55, 1.00050567),
    ("EPSG:7854", BUNINYONG_54, 1.00042107),
])
def test_point_scale_factor(crs: str, at: tuple[float, float], printed: float) -> None:
    assert point_scale(np.array([at]), crs)[0] == pytest.approx(printed, abs=6e-9)  # printed to 1e-8


def test_azimuths_and_length_on_the_ellipsoid() -> None:
    there, back, length = geodesic(FLINDERS_55, BUNINYONG_55, "EPSG:7855")
    assert there == pytest.approx(parse_angle("306°52'05.37\""), abs=0.01 * SECOND)
    assert back == pytest.approx(parse_angle("127°10'25.07\""), abs=0.01 * SECOND)
    assert length == pytest.approx(54972.271, abs=0.002)  # grid positions rounded to 1 mm at both ends


def test_plane_length_differs_from_ellipsoidal_length_by_twenty_metres() -> None:
    plane = leg_lengths(np.array([FLINDERS_55, BUNINYONG_55]))[0]
    _, _, length = geodesic(FLINDERS_55, BUNINYONG_55, "EPSG:7855")
    assert plane == pytest.approx(54992.279, abs=0.001)
    assert plane - length == pytest.approx(20.008, abs=0.002)


def test_line_scale_factor_and_the_length_it_gives() -> None:
    found = line_scale(FLINDERS_55, BUNINYONG_55, "EPSG:7855")
    assert found == pytest.approx(1.00036397, abs=1e-8)
    assert 54992.279 / found == pytest.approx(54972.271, abs=0.002)


def test_grid_bearing_there_and_arc_to_chord() -> None:
    bearing = grid_bearing(FLINDERS_55, BUNINYONG_55, "EPSG:7855")
    plane = bearing_of(BUNINYONG_55[0] - FLINDERS_55[0], BUNINYONG_55[1] - FLINDERS_55[1])
    assert bearing == pytest.approx(parse_angle("305°17'01.72\""), abs=0.015 * SECOND)
    assert plane == pytest.approx(parse_angle("305°17'21.18\""), abs=0.01 * SECOND)
    assert plane - bearing == pytest.approx(19.47 * SECOND, abs=0.015 * SECOND)


def test_grid_bearing_back_and_arc_to_chord() -> None:
    bearing = grid_bearing(BUNINYONG_55, FLINDERS_55, "EPSG:7855")
    plane = bearing_of(FLINDERS_55[0] - BUNINYONG_55[0], FLINDERS_55[1] - BUNINYONG_55[1])
    assert bearing == pytest.approx(parse_angle("125°17'41.86\""), abs=0.015 * SECOND)
    assert plane - bearing == pytest.approx(-20.67 * SECOND, abs=0.015 * SECOND)
