"""Every command, run from end to end: what it writes, what it says, and how it ends when it cannot."""

from __future__ import annotations

import csv
import json
import sqlite3
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from command_line import command, write_lines
from plan_invariants import check_plan, read_plan
from terrain_files import write_raster

from planner.files.job_file import read_job, write_job
from planner.files.writers.shapefile_set import ENDINGS
from planner.job.derive import plan_job, waiver_place
from planner.job.job import Waiver
from planner.jobpack.register import OUTPUTS
from planner.spec.catalogue import load_catalogue

SMALL = {"Home": [(0, 0, 10.0), (400, 0, 12.0), (400, 300, 14.0)]}


@pytest.fixture
def source(tmp_path: Path) -> Path:
    return write_lines(tmp_path / "home.geojson", SMALL)


@pytest.fixture
def job(tmp_path: Path, source: Path) -> Path:
    path = tmp_path / "farm.job.gpkg"
    assert command("plan", source, "--job", path, "--accuracy", "survey").status == 0
    return path


def line_names(job: Path) -> list[str]:
    return [line.name for line in read_job(job).lines]


# demo


def test_demo_writes_every_file_of_the_job_pack_and_the_job(demo):
    assert demo.ran.status == 0
    assert demo.ran.err == ""
    written = {p.name for p in demo.folder.iterdir()}
    assert written >= {*(o.name for o in OUTPUTS), demo.job.name}
    beside_lines_shp = {name for name in written if name.startswith("lines-") or name.endswith(ENDINGS[:-1])}
    assert all(name in demo.ran.out for name in written - beside_lines_shp)
    assert all(p.stat().st_size > 0 for p in demo.folder.iterdir())


def test_demo_shows_a_table_that_adds_up(demo):
    plan = read_plan(demo.folder / "plan.json")
    rows = demo.ran.out.splitlines()
    for line in plan["lines"]:
        (row,) = [r for r in rows if r.startswith(line["name"])]
        assert f"{line['slope_length_m']:,.1f}".replace(",", " ") in row
        assert line["fence"] in row
    total = next(r for r in rows if r.startswith("total"))
    whole = sum(line["slope_length_m"] for line in plan["lines"])
    assert f"{whole:,.1f}".replace(",", " ") in total
    assert "advisory" in demo.ran.out


def test_demo_keeps_what_always_holds(demo):
    check_plan(read_plan(demo.folder / "plan.json"))


def test_demo_finds_no_error(demo):
    ran = command("check", demo.job)
    assert (ran.status, ran.err) == (0, "")
    assert "ERROR" not in ran.out


def test_demo_into_a_path_under_a_file_says_so(tmp_path: Path):
    (tmp_path / "taken").write_text("", encoding="utf-8")
    ran = command("demo", "--to", tmp_path / "taken" / "pack")
    assert ran.status == 2
    assert "the folder cannot be made" in ran.one_sentence()


# plan


def test_plan_makes_a_job_and_says_what_it_holds(tmp_path: Path, source: Path):
    job = tmp_path / "farm.job.gpkg"
    ran = command("plan", source, "--job", job, "--fence", "sheep-mesh", "--accuracy", "rtk")
    assert (ran.status, ran.err) == (0, "")
    assert "Home: sheep-mesh, 700.3 m on the ground" in ran.out
    held = read_job(job)
    assert (held.name, held.crs) == ("farm", "EPSG:7855")
    assert [(n.name, n.fence, n.accuracy) for n in held.lines] == [("Home", "sheep-mesh", "rtk")]


def test_plan_adds_to_a_job_and_keeps_what_is_there(tmp_path: Path, job: Path):
    more = write_lines(tmp_path / "more.geojson", {"Creek": [(0, 500, 3.0), (300, 500, 4.0)]})
    before = read_job(job)
    assert command("plan", more, "--job", job, "--fence", "cattle-barbed-4").status == 0
    after = read_job(job)
    assert after.lines[0] == before.lines[0]
    assert after.levels["Home"] == before.levels["Home"]
    assert [(n.name, n.fence) for n in after.lines] == [("Home", "general-mesh"), ("Creek", "cattle-barbed-4")]


def test_a_line_of_a_name_that_is_taken_gets_a_number(job: Path, source: Path):
    assert command("plan", source, "--job", job).status == 0
    assert line_names(job) == ["Home", "Home (2)"]


def test_replace_throws_the_present_lines_away_and_keeps_settings(tmp_path: Path, job: Path):
    more = write_lines(tmp_path / "more.geojson", {"Creek": [(0, 500, 3.0), (300, 500, 4.0)]})
    assert command("plan", more, "--job", job, "--set", "corner_deg=15").status == 0
    assert command("plan", more, "--job", job, "--replace").status == 0
    assert line_names(job) == ["Creek"]
    assert set(read_job(job).levels) == {"Creek"}
    assert read_job(job).settings.corner_deg == 15.0


