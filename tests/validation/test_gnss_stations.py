"""128 permanent GNSS stations of Australia: packed latitude and longitude, and MGA zone, east and north.

Source: test data of GeodePy, Geoscience Australia (Apache-2.0): Test_Conversion_Geo.csv, Test_Conversion_Grid.csv.
Both are printed to 1 mm, hence 1 mm both ways.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from planner.geometry.bearings import could_be_packed, from_packed, to_packed
from planner.survey.datum import from_lonlat, grid_name, suggest_grid, to_lonlat

pytestmark = pytest.mark.open_data


@pytest.fixture(scope="module")
def stations(open_data: Path) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    def rows(name: str) -> list[list[str]]:
        with (open_data / "geodesy" / name).open(newline="", encoding="ascii") as file:
            return list(csv.reader(file))
    geo, grid = rows("geodepy_Test_Conversion_Geo.csv"), rows("geodepy_Test_Conversion_Grid.csv")
    assert [row[0] for row in geo] == [row[0] for row in grid]
    assert len(geo) == 128
    packed = np.array([(float(row[2]), float(row[1])) for row in geo])
    return packed, np.array([int(row[1]) for row in grid]), np.array([(float(r[2]), float(r[3])) for r in grid])


def test_packed_positions_project_to_the_printed_grid(stations: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    packed, zones, grid = stations
    lonlat = from_packed(packed)
    for zone in np.unique(zones):
        mine = zones == zone
        np.testing.assert_allclose(from_lonlat(lonlat[mine], f"EPSG:{7800 + zone}"), grid[mine], rtol=0, atol=0.001)


def test_grid_positions_come_back_to_the_packed_ones(stations: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    packed, zones, grid = stations
    for zone in np.unique(zones):
        mine = zones == zone
        lonlat = to_lonlat(grid[mine], f"EPSG:{7800 + zone}")
        off = (lonlat - from_packed(packed[mine])) * 111_320.0 * np.array([np.cos(np.radians(lonlat[:, 1])), np.ones(
            len(lonlat))]).T
        assert np.abs(off).max() < 0.001
        np.testing.assert_allclose(to_packed(lonlat), packed[mine], rtol=0, atol=5e-9)


def test_the_suggested_grid_is_the_zone_of_the_list(stations: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    packed, zones, _ = stations
    lonlat = from_packed(packed)
    for place, zone in zip(lonlat, zones, strict=True):
        assert suggest_grid(place[None, :]).crs == f"EPSG:{7800 + zone}", grid_name(f"EPSG:{7800 + zone}")


def test_the_columns_are_recognised_as_packed(stations: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    packed, _, _ = stations
    assert could_be_packed(packed[:, 0])
    assert could_be_packed(packed[:, 1])
    assert not could_be_packed(from_packed(packed[:, 1]))
