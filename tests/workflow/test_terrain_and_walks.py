"""Terrain that knows nothing of the lines, and a walk there and back, through the command line."""

from __future__ import annotations

from pathlib import Path

import gpxpy.gpx
import numpy as np
import pytest
from command_line import EAST, NORTH, Ran, command, write_lines
from terrain_files import write_raster
from walks import walk

from planner.files.job_file import read_job

_HILL = np.linspace(100.0, 130.0, 3600).reshape(60, 60)


def planned_on(folder: Path, cells: np.ndarray, *, east_m: float) -> set[str]:
    terrain = write_raster(folder / "terrain.tif", cells, west=EAST + east_m, north=NORTH + 300, nodata=-9999.0)
    line = write_lines(folder / "line.geojson", {"A": [(0, 0), (300, 0)]})
    done = command("plan", line, "--ground", terrain, "--job", folder / "a.job.gpkg")
    assert done.status == 0
    return done.rules


@pytest.mark.rules(silent="survey-31")
def test_terrain_under_the_line_needs_no_word(tmp_path: Path):
    assert "survey-31" not in planned_on(tmp_path, _HILL, east_m=-100.0)


@pytest.mark.rules(fires="survey-31")
@pytest.mark.parametrize(("cells", "east_m"), [(_HILL, 50_000.0), (np.full((60, 60), -9999.0), -100.0)])
def test_terrain_that_gives_a_line_nothing_is_told(tmp_path: Path, cells: np.ndarray, east_m: float):
    """Far away, and in the right place with nothing in it."""
    assert "survey-31" in planned_on(tmp_path, cells, east_m=east_m)


@pytest.mark.rules(fires="survey-30")
def test_a_walk_there_and_back_is_one_straight_of_the_way_out(tmp_path: Path):
    """500 m out and back; heights drift 4 m meanwhile, as a barometer's do. It was no paddock, and no cliff."""
    xy = walk(np.array([(0.0, 0.0), (500.0, 0.0), (0.0, 0.0)]), seed=5, sd=2.0)
    drift = np.linspace(0.0, 4.0, len(xy))
    heights = np.round(300 + 10 * (1 - np.cos(2 * np.pi * xy[:, 0] / 500)) + drift, 1)
    gpx = gpxpy.gpx.GPX()
    gpx.tracks.append(gpxpy.gpx.GPXTrack("there and back"))
    gpx.tracks[0].segments.append(gpxpy.gpx.GPXTrackSegment([
        gpxpy.gpx.GPXTrackPoint(-37 + y / 111_000, 147 + x / 88_900, elevation=z)
        for (x, y), z in zip(xy.tolist(), heights.tolist(), strict=True)]))
    (tmp_path / "walk.gpx").write_text(gpx.to_xml("1.1"), encoding="utf-8")
    done = command("plan", tmp_path / "walk.gpx", "--job", tmp_path / "a.job.gpkg")
    assert {"survey-30", "line-50"} <= done.rules
    (line,) = read_job(tmp_path / "a.job.gpkg").lines
    assert not line.closed
    assert np.hypot(*(line.xy[-1] - line.xy[0])) == pytest.approx(500.0, abs=10.0)
    assert "profile-10" not in command("check", tmp_path / "a.job.gpkg").rules


def off_the_line(folder: Path, *off_m: float) -> Ran:
    """A line planned on surveyed points that stand so far north of it."""
    points = folder / "points.csv"
    points.write_text("name,easting,northing,rl\n" + "".join(
        f"P{k},{EAST + 50.0 * k + 10.0},{NORTH + off},{100 + k}\n" for k, off in enumerate(off_m)), encoding="utf-8")
    line = write_lines(folder / "line.geojson", {"A": [(0, 0), (300, 0)]})
    done = command("plan", line, "--ground", points, "--crs", "EPSG:7855", "--job", folder / f"{off_m}.job.gpkg")
    assert done.status == 0
    return done


@pytest.mark.rules(fires="survey-33", limit="survey-33")
@pytest.mark.parametrize(("well", "told"), [((0.0, 9.0), (0.0, 9.0, 9.0)), ((0.0, 2.0, 2.0), (0.0, 2.01, 2.01))])
def test_points_for_the_ground_that_stand_off_every_line_are_counted(
        tmp_path: Path, well: tuple[float, ...], told: tuple[float, ...]):
    """Half of them may be measured for something else, and within 2 m they are on the line."""
    assert "survey-33" not in off_the_line(tmp_path, *well).rules
    done = off_the_line(tmp_path, *told)
    assert "survey-33" in done.rules
    assert "2 of 3 surveyed points with levels stand more than 2 m off every line" in done.out


@pytest.mark.rules(silent="survey-33")
def test_one_point_of_three_beside_the_line_needs_no_word(tmp_path: Path):
    assert "survey-33" not in off_the_line(tmp_path, 0.0, 0.0, 9.0).rules
