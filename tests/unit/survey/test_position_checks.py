from __future__ import annotations

import numpy as np
import pyproj
import pytest

from planner.findings import Finding
from planner.survey.position_checks import RULES, check_positions, looks_like

WGS84, MGA94 = "EPSG:4326", "EPSG:28355"
GDA94_SOUTH_DEG = pyproj.CRS("EPSG:4283").area_of_use.south


def found(positions: list[tuple[float, float]], crs: str) -> list[Finding]:
    return check_positions(np.array(positions, dtype=float), crs=crs, file="paddock.csv")


@pytest.mark.rules(silent="survey-01 survey-02 survey-03 survey-04 survey-05 survey-06 survey-07 survey-08 "
                          "survey-09 survey-10 survey-11")
def test_good_positions_say_nothing() -> None:
    assert found([(147.1, -36.2), (147.11, -36.2)], WGS84) == []
    assert found([(300000.0, 5800000.0), (300100.0, 5800000.0)], MGA94) == []
    assert found([(71984.48, 2847342.74), (71984.48, 2847352.74)], "EPSG:2053") == []
    assert found([(179.9985, -16.62), (-179.9990, -16.615)], WGS84) == []
    assert check_positions(np.zeros((0, 2)), crs=WGS84, file="empty.csv") == []


@pytest.mark.rules(fires="survey-01 survey-02 survey-03 survey-04 survey-05 survey-06 survey-07 survey-08 "
                         "survey-09 survey-10 survey-11")
@pytest.mark.parametrize(("positions", "crs", "rule", "says"), [
    ([(-36.2, 147.1), (-36.21, 147.11)], WGS84, "survey-02", "Axes swapped? 2 of 2 positions"),
    ([(5800000.0, 300000.0), (5800100.0, 300000.0)], MGA94, "survey-02", "Axes swapped? 2 of 2 positions"),
    ([(-34.6, -60.5), (-34.6, -60.51)], "EPSG:5340", "survey-02", "Axes swapped?"),
    ([(147.1, -36.2), (147.1, 90.5), (147.11, -36.2)], WGS84, "survey-03", "longitude 147.1, latitude 90.5"),
    ([(147.1, -36.2), (0.0, 0.0), (147.11, -36.2)], WGS84, "survey-04", "1 of 3 positions is 0, 0"),
    ([(3e5, 5.8e6), (0.0, 0.0), (3e5, 5.80001e6)], MGA94, "survey-04", "1 of 3 positions is 0, 0"),
    ([(147.1, -36.2), (np.nan, -36.2), (np.inf, 0.0)], WGS84, "survey-01", "2 of 3 positions are no finite number"),
    ([(144.5, -37.5), (144.5, -37.4)], MGA94, "survey-05", "in degrees by the look of 144.5, -37.5, but the"),
    ([(144.5, -37.5), (144.5, -37.49)], "EPSG:3857", "survey-05", "in degrees by the look"),
    ([(300000.0, 5800000.0), (300100.0, 5800000.0)], WGS84, "survey-11", "in metres or the like"),
    ([(1.3e6, 5.8e6), (1.3e6, 5.8001e6)], MGA94, "survey-06", "2 of 2 positions are outside the area where GDA94"),
    ([(147.1, -36.2), (147.1001, -36.2)], "EPSG:4272", "survey-06", "outside the area where NZGD49"),
    ([(147.1, -36.2), (102.0, -36.2)], WGS84, "survey-07", "jumps 4,0"),
    ([(3e5, 5.8e6), (3e5, 5.821e6)], MGA94, "survey-07", "jumps 21 km from corner 1 to corner 2"),
    ([(1.6e7, -4.5e6), (1.60001e7, -4.5e6)], "EPSG:3857", "survey-08", "a metre reads as 1.259 m here"),
    ([(3e5, 5.8e6), (1e38, 1e-3), (3.001e5, 5.8e6)], MGA94, "survey-09", "1 of 3 positions is nowhere on the earth"),
    ([(75.0, -89.9999), (75.0, -89.9998)], WGS84, "survey-10", "80 south, such as latitude -89.9999"),
])
def test_each_trouble_is_said_once_with_its_remedy(
        positions: list[tuple[float, float]], crs: str, rule: str, says: str) -> None:
    findings = found(positions, crs)
    assert [finding.rule for finding in findings] == [rule]
    assert says in findings[0].message
    assert findings[0].message.endswith(".")
    assert findings[0].remedy.endswith(".")
    assert findings[0].place.file == "paddock.csv"


