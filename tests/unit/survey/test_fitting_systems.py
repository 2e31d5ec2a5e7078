"""Numbers without a coordinate system: which systems hold them, near what is known, and how far apart."""

from __future__ import annotations

import numpy as np
import pytest

from planner.survey.datum import from_lonlat
from planner.survey.fitting_systems import fitting, in_degrees, told_fitting

BRITAIN, VICTORIA, CANTERBURY = (-1.4, 54.38), (146.5, -36.6), (172.0, -43.5)


def codes(xy: object, **known: object) -> list[str]:
    return [code for code, _ in fitting(np.array([xy], dtype=float), **known)]  # type: ignore[arg-type]


@pytest.mark.parametrize(("place", "expected"), [
    (BRITAIN, ["EPSG:4326", "EPSG:4277", "EPSG:4258"]), (VICTORIA, ["EPSG:4326", "EPSG:7844", "EPSG:4283"]),
    (CANTERBURY, ["EPSG:4326", "EPSG:4167", "EPSG:7844", "EPSG:4283"])])
def test_degrees_are_in_datums_used_there(place: tuple[float, float], expected: list[str]) -> None:
    assert codes(place) == expected


@pytest.mark.parametrize(("place", "grid"), [(BRITAIN, "EPSG:27700"), (VICTORIA, "EPSG:7855"),
                                             (CANTERBURY, "EPSG:2193")])
def test_metres_fit_the_grid_they_are_in_and_come_first_near_it(place: tuple[float, float], grid: str) -> None:
    xy = from_lonlat(np.array([place]), grid)[0]
    assert grid in codes(xy)
    assert codes(xy, near=place)[0] == grid
    assert len(codes(xy, near=place)) <= 3


def test_what_is_known_far_away_leaves_all_that_fits() -> None:
    xy = from_lonlat(np.array([CANTERBURY]), "EPSG:2193")[0]
    assert codes(xy, near=BRITAIN) == codes(xy)


def test_an_open_datum_keeps_its_projection() -> None:
    xy = from_lonlat(np.array([VICTORIA]), "EPSG:7855")[0]
    assert codes(xy, like="EPSG:28355") == ["EPSG:7855", "EPSG:28355", "EPSG:32755"]


def test_how_far_apart_it_puts_them_is_told() -> None:
    """GDA94 and GDA2020 lie 1.5 to 1.8 m apart: ICSM, GDA2020 Technical Manual. OSGB36 lies about 100 m from WGS 84:
    Ordnance Survey, A guide to coordinate systems in Great Britain."""
    xy = np.array([VICTORIA])
    assert "GDA2020 and GDA94 lie 1.5 m apart" in told_fitting(fitting(xy), xy)
    xy = np.array([BRITAIN])
    told = told_fitting(fitting(xy), xy)
    metres = float(told.split(" lie ")[1].split(" m apart")[0])
    assert 80.0 < metres < 130.0
    assert "WGS 84 and OSGB36" in told


def test_numbers_that_fit_nothing_say_so() -> None:
    xy = np.array([[9e9, 1.0]])
    assert fitting(xy) == ()
    assert "fit none" in told_fitting((), xy)
    assert fitting(np.empty((0, 2))) == ()


@pytest.mark.parametrize(("xy", "expected"), [((360.0, 90.0), True), ((360.1, 90.0), False), ((0.0, 90.1), False)])
def test_degrees_end_at_a_full_turn_and_at_the_pole(xy: tuple[float, float], expected: bool) -> None:
    assert in_degrees(np.array([xy])) is expected
