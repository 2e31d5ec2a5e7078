"""Ends that stop beside another line."""

from __future__ import annotations

import numpy as np
import pytest

from planner.alignment.line import FenceLine
from planner.findings import Finding
from planner.job.meeting import met_lines
from planner.settings import Settings

SETTINGS = Settings()


def line(name: str, *corners: tuple[float, float]) -> FenceLine:
    return FenceLine(name, "general-mesh", np.array(corners, dtype=np.float64), False, "unknown")


def met(*lines: FenceLine) -> tuple[list[FenceLine], list[Finding]]:
    found: list[Finding] = []
    return met_lines(lines, (), SETTINGS, found), found


def test_the_two_sides_of_a_lane_stay_apart():
    """An unknown accuracy reaches 20 m, and a lane is narrower."""
    sides = line("north", (0, 8), (500, 8)), line("south", (0, 0), (500, 0))
    lines, found = met(*sides)
    assert [one.xy.tolist() for one in lines] == [one.xy.tolist() for one in sides]
    assert found == []


def test_the_sides_of_a_bent_lane_stay_apart():
    sides = line("north", (0, 8), (250, 8), (500, 100)), line("south", (0, 0), (252, 0), (502, 92))
    lines, found = met(*sides)
    assert [one.xy.tolist() for one in lines] == [one.xy.tolist() for one in sides]
    assert found == []


def test_of_two_ends_beside_each_other_only_one_is_moved():
    (first, second), found = met(line("first", (0, 0), (100, 0)), line("second", (103, 0), (200, 0)))
    assert first.xy[-1].tolist() == second.xy[0].tolist() == [103.0, 0.0]
    assert [f.place.line for f in found] == ["first"]


@pytest.mark.rules(fires="line-51", silent="line-51", limit="line-51")
@pytest.mark.parametrize(("off", "rule"), [(0.0, ""), (6.0, "line-51"), (20.0, "line-51"), (20.01, "")])
def test_an_end_across_another_line_meets_it_within_twice_its_deviation(off: float, rule: str):
    """An unknown accuracy is 10 m."""
    (_, spur), found = met(line("home", (0, 0), (500, 0)), line("spur", (250, off), (250, 300)))
    assert spur.xy.tolist() == [[250.0, 0.0 if rule else off], [250.0, 300.0]]
    assert [f.rule for f in found] == [rule] * bool(rule)


def test_a_scrap_shorter_than_the_reach_is_not_pulled_together():
    scraps = line("scrap", (0, 5), (2, 5)), line("home", (0, 0), (0.01, 0))
    lines, found = met(*scraps)
    assert [one.xy.tolist() for one in lines] == [one.xy.tolist() for one in scraps]
    assert found == []


def test_what_was_there_already_stays():
    home, found = line("home", (103, 0), (200, 0)), []
    (fresh,) = met_lines([line("fresh", (0, 0), (100, 0))], (home,), SETTINGS, found)
    assert fresh.xy[-1].tolist() == home.xy[0].tolist()
    assert len(found) == 1
