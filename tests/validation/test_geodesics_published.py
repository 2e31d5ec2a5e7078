"""Geodesics and areas on the ellipsoid against printed values.

Sources:
    [GP] GeodePy tests, Geoscience Australia (Apache-2.0): a join in MGA zone 55, and a line on GRS80.
    [V75] T. Vincenty, Direct and inverse solutions of geodesics, Survey Review XXIII(176), 1975: a line on the
    International 1924 ellipsoid.
    [GL] C. Karney, GeographicLib, published polygon tests on WGS 84 (planimeter tests).
"""

from __future__ import annotations

import numpy as np
import pytest

from planner.geometry.bearings import bearing_of, parse_angle
from planner.survey.datum import ellipsoidal_area, geodesic


def test_a_join_in_zone_55() -> None:
    start, end = (696053.337, 6086610.13), (696770.781, 6086089.772)
    _, _, length = geodesic(start, end, "EPSG:7855")
    step = np.subtract(end, start)
    assert np.hypot(*step) == pytest.approx(886.2834, abs=0.0001)
    assert length == pytest.approx(886.2166, abs=0.0001)
    assert bearing_of(*step) == pytest.approx(parse_angle("125°57'11.4\""), abs=0.05 / 3600)


def test_a_line_along_a_parallel_on_grs80() -> None:
    there, _, length = geodesic((140.716667, -29.85), (140.766667, -29.85), "EPSG:7844")
    assert length == pytest.approx(4831.553, abs=0.001)
    assert there == pytest.approx(parse_angle("90°00'44.80\""), abs=0.01 / 3600)


def test_a_line_of_vincenty_on_international_1924() -> None:
    start = (0.0, parse_angle("37°19'54.95367\""))
    end = (parse_angle("41°28'35.50729\""), parse_angle("26°07'42.83946\""))
    there, _, length = geodesic(start, end, "EPSG:4022")  # longitude and latitude on that ellipsoid
    assert length == pytest.approx(4085966.703, abs=0.001)
    assert there == pytest.approx(parse_angle("95°27'59.63089\""), abs=0.002 / 3600)


@pytest.mark.parametrize(("latlon", "area_m2", "length_m"), [
    ([(0, -1), (-1, 0), (0, 1), (1, 0)], 24619419146.0, 627598.2731),
    ([(2, 1), (1, 2), (3, 3)], 18454562325.45, None),
])
def test_areas_of_geodesic_polygons(
        latlon: list[tuple[float, float]], area_m2: float, length_m: float | None) -> None:
    area, length = ellipsoidal_area(np.array(latlon, dtype=float)[:, ::-1], "EPSG:4326")
    assert area == pytest.approx(area_m2, abs=1.0)
    if length_m is not None:
        assert length == pytest.approx(length_m, abs=0.0001)


def test_a_ring_gives_the_same_area_either_way_round_and_closed_or_not() -> None:
    ring = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]) * 500.0 + [500000.0, 6000000.0]
    area, length = ellipsoidal_area(ring, "EPSG:7855")
    closed_area, closed_length = ellipsoidal_area(np.concatenate((ring, ring[:1]))[::-1], "EPSG:7855")
    assert (closed_area, closed_length) == pytest.approx((area, length), rel=1e-9)
    assert area == pytest.approx(250000.0 / 0.9996**2, rel=1e-6)
