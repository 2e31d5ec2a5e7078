"""The suggested working grid at fourteen places, with its scale and convergence there.

Source: areas of use and definitions of the EPSG data set (IOGP) as shipped with PROJ; scale and convergence computed
with PROJ 9.5.1 beforehand. ICSM's sign of convergence, the opposite of PROJ's.
"""

from __future__ import annotations

import numpy as np
import pytest

from planner.errors import GridTrouble
from planner.survey.datum import from_lonlat, grid_convergence, point_scale, suggest_grid, usable_as_grid

PLACES = [
    ("Hamilton VIC", 142.02, -37.74, "EPSG:7854", -301, 0.62),
    ("Longreach QLD", 144.25, -23.44, "EPSG:7855", 575, -1.09),
    ("Esperance WA", 121.89, -33.86, "EPSG:7851", -270, -0.62),
    ("zone edge NSW and VIC", 144.00, -35.50, "EPSG:7855", 513, -1.74),
    ("Canterbury NZ", 171.7, -43.6, "EPSG:2193", -265, -0.90),
    ("Chatham Islands", -176.5, -43.95, "EPSG:3793", 0, 0.0),
    ("North Yorkshire UK", -1.42, 54.36, "EPSG:27700", -381, -0.47),
    ("Meath IE", -6.6, 53.6, "EPSG:2157", -75, -1.13),
    ("Nebraska US", -101.0, 42.0, "EPSG:6343", -62, 1.34),
    ("Free State ZA", 26.5, -28.5, "EPSG:32735", -370, -0.24),
    ("Pampas AR", -60.5, -34.6, "EPSG:5347", 26, -0.28),
    ("Fiji", 180.0, -17.8, "EPSG:32701", 851, -0.92),
    ("Chukotka", -179.9, 66.0, "EPSG:32601", -188, 2.65),
]


@pytest.mark.parametrize(("place", "longitude", "latitude", "crs", "ppm", "convergence"), PLACES,
                         ids=[row[0] for row in PLACES])
def test_suggested_grid(
        place: str, longitude: float, latitude: float, crs: str, ppm: float, convergence: float) -> None:
    lonlat = np.array([[longitude, latitude]])
    choice = suggest_grid(lonlat)
    assert choice.crs == crs
    assert usable_as_grid(crs) == ""
    at = from_lonlat(lonlat, crs)
    assert (point_scale(at, crs)[0] - 1.0) * 1e6 == pytest.approx(ppm, abs=0.51)
    assert grid_convergence(at, crs)[0] == pytest.approx(convergence, abs=0.0051)


@pytest.mark.parametrize(("longitude", "latitude"), [(0.0, 89.9), (75.0, -85.0), (0.0, -89.9999)])
def test_no_plane_grid_near_a_pole(longitude: float, latitude: float) -> None:
    with pytest.raises(GridTrouble, match="beyond 84 north or 80 south"):
        suggest_grid(np.array([[longitude, latitude]]))


@pytest.mark.parametrize(("latitude", "crs"), [(84.0, "EPSG:32631"), (-80.0, "EPSG:32731")])
def test_the_limits_themselves_still_have_a_grid(latitude: float, crs: str) -> None:
    assert suggest_grid(np.array([[3.0, latitude]])).crs == crs


def test_positions_on_both_sides_of_180_are_met_in_the_middle() -> None:
    """The mean of 179.9 and -179.9 is 180 and not 0."""
    choice = suggest_grid(np.array([[179.9, -16.0], [-179.9, -16.0]]))
    assert choice.crs in ("EPSG:32701", "EPSG:32760")


@pytest.mark.parametrize(("longitude", "latitude", "crs"), [
    (-5.6, 55.4, "EPSG:27700"),   # Kintyre, in the box of the Irish grid
    (1.70, 50.60, "EPSG:32631"),  # south of Calais, in the box of the British grid
    (-6.0, 54.9, "EPSG:2157"),    # Antrim
    (1.30, 51.10, "EPSG:27700"),  # Dover
])
def test_neighbours_across_the_sea(longitude: float, latitude: float, crs: str) -> None:
    assert suggest_grid(np.array([[longitude, latitude]])).crs == crs


@pytest.mark.parametrize("belt", range(1, 8))
def test_every_argentine_belt_is_suggested_at_its_own_meridian(belt: int) -> None:
    """Central meridians are 72 W and every three degrees east of it (EPSG:5343 to 5349)."""
    crs = f"EPSG:{5342 + belt}"
    at = from_lonlat(np.array([[-72.0 + 3.0 * (belt - 1), -27.0 if belt > 6 else -40.0 if belt == 1 else -30.0]]), crs)
    assert point_scale(at, crs)[0] == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize(("longitude", "crs"), [
    (-71.5, "EPSG:5343"), (-69.0, "EPSG:5344"), (-66.0, "EPSG:5345"), (-63.0, "EPSG:5346"), (-58.6, "EPSG:5347")])
def test_argentine_belts(longitude: float, crs: str) -> None:
    assert suggest_grid(np.array([[longitude, -38.0]])).crs == crs


@pytest.mark.parametrize(("longitude", "latitude", "crs"), [
    (-123.0, 44.0, "EPSG:6339"), (-70.0, 45.0, "EPSG:6348"), (-150.0, 61.0, "EPSG:6335"), (173.0, 52.9, "EPSG:6328")])
def test_zones_of_the_united_states(longitude: float, latitude: float, crs: str) -> None:
    assert suggest_grid(np.array([[longitude, latitude]])).crs == crs


@pytest.mark.parametrize("stated", ["EPSG:28355", "EPSG:7899", "EPSG:3111", "EPSG:32755", "EPSG:26914"])
def test_a_grid_that_a_source_came_in_is_kept(stated: str) -> None:
    choice = suggest_grid(np.array([[146.0, -36.0]]), stated=stated)
    assert (choice.crs, choice.reason) == (stated, "it is the source's own grid")


@pytest.mark.parametrize(("stated", "why"), [
    ("EPSG:3857", "stretches lengths"), ("EPSG:2277", "counts in US survey foot"), ("EPSG:2053", "south and west"),
    ("EPSG:3577", "does not keep angles"), ("EPSG:32761", "north and north"), ("EPSG:3395", "stretches lengths")])
def test_a_grid_that_cannot_serve_is_not_kept_and_the_reason_says_why(stated: str, why: str) -> None:
    choice = suggest_grid(np.array([[146.0, -36.0]]), stated=stated)
    assert choice.crs == "EPSG:7855"
    assert why in choice.reason


def test_without_a_position_a_grid_must_be_said() -> None:
    with pytest.raises(GridTrouble, match="no position to choose a working grid by; say one with --crs"):
        suggest_grid(np.array([[np.nan, np.nan]]))
