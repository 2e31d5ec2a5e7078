"""Legs from a plan through the command line to a planned line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from waiving import check_waiver

from planner.cli import run
from planner.files.job_file import read_job

LEGS = """bearing,distance,radius,hand,arc
92°14'20",412.36
88°02'50",{second}
,,180,right,94.25
118°02'50",205.44
182°31'00",540.10
270°00'00",979.14
0°00'00",662.45
"""
START = ["--start", "455200,5951800"]


@pytest.fixture
def legs(tmp_path: Path) -> Path:
    path = tmp_path / "plan 12.csv"
    path.write_text(LEGS.format(second="318.91"), encoding="utf-8")
    return path


def test_a_sound_plan_becomes_a_ring(legs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "new.job.gpkg"
    assert run(["traverse", str(legs), *START, "--crs", "EPSG:7855", "--job", str(job)]) == 0
    said = capsys.readouterr().out
    assert "measure again" not in said
    assert "plan 12: transcribed, not a survey." in said
    assert "Misclose 0.005 m on 193°54'30\", 1:681,493." in said
    assert "Suspect" not in said
    made = read_job(job)
    assert made.crs == "EPSG:7855"
    (line,) = made.lines
    assert line.closed
    assert "transcribed, not a survey" in line.origin
    assert any("transcribed, not a survey" in note for note in made.notes)
    assert line.xy[0] == pytest.approx([455200.0, 5951800.0], abs=1e-6)
    assert float(np.hypot(*np.diff(line.xy, axis=0).T).sum()) == pytest.approx(3212.65, abs=0.05)


def test_a_gross_misclose_is_told_and_the_line_left_open(legs: Path, tmp_path: Path,
                                                         capsys: pytest.CaptureFixture[str]) -> None:
    legs.write_text(LEGS.format(second="381.91"), encoding="utf-8")
    job = tmp_path / "new.job.gpkg"
    assert run(["traverse", str(legs), *START, "--crs", "EPSG:7855", "--name", "South", "--job", str(job)]) == 0
    said = capsys.readouterr().out
    assert "Suspect leg 2 (row 3): the misclose of 62.999 m on 88°03'05\"" in said
    assert "318.91 instead of 381.91" in said
    assert "left open" in said
    assert [(line.name, line.closed) for line in read_job(job).lines] == [("South", False)]


def test_a_gross_misclose_that_is_shared_out_is_told(legs: Path, tmp_path: Path,
                                                     capsys: pytest.CaptureFixture[str]) -> None:
    legs.write_text(LEGS.format(second="381.91"), encoding="utf-8")
    assert run(["traverse", str(legs), *START, "--crs", "EPSG:7855", "--adjust", "--job",
                str(tmp_path / "new.job.gpkg")]) == 0
    said = capsys.readouterr().out
    assert "worse than 1:2,000" in said
    assert "find it or measure again before the line is used" in said


def test_adjusted_and_added_to_a_job_in_its_own_grid(legs: Path, tmp_path: Path,
                                                     capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "new.job.gpkg"
    assert run(["traverse", str(legs), *START, "--crs", "EPSG:7855", "--job", str(job)]) == 0
    assert run(["traverse", str(legs), *START, "--crs", "EPSG:28355", "--adjust", "--job", str(job)]) == 0
    said = capsys.readouterr().out
    assert "shared out by the compass rule" in said
    assert "measure again" not in said
    first, second = read_job(job).lines
    assert second.name == "plan 12 (2)"
    assert np.hypot(*(second.xy[0] - first.xy[0])) == pytest.approx(1.54, abs=0.02)  # GDA94 read as GDA2020


def test_chains_and_an_open_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    legs = tmp_path / "old.csv"
    legs.write_text("N 45 E,12.34\nS,3c 50l\n", encoding="utf-8")
    job = tmp_path / "new.job.gpkg"
    assert run(["traverse", str(legs), *START, "--crs", "EPSG:7855", "--units", "chain", "--job", str(job)]) == 0
    assert "taken as open" in capsys.readouterr().out
    (line,) = read_job(job).lines
    assert np.hypot(*np.diff(line.xy, axis=0).T) == pytest.approx([248.241, 70.409], abs=0.001)


@pytest.mark.parametrize(("text", "words", "said"), [
    ("90,100\n95°70'00\",20\nx,y\n", [*START, "--crs", "EPSG:7855"], "2 rows cannot be read (row 2: "),
    ("", [*START, "--crs", "EPSG:7855"], "The table is empty"),
    ("90,100\n", [*START], "no coordinate system is stated"),
    ("90,100\n", [*START, "--crs", "EPSG:4326"], "counts in degrees"),
    ("90,100\n", ["--start", "here", "--crs", "EPSG:7855"], "'here' is no position"),
    ("90,100\n", [*START, "--crs", "EPSG:7855", "--close", "none", "--adjust"], "open traverse cannot be adjusted"),
    ("90,100\n", ["--start", "1,2", "--crs", "EPSG:7855"], "in degrees by the look of 1, 2"),
])
def test_refusals_make_no_job(text: str, words: list[str], said: str, tmp_path: Path,
                              capsys: pytest.CaptureFixture[str]) -> None:
    legs = tmp_path / "legs.csv"
    legs.write_text(text, encoding="utf-8")
    job = tmp_path / "new.job.gpkg"
    assert run(["traverse", str(legs), *words, "--job", str(job)]) == 2
    assert said in capsys.readouterr().err
    assert not job.exists()


def test_a_file_in_another_encoding_and_one_that_is_no_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    legs, job = tmp_path / "legs.csv", tmp_path / "new.job.gpkg"
    legs.write_bytes("92°14'20\",412.36\n".encode("cp1252"))
    assert run(["traverse", str(legs), *START, "--crs", "EPSG:7855", "--job", str(job)]) == 0
    legs.write_bytes(b"\x00\x01")
    assert run(["traverse", str(legs), *START, "--job", str(job)]) == 2
    assert run(["traverse", str(tmp_path / "none.csv"), *START, "--job", str(job)]) == 2
    said = capsys.readouterr().err
    assert "this is no text" in said
    assert "cannot be read: No such file" in said


@pytest.mark.rules(fires="traverse-03 traverse-04", aside="traverse-03 traverse-04")
def test_what_was_doubtful_in_the_legs_stays_with_the_job_until_it_is_set_aside(tmp_path: Path) -> None:
    table, job = tmp_path / "doubtful.csv", tmp_path / "new.job.gpkg"
    table.write_text("bearing,distance,radius,hand,chord\n92.1420,412.36\n88.0250,318.91\n118.0250,90,180,right,80\n"
                     "182.3100,540.10\n", encoding="utf-8")
    assert run(["traverse", str(table), *START, "--crs", "EPSG:7855", "--job", str(job)]) == 0
    kept = read_job(job)
    assert [finding.rule for finding in kept.noticed] == ["traverse-04", "traverse-03"]
    assert kept.noticed[0].place.row == 4
    for rule in ("traverse-03", "traverse-04"):
        check_waiver(kept, rule)


@pytest.mark.rules(fires="traverse-05", aside="traverse-05")
def test_commas_that_could_set_thousands_apart_stay_with_the_job_until_they_are_set_aside(tmp_path: Path) -> None:
    table, job = tmp_path / "commas.csv", tmp_path / "new.job.gpkg"
    table.write_text("bearing;distance\n0;1,234\n90;412,360\n", encoding="utf-8")
    assert run(["traverse", str(table), *START, "--crs", "EPSG:7855", "--job", str(job)]) == 0
    assert [finding.rule for finding in read_job(job).noticed] == ["traverse-05"]
    check_waiver(read_job(job), "traverse-05")
