"""Set-back lines through the command line: a creek in a file, a job made or added to, and what is refused."""

from __future__ import annotations

from pathlib import Path

import geopandas
import numpy as np
import pytest
import shapely

from planner.alignment.line import FenceLine
from planner.cli import run
from planner.files.job_file import read_job, write_job
from planner.job.job import Job
from planner.survey.features import Feature

EAST, NORTH = 455_200.0, 5_951_800.0
X = np.linspace(0.0, 400.0, 201)
CREEK = shapely.LineString(np.column_stack((X + EAST, 28.0 * np.sin(2 * np.pi * X / 150.0) + NORTH)))
POND = shapely.Point(EAST + 200.0, NORTH + 300.0).buffer(30.0)
ASKED = ["--distance", "20", "--give", "25", "--quiet"]


@pytest.fixture
def creek(tmp_path: Path) -> str:
    path = tmp_path / "creek.gpkg"
    geopandas.GeoDataFrame({"name": ["Mill Creek"]}, geometry=[CREEK], crs="EPSG:7855").to_file(path)
    return str(path)


def test_both_banks_become_lines_of_a_new_job(creek: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "creek.job.gpkg"
    assert run(["setback", creek, "--job", str(path), "--bank", "both", "--baseline", "centreline", "--half-width", "4",
                "--gate-at", "200", *ASKED]) == 0
    said = capsys.readouterr().out
    assert "following the edge" in said
    assert "proven to be the cheapest" in said
    job = read_job(path)
    assert [line.name for line in job.lines] == ["Mill Creek left set-back", "Mill Creek right set-back"]
    for line in job.lines:
        fence = shapely.LineString(line.xy)
        assert fence.distance(CREEK) >= 23.999
        assert len(line.gates) == 1
        assert fence.distance(shapely.Point(line.gates[0].x, line.gates[0].y)) < 0.001
        assert f"{line.name}: general-mesh" in said
    assert any("Set-back of 20 m, give 25 m, counted from the centreline and 4 m beside it" in n for n in job.notes)


def test_a_line_ends_on_the_paddock_of_a_job(creek: str, tmp_path: Path) -> None:
    path = tmp_path / "farm.job.gpkg"
    ring = np.array([(60, -150), (330, -150), (330, 150), (60, 150), (60, -150)]) + np.array([EAST, NORTH])
    write_job(path, Job("farm", "EPSG:7855", (FenceLine("Home", "cattle-barbed-4", ring, True, "survey"),)))
    assert run(["setback", creek, "--job", str(path), "--bank", "left", "--baseline", "edge", "--paddock", "Home",
                *ASKED]) == 0
    home, line = read_job(path).lines
    assert line.fence == home.fence
    assert line.xy[[0, -1], 0].tolist() == pytest.approx([EAST + 60.0, EAST + 330.0])


def test_a_pond_is_gone_round(tmp_path: Path) -> None:
    file, path = tmp_path / "pond.gpkg", tmp_path / "pond.job.gpkg"
    geopandas.GeoDataFrame({"name": ["Pond"]}, geometry=[POND], crs="EPSG:7855").to_file(file)
    assert run(["setback", str(file), "--job", str(path), "--bank", "around", "--baseline", "edge", *ASKED]) == 0
    line, = read_job(path).lines
    assert line.closed
    assert shapely.Polygon(line.xy).contains(POND.buffer(19.9))


def test_the_baseline_is_asked(creek: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "creek.job.gpkg"
    assert run(["setback", creek, "--job", str(path), "--bank", "left", *ASKED]) == 2
    assert "the centreline, the water's edge or the top of the bank?" in capsys.readouterr().err
    assert not path.exists()


@pytest.mark.parametrize(("words", "said"), [
    (["--name", "Long Brook"], "no feature 'Long Brook'"),
    (["--paddock", "Home"], "no closed line 'Home'"),
    (["--fence", "hedge"], "no fence type 'hedge'"),
    (["--start", "1,2"], "the start asked for is"),
    (["--start", "here"], "'here' is no position"),
])
def test_what_cannot_be_done_is_said(creek: str, tmp_path: Path, capsys: pytest.CaptureFixture[str],
                                     words: list[str], said: str) -> None:
    path = tmp_path / "creek.job.gpkg"
    assert run(["setback", creek, "--job", str(path), "--bank", "left", "--baseline", "edge", *ASKED, *words]) == 2
    assert said in capsys.readouterr().err
    assert not path.exists()


def _job_with(path: Path, **facts: str) -> Path:
    write_job(path, Job("farm", "EPSG:7855", features=(
        Feature("Mill Creek", "water", CREEK.wkt, tuple(facts.items())),
        Feature("Trough", "trough", f"POINT ({EAST} {NORTH})"))))
    return path


def test_a_creek_of_the_job_says_itself_what_was_drawn_and_how_wide_it_is(creek: str, tmp_path: Path) -> None:
    path, other = _job_with(tmp_path / "farm.job.gpkg", part="centreline", width="8"), tmp_path / "other.job.gpkg"
    assert run(["setback", "--feature", "Mill Creek", "--job", str(path), "--bank", "left", *ASKED]) == 0
    assert run(["setback", creek, "--job", str(other), "--bank", "left", "--baseline", "centreline", "--half-width",
                "4", *ASKED]) == 0
    (line,), (same,) = read_job(path).lines, read_job(other).lines
    assert line.name == same.name == "Mill Creek left set-back"
    assert line.xy == pytest.approx(same.xy, abs=0.01)


def test_what_is_said_goes_before_what_the_job_says(tmp_path: Path) -> None:
    path = _job_with(tmp_path / "farm.job.gpkg", part="centreline", width="8")
    assert run(["setback", "--feature", "Mill Creek", "--job", str(path), "--bank", "left", "--baseline", "edge",
                *ASKED]) == 0
    (line,) = read_job(path).lines
    assert 19.99 <= shapely.LineString(line.xy).distance(CREEK) < 23.9


@pytest.mark.parametrize(("words", "facts", "said"), [
    (["--feature", "Mill Creek"], {}, "what is drawn in 'Mill Creek'"),
    (["--feature", "Long Brook"], {}, "no line or area 'Long Brook' among its features"),
    (["--feature", "Trough", "--baseline", "edge"], {}, "no line or area 'Trough'"),
    (["--feature", "Mill Creek", "--name", "x"], {"part": "edge"}, "both a file and features of the job"),
    (["--baseline", "edge"], {}, "nothing says what to stay clear of"),
])
def test_features_of_the_job_that_cannot_be_used(words: list[str], facts: dict[str, str], said: str, tmp_path: Path,
                                                 capsys: pytest.CaptureFixture[str]) -> None:
    path = _job_with(tmp_path / "farm.job.gpkg", **facts)
    before = path.read_bytes()
    assert run(["setback", *words, "--job", str(path), "--bank", "left", *ASKED]) == 2
    assert said in capsys.readouterr().err
    assert path.read_bytes() == before
