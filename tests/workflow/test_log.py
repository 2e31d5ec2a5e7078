"""What is written down once the work began, through the command line, onto the sheet and into plan.json."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from planner.files.job_file import read_job, write_job
from planner.job.derive import plan_job
from planner.jobpack.basis import basis_of
from planner.jobpack.page.records import Text
from planner.jobpack.plan_json import plan_record
from planner.jobpack.records_sheet import records_pages
from planner.shipped import resources
from planner.survey.features import Feature
from tests.command_line import command, write_lines
from tests.plain_jobs import EAST, NORTH, straight_job

OLD = Feature("Back fence", "existing fence", f"LINESTRING ({EAST} {NORTH + 90}, {EAST + 900} {NORTH + 90})",
              (("built", "2016"), ("value", "10")))


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "plain.job.gpkg"
    write_job(path, replace(straight_job(), features=(OLD,)))
    return path


def test_nothing_written_down_is_nothing_done(job: Path):
    ran = command("log", job)
    assert ran.status == 0
    assert ran.out.splitlines()[0].startswith("Done: ends 0 %, posts 0 %, wires 0 %, finished 0 %; 0.0 of 400.2 m")


def test_from_the_first_post_to_the_flood(job: Path, tmp_path: Path):
    assert "posts 40 %" in command("log", job, "progress", "Home", "posts", "40", "--on", "2026-03-02").out
    track = write_lines(tmp_path / "built.geojson", {"as built": [(0, 0.4), (400, 0.4)]})
    out = command("log", job, "measured", track, "--accuracy", "rtk", "--on", "2026-03-20").out
    assert "Built: 'as built' along Home from 0 to 400 m, 400.2 m along the line, 400.2 m as measured" in out
    out = command("log", job, "finished", "Home", "--on", "2026-03-20", "--cost", "8000,00").out
    assert "finished 100 %; 400.2 of 400.2 m finished" in out
    assert "Stands: Home, General boundary mesh, 400 m, built 2026-03-20" in out
    out = command("log", job, "inspection", "Home", "--on", "2026-04-20", "--found", "top wire slack", "--action",
                  "strain", "--kv", "4.1").out
    assert "2026-04-20 Home: top wire slack; strain (to do); 4.1 kV at the far end" in out
    out = command("log", job, "loss", "Back fence", "--from", "0", "--to", "90", "--cause", "flood", "--on",
                  "2026-06-01").out
    assert "Lost 2026-06-01 to flood: Back fence from 0 to 90 m, 90 m, new 900.00, worth " in out
    assert "NO PHOTOS written down: take them before repair" in out
    kept = read_job(job).records
    assert (len(kept.progress), len(kept.as_built), len(kept.inspections), len(kept.losses), len(kept.built)) == (
        2, 1, 1, 1, 1)

    plan = plan_job(read_job(job))
    record = plan_record(plan)
    jsonschema.validate(record, json.loads((resources() / "plan.schema.json").read_text(encoding="utf-8")))
    assert record["records"]["progress"]["shares"]["finished"] == 1.0
    words = " ".join(mark.text for page in records_pages(basis_of(plan)) for mark in page.marks
                     if isinstance(mark, Text))
    for said in ("How far the work is", "Built against planned", "Inspections", "Fences that stand", "Lost",
                 "Photograph what was lost before anything is repaired"):
        assert said in words


def test_a_job_that_nothing_was_written_down_of_has_no_sheet_and_no_records():
    plan = plan_job(straight_job())
    assert records_pages(basis_of(plan)) == ()
    assert plan_record(plan)["records"] is None


@pytest.mark.parametrize(("words", "said"), [
    (("progress", "Nowhere", "posts", "10"), "there is no line 'Nowhere'"),
    (("progress", "Home", "paint", "10"), "there is no part of the work 'paint'"),
    (("progress", "Home", "posts", "101"), "'101' is not a number from 0 to 100"),
    (("progress", "Home", "posts", "10", "--on", "monday"), "'monday' is no date"),
    (("progress", "Home", "posts", "10", "--on", "2999-01-01"), "2999-01-01 has not come yet"),
    (("progress", "Home", "posts", "10", "--section", "Z9"), "'Home' has no section 'Z9'; there is A1"),
    (("loss", "Home", "--from", "50", "--to", "406", "--cause", "fire"), "loss to 406 m, but 'Home' is 400.2 m long"),
    (("inspection", "Home", "--cost", "much"), "'much' is no amount of money"),
    (("inspection", "Home", "--kv", "nan"), "'nan' is not a number from 0 to 20"),
    (("loss", "Home", "--from", "50", "--to", "10", "--cause", "fire"), "from 50 to 10 m is no stretch"),
    (("finished", "Home", "--life", "0"), "'0' is not a number from 1 to 100"),
    (("measured", "nothing.gpx"), "nothing.gpx")])
def test_what_makes_no_sense_is_one_sentence_and_the_job_stays(job: Path, words: tuple[str, ...], said: str):
    before = job.read_bytes()
    ran = command("log", job, *words)
    assert ran.status == 2
    assert said in ran.one_sentence()
    assert job.read_bytes() == before
