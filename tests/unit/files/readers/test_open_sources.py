"""Real files of the open data: how many lines they give, how long, and the right way round.

Plan lengths of the tracks were measured apart from this program in UTM zone 33; areas are the files' own columns.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pyproj
import pytest
import shapely

from planner.files.read import read
from planner.geometry.lines import leg_lengths

pytestmark = pytest.mark.open_data


def utm33_length(line) -> float:
    to_utm = pyproj.Transformer.from_crs("EPSG:4326", "EPSG:32633", always_xy=True)
    return float(leg_lengths(np.column_stack(to_utm.transform(line.xy[:, 0], line.xy[:, 1]))).sum())


def test_the_walk_round_a_lake(open_data: Path):
    reading = read(open_data / "gpx" / "cerknicko-jezero.gpx")
    assert len(reading.lines) == 7
    assert len(reading.points) == 7
    walk = reading.lines[0]
    assert len(walk.xy) == 173
    assert utm33_length(walk) == pytest.approx(1913.0, abs=0.05)
    assert walk.level_m is not None
    assert walk.time_s is not None
    assert walk.accuracy == "handheld"


@pytest.mark.parametrize(
    ("name", "track", "points", "length"),
    [("korita-zbevnica", 2, 337, 3984.3), ("around-visnjan-with-car", 0, 104, 2735.2)],
)
def test_other_tracks(open_data: Path, name: str, track: int, points: int, length: float):
    line = read(open_data / "gpx" / f"{name}.gpx").lines[track]
    assert len(line.xy) == points
    assert utm33_length(line) == pytest.approx(length, abs=0.05)


def test_times_before_1970_are_kept_and_said(open_data: Path):
    reading = read(open_data / "gpx" / "Mojstrovka.gpx")
    (line,) = reading.lines
    assert line.time_s is not None
    assert line.time_s.max() < -2.0e9
    assert {f.rule for f in reading.troubles} == {"survey-66"}


def test_a_file_of_one_route(open_data: Path):
    (line,) = read(open_data / "gpx" / "route.gpx").lines
    assert line.kind == "route"
    assert line.time_s is None


def test_irrigated_paddocks(open_data: Path):
    reading = read(open_data / "parcel" / "nz_irrigated_2020.shp")
    assert reading.crs == "EPSG:2193"
    assert len(reading.lines) == 100
    assert all(line.closed and line.kind == "ring" for line in reading.lines)
    for line in reading.lines:
        stated = float(dict(line.attributes)["area_ha"])
        assert shapely.Polygon(line.xy).area / 1e4 == pytest.approx(stated, abs=1e-5)


def test_fields_with_holes(open_data: Path):
    reading = read(open_data / "parcel" / "at_invekos_2025.gpkg")
    assert reading.crs == "EPSG:31287"
    outer = [line for line in reading.lines if " hole " not in line.name]
    assert len(outer) == 100
    by_row = dict.fromkeys(range(1, 101), 0.0)
    for line in reading.lines:
        by_row[line.row] += shapely.Polygon(line.xy).area * (-1 if " hole " in line.name else 1)
    for line in outer:
        assert by_row[line.row] / 1e4 == pytest.approx(float(dict(line.attributes)["SL_FLAECHE_BRUTTO_HA"]), abs=1e-4)


def test_latitude_first_in_the_file_comes_out_east_first(open_data: Path):
    folder = open_data / "parcel"
    before = set(folder.iterdir())
    reading = read(folder / "ie_gsaa_2024.gml")
    assert reading.crs == "EPSG:4258"
    assert len(reading.lines) == 100
    assert max(len(line.name) for line in reading.lines) < 40  # "ID is" and 64 digits are no name
    xy = np.concatenate([line.xy for line in reading.lines])
    assert xy[:, 0].min() > -11
    assert xy[:, 0].max() < -5
    assert xy[:, 1].min() > 51
    assert set(folder.iterdir()) == before


def test_streams(open_data: Path):
    reading = read(open_data / "stream" / "brompton_drainage_epsg27700.gpkg")
    assert len(reading.lines) == 42
    assert len({line.name for line in reading.lines}) == 42
    assert sum(float(leg_lengths(line.xy).sum()) for line in reading.lines) == pytest.approx(32_800, abs=50)
    (river,) = read(open_data / "stream" / "meuse_river_polygon_epsg28992.gpkg").lines
    assert shapely.Polygon(river.xy).area / 1e4 == pytest.approx(212.27, abs=0.01)


def test_sample_points_with_headings(open_data: Path):
    reading = read(open_data / "misc" / "meuse_points_rd_xy_elev.csv")
    assert len(reading.points) == 155
    first = reading.points[0]
    assert (first.x, first.y, first.level_m, first.row) == (181072.0, 333611.0, 7.909, 2)
    assert reading.crs == ""


def test_packed_degrees_read_as_chosen_agree_with_the_grid_file(open_data: Path):
    """Geoscience Australia's GeodePy tests: 128 stations, latitude and longitude packed, against MGA zone, E, N."""
    folder = open_data / "geodesy"
    asked = read(folder / "geodepy_Test_Conversion_Geo.csv")
    assert "survey-63" in {f.rule for f in asked.troubles}
    reading = read(folder / "geodepy_Test_Conversion_Geo.csv", columns={"angles": "packed-dms"})
    assert "survey-63" not in {f.rule for f in reading.troubles}
    assert len(reading.points) == 128
    rows = [r.split(",") for r in (folder / "geodepy_Test_Conversion_Grid.csv").read_text().split()]
    for point, (name, zone, east, north) in zip(reading.points, rows, strict=True):
        to_grid = pyproj.Transformer.from_crs(7844, 7800 + int(zone), always_xy=True)
        assert point.name == name
        assert to_grid.transform(point.x, point.y) == pytest.approx((float(east), float(north)), abs=0.001)


def test_a_column_of_zones_is_no_coordinate(open_data: Path):
    reading = read(open_data / "geodesy" / "geodepy_Test_Conversion_Grid.csv")
    assert (reading.points[0].name, reading.points[0].x, reading.points[0].y) == ("1770", 386930.017, 7327717.501)
    assert any(f.rule == "survey-62" and "50 to 56" in f.message and f.severity == "error" for f in reading.troubles)


@pytest.mark.parametrize("name", ["brompton_10m_epsg27700.tif", "newmexico_rangeland_10m_nocrs.asc"])
def test_rasters_are_ground_not_lines(open_data: Path, name: str):
    from planner.errors import FileTrouble

    with pytest.raises(FileTrouble, match=r"is a raster.*give it as ground"):
        read(open_data / "dem" / name)
