"""Whole jobs of the trade, from the file a person has to the figures a crew needs.

The jobs are invented; their figures were worked out by hand or with a spreadsheet apart from this program. Lines run
north at an easting where 1 m of grid is 1 m of ground (to 1e-5), so that hand-worked distances can be compared.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import gpxpy.gpx
import numpy as np
import pyproj
import pytest
from command_line import EAST, GRID, NORTH, Ran, command, write_lines
from document_jobs import all_prices
from plan_invariants import check_plan, read_plan
from scipy.signal import lfilter

from planner.alignment.line import GroundStretch
from planner.files.job_file import read_job, write_job

TRUE_EAST = 688_200.0
"""Easting in MGA zone 55 where the point scale times the elevation factor at some 200 m is 1."""


def packed(job: Path) -> dict[str, Any]:
    """The plan.json of a job, checked."""
    assert command("pack", job, "--to", job.parent / "pack", "--only", "plan.json").status == 0
    plan = read_plan(job.parent / "pack" / "plan.json")
    check_plan(plan)
    return plan


def northward(folder: Path, name: str, chainage: list[float], level: list[float]) -> Path:
    """A straight line north with levels, as GeoJSON."""
    return write_lines(folder / f"{name}.geojson", {
        name: [(TRUE_EAST - EAST, c, z) for c, z in zip(chainage, level, strict=True)]})


def rows(plan: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {row["item"]: row for row in plan["materials"]}


def rolls_of(plan: dict[str, Any], item: str) -> dict[str, Any]:
    (row,) = [row for row in plan["roll_plan_proof"]["by_item"] if row["item"] == item]
    return row


def told(plan: dict[str, Any], rule: str) -> list[str]:
    return [f["message"] for f in plan["findings"] if f["rule"] == rule]


# A creek crossing: 640 m of four barbed wires, a floodgate of 36 m from chainage 304 to 340


def creek_crossing(folder: Path, *more: str) -> dict[str, Any]:
    points = folder / "points.csv"
    points.write_text(f"name,easting,northing,code,width\nFG,{TRUE_EAST},{NORTH + 322},crossing,36\n", encoding="utf-8")
    line = write_lines(folder / "line.geojson", {"Creek": [(TRUE_EAST - EAST, 0), (TRUE_EAST - EAST, 640)]})
    ran = command("plan", line, points, "--job", folder / "it.job.gpkg", "--crs", GRID, "--fence", "cattle-barbed-4",
                  "--accuracy", "survey", *more)
    assert (ran.status, ran.err) == (0, "")
    return packed(folder / "it.job.gpkg")


def test_a_creek_crossing_stands_on_its_own_anchors(tmp_path: Path):
    plan = creek_crossing(tmp_path)
    runs = plan["lines"][0]["sections"]
    assert [(s["kind"], round(s["slope_length_m"], 1)) for s in runs] == [
        ("run", 304.0), ("crossing", 36.0), ("run", 300.0)]
    assert [s["pull_kN"] for s in runs] == [4.8, 0.0, 4.8]
    assert runs[0]["end"]["causes"] == runs[1]["start"]["causes"] == ["crossing"]
    # four ends of the two runs, and two anchors of the span
    assert rows(plan)["strainer-2400-200"]["net"] == 6


def test_barbed_wire_on_both_sides_of_the_crossing(tmp_path: Path):
    """4 x 604 m and 4 wires x 4 ends x 1.5 m of tail: 2 440 m, 5 rolls of 500 m with 60 m to spare."""
    plan = creek_crossing(tmp_path)
    wire = rows(plan)["barbed-wire-ht"]
    assert wire["net"] == pytest.approx(2440.0, abs=0.2)
    assert wire["packs"] == rolls_of(plan, "barbed-wire-ht")["rolls"] == 5
    (margin,) = told(plan, "materials-01")
    assert "5 rolls leave only 60 m, 2.5% of the net length" in margin


def test_barbed_wire_without_joins_needs_eight_rolls(tmp_path: Path):
    plan = creek_crossing(tmp_path, "--set", "roll_joins_allowed=no")
    assert rows(plan)["barbed-wire-ht"]["packs"] == 8
    assert (rolls_of(plan, "barbed-wire-ht")["rolls"], rolls_of(plan, "barbed-wire-ht")["joins"]) == (8, 0)
    assert told(plan, "materials-01") == []


def test_the_crossing_has_hours_of_its_own(tmp_path: Path):
    (row,) = [r for r in creek_crossing(tmp_path)["labour"] if r["component"] == "crossings"]
    assert (row["quantity"], row["hours"]) == (1.0, row["hours_each"])


# 1.4 km of sheep boundary over a ridge and a gully


RIDGE = ([0, 140, 260, 410, 520, 690, 830, 960, 1120, 1250, 1400],
         [212, 231, 244, 226, 205, 229, 251, 240, 214, 222, 236])


@pytest.fixture(scope="module")
def ridge(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    folder = tmp_path_factory.mktemp("ridge")
    line = northward(folder, "Ridge", *RIDGE)
    assert command("plan", line, "--job", folder / "it.job.gpkg", "--accuracy", "survey").status == 0
    return packed(folder / "it.job.gpkg")


def test_ridge_and_gully_lengths(ridge):
    (line,) = ridge["lines"]
    assert line["plan_length_m"] == pytest.approx(1400.0, abs=0.02)
    assert line["slope_length_m"] == pytest.approx(1411.9, abs=0.05)
    assert [s["slope_length_m"] for s in line["sections"]] == pytest.approx(
        [262.0, 263.1, 313.4, 292.6, 280.9], abs=0.1)


def test_ridge_and_gully_breaks(ridge):
    found = {round(b["chainage_m"]): b["break_deg"] for b in ridge["lines"][0]["grade_breaks"]}
    large = {c: b for c, b in found.items() if abs(b) > 12.0}
    assert large == pytest.approx({260: -13.0, 520: 18.8, 830: -13.8, 1120: 12.8}, abs=0.06)
    assert max(abs(b) for c, b in found.items() if c not in large) == pytest.approx(4.4, abs=0.05)
    assert [s["end"]["causes"] for s in ridge["lines"][0]["sections"]] == [["grade break"]] * 4 + [["line end"]]


def test_plan_length_of_exactly_seven_rolls_needs_eight(ridge):
    """1 411.9 m along the ground and the tails make 1 415 m: 15 m short on 7 rolls of 200 m, 185 m left on 8.

    Unrolled in order the 8 rolls give 7 joins in the sections; sharing offcuts between sections, the roll plan does
    with 5 or fewer.
    """
    mesh, rolls = rows(ridge)["mesh-8-90-30"], rolls_of(ridge, "mesh-8-90-30")
    assert mesh["net"] == pytest.approx(1415.0, abs=0.2)
    assert (mesh["packs"], rolls["rolls"]) == (8, 8)
    assert rolls["joins"] <= 5
    assert sum(r["left_m"] for r in ridge["roll_plan"] if r["item"] == "mesh-8-90-30") == pytest.approx(185.0, abs=0.2)


def test_the_gully_lifts_its_strainer(ridge):
    """Uplift is T (sin a2 - sin a1).

    A spreadsheet with 1.2 kN a mesh wire, 1.5 kN a barb and 1.2 kN a plain wire has 12.3 kN and 4.0 kN of uplift; with
    110 kgf a mesh wire (8 of them, barb and plain wire as the fence type has them) it is 11.33 kN and 3.7 kN.
    """
    (post,) = [p for p in ridge["lines"][0]["posts"] if round(p["chainage_m"]) == 520]
    before, after = np.arctan2(-21.0, 110.0), np.arctan2(24.0, 170.0)
    pull = ridge["lines"][0]["sections"][0]["pull_kN"]
    assert pull == pytest.approx(11.33, abs=0.005)
    assert post["uplift_kN"] == pytest.approx(pull * (np.sin(after) - np.sin(before)), abs=0.005)
    assert post["uplift_kN"] == pytest.approx(3.7, abs=0.05)
    assert post["kind"] == "end"


def test_line_posts_at_five_metres(ridge):
    kinds = Counter(post["kind"] for post in ridge["lines"][0]["posts"])
    assert kinds["line"] == pytest.approx(280, abs=6)
    assert kinds["end"] == 6


def test_a_surveyed_length_is_surer_than_a_walked_one(ridge, tmp_path: Path):
    line = northward(tmp_path, "Ridge", *RIDGE)
    assert command("plan", line, "--job", tmp_path / "it.job.gpkg", "--accuracy", "handheld").status == 0
    walked = packed(tmp_path / "it.job.gpkg")
    assert ridge["lines"][0]["length_sd_m"] < 0.5 < walked["lines"][0]["length_sd_m"]
    assert len(told(walked, "profile-11")) == 1
    assert told(ridge, "profile-11") == []


# A rocky hill: soil to 250 m, ledge rock from 250 to 520 m, shallow soil beyond


HILL = ([0, 95, 210, 300, 430, 520, 660, 780], [100, 112, 141, 168, 171, 149, 128, 131])


@pytest.fixture(scope="module")
def hill(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    """The hill in soil, in rock where there is rock, and in ground that was dug."""
    folder = tmp_path_factory.mktemp("hill")
    job = folder / "it.job.gpkg"
    assert command("plan", northward(folder, "Hill", *HILL), "--job", job, "--accuracy", "survey").status == 0
    plans = [packed(job)]
    for stretches in ((GroundStretch(250, 520, "ledge"), GroundStretch(520, 780, "shallow")),
                      (GroundStretch(0, 780, "dug"),)):
        held = read_job(job)
        write_job(job, replace(held, lines=(replace(held.lines[0], stretches=stretches),)))
        plans.append(packed(job))
    return plans[0], plans[1], plans[2]


def test_rocky_hill_lengths_and_breaks(hill):
    (line,) = hill[1]["lines"]
    assert line["slope_length_m"] == pytest.approx(792.6, abs=0.05)
    breaks = {round(b["chainage_m"]): b["break_deg"] for b in line["grade_breaks"]}
    assert breaks == pytest.approx({95: 7.0, 210: 2.5, 300: -15.4, 430: -15.1, 520: 5.2, 660: 10.0}, abs=0.06)
    # the pair of crests gets strainers, the dips below get dip posts
    assert [round(s["to_m"]) for s in line["sections"]] == [300, 430, 780]
    kinds = {round(p["chainage_m"]): p["kind"] for p in line["posts"] if p["kind"] != "line"}
    assert (kinds[520], kinds[660]) == ("dip", "dip")


def test_only_posts_in_rock_are_drilled_and_only_they_take_three_times_as_long(hill):
    soil, rock, _ = hill
    assert soil["lines"] == rock["lines"]
    assert soil["materials"] == rock["materials"]
    posts = [p for p in rock["lines"][0]["posts"] if p["kind"] != "end"]
    in_rock = [p for p in posts if 250 <= p["chainage_m"] < 520 - 0.01]
    hours = {r["component"]: r for r in rock["labour"]}
    drilled = {c: r for c, r in hours.items() if c.endswith("line posts, Ledge rock, posts drilled and grouted")}
    assert sum(r["quantity"] for r in drilled.values()) == pytest.approx(len(in_rock), abs=1)
    assert sum(r["quantity"] for r in drilled.values()) == pytest.approx(54, abs=1)
    assert {r["factor"] for r in drilled.values()} == {3.0}
    plain = {r["component"]: r for r in soil["labour"]}
    for same in ("set-out and guide wire", "wire", "mesh", "tying off posts", "tie-offs", "roll joins"):
        assert hours[same] == plain[same]
    assert {r["factor"] for c, r in hours.items() if "line posts, Soil" in c} == {1.0}


def test_a_dip_in_dug_ground_needs_holding_down(hill):
    """The dip at 660 m lifts by 11.33 kN x (sin 1.43 + sin 8.53) = 1.96 kN: 200 kgf.

    BTCV Fencing handbook, NZ tests: a post dug in lifts at 90 kgf, a driven one at 900 kgf.
    """
    for plan, held in ((hill[0], True), (hill[2], False)):
        (post,) = [p for p in plan["lines"][0]["posts"] if round(p["chainage_m"]) == 660]
        assert post["uplift_kN"] == pytest.approx(11.33 * (np.sin(np.arctan(3 / 120)) + np.sin(np.arctan(21 / 140))),
                                                  abs=0.01)
        assert (post["hold_down"] == "none") == held


def test_the_steep_side_of_the_hill_is_no_ground_for_a_trailer(hill):
    """27 m in 90 m from 210 m on, 16.7 deg, is over 15 deg; 22 m in 90 m from 430 m on, 13.7 deg, is not."""
    (told_once,) = [f for f in hill[1]["findings"] if f["rule"] == "haul-01"]
    assert told_once["severity"] == "note"
    assert "Steeper than 15 deg along the line for 9" in told_once["message"]
    assert "17 deg at" in told_once["message"]
    assert "carry or winch" in told_once["remedy"]


ALTERNATIVE = """
[terms]
[[terms.multipliers]]
component = "steel line posts"
factor = 2.5
[[options]]
name = "over the hill"
lines = ["Hill"]
[[options]]
name = "60 m east"
lines = ["East"]
"""


def test_a_line_60_m_east_of_the_hill_is_costed_beside_it(tmp_path: Path):
    """780 m on an even grade of 31 m, 780.6 m on the slope, without rock; what no vehicle reaches takes 2.5 times as
    long a post."""
    job = tmp_path / "it.job.gpkg"
    both = write_lines(tmp_path / "both.geojson", {
        "Hill": [(TRUE_EAST - EAST, c, z) for c, z in zip(*HILL, strict=True)],
        "East": [(TRUE_EAST - EAST + 60.0, c, 100.0 + 31.0 * c / 780.0) for c in HILL[0]]})
    assert command("plan", both, "--job", job, "--accuracy", "survey").status == 0
    held = read_job(job)
    rocky = replace(held.lines[0], stretches=(GroundStretch(250, 520, "ledge"), GroundStretch(520, 780, "shallow")))
    held = replace(held, lines=(rocky, held.lines[1]))
    write_job(job, replace(held, prices=all_prices(held)))
    before = {row["component"]: row for row in packed(job)["labour"]}
    terms = tmp_path / "terms.toml"
    terms.write_text(ALTERNATIVE, encoding="utf-8")
    ran = command("terms", job, "--read", terms)
    assert (ran.status, ran.err) == (0, "")
    figures = {"over the hill": packed(job)}
    held = read_job(job)
    write_job(job, replace(held, option="60 m east"))
    figures["60 m east"] = packed(job)
    (over,), (east,) = figures["over the hill"]["lines"], figures["60 m east"]["lines"]
    assert (over["name"], east["name"]) == ("Hill", "East")
    assert (over["slope_length_m"], east["slope_length_m"]) == pytest.approx((792.6, 780.6), abs=0.05)
    assert east["grade_breaks"] == []
    assert not [row for row in figures["60 m east"]["labour"] if "rock" in row["component"].lower()]
    ran = command("compare", job, "--quiet")
    assert ran.out.splitlines()[0].split() == ["over", "the", "hill", "60", "m", "east"]
    totals = {name: float(plan["cost"]["total"]) for name, plan in figures.items()}
    for total in totals.values():
        assert f"AUD {total:,.2f}".replace(",", " ") in ran.out
    assert totals["60 m east"] < totals["over the hill"]
    assert "Least cost: 60 m east." in ran.out
    # no vehicle gets there: the posts take 2.5 times as long, on top of the rock, and nothing else does
    carried = {row["component"]: row for row in figures["over the hill"]["labour"]}
    assert {round(row["factor"] / before[name]["factor"], 6) for name, row in carried.items()
            if name.startswith("steel line posts")} == {2.5}
    assert max(row["factor"] for row in carried.values()) == 7.5
    assert {row["factor"] for name, row in carried.items() if name in ("mesh", "wire", "tie-offs")} == {1.0}


# A noisy walk


CORNERS = np.array([(0, 0), (420, 35), (470, 360), (180, 520), (60, 505)], dtype=float)
TRUE_LENGTH = 1202.4


def noisy_walk(seed: int, *, faults: bool) -> np.ndarray:
    """A walk of 1 m/s along the corners, a fix a second, each coordinate off by 3 m with correlation 0.97."""
    legs = np.hypot(*np.diff(CORNERS, axis=0).T)
    along = np.concatenate(([0.0], np.cumsum(legs)))
    at = np.append(np.arange(0.0, along[-1], 1.0), along[-1])
    if faults:
        stop, back = np.full(360, 600.0), np.concatenate((np.arange(900.0, 860.0, -1.0), np.arange(860.0, 900.0)))
        at = np.concatenate((at[at < 600], stop, at[(at >= 600) & (at < 900)], back, at[at >= 900]))
    xy = np.column_stack([np.interp(at, along, CORNERS[:, k]) for k in (0, 1)])
    white = np.random.default_rng(seed).normal(0.0, 3.0 * np.sqrt(1 - 0.97**2), xy.shape)
    xy += lfilter([1.0], [1.0, -0.97], white, axis=0)
    if faults:
        xy[300] += (60.0, 53.0)
    return xy


def write_walk(path: Path, xy: np.ndarray) -> Path:
    to_lonlat = pyproj.Transformer.from_crs(GRID, "EPSG:7844", always_xy=True)
    gpx = gpxpy.gpx.GPX()
    segment = gpxpy.gpx.GPXTrackSegment()
    gpx.tracks.append(gpxpy.gpx.GPXTrack(name="Walk"))
    gpx.tracks[0].segments.append(segment)
    start = dt.datetime(2026, 3, 1, tzinfo=dt.UTC)
    for second, (lon, lat) in enumerate(zip(*to_lonlat.transform(EAST + xy[:, 0], NORTH + xy[:, 1]), strict=True)):
        segment.points.append(gpxpy.gpx.GPXTrackPoint(lat, lon, time=start + dt.timedelta(seconds=second)))
    path.write_text(gpx.to_xml(), encoding="utf-8")
    return path


def walked(folder: Path, xy: np.ndarray, *more: str) -> tuple[Ran, dict[str, Any]]:
    job = folder / "it.job.gpkg"
    ran = command("plan", write_walk(folder / "walk.gpx", xy), "--job", job, "--crs", GRID, *more)
    assert (ran.status, ran.err) == (0, "")
    return ran, packed(job)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_noisy_walk_is_planned_between_its_corners(tmp_path: Path, seed: int):
    ran, plan = walked(tmp_path, noisy_walk(seed, faults=False))
    (line,) = plan["lines"]
    assert "line-50" in ran.rules
    found = np.array([(v["x"] - EAST, v["y"] - NORTH) for v in line["vertices"]])
    assert len(found) == len(CORNERS)
    # of one standard deviation of 3 m in each coordinate the fit leaves that much in a corner; a sharp corner more
    assert np.median(np.hypot(*(found - CORNERS).T)) < 5.0
    assert np.hypot(*(found - CORNERS).T).max() < 12.0
    assert line["grid_length_m"] == pytest.approx(TRUE_LENGTH, abs=12.0)


def test_stop_spike_and_way_back_are_left_out_with_a_reason(tmp_path: Path):
    ran, plan = walked(tmp_path, noisy_walk(1, faults=True))
    (line,) = plan["lines"]
    assert line["grid_length_m"] == pytest.approx(TRUE_LENGTH, abs=12.0)
    assert len(line["vertices"]) == len(CORNERS)
    said = next(row for row in ran.out.splitlines() if "was fitted to" in row)
    assert "left out:" in said
    assert len(said.split("left out:")[1].split(";")) >= 3


def test_a_walk_taken_as_walked_keeps_every_fix_and_is_longer(tmp_path: Path):
    xy = noisy_walk(1, faults=False)[::5]
    _, plan = walked(tmp_path, xy, "--as-walked", "--set", "roll_plan_seconds=0.1")
    assert len(plan["lines"][0]["vertices"]) == len(xy)
    assert plan["lines"][0]["grid_length_m"] > 1.03 * TRUE_LENGTH


# Two datums


def test_a_shapefile_without_a_datum_is_asked_about_and_then_moved(tmp_path: Path):
    """E 455 200 N 5 951 800 in MGA94 zone 55 is 455 200.51, 5 951 801.45 in MGA2020: 1.54 m apart."""
    import pyogrio
    import shapely

    tie = np.array([(455_200.0, 5_951_800.0), (455_900.0, 5_951_800.0)])
    ours = write_lines(tmp_path / "ours.geojson", {"Ours": tie - (EAST, NORTH) + (0.0, 50.0)})
    job = tmp_path / "it.job.gpkg"
    assert command("plan", ours, "--job", job).status == 0
    theirs = tmp_path / "theirs.shp"
    with pytest.warns(UserWarning, match="'crs' was not provided"):
        pyogrio.raw.write(theirs, geometry=shapely.to_wkb([shapely.LineString(tie)]), field_data=[np.array(["Theirs"])],
                          fields=["name"], geometry_type="LineString", driver="ESRI Shapefile")
    asked = command("plan", theirs, "--job", job)
    assert asked.status == 2
    assert "Ask whoever made the file" in asked.one_sentence()
    said = command("plan", theirs, "--job", job, "--crs", "EPSG:28355")
    assert said.status == 0
    line = packed(job)["lines"][1]
    shift = np.array([line["vertices"][0]["x"], line["vertices"][0]["y"]]) - tie[0]
    np.testing.assert_allclose(shift, (0.51, 1.45), atol=0.02)
    assert np.hypot(*shift) == pytest.approx(1.54, abs=0.02)
    # grid to ground here: 0.99962, 0.38 m a kilometre
    assert line["grid_length_m"] / line["plan_length_m"] == pytest.approx(0.99962, abs=5e-6)
    assert any("GDA94" in note for note in read_job(job).notes)


# Nonsense


def test_a_line_over_the_date_line_is_614_metres(tmp_path: Path):
    source = tmp_path / "line.csv"
    source.write_text("line,longitude,latitude\nTaveuni,179.9985,-16.62\nTaveuni,-179.9990,-16.615\n", encoding="utf-8")
    job = tmp_path / "it.job.gpkg"
    assert command("plan", source, "--job", job).status == 0
    (line,) = packed(job)["lines"]
    assert line["plan_length_m"] == pytest.approx(614.3, abs=0.2)
    assert command("pack", job, "--to", tmp_path / "pack").status == 0


def test_exchanged_latitude_and_longitude_are_asked_about(tmp_path: Path):
    source = tmp_path / "line.csv"
    source.write_text("line,latitude,longitude\nA,147.1,-36.2\nA,147.11,-36.2\n", encoding="utf-8")
    ran = command("plan", source, "--job", tmp_path / "it.job.gpkg", "--crs", "EPSG:7844")
    assert ran.status == 2
    assert "swapped" in ran.one_sentence().lower()
    mended = command("plan", source, "--job", tmp_path / "it.job.gpkg", "--crs", "EPSG:7844", "--columns",
                     "axes=swapped")
    assert mended.status == 0


def test_rows_that_cannot_be_are_named_and_the_rest_is_planned(tmp_path: Path):
    source = tmp_path / "line.csv"
    good = [(147.1 + 0.001 * i, -36.2) for i in range(6)]
    bad = [("147.1", "-90.5"), ("nan", "-36.2"), ("inf", "-36.2"), ("0", "0"), ("", "")]
    table = [f"A,{x},{y}" for x, y in (*good[:3], *bad, *good[3:])]
    table += ["B,147.1,-36.21", "C,147.1,-36.22", "C,147.1,-36.22", "D,147.1,-36.23", "D,147.101,-36.23"]
    source.write_text("\n".join(["line,longitude,latitude", *table]), encoding="utf-8")
    job = tmp_path / "it.job.gpkg"
    ran = command("plan", source, "--job", job, "--crs", "EPSG:7844")
    assert (ran.status, ran.err) == (0, "")
    plan = packed(job)
    assert [line["name"] for line in plan["lines"]] == ["A", "D"]
    assert len(plan["lines"][0]["vertices"]) == len(good)
    for row in (6, 7, 9):
        assert f"line.csv row {row}" in ran.out
    assert "corner 4 of A and 1 more has a latitude beyond 90 degrees (147.1, -90.5); left out" in ran.out
    assert "B has one corner only; left out" in ran.out
    assert "C has one corner only; left out" in ran.out


@pytest.mark.parametrize(
    ("corners", "told"),
    [
        ([(10.0, -89.9999), (10.001, -89.9999)], "beyond 84 north or 80 south"),
        ([(0.0, 0.0), (0.0, 0.0)], "has no row that gives a position"),
        ([(400.0, 10.0), (401.0, 10.0)], "has no row that gives a position"),
        ([(10.0, 91.0), (10.0, 91.1)], "are longitude and latitude swapped"),
    ],
)
def test_places_where_nothing_can_be_fenced(tmp_path: Path, corners, told: str):
    source = tmp_path / "line.csv"
    source.write_text("line,longitude,latitude\n" + "".join(f"A,{x},{y}\n" for x, y in corners), encoding="utf-8")
    ran = command("plan", source, "--job", tmp_path / "it.job.gpkg", "--crs", "EPSG:4326")
    assert ran.status == 2
    assert told in ran.one_sentence()
    assert not (tmp_path / "it.job.gpkg").exists()


def test_a_jump_of_4000_km_is_an_error_and_stays_out_of_the_sums(tmp_path: Path):
    source = tmp_path / "line.csv"
    source.write_text("line,longitude,latitude\nA,147.1,-36.2\nA,147.101,-36.2\nA,115.0,-36.2\nA,147.102,-36.2\n"
                      "B,147.1,-36.21\nB,147.11,-36.21\n", encoding="utf-8")
    job = tmp_path / "it.job.gpkg"
    ran = command("plan", source, "--job", job, "--crs", "EPSG:7844")
    assert ran.status == 0
    assert "ERROR" in ran.out
    assert "jumps" in ran.out
    assert sum(line["plan_length_m"] for line in packed(job)["lines"]) < 2000.0


def test_a_line_of_very_many_corners(tmp_path: Path):
    """Twenty thousand corners 50 mm apart."""
    at = np.arange(20_000) * 0.05
    source = write_lines(tmp_path / "line.geojson", {"Long": np.column_stack((at, np.sin(at / 50.0) * 20)).tolist()})
    job = tmp_path / "it.job.gpkg"
    assert command("plan", source, "--job", job, "--accuracy", "survey").status == 0
    assert len(packed(job)["lines"][0]["vertices"]) == 20_000
