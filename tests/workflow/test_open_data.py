"""Every file of the open data that has a line or a ring, through the command line into plan.json.

For each file: how many lines come out, under which rules its troubles are told, and that what always holds of a plan
holds. The large files are cut to their first features; STRAINWRIGHT_FULL=1 takes them whole.
"""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from command_line import Ran, command, write_lines
from plan_invariants import check_plan, read_plan

pytestmark = pytest.mark.open_data

LONGEST_S = 10.0
FULL = bool(os.environ.get("STRAINWRIGHT_FULL"))
SOME = 12
QUICK = () if FULL else ("--set", "profile_step_m=5", "--set", "roll_plan_seconds=0.1")


def planned(source: Path, folder: Path, *words: object) -> tuple[Ran, dict]:
    """A source planned into a new job, its plan.json checked."""
    job = folder / "it.job.gpkg"
    began = time.process_time()
    ran = command("plan", source, "--job", job, *words)
    assert time.process_time() - began < LONGEST_S or FULL
    assert (ran.status, ran.err) == (0, ""), ran
    assert command("pack", job, "--to", folder, "--only", "plan.json").status == 0
    plan = read_plan(folder / "plan.json")
    check_plan(plan)
    return ran, plan


# file: lines, rules told while it is read
GPX = {
    "Mojstrovka": (1, {"line-50", "survey-66"}),
    "around-visnjan-with-car": (1, {"line-50"}),
    "cerknicko-jezero": (7, {"line-50", "line-51", "survey-41"}),
    "korita-zbevnica": (3, {"line-50", "survey-41"}),
    "route": (1, set()),
    "track-with-empty-segment": (1, {"line-50", "survey-41"}),
    "track-with-extremes": (1, {"line-50"}),
}
MET = {"line-51", "survey-41"}
TRAP_GPX = {
    "a": (2, MET),
    "bad_bom": (2, MET),
    "bad_comma": (2, {*MET, "survey-61"}),
    "bad_dtd": (2, {*MET, "survey-68"}),
    "bad_elecomma": (2, {*MET, "survey-61"}),
    "bad_latoor": (2, {*MET, "survey-44"}),
    "bad_lonmissing": (1, {"survey-41", "survey-55"}),
    "bad_nan": (2, {*MET, "survey-46"}),
    "bad_nons": (2, MET),
    "bad_swap": (2, {*MET, "survey-44"}),
    "bad_trunc": (2, {*MET, "survey-56"}),
    "bad_utf16": (2, MET),
    "bad_v10": (2, MET),
}
TRAP_SHAPES = {
    "bowtie": (1, {"survey-48"}),
    "ccw_outer": (1, set()),
    "cp1252_nocpg": (1, {"survey-57"}),
    "dupverts": (1, {"survey-45"}),
    "good": (1, set()),
    "hole": (2, set()),
    "hole_same_dir": (2, {"survey-52"}),
    "huge": (1, {"survey-42", "survey-44", "survey-49"}),
    "line_closed": (1, set()),
    "multipart": (2, set()),
    "nodbf": (1, {"survey-58"}),
    "noshx": (1, {"survey-58"}),
    "overlap_multipart": (2, {"survey-53"}),
    "polym": (1, {"survey-69"}),
    "polyz": (1, set()),
    "spike": (1, {"survey-50"}),
    "tinyring": (1, {"survey-49"}),
    "touching_multipart": (2, {"survey-53"}),
    "trunc": (3, {"survey-40"}),
    "unclosed": (1, {"survey-51"}),
    "utf8_nocpg": (1, {"survey-57"}),
}
# no coordinate system of their own: refused without --crs, planned with it
TRAP_UNPLACED = {
    "noprj": (1, {"survey-59"}),
    "noshx2": (1, {"survey-59"}),
    "onlyshp": (1, {"survey-58", "survey-59"}),
}
# nothing in them can be fenced: one sentence that says why
TRAP_REFUSED = {
    "empty": "there is no feature in it",
    "latlon_wrong_prj": "read like longitude and latitude in degrees, although the file states EPSG:28355",
    "nan": "not a number",
    "nullbig": "farther out than any grid reaches",
    "swapped": "Axes swapped",
    "twopoint": "there is no position that can be used",
}
TRAP_OTHERS = {
    "shp.zip": (1, set()),
    "two.zip": (3, set()),
    "x.kml": (2, {"survey-07", "survey-47"}),
    "x.kmz": (2, {"survey-07", "survey-47"}),
}
TRAPS = ({f"gpx/{name}.gpx": row for name, row in TRAP_GPX.items()}
         | {f"shp/{name}.shp": row for name, row in TRAP_SHAPES.items()} | TRAP_OTHERS)