def test_new_terrain_elsewhere_does_not_take_a_line_its_ground(tmp_path: Path, job: Path):
    far = write_raster(tmp_path / "far.tif", np.full((40, 40), 90.0), west=500_000.0, north=6_005_000.0, cell=2.0)
    more = write_lines(tmp_path / "more.geojson", {"Far": [(10, 4950), (60, 4950)]})
    before = read_job(job).levels["Home"]
    assert command("plan", more, "--job", job, "--ground", far).status == 0
    after = read_job(job).levels
    assert after["Home"].level_m[0] == before.level_m[0] == 10.0
    assert after["Home"].level_m[-1] == before.level_m[-1] == 14.0
    assert set(after["Far"].level_m) == {90.0}


def test_new_points_give_ground_to_lines_that_are_there(tmp_path: Path):
    flat = write_lines(tmp_path / "flat.geojson", {"Flat": [(0, 0), (100, 0)], "Other": [(0, 900), (50, 900)]})
    job = tmp_path / "farm.job.gpkg"
    assert command("plan", flat, "--job", job).status == 0
    assert "Flat" not in read_job(job).levels
    points = tmp_path / "points.csv"
    points.write_text("name,easting,northing,level\na,500000,6000000,5\nb,500100,6000000,7\n", encoding="utf-8")
    again = write_lines(tmp_path / "again.geojson", {"Again": [(0, 700), (100, 700)]})
    ran = command("plan", again, "--job", job, "--ground", points, "--crs", "EPSG:7855", "--accuracy", "survey")
    assert ran.status == 0
    assert read_job(job).levels["Flat"].level_m[[0, -1]].tolist() == [5.0, 7.0]


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (["--fence", "no-such"], "there is no fence type 'no-such'"),
        (["--set", "corner_deg=30.1"], "'30.1' is not a number from 0 to 30 deg"),
        (["--set", "corner_deg=-0.1"], "'-0.1' is not a number from 0 to 30 deg"),
        (["--set", "corner_deg=nan"], "'nan' is not a number from 0 to 30 deg"),
        (["--set", "corner_deg="], "'' is not a number"),
        (["--set", "bites_allowed=1.5"], "'1.5' is not a whole number"),
        (["--set", "roll_joins_allowed=perhaps"], "'perhaps' is neither yes nor no"),
        (["--set", "corners=3"], "no such setting"),
        (["--set", "corner_deg"], "not of the form NAME=VALUE"),
        (["--set", "=3"], "not of the form NAME=VALUE"),
        (["--accuracy", "good"], "there is no accuracy class 'good'"),
        (["--crs", "EPSG:99999"], "'EPSG:99999' is no coordinate system"),
        (["--crs", "nonsense"], "'nonsense' is no coordinate system"),
        (["--columns", "east=3"], "nothing can be chosen by the name 'east'"),
        (["--ground", "no-such.tif"], "there is no such file"),
    ],
)
def test_plan_refuses_what_it_does_not_know(tmp_path: Path, source: Path, more: list[str], told: str):
    job = tmp_path / "farm.job.gpkg"
    ran = command("plan", source, "--job", job, *more)
    assert ran.status == 2
    assert told in ran.one_sentence()
    assert not job.exists()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["home.geojson"]


@pytest.mark.parametrize(("value", "held"), [("0", 0.0), ("30", 30.0)])
def test_a_setting_may_stand_on_its_limit(tmp_path: Path, source: Path, value: str, held: float):
    job = tmp_path / "farm.job.gpkg"
    assert command("plan", source, "--job", job, "--set", f"corner_deg={value}").status == 0
    assert read_job(job).settings.corner_deg == held


def test_a_failing_plan_leaves_the_old_job_byte_for_byte(tmp_path: Path, job: Path):
    before = job.read_bytes()
    assert command("plan", tmp_path / "gone.gpx", "--job", job).status == 2
    assert job.read_bytes() == before


@pytest.mark.parametrize(
    ("name", "told"),
    [("farm.gpkg", "a job file is named NAME.job.gpkg"), ("gone/farm.job.gpkg", "there is no such folder")],
)
def test_plan_refuses_a_job_that_cannot_be(tmp_path: Path, source: Path, name: str, told: str):
    ran = command("plan", source, "--job", tmp_path / name)
    assert ran.status == 2
    assert told in ran.one_sentence()


def test_plan_never_writes_over_another_programs_geopackage(tmp_path: Path, source: Path):
    other = tmp_path / "theirs.job.gpkg"
    with sqlite3.connect(other) as database:
        database.execute("CREATE TABLE theirs (id INTEGER)")
    database.close()
    before = other.read_bytes()
    ran = command("plan", source, "--job", other)
    assert ran.status == 2
    assert "not a job of this program" in ran.one_sentence()
    assert other.read_bytes() == before


