"""Levels between cell centres, against surfaces whose bilinear error is known in closed form.

Source: bilinear interpolation on a grid of side h reproduces a + bx + cy + dxy exactly, and leaves at most h^2/8 times
the second derivative along each axis (any text on numerical analysis; the bounds below are derived from it).
The wrong ways are tried too, so that the check is known to catch them: nearest cell, and half a cell forgotten.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from terrain_files import write_raster, write_surface

from planner.files.readers.terrain import open_terrain

WEST, NORTH, CELL = 500_000.0, 5_800_600.0, 10.0
GRID = "EPSG:7855"


def _places(count: int = 500) -> np.ndarray:
    rng = np.random.default_rng(41)
    return np.array([WEST, NORTH - 600.0]) + 20.0 + rng.random((count, 2)) * 560.0


def _plane(x, y):
    return 0.10 * (x - WEST) + 0.05 * (y - NORTH + 600.0)


def _twist(x, y):
    return (x - WEST) * (y - NORTH + 600.0) / 1000.0


def _parabola(x, y):
    return 1e-3 * (x - WEST) ** 2


def _waves(x, y):
    return 10.0 * np.cos(2 * np.pi * (x - WEST) / 200.0)


@pytest.mark.parametrize("driver", ["GTiff", "AAIGrid"])
@pytest.mark.parametrize(("surface", "bound"), [(_plane, 1e-9), (_twist, 1e-9), (_parabola, 0.0250 + 1e-9),
                                                (_waves, 0.1234)])
def test_error_of_a_surface_stays_within_its_bound(tmp_path: Path, surface, bound: float, driver: str) -> None:
    more = {"SIGNIFICANT_DIGITS": 16} if driver == "AAIGrid" else {}
    path = write_surface(tmp_path / ("s.asc" if driver == "AAIGrid" else "s.tif"), surface, west=WEST, north=NORTH,
                         driver=driver, crs=GRID, dtype="float64" if driver == "GTiff" else "float32", **more)
    xy = _places()
    with open_terrain(path, grid=GRID, crs=GRID) as terrain:
        got = terrain.levels(xy).level_m
    slack = 0.0 if driver == "GTiff" else 5e-5  # an ASCII grid is read in single precision
    assert np.abs(got - surface(xy[:, 0], xy[:, 1])).max() <= bound + slack


def test_the_curved_surfaces_reach_most_of_their_bound(tmp_path: Path) -> None:
    xy = _places(5000)
    for surface, bound in ((_parabola, 0.0250), (_waves, 0.1234)):
        path = write_surface(tmp_path / f"{surface.__name__}.tif", surface, west=WEST, north=NORTH, crs=GRID)
        with open_terrain(path, grid=GRID) as terrain:
            worst = np.abs(terrain.levels(xy).level_m - surface(xy[:, 0], xy[:, 1])).max()
        assert 0.97 * bound < worst <= bound + 1e-9


def test_the_wrong_ways_would_be_caught(tmp_path: Path) -> None:
    import rasterio

    path = write_surface(tmp_path / "p.tif", _plane, west=WEST, north=NORTH, crs=GRID)
    xy = _places()
    truth = _plane(xy[:, 0], xy[:, 1])
    with rasterio.open(path) as dataset:
        nearest = np.array([v[0] for v in dataset.sample(xy)])
    assert 0.5 < np.abs(nearest - truth).max() <= 0.75  # half a cell times the two slopes
    with open_terrain(path, grid=GRID) as terrain:
        slipped = terrain.levels(xy - 5.0).level_m
    assert np.abs(slipped - truth).min() == pytest.approx(0.75, abs=1e-6)


def test_a_geographic_raster_is_asked_in_degrees(tmp_path: Path) -> None:
    from rasterio.transform import Affine

    from planner.survey.datum import bring

    second = 1.0 / 3600.0
    lon = 146.0 + (np.arange(80) + 0.5) * second
    lat = -37.0 - (np.arange(80) + 0.5) * second
    east, north = np.meshgrid(lon, lat)
    cells = 300.0 + 2000.0 * (east - 146.0) + 1000.0 * (north + 37.0)
    there = Affine(second, 0.0, 146.0, 0.0, -second, -37.0)
    path = write_raster(tmp_path / "g.tif", cells, crs="EPSG:7844", transform=there)
    lonlat = np.column_stack((np.linspace(146.002, 146.02, 50), np.linspace(-37.003, -37.02, 50)))
    xy = bring(lonlat, source="EPSG:7844", target=GRID).xy
    with open_terrain(path, grid=GRID) as terrain:
        got = terrain.levels(xy).level_m
        # 1 second of latitude is 30.8 m, of longitude there 24.7 m: the shorter side counts
        assert terrain.cell_m == pytest.approx(24.7, abs=0.2)
        assert any("30.8 m" in note for note in terrain.notes)
    assert np.abs(got - (300.0 + 2000.0 * (lonlat[:, 0] - 146.0) + 1000.0 * (lonlat[:, 1] + 37.0))).max() < 1e-5
