"""A job of each format that was ever written, kept for ever: each opens, and is the same after saving it anew."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.files.job_file import read_job, write_job

JOBS = sorted((Path(__file__).parent / "jobs").glob("format-*.job.gpkg"))


@pytest.mark.parametrize("kept", JOBS, ids=lambda path: path.name)
def test_a_job_of_every_format_opens_and_is_saved_anew(kept: Path, tmp_path: Path) -> None:
    job = read_job(kept)
    assert job.lines
    write_job(tmp_path / "again.job.gpkg", job)
    assert read_job(tmp_path / "again.job.gpkg") == job


def test_none_of_them_is_missing() -> None:
    assert {"format-1.0.job.gpkg", "format-1.1.job.gpkg"} <= {path.name for path in JOBS}
