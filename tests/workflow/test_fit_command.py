"""A noisy track fitted through the command line."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from planner.cli import run
from planner.files.job_file import read_job
from planner.shipped import sample_data

WALK = sample_data() / "division-walk.gpx"
CORNER = np.array((455_000.0, 5_951_000.0))
TRUE_CORNERS = np.array([(247.0, 1410.0), (905.0, 1335.0), (1490.0, 1012.0), (1710.0, 300.4)]) + CORNER


def test_the_sample_walk_comes_out_near_the_corners_it_was_made_from(tmp_path: Path, capsys):
    job = tmp_path / "walk.job.gpkg"
    status = run(["fit", str(WALK), "--crs", "EPSG:7855", "--job", str(job)])
    told = capsys.readouterr().out
    assert status == 0
    assert "2330.7 m as recorded" in told
    assert "Left out: stood still for 3 min" in told
    found = read_job(job).lines[0].xy
    assert len(found) == len(TRUE_CORNERS)
    assert np.hypot(*(found - TRUE_CORNERS).T).max() < 12.0  # 2.4 m noise that lasts; one corner turns only 22 deg


def test_a_tolerance_gives_fewer_corners_than_a_tight_one(tmp_path: Path, capsys):
    corners = []
    for tolerance in ("2", "60"):
        job = tmp_path / f"t{tolerance}.job.gpkg"
        assert run(["fit", str(WALK), "--tolerance", tolerance, "--crs", "EPSG:7855", "--job", str(job)]) == 0
        corners.append(len(read_job(job).lines[0].xy))
    assert corners[0] > corners[1] >= 2


def test_a_tolerance_that_is_no_distance_is_one_sentence(tmp_path: Path, capsys):
    assert run(["fit", str(WALK), "--tolerance", "wide", "--job", str(tmp_path / "x.job.gpkg")]) == 2
    assert "'wide' is no number" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())