@pytest.mark.parametrize("name", GPX)
def test_walks_and_routes(open_data: Path, tmp_path: Path, name: str):
    lines, told = GPX[name]
    ran, plan = planned(open_data / "gpx" / f"{name}.gpx", tmp_path)
    assert (len(plan["lines"]), ran.rules) == (lines, told)


@pytest.mark.parametrize("name", TRAPS)
def test_malformed_files_give_what_is_good_in_them(open_data: Path, tmp_path: Path, name: str):
    lines, told = TRAPS[name]
    ran, plan = planned(open_data / "traps" / name, tmp_path, *QUICK)
    assert (len(plan["lines"]), ran.rules) == (lines, told)


@pytest.mark.parametrize("name", TRAP_UNPLACED)
def test_files_without_a_coordinate_system_are_asked_about(open_data: Path, tmp_path: Path, name: str):
    lines, told = TRAP_UNPLACED[name]
    source = open_data / "traps" / "shp" / f"{name}.shp"
    ran = command("plan", source, "--job", tmp_path / "it.job.gpkg")
    assert ran.status == 2
    assert "no coordinate system is stated" in ran.one_sentence()
    assert list(tmp_path.iterdir()) == []
    ran, plan = planned(source, tmp_path, "--crs", "EPSG:28355")
    assert (len(plan["lines"]), ran.rules, plan["job"]["crs"]) == (lines, told, "EPSG:28355")


@pytest.mark.parametrize("name", TRAP_REFUSED)
def test_files_with_nothing_to_fence_say_why(open_data: Path, tmp_path: Path, name: str):
    ran = command("plan", open_data / "traps" / "shp" / f"{name}.shp", "--job", tmp_path / "it.job.gpkg")
    assert ran.status == 2
    assert TRAP_REFUSED[name] in ran.one_sentence()
    assert list(tmp_path.iterdir()) == []


def test_an_empty_gpx_is_refused(open_data: Path, tmp_path: Path):
    ran = command("plan", open_data / "traps" / "gpx" / "bad_empty.gpx", "--job", tmp_path / "it.job.gpkg")
    assert ran.status == 2
    assert "the file is empty" in ran.one_sentence()


def test_a_drawing_far_from_its_zone_is_refused(open_data: Path, tmp_path: Path):
    """The drawing lies at its own origin: in no zone of a map grid is there a farm."""
    source = open_data / "traps" / "spline_breaks_pyogrio.dxf"
    asked = command("plan", source, "--job", tmp_path / "it.job.gpkg")
    assert asked.status == 2
    assert "no coordinate system is stated" in asked.one_sentence()
    said = command("plan", source, "--job", tmp_path / "it.job.gpkg", "--crs", "EPSG:28355")
    assert said.status == 2
    said.one_sentence()


def test_no_malformed_file_is_left_out_of_the_tables(open_data: Path):
    traps = open_data / "traps"
    assert {p.stem for p in (traps / "shp").glob("*.shp")} == {*TRAP_SHAPES, *TRAP_UNPLACED, *TRAP_REFUSED}
    assert {p.stem for p in (traps / "gpx").glob("*.gpx")} == {*TRAP_GPX, "bad_empty"}
    assert {p.name for p in traps.iterdir() if p.is_file()} == {*TRAP_OTHERS, "spline_breaks_pyogrio.dxf"}
    assert {p.stem for p in (open_data / "gpx").glob("*.gpx")} == set(GPX)


def first_features(source: Path, folder: Path) -> Path:
    """The first features of a file in a file of their own, or the file itself when the full run is wanted."""
    import pyogrio

    if FULL:
        return source
    target = folder / f"{source.stem}.gpkg"
    pyogrio.write_dataframe(pyogrio.read_dataframe(source, max_features=SOME), target)
    return target


@pytest.mark.parametrize(
    ("name", "lines", "all_lines"),
    [("nz_irrigated_2020.shp", SOME, 100), ("ie_gsaa_2024.gml", SOME, 100), ("at_invekos_2025.gpkg", SOME, 106)],
)
@pytest.mark.filterwarnings("ignore:.*:RuntimeWarning")  # the library that cuts the file warns of its GML companion
def test_parcels(open_data: Path, tmp_path: Path, name: str, lines: int, all_lines: int):
    source = first_features(open_data / "parcel" / name, tmp_path)
    ran, plan = planned(source, tmp_path, *QUICK)
    assert len(plan["lines"]) == (all_lines if FULL else lines)
    assert all(line["closed"] for line in plan["lines"])
    assert ran.rules == set()
    assert {f["rule"] for f in plan["findings"] if f["severity"] == "error"} <= {"line-11", "paddock-01"}


