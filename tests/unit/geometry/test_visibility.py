"""Visibility over a profile against lines of sight drawn with the GEOS library."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, Polygon

from planner.errors import OutOfRange
from planner.geometry.visibility import fewest_stops, seeing, seen_from


@pytest.mark.parametrize("seed", range(5))
def test_a_target_is_seen_when_the_line_to_it_stays_out_of_the_ground(seed: int) -> None:
    rng = np.random.default_rng(seed)
    x = np.cumsum(rng.uniform(0.5, 20, 60))
    y = 10 * np.sin(x / 60) + rng.normal(0, 1, 60)
    earth = Polygon([*zip(x, y, strict=True), (x[-1], -100), (x[0], -100)])
    for at in (0, 17, 40):
        by_drawing = [
            j > at and not LineString([(x[at], y[at] + 1.6), (x[j], y[j] + 1.0)]).crosses(earth) for j in range(60)]
        assert seen_from(x, y, at, eye=1.6, target=1.0).tolist() == by_drawing


def test_seeing_is_seen_from_turned_round() -> None:
    rng = np.random.default_rng(2)
    x, y = np.cumsum(rng.uniform(0.5, 5, 40)), rng.normal(0, 1, 40)
    forward = np.array([seen_from(x, y, i, eye=1.6, target=1.0) for i in range(40)])
    backward = np.array([seeing(x, y, j, eye=1.6, target=1.0) for j in range(40)])
    assert (forward == backward.T).all()


def test_a_grazing_line_is_seen_and_a_hair_less_is_not() -> None:
    x, y = np.array([0.0, 10.0, 20.0]), np.array([0.0, 1.3, 0.0])
    assert len(fewest_stops(x, y, eye=1.6, target=1.0)) == 0
    assert fewest_stops(x, y + np.array([0, 1e-6, 0]), eye=1.6, target=1.0).tolist() == [1]


def test_one_peg_on_the_crest_of_a_hill() -> None:
    x = np.arange(0.0, 401.0)
    y = np.where(x < 200, 0.1 * x, 0.1 * (400 - x))
    assert fewest_stops(x, y, eye=1.6, target=1.0).tolist() == [200]


def test_flat_ground_needs_none_at_any_length() -> None:
    assert len(fewest_stops(np.arange(100_000.0), np.zeros(100_000), eye=1.6, target=1.0)) == 0


@pytest.mark.parametrize(("points", "eye", "says"), [(1, 1.6, "two or more"), (2, -0.1, "heights of 0 or more")])
def test_what_cannot_be_sighted_is_said(points: int, eye: float, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        fewest_stops(np.arange(float(points)), np.zeros(points), eye=eye, target=1.0)
