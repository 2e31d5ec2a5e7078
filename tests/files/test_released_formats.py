"""A job of each format that was ever written, kept for ever: each opens, and is the same after saving it anew."""

from __future__ import annotations

from pathlib import Path

import pytest
from job_samples import full_job

from planner.files.job_file import open_job, read_job, write_job
from planner.files.job_tables import FORMAT
from planner.files.migrations import STEPS

JOBS = sorted((Path(__file__).parent / "jobs").glob("format-*.job.gpkg"))


@pytest.mark.parametrize("kept", JOBS, ids=lambda path: path.name)
def test_a_job_of_every_format_opens_and_is_saved_anew(kept: Path, tmp_path: Path) -> None:
    job = read_job(kept)
    assert job.lines
    write_job(tmp_path / "again.job.gpkg", job)
    assert read_job(tmp_path / "again.job.gpkg") == job


def test_none_of_them_is_missing() -> None:
    formats = [*(step.before for step in STEPS), FORMAT]
    assert {path.name for path in JOBS} == {f"format-{found}.job.gpkg" for found in formats}


@pytest.mark.parametrize(("name", "steps"), [("1.0", 3), ("1.1", 2), ("1.2", 1), ("1.3", 0)])
def test_each_step_says_what_it_did(name: str, steps: int) -> None:
    notes = open_job(Path(__file__).parent / "jobs" / f"format-{name}.job.gpkg").notes
    assert [note.partition(":")[0] for note in notes] == [
        f"Brought from format {step.before} to {step.after}" for step in STEPS[len(STEPS) - steps:]]


def test_the_steps_are_a_chain_that_ends_at_the_format_that_is_written() -> None:
    assert [step.after for step in STEPS] == [*(step.before for step in STEPS[1:]), FORMAT]


def test_the_job_of_the_newest_format_has_something_in_every_place() -> None:
    assert read_job(Path(__file__).parent / "jobs" / f"format-{FORMAT}.job.gpkg") == full_job()