def test_streams_on_their_terrain(open_data: Path, tmp_path: Path):
    source = first_features(open_data / "stream" / "brompton_drainage_epsg27700.gpkg", tmp_path)
    _, plan = planned(source, tmp_path, "--ground", open_data / "dem" / "brompton_10m_epsg27700.tif")
    assert len(plan["lines"]) == (42 if FULL else SOME)
    kinds = [kind for line in plan["lines"] for kind in line["profile"]["source"]]
    assert kinds.count("terrain") > 0.95 * len(kinds)
    assert all(39.0 < level < 123.0 for line in plan["lines"] for level in line["profile"]["level_m"])


def test_streams_without_terrain_are_flat_and_said_so(open_data: Path, tmp_path: Path):
    source = first_features(open_data / "stream" / "brompton_drainage_epsg27700.gpkg", tmp_path)
    _, plan = planned(source, tmp_path, *QUICK)
    assert len([f for f in plan["findings"] if f["rule"] == "profile-01"]) == 1  # said once, of all lines
    assert all(line["slope_length_m"] == line["plan_length_m"] for line in plan["lines"])


def test_a_river_bank_with_points_for_ground(open_data: Path, tmp_path: Path):
    points = open_data / "misc" / "meuse_points_rd_xy_elev.csv"
    _, plan = planned(open_data / "stream" / "meuse_river_polygon_epsg28992.gpkg", tmp_path, "--ground", points,
                        "--crs", "EPSG:28992")
    assert plan["job"]["crs"] == "EPSG:28992"
    assert len(plan["lines"]) == 1


def test_points_without_a_line_are_asked_about_and_then_refused(open_data: Path, tmp_path: Path):
    points = open_data / "misc" / "meuse_points_rd_xy_elev.csv"
    assert "no coordinate system is stated" in command(
        "plan", points, "--job", tmp_path / "it.job.gpkg").one_sentence()
    said = command("plan", points, "--job", tmp_path / "it.job.gpkg", "--crs", "EPSG:28992")
    assert said.status == 2
    assert "there is no line in it that can be fenced" in said.one_sentence()


@pytest.mark.parametrize("fence", ["general-mesh", "cattle-barbed-4", "electric-2", "stock-lane"])
def test_steep_paddock_on_fine_terrain(open_data: Path, tmp_path: Path, fence: str):
    """A zigzag and a straight over 1 m LiDAR terrain with slopes of 20 % in the middle and 72 % at most."""
    import rasterio

    terrain = open_data / "dem" / "lidarpkg_minnesota_1m_epsg26915.tif"
    with rasterio.open(terrain) as raster:
        west, south, east, north = raster.bounds
    middle, high = (west + east) / 2, (south + north) / 2
    places = {"Straight": [(west + 10, high), (east - 10, high)],
              "Zigzag": [(west + 10, south + 10), (middle, north - 10), (east - 10, south + 10)]}
    source = write_lines(tmp_path / "lines.geojson",
                         {name: [(x - 500_000.0, y - 6_000_000.0) for x, y in xy] for name, xy in places.items()},
                         crs="EPSG:26915")
    _, plan = planned(source, tmp_path, "--ground", terrain, "--fence", fence)
    for line in plan["lines"]:
        assert 1.0 < line["slope_length_m"] / line["plan_length_m"] < 1.1
        assert set(line["profile"]["source"]) == {"terrain"}
        assert len(line["grade_breaks"]) > 20


@pytest.mark.parametrize("name", ["gpx/cerknicko-jezero.gpx", "traps/shp/hole.shp"])
def test_the_same_job_gives_the_same_plan_byte_for_byte(open_data: Path, tmp_path: Path, name: str):
    from planner.files.job_file import read_job, write_job

    planned(open_data / name, tmp_path)
    write_job(tmp_path / "again.job.gpkg", read_job(tmp_path / "it.job.gpkg"))
    for job, folder in (("it", "second"), ("again", "third")):
        assert command("pack", tmp_path / f"{job}.job.gpkg", "--to", tmp_path / folder, "--only",
                       "plan.json").status == 0
        assert (tmp_path / folder / "plan.json").read_bytes() == (tmp_path / "plan.json").read_bytes()
