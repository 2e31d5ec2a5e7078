"""A traced line straightened through the command line."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import shapely

from planner.cli import run
from planner.files.job_file import read_job


@pytest.fixture
def traced(tmp_path: Path) -> Path:
    """A line of two straights, traced by hand: 41 corners that stray by up to a metre."""
    random = np.random.default_rng(3)
    straight = shapely.LineString([(0, 0), (200, 10), (380, 150)])
    at = np.linspace(0, straight.length, 41)
    xy = np.array([straight.interpolate(d).coords[0] for d in at]) + random.uniform(-0.7, 0.7, (41, 2))
    degrees = np.column_stack((147.0 + xy[:, 0] / 89_000, -36.6 + xy[:, 1] / 111_000))
    path = tmp_path / "traced.geojson"
    path.write_text(json.dumps({"type": "LineString", "coordinates": degrees.tolist()}), encoding="utf-8")
    return path


def test_a_traced_line_keeps_its_one_corner(traced: Path, tmp_path: Path, capsys):
    job = tmp_path / "t.job.gpkg"
    assert run(["straighten", str(traced), "--tolerance", "2.5", "--job", str(job)]) == 0
    told = capsys.readouterr().out
    assert "41 corners became 3, 38 saved" in told
    assert len(read_job(job).lines[0].xy) == 3


def test_a_fixed_corner_stays(traced: Path, tmp_path: Path):
    free, held = tmp_path / "free.job.gpkg", tmp_path / "held.job.gpkg"
    assert run(["straighten", str(traced), "--tolerance", "2.5", "--job", str(free)]) == 0
    assert run(["straighten", str(traced), "--tolerance", "2.5", "--fixed", "11", "--job", str(held)]) == 0
    assert len(read_job(held).lines[0].xy) == len(read_job(free).lines[0].xy) + 1


def test_a_corner_that_is_not_there_is_one_sentence(traced: Path, tmp_path: Path, capsys):
    assert run(["straighten", str(traced), "--tolerance", "2.5", "--fixed", "99", "--job",
                str(tmp_path / "x.job.gpkg")]) == 2
    assert "'99' is no corner of" in capsys.readouterr().err
    assert not (tmp_path / "x.job.gpkg").exists()
