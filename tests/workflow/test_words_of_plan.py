"""What ``plan`` says when nothing could be used, and when what it planned holds errors."""

from __future__ import annotations

from pathlib import Path

import geopandas
from command_line import GRID, command, write_lines
from shapely import Polygon


def test_why_nothing_is_left_is_what_was_left_out_and_not_what_was_mended(tmp_path: Path):
    """A ring there and back is closed first, and is no ring even then."""
    ring = geopandas.GeoDataFrame({"name": ["R"]}, geometry=[Polygon([(5e5, 6e6), (5e5 + 100, 6e6), (5e5, 6e6)])],
                                  crs=GRID)
    ring.to_file(tmp_path / "r.gpkg", driver="GPKG")
    done = command("plan", tmp_path / "r.gpkg", "--job", tmp_path / "a.job.gpkg")
    assert done.status == 2
    assert "left out" in done.one_sentence()


def test_errors_are_counted(tmp_path: Path):
    """The line crosses itself, and the land that it closes in has no gate."""
    bow = write_lines(tmp_path / "bow.geojson", {"bow": [(0, 0), (300, 300), (300, 0), (0, 300)]})
    assert "2 of them errors" in command("plan", bow, "--job", tmp_path / "a.job.gpkg").out


def test_no_errors_are_not_spoken_of(tmp_path: Path):
    plain = write_lines(tmp_path / "plain.geojson", {"plain": [(0, 0), (300, 0)]})
    assert "of them" not in command("plan", plain, "--job", tmp_path / "a.job.gpkg").out


def test_a_line_that_is_in_the_job_already_is_told_when_it_comes_again(tmp_path: Path):
    plain = write_lines(tmp_path / "plain.geojson", {"plain": [(0, 0), (300, 0)]})
    assert "line-59" not in command("plan", plain, "--job", tmp_path / "a.job.gpkg").out
    again = command("plan", plain, "--job", tmp_path / "a.job.gpkg")
    assert "line-59" in again.rules
    assert "it was added again as 'plain (2)'" in again.out