def test_a_source_without_a_coordinate_system_needs_one(tmp_path: Path):
    table = tmp_path / "line.csv"
    table.write_text("line,easting,northing\nA,500000,6000000\nA,500100,6000000\n", encoding="utf-8")
    job = tmp_path / "farm.job.gpkg"
    ran = command("plan", table, "--job", job)
    assert ran.status == 2
    assert "no coordinate system is stated" in ran.one_sentence()
    assert "--crs" in ran.one_sentence()
    assert not job.exists()
    assert command("plan", table, "--job", job, "--crs", "EPSG:7855").status == 0
    assert read_job(job).crs == "EPSG:7855"


def test_what_was_wrong_with_a_source_is_told_and_kept(tmp_path: Path):
    source = write_lines(tmp_path / "two.geojson", {"Good": [(0, 0), (100, 0)], "Point": [(5, 5), (5, 5)]})
    ran = command("plan", source, "--job", tmp_path / "farm.job.gpkg")
    assert ran.status == 0
    assert "Point" in ran.out.split("Good:")[0]
    assert line_names(tmp_path / "farm.job.gpkg") == ["Good"]
    assert any("Point" in note for note in read_job(tmp_path / "farm.job.gpkg").notes)


def test_nothing_to_plan_is_one_sentence(tmp_path: Path):
    source = write_lines(tmp_path / "none.geojson", {})
    ran = command("plan", source, "--job", tmp_path / "farm.job.gpkg")
    assert ran.status == 2
    ran.one_sentence()


# pack


def test_pack_writes_only_what_is_named(tmp_path: Path, job: Path):
    ran = command("pack", job, "--to", tmp_path / "pack", "--only", "plan.json, pegs.csv")
    assert ran.status == 0
    assert {p.name for p in (tmp_path / "pack").iterdir()} == {"plan.json", "pegs.csv"}
    assert [Path(row).name for row in ran.out.split()] == ["plan.json", "pegs.csv"]


def test_pack_refuses_a_name_it_does_not_know_before_anything_is_written(tmp_path: Path, job: Path):
    ran = command("pack", job, "--to", tmp_path / "pack", "--only", "plan.json,plan.xml")
    assert ran.status == 2
    assert "the job pack has no file 'plan.xml'" in ran.one_sentence()
    assert not (tmp_path / "pack").exists()


def test_pack_into_a_path_under_a_file_says_so(tmp_path: Path, job: Path, source: Path):
    ran = command("pack", job, "--to", source / "pack")
    assert ran.status == 2
    assert "the folder cannot be made" in ran.one_sentence()


def test_pack_where_a_folder_has_the_name_of_a_file(tmp_path: Path, job: Path):
    (tmp_path / "pack" / "plan.json").mkdir(parents=True)
    ran = command("pack", job, "--to", tmp_path / "pack", "--only", "plan.json")
    assert ran.status == 2
    assert "it cannot be written" in ran.one_sentence()
    assert [p.name for p in (tmp_path / "pack").iterdir()] == ["plan.json"]


def test_pegs_have_unique_short_names_and_their_datum(tmp_path: Path, demo):
    text = (demo.folder / "pegs.csv").read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(text.splitlines()))
    names = [row["name"] for row in rows]
    assert len(names) == len(set(names)) > 50
    assert max(map(len, names)) <= 10
    assert {row["grid"] for row in rows} == {"GDA2020 / MGA zone 55"}
    assert {row["lonlat_datum"] for row in rows} == {"GDA2020"}


@pytest.mark.parametrize(
    ("file", "told"),
    [("gone.job.gpkg", "there is no such job"), ("text.job.gpkg", "it is not a job of this program"),
     ("empty.job.gpkg", "not a job of this program")],
)
@pytest.mark.parametrize("words", [("check",), ("pack", "--to", "x")])
def test_what_is_no_job_is_refused_in_one_sentence(tmp_path: Path, file: str, told: str, words: tuple[str, ...]):
    (tmp_path / "text.job.gpkg").write_text("this is no job, but it is long enough to be looked into" * 20)
    (tmp_path / "empty.job.gpkg").write_bytes(b"")
    ran = command(words[0], tmp_path / file, *words[1:])
    assert ran.status == 2
    assert told in ran.one_sentence()


# check


