"""What is said of a coordinate system that was given beside files."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import EAST, GRID, NORTH, write_lines

from planner.files.survey_in import Wanted, new_job, survey_into
from planner.findings import Finding
from planner.settings import Settings


def of_the_system(source: Path, stated: str) -> list[Finding]:
    done = survey_into(new_job("farm", Settings()), [source], [], Wanted("general-mesh", stated=stated))
    return [finding for finding in done.findings if finding.rule == "survey-32"]


@pytest.mark.rules(fires="survey-32")
def test_a_system_that_no_file_needed_is_told(tmp_path: Path):
    (finding,) = of_the_system(write_lines(tmp_path / "a.geojson", {"A": [(0, 0), (300, 0)]}), "EPSG:4326")
    assert "'EPSG:4326' was not needed" in finding.message
    assert "GDA2020 / MGA zone 55" in finding.message


@pytest.mark.rules(silent="survey-32")
def test_a_system_that_is_the_working_grid_or_that_a_file_needed_is_not(tmp_path: Path):
    assert of_the_system(write_lines(tmp_path / "a.geojson", {"A": [(0, 0), (300, 0)]}), GRID) == []
    table = tmp_path / "a.csv"
    table.write_text(f"easting,northing,line\n{EAST},{NORTH},A\n{EAST + 300},{NORTH},A\n", encoding="utf-8")
    assert of_the_system(table, "EPSG:28355") == []
