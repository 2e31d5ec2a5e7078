"""Two worked set-backs through the command line: both banks of a meandering creek, and a dam gone round.

The figures are computed ones, given with the scenarios; where they are read otherwise it is said beside the check.
"""

from __future__ import annotations

from pathlib import Path

import geopandas
import numpy as np
import pytest
import shapely

from planner.cli import run
from planner.files.job_file import read_job

EAST, NORTH = 455_200.0, 5_951_800.0


def length(xy: np.ndarray) -> float:
    return float(np.hypot(*np.diff(xy, axis=0).T).sum())


@pytest.mark.parametrize(("bank", "side"), [("left", 52.0), ("right", -52.0)])
def test_a_creek_fenced_by_straight_lines_between_given_ends(bank: str, side: float, tmp_path: Path) -> None:
    """y = 28 sin(2 pi x / 150), 760 m; bank 4 m beside the middle, set-back 20 m from the bank: 760 m, no bend."""
    x = np.linspace(0.0, 760.0, 381)
    creek = shapely.LineString(np.column_stack((x + EAST, 28.0 * np.sin(2 * np.pi * x / 150.0) + NORTH)))
    file, path = tmp_path / "creek.gpkg", tmp_path / "creek.job.gpkg"
    geopandas.GeoDataFrame({"name": ["Creek"]}, geometry=[creek], crs="EPSG:7855").to_file(file)
    ends = [f"{EAST:.0f},{NORTH + side:.0f}", f"{EAST + 760:.0f},{NORTH + side:.0f}"]
    assert run(["setback", str(file), "--job", str(path), "--distance", "20", "--give", "45", "--bank", bank,
                "--baseline", "centreline", "--half-width", "4", "--start", ends[0], "--end", ends[1], "--quiet"]) == 0
    (line,) = read_job(path).lines
    assert len(line.xy) == 2
    assert length(line.xy) == pytest.approx(760.0, abs=0.05)
    assert shapely.LineString(line.xy).distance(creek) >= 23.999


def test_a_dam_takes_about_a_rectangle(tmp_path: Path) -> None:
    """Ellipse 70 x 45 m, set-back 10 m: a rectangle of 310 m with 4 corners beats 6 or 8 corners; ours is 311.7 m."""
    at = np.linspace(0.0, 2 * np.pi, 145)
    dam = shapely.Polygon(np.column_stack((35.0 * np.cos(at) + EAST, 22.5 * np.sin(at) + NORTH)))
    file, path = tmp_path / "dam.gpkg", tmp_path / "dam.job.gpkg"
    geopandas.GeoDataFrame({"name": ["Dam"]}, geometry=[dam], crs="EPSG:7855").to_file(file)
    assert run(["setback", str(file), "--job", str(path), "--distance", "10", "--give", "25", "--bank", "around",
                "--baseline", "edge", "--quiet"]) == 0
    (line,) = read_job(path).lines
    assert line.closed
    assert len(line.xy) - 1 == 4
    assert 245.0 < length(line.xy) < 315.0
    assert shapely.LineString(line.xy).distance(dam) >= 9.999
