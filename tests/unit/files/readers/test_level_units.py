"""Levels come in metres, whatever the file has; what is in doubt is said."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pyogrio.raw
import pytest
import shapely

from planner.errors import FileTrouble
from planner.files.read import read
from planner.files.readers.level_units import unit_in_heading

FEET = [1000.0, 1010.0]
INTERNATIONAL, SURVEY = [304.8, 307.848], [1000 * 1200 / 3937, 1010 * 1200 / 3937]


def table(folder: Path, heading: str) -> Path:
    path = folder / "points.csv"
    path.write_text(f"Easting,Northing,{heading},line\n500000,6000000,1000,F\n500100,6000000,1010,F\n")
    return path


def layer(folder: Path, crs: str, xy: tuple[float, float]) -> Path:
    shape = shapely.LineString([(*xy, FEET[0]), (xy[0] + 0.001, xy[1], FEET[1])])
    path = folder / "fence.gpkg"
    pyogrio.raw.write(path, np.array([shapely.to_wkb(shape, output_dimension=3)], dtype=object), [], [],
                      geometry_type="LineString Z", crs=crs, driver="GPKG")
    return path


def levels_and_words(path: Path, **choices: str) -> tuple[list[float], list[str]]:
    reading = read(path, columns={key.replace("_", "-"): value for key, value in choices.items()})
    levels = reading.lines[0].level_m
    assert levels is not None
    return levels.tolist(), [f"{f.severity}: {f.message}" for f in reading.troubles if f.rule == "survey-70"]


@pytest.mark.parametrize(("heading", "levels", "said"), [
    ("RL", FEET, None), ("RL (m)", FEET, None), ("RL (AHD)", FEET, None), ("z (mm)", [1.0, 1.01], "note"),
    ("Elevation [ft]", INTERNATIONAL, "note"), ("elev_ft", INTERNATIONAL, "note"),
    ("Height (US survey feet)", SURVEY, "note"),
])
def test_the_heading_of_a_table_names_the_unit(tmp_path: Path, heading: str, levels: list[float],
                                               said: str | None) -> None:
    found, words = levels_and_words(table(tmp_path, heading))
    assert found == pytest.approx(levels)
    assert [word.split(":")[0] for word in words] == ([said] if said else [])


@pytest.mark.parametrize(("crs", "xy", "levels", "said"), [
    ("EPSG:2263+6360", (1_000_000.0, 200_000.0), SURVEY, "note"),  # New York Long Island and NAVD88, both ftUS
    ("EPSG:2263", (1_000_000.0, 200_000.0), FEET, "warning"),
    ("EPSG:6349", (-74.0, 40.0), FEET, None),  # NAD83(2011) and NAVD88 in metres
    ("EPSG:28355", (500_000.0, 6_000_000.0), FEET, None),
])
def test_the_height_part_of_a_coordinate_system_names_the_unit(
        tmp_path: Path, crs: str, xy: tuple[float, float], levels: list[float], said: str | None) -> None:
    found, words = levels_and_words(layer(tmp_path, crs, xy))
    assert found == pytest.approx(levels)
    assert [word.split(":")[0] for word in words] == ([said] if said else [])


def test_what_a_person_says_goes_before_what_the_file_says(tmp_path: Path) -> None:
    assert levels_and_words(table(tmp_path, "RL"), level_unit="us-ft")[0] == pytest.approx(SURVEY)
    assert levels_and_words(table(tmp_path, "RL (ft)"), level_unit="m") == (FEET, [])


def test_a_unit_that_is_none_is_refused_by_name(tmp_path: Path) -> None:
    with pytest.raises(FileTrouble, match="levels cannot be in 'fathom'"):
        read(table(tmp_path, "RL"), columns={"level-unit": "fathom"})


@pytest.mark.parametrize(("heading", "unit"), [("left", ""), ("Draft", ""), ("shift (ft)", "ft"), ("Z.ft", "ft")])
def test_only_a_unit_at_the_end_of_a_level_heading_counts(heading: str, unit: str) -> None:
    assert unit_in_heading(heading) == unit


@pytest.mark.rules(silent="survey-70")
def test_levels_in_metres_need_no_word(tmp_path: Path) -> None:
    assert levels_and_words(table(tmp_path, "RL (m)")) == (FEET, [])
    assert levels_and_words(layer(tmp_path, "EPSG:28355", (500_000.0, 6_000_000.0))) == (FEET, [])
