"""Lines of a job listed and changed through the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.alignment.line import GroundStretch
from planner.files.job_file import read_job, write_job
from tests.command_line import command
from tests.plain_jobs import straight_job


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "plain.job.gpkg"
    write_job(path, straight_job())
    return path


def test_lines_are_listed_and_nothing_is_changed(job: Path):
    before = job.read_bytes()
    out = command("lines", job).out
    assert out.startswith("Home: general-mesh, 400.2 m on the ground")
    assert job.read_bytes() == before


def test_one_line_is_changed(job: Path):
    out = command("lines", job, "--line", "Home", "--fence", "sheep-mesh", "--ground", "0:100:ledge", "--ground",
                  "300:400:soft", "--wires-on", "left").out
    assert "wires on the left; ledge from 0.0 to 100.0 m; soft from 300.0 to 400.0 m" in out
    line = read_job(job).lines[0]
    assert (line.fence, line.wires_on) == ("sheep-mesh", "left")
    assert line.stretches == (GroundStretch(0.0, 100.0, "ledge"), GroundStretch(300.0, 400.0, "soft"))
    command("lines", job, "--line", "Home", "--no-ground", "--rename", "Top")
    assert [(line.name, line.stretches) for line in read_job(job).lines] == [("Top", ())]
    assert command("lines", job, "--line", "Top", "--remove").out == "The job has no lines.\n"


@pytest.mark.parametrize(("words", "said"), [
    (("--fence", "sheep-mesh"), "no line is named"),
    (("--line", "Nowhere", "--remove"), "there is no line 'Nowhere'"),
    (("--line", "Home", "--fence", "silk"), "there is no fence type 'silk'"),
    (("--line", "Home", "--ground", "0:100"), "'0:100' is no stretch of ground"),
    (("--line", "Home", "--ground", "100:0:ledge"), "from 100 to 0 m is no stretch"),
    (("--line", "Home", "--ground", "0:nan:ledge"), "from 0 to nan m is no stretch"),
    (("--line", "Home", "--ground", "0:100:cheese"), "there is no ground class 'cheese'")])
def test_what_cannot_be_is_one_sentence_and_the_job_stays(job: Path, words: tuple[str, ...], said: str):
    before = job.read_bytes()
    ran = command("lines", job, *words)
    assert ran.status == 2
    assert said in ran.one_sentence()
    assert job.read_bytes() == before