def test_the_row_is_that_of_the_first_bad_position() -> None:
    findings = found([(147.1, -36.2), (147.1, -36.2001), (147.1, 90.5), (np.nan, 1.0)], WGS84)
    assert {finding.rule: finding.place.row for finding in findings} == {"survey-01": 4, "survey-03": 3}


@pytest.mark.rules(limit="survey-02 survey-03 survey-04 survey-05 survey-06 survey-07 survey-09 survey-10 survey-11")
@pytest.mark.parametrize(("rule", "crs", "well", "told"), [
    ("survey-02", WGS84, [(-36.2, 147.1), (147.1, -36.2)], [(-36.2, 147.1), (-36.2, 147.11), (147.1, -36.2)]),
    ("survey-03", WGS84, [(147.0, 90.0)], [(147.0, 90.0001)]),
    ("survey-03", WGS84, [(360.0, -36.2)], [(360.0001, -36.2)]),
    ("survey-04", WGS84, [(1e-6, 0.0)], [(0.9e-6, 0.0)]),
    ("survey-05", MGA94, [(180.5, 90.0)], [(180.0, 90.0)]),
    ("survey-05", MGA94, [(180.0, 90.5)], [(180.0, 90.0)]),
    ("survey-06", "EPSG:4283", [(147.0, GDA94_SOUTH_DEG - 1.0)], [(147.0, GDA94_SOUTH_DEG - 1.0001)]),
    ("survey-07", MGA94, [(3e5, 5.8e6), (3e5, 5.8e6 + 20_000.0)], [(3e5, 5.8e6), (3e5, 5.8e6 + 20_000.01)]),
    ("survey-09", "EPSG:3857", [(99_999_999.0, -4.5e6)], [(1e8, -4.5e6)]),
    ("survey-10", WGS84, [(147.0, 84.0)], [(147.0, 84.0001)]),
    ("survey-10", WGS84, [(147.0, -80.0)], [(147.0, -80.0001)]),
    ("survey-10", WGS84, [(147.0, 90.0001)], [(147.0, 90.0)]),
    ("survey-11", WGS84, [(147.0, 1000.0)], [(147.0, 1000.01)])])
def test_each_limit_on_both_sides(
        rule: str, crs: str, well: list[tuple[float, float]], told: list[tuple[float, float]]) -> None:
    """Half of the positions swapped or more than half, a degree beyond an area of use or more, and so on."""
    assert rule not in [finding.rule for finding in found(well, crs)]
    assert [finding.rule for finding in found(told, crs)][:1] == [rule]


def test_jumps_are_measured_in_metres_whatever_the_grid_counts_in() -> None:
    """60,000 US survey feet are 18 km."""
    assert found([(3e6, 3e5), (3.06e6, 3e5)], "EPSG:32040") == []


def test_a_failed_fix_is_not_called_a_jump_as_well() -> None:
    assert [f.rule for f in found([(147.1, -36.2), (0.0, 0.0), (147.11, -36.2)], WGS84)] == ["survey-04"]


def test_one_latitude_out_of_range_is_not_a_swap_of_axes() -> None:
    findings = found([(20.0, 50.0), (20.001, 50.0), (20.002, 90.5)], WGS84)
    assert [finding.rule for finding in findings] == ["survey-03"]


def test_positions_at_the_edge_of_a_zone_say_nothing() -> None:
    """A job that lies across zones 55 and 56 is measured in one of them."""
    assert found([(770000.0, 6.0e6), (790000.0, 6.0e6)], MGA94) == []


def test_a_mended_remedy_names_the_statement_and_the_option() -> None:
    assert "say the right one with --crs" in found([(144.5, -37.5)], MGA94)[0].remedy


@pytest.mark.parametrize(("xy", "like"), [
    ([(147.1, -36.2)], "its numbers look like longitude and latitude"),
    ([(-36.2, 147.1)], "its numbers look like latitude and longitude, in that order"),
    ([(300000.0, 5.8e6)], "its numbers look like metres of a grid"), ([(np.nan, 1.0)], "")])
def test_what_bare_numbers_look_like(xy: list[tuple[float, float]], like: str) -> None:
    assert looks_like(np.array(xy)) == like


def test_rule_ids_stay_in_their_range() -> None:
    assert all(1 <= int(rule.removeprefix("survey-")) <= 39 for rule in RULES)
    assert all(meaning.endswith(".") for meaning in RULES.values())