def test_check_ends_with_1_when_an_error_stands_and_with_0_once_it_is_waived(tmp_path: Path):
    cross = write_lines(tmp_path / "cross.geojson", {"Knot": [(0, 0), (100, 0), (100, 50), (50, -50)]})
    job = tmp_path / "farm.job.gpkg"
    assert command("plan", cross, "--job", job).status == 0
    ran = command("check", job)
    assert ran.status == 1
    assert ran.out.startswith("ERROR  ")
    told = command("check", job, "--json")
    assert told.status == 1
    records = json.loads(told.out)
    assert [r["severity"] for r in records] == sorted((r["severity"] for r in records),
                                                      key=["error", "warning", "note"].index)
    held = read_job(job)
    errors = [f for f in plan_job(held).findings if f.severity == "error"]
    assert errors
    write_job(job, replace(held, waivers=tuple(
        Waiver(f.rule, f.place.line, waiver_place(f), "it is a figure of eight") for f in errors)))
    waived = command("check", job)
    assert waived.status == 0
    assert "Waived: it is a figure of eight" in waived.out


def test_check_json_holds_every_field(job: Path):
    for record in json.loads(command("check", job, "--json").out):
        assert set(record) == {"rule", "severity", "message", "remedy", "where", "source", "waived"}


# fences


def test_fences_lists_every_type():
    ran = command("fences")
    assert ran.status == 0
    assert [row.split()[0] for row in ran.out.splitlines()[1:] if row[:1].isalpha()][:3] == sorted(
        load_catalogue().fences)[:3]
    assert all(key in ran.out for key in load_catalogue().fences)


def test_fences_explains_one_with_its_sources():
    ran = command("fences", "general-mesh")
    assert ran.status == 0
    assert "11.33 kN" in ran.out


def test_fences_json_of_one_and_of_all():
    one = json.loads(command("fences", "cattle-barbed-4", "--json").out)
    every = json.loads(command("fences", "--json").out)
    assert one["key"] == "cattle-barbed-4"
    assert one in every
    assert len(every) == len(load_catalogue().fences)


@pytest.mark.parametrize("words", [("fences", "nope"), ("fences", "nope", "--json")])
def test_an_unknown_fence_is_named_with_the_known_ones(words: tuple[str, ...]):
    ran = command(*words)
    assert ran.status == 2
    assert "general-mesh" in ran.one_sentence()


# prices


HEAD = "item,unit,pack,price,supplier,date,tax class\n"


def test_prices_are_loaded_and_used(tmp_path: Path, job: Path):
    table = tmp_path / "prices.csv"
    table.write_text(HEAD + "strainer-2400-200,each,1,61.50,Rural store,2026-01-05,standard\n", encoding="utf-8")
    ran = command("prices", job, "--csv", table)
    assert ran.status == 0
    assert "1 prices loaded" in ran.out
    command("pack", job, "--to", tmp_path / "pack", "--only", "plan.json")
    cost = read_plan(tmp_path / "pack" / "plan.json")["cost"]
    (row,) = [r for r in cost["lines"] if r["item"] == "strainer-2400-200"]
    assert row["amount"] == pytest.approx(61.5 * row["quantity"])
    assert not cost["complete"]


def test_a_bad_row_of_prices_is_named_and_the_good_ones_are_kept(tmp_path: Path, job: Path):
    table = tmp_path / "prices.csv"
    table.write_text(HEAD + "strainer-2400-200,each,1,61.50,Rural store,2026-01-05,standard\n"
                     "steel-post-1800,each,10,cheap,Rural store,2026-01-05,standard\n"
                     "no-such-item,each,1,5,Rural store,2026-01-05,standard\n", encoding="utf-8")
    ran = command("prices", job, "--csv", table)
    assert ran.status == 0
    assert "row 3" in ran.out
    assert "row 4" in ran.out
    assert [price.item for price in read_job(job).prices.prices.values()] == ["strainer-2400-200"]


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", HEAD, HEAD + "no-such-item,each,1,5,Store,2026-01-05,\n"])
def test_a_file_that_is_no_price_list(tmp_path: Path, job: Path, text: str):
    table = tmp_path / "prices.csv"
    table.write_text(text, encoding="utf-8")
    before = job.read_bytes()
    ran = command("prices", job, "--csv", table)
    assert ran.status == 2
    ran.one_sentence()
    assert job.read_bytes() == before


# words


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("fly",), "there is no command 'fly'"),
        (("plan",), "required: SOURCE, --job"),
        (("pack", "x.job.gpkg"), "required: --to"),
        (("fences", "--colour"), "unrecognized arguments: --colour"),
        (("check",), "required: JOB"),
    ],
)
def test_words_that_make_no_command(words: tuple[str, ...], told: str):
    ran = command(*words)
    assert ran.status == 2
    assert told in ran.one_sentence()


@pytest.mark.parametrize("words", [("--help",), ("plan", "--help"), ("--version",)])
def test_help_and_version_end_well(words: tuple[str, ...]):
    ran = command(*words)
    assert (ran.status, ran.err) == (0, "")
    assert "strainwright" in ran.out
