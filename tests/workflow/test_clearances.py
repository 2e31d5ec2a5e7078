"""What has to be settled before the first post, through the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner.files.job_file import read_job, write_job
from tests.command_line import command
from tests.plain_jobs import straight_job


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "plain.job.gpkg"
    write_job(path, straight_job())
    return path


def test_the_list_says_what_is_open(job: Path):
    ran = command("clearances", job)
    assert ran.status == 0
    assert ran.out.splitlines()[0] == "OPEN  services    Underground services asked for and marked: open"
    assert "Not issued for build: Underground services asked for and marked: open." in ran.out


def test_from_open_to_issued_and_onto_the_sheets(job: Path, tmp_path: Path):
    command("clearances", job, "--settle", "services", "--on", "2026-01-05", "--until", "2999-01-05", "--number", "E 1")
    assert "Nothing holds it back" in command("clearances", job).out
    assert "Issued for build on 2026-01-06 by J. Doe." in command(
        "clearances", job, "--issue", "J. Doe", "--on", "2026-01-06").out
    assert command("pack", job, "--to", tmp_path / "pack", "--only", "plan.json").status == 0
    plan = json.loads((tmp_path / "pack" / "plan.json").read_text(encoding="utf-8"))
    assert plan["issued_for_build"] == {"on": "2026-01-06", "by": "J. Doe"}
    assert [(item["kind"], item["state"], item["reference"]) for item in plan["before_start"]] == [
        ("services", "settled", "E 1")]


def test_what_has_run_out_withdraws_it_and_check_fails(job: Path):
    command("clearances", job, "--settle", "services", "--on", "2026-01-05", "--until", "2026-01-30")
    command("clearances", job, "--issue", "J. Doe", "--on", "2026-01-06")
    checked = command("check", job)
    assert checked.status == 1
    assert "before-01" in checked.rules


def test_one_more_thing_not_needed_and_taken_back(job: Path):
    command("clearances", job, "--add", "funding", "--about", "Creek trust")
    assert "OPEN  funding     Funder has approved before work starts (Creek trust): open" in command(
        "clearances", job).out
    out = command("clearances", job, "--not-needed", "funding", "--about", "Creek trust", "--note", "paid by us").out
    assert "done  funding     Funder has approved before work starts (Creek trust): not needed, paid by us" in out
    command("clearances", job, "--take-back", "funding", "--about", "Creek trust")
    assert read_job(job).clearances == ()


@pytest.mark.parametrize(("words", "said"), [
    (("--settle", "everything"), "there is nothing to settle called 'everything'"),
    (("--settle", "services", "--on", "tomorrow"), "'tomorrow' is no date"),
    (("--settle", "services", "--on", "2999-01-01"), "2999-01-01 has not come yet"),
    (("--issue", "me"), "it cannot be issued for build: Underground services asked for and marked: open"),
    (("--settle", "services", "--on", "2026-02-01", "--until", "2026-01-31"), "2026-01-31 is before 2026-02-01"),
    (("--not-needed", "services"), "'services' is not said why it is not needed"),
    (("--take-back", "services"), "nothing is written down of services"),
    (("--settle", "services", "--issue", "me"), "--settle and --issue were both said")])
def test_what_cannot_be_is_one_sentence_and_the_job_stays(job: Path, words: tuple[str, ...], said: str):
    before = job.read_bytes()
    ran = command("clearances", job, *words)
    assert ran.status == 2
    assert said in ran.one_sentence()
    assert job.read_bytes() == before
