"""Every malformed file of the open data: what comes out of it, and under which rule the trouble is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.errors import FileTrouble
from planner.files.read import read

pytestmark = pytest.mark.open_data

SHAPEFILES: dict[str, tuple[int, set[str]]] = {
    "bowtie": (1, {"survey-48"}),
    "ccw_outer": (1, set()),
    "cp1252_nocpg": (1, {"survey-57"}),
    "dupverts": (1, {"survey-45"}),
    "empty": (0, {"survey-40"}),
    "good": (1, set()),
    "hole": (2, set()),
    "hole_same_dir": (2, {"survey-52"}),
    "huge": (1, {"survey-42", "survey-44", "survey-49"}),
    "latlon_wrong_prj": (1, {"survey-59"}),
    "line_closed": (1, set()),
    "multipart": (2, set()),
    "nan": (0, {"survey-42", "survey-43"}),
    "nodbf": (1, {"survey-58"}),
    "noprj": (1, {"survey-59"}),
    "noshx": (1, {"survey-58"}),
    "noshx2": (1, {"survey-59"}),
    "nullbig": (0, {"survey-42", "survey-44"}),
    "onlyshp": (1, {"survey-58", "survey-59"}),
    "overlap_multipart": (2, {"survey-53"}),
    "polym": (1, {"survey-69"}),
    "polyz": (1, set()),
    "spike": (1, {"survey-50"}),
    "swapped": (1, set()),
    "tinyring": (1, {"survey-49"}),
    "touching_multipart": (2, {"survey-53"}),
    "trunc": (3, {"survey-40"}),
    "twopoint": (0, {"survey-42", "survey-51"}),
    "unclosed": (1, {"survey-51"}),
    "utf8_nocpg": (1, {"survey-57"}),
}
GPX: dict[str, tuple[int, int, set[str]]] = {
    "a": (2, 2, {"survey-41"}),
    "bad_bom": (2, 2, {"survey-41"}),
    "bad_comma": (2, 2, {"survey-41", "survey-61"}),
    "bad_dtd": (2, 2, {"survey-41", "survey-68"}),
    "bad_elecomma": (2, 2, {"survey-41", "survey-61"}),
    "bad_latoor": (2, 1, {"survey-41", "survey-44"}),
    "bad_lonmissing": (1, 2, {"survey-41", "survey-55"}),
    "bad_nan": (2, 2, {"survey-41", "survey-46"}),
    "bad_nons": (2, 2, {"survey-41"}),
    "bad_swap": (2, 2, {"survey-41", "survey-44"}),
    "bad_trunc": (2, 2, {"survey-41", "survey-56"}),
    "bad_utf16": (2, 2, {"survey-41"}),
    "bad_v10": (2, 2, {"survey-41"}),
}


def rules(reading):
    return {f.rule for f in reading.troubles}


@pytest.mark.parametrize("name", SHAPEFILES)
def test_each_shapefile(open_data: Path, name: str):
    lines, told = SHAPEFILES[name]
    reading = read(open_data / "traps" / "shp" / f"{name}.shp")
    assert len(reading.lines) == lines
    assert rules(reading) == told
    assert all(f.place.file == reading.file for f in reading.troubles)
    assert reading.crs == ("" if name in ("noprj", "noshx2", "onlyshp") else "EPSG:28355")


def test_no_shapefile_is_left_out_of_the_table(open_data: Path):
    assert {p.stem for p in (open_data / "traps" / "shp").glob("*.shp")} == set(SHAPEFILES)


@pytest.mark.parametrize("name", GPX)
def test_each_gpx(open_data: Path, name: str):
    lines, points, told = GPX[name]
    reading = read(open_data / "traps" / "gpx" / f"{name}.gpx")
    assert (len(reading.lines), len(reading.points)) == (lines, points)
    assert rules(reading) == told
    assert reading.crs == "EPSG:4326"


def test_no_gpx_is_left_out_of_the_table(open_data: Path):
    assert {p.stem for p in (open_data / "traps" / "gpx").glob("*.gpx")} == {*GPX, "bad_empty"}


def test_an_empty_gpx_is_refused(open_data: Path):
    with pytest.raises(FileTrouble, match="the file is empty"):
        read(open_data / "traps" / "gpx" / "bad_empty.gpx")


def test_areas_said_of_a_hole_wound_the_wrong_way(open_data: Path):
    (found,) = read(open_data / "traps" / "shp" / "hole_same_dir.shp").troubles
    assert "from 170000 to 150000 m2" in found.message


def test_areas_said_of_overlapping_parts(open_data: Path):
    (found,) = read(open_data / "traps" / "shp" / "overlap_multipart.shp").troubles
    assert "add to 20000 m2, together they cover 15000 m2" in found.message


def test_a_bowtie_says_where_it_crosses_and_that_its_area_is_not_zero(open_data: Path):
    (found,) = read(open_data / "traps" / "shp" / "bowtie.shp").troubles
    assert (found.place.x, found.place.y) == (300050.0, 5800050.0)
    assert "0 m2 by its corners and 5000 m2" in found.message


def test_levels_of_polyz(open_data: Path):
    (line,) = read(open_data / "traps" / "shp" / "polyz.shp").lines
    assert line.level_m is not None
    assert line.level_m.tolist() == [250.5] * 5


def test_names_without_stated_letters(open_data: Path):
    (utf8,) = read(open_data / "traps" / "shp" / "utf8_nocpg.shp").lines
    (cp1252,) = read(open_data / "traps" / "shp" / "cp1252_nocpg.shp").lines
    assert utf8.name.startswith("Ngāi Tahu Peña – é")
    assert "– café" in cp1252.name


@pytest.mark.parametrize(("name", "lines"), [("shp.zip", 1), ("two.zip", 3)])
def test_zipped_shapefiles(open_data: Path, name: str, lines: int):
    reading = read(open_data / "traps" / name)
    assert len(reading.lines) == lines
    assert len({line.name for line in reading.lines}) == lines
    assert reading.crs == "EPSG:28355"


@pytest.mark.parametrize("name", ["x.kml", "x.kmz"])
def test_folders_tracks_and_mixed_shapes_of_kml(open_data: Path, name: str):
    reading = read(open_data / "traps" / name)
    north, track, mixed = reading.lines
    assert (north.name, north.closed, north.kind, north.level_m) == ("North", True, "ring", None)
    assert (track.kind, track.accuracy) == ("track", "handheld")
    assert track.time_s is not None
    assert track.time_s.tolist() == [1704067200.0, 1704067205.0]
    assert track.level_m is not None
    assert track.level_m.tolist() == [300.0, 301.0]
    assert mixed.xy.tolist() == [[1.0, 2.0], [3.0, 4.0]]
    assert [(p.name, p.x, p.y, p.level_m) for p in reading.points] == [("mg", 1.0, 2.0, None)]
    assert ("layer", "Tracks") in track.attributes


def test_a_drawing_with_a_spline(open_data: Path):
    reading = read(open_data / "traps" / "spline_breaks_pyogrio.dxf")
    boundary = reading.lines[0]
    assert (boundary.closed, boundary.kind, len(boundary.xy)) == (True, "ring", 5)
    assert any(("entity", "SPLINE") in line.attributes for line in reading.lines)
    assert reading.crs == ""
    assert rules(reading) == {"survey-60"}
