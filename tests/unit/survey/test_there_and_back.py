"""Walks that come back along themselves."""

from __future__ import annotations

import numpy as np
import pytest
from walks import walk

from planner.geometry.arrays import frozen
from planner.survey.fixes import MeasuredLine
from planner.survey.there_and_back import RULES, way_out


def track(xy: np.ndarray) -> MeasuredLine:
    count = np.arange(len(xy), dtype=np.float64)
    return MeasuredLine("W", frozen(xy), frozen(100 + count), frozen(count), False, "track", "handheld", "w.gpx", 1)


def along(*corners: tuple[float, float], sd: float = 2.0) -> MeasuredLine:
    return track(walk(np.array(corners, dtype=np.float64), seed=4, sd=sd))


@pytest.mark.rules(fires="survey-30")
@pytest.mark.parametrize("corners", [
    ((0, 0), (500, 0), (0, 0)),
    ((0, 0), (300, 0), (300, 200), (300, 0), (0, 0)),
    ((0, 0), (500, 0), (350, 0)),
])
def test_the_way_out_alone_is_kept(corners: tuple[tuple[float, float], ...]):
    found = way_out(along(*corners))
    assert found is not None
    line, finding = found
    far = max(corners, key=lambda c: c[0] + c[1])
    assert np.hypot(*(line.xy[-1] - far)) < 15.0
    assert line.level_m is not None
    assert line.time_s is not None
    assert len(line.xy) == len(line.level_m) == len(line.time_s)
    assert finding.rule in RULES


@pytest.mark.rules(silent="survey-30")
@pytest.mark.parametrize("corners", [
    ((0, 0), (500, 0)),
    ((0, 0), (300, 0), (300, 200), (0, 200), (0, 0)),
    ((0, 0), (500, 0), (500, 25), (0, 25)),
    ((0, 0), (500, 0), (480, 0)),
])
def test_a_walk_that_does_not_come_back_is_left(corners: tuple[tuple[float, float], ...]):
    """A paddock, the two sides of a lane 25 m wide, and a few steps back at the end."""
    assert way_out(along(*corners)) is None


def test_a_walk_of_a_few_fixes_is_left():
    assert way_out(track(np.array([(0.0, 0.0), (500.0, 0.0), (0.0, 0.0)]))) is None


OUT = [(x, 0.0) for x in range(0, 401, 20)]
"""400 m straight out, a fix every 20 m."""


@pytest.mark.rules(limit="survey-30")
@pytest.mark.parametrize(("back", "too_little"), [
    ([(x, 10.0) for x in range(390, -1, -20)], [(x, 10.01) for x in range(390, -1, -20)]),
    ([(400.0 - 7.5 * k, 0.0) for k in range(5)], [(400.0 - 7.475 * k, 0.0) for k in range(5)]),
    ([(390.0 - 50.0 * k, 0.0) for k in range(4)], [(390.0 - 50.0 * k, 0.0) for k in range(3)]),
    ([(x, 25.0 if x == 190 else 1.0) for x in range(390, -1, -20)],
     [(x, 25.0 if x in (190, 210) else 1.0) for x in range(390, -1, -20)])])
def test_how_near_how_far_and_how_many_fixes_make_a_way_back(
        back: list[tuple[float, float]], too_little: list[tuple[float, float]]):
    """10 m beside the way out; 30 m back; 4 fixes; 19 of 20 of them beside it."""
    assert way_out(track(np.array(OUT + back))) is not None
    assert way_out(track(np.array(OUT + too_little))) is None
