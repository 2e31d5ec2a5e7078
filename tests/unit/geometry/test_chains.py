"""The fewest-legs chain against a plain search over all pairs of points."""

from __future__ import annotations

import numpy as np
import pytest

from planner.errors import OutOfRange
from planner.geometry import chains
from planner.geometry.arrays import Floats, Integers
from planner.geometry.chains import SLACK, fewest_chain


def cost(x: Floats, y: Floats, stations: Integers) -> tuple[int, float]:
    return len(stations) - 1, float(np.abs(np.interp(x, x[stations], y[stations]) - y).sum())


def by_all_pairs(x: Floats, y: Floats, tolerance: float) -> tuple[int, float]:
    """Legs and summed error of the best chain: a plain backward search over every pair of points."""
    points = len(x)
    legs, error = np.full(points, 10**9), np.zeros(points)
    legs[-1] = 0
    for start in range(points - 2, -1, -1):
        ahead = np.arange(start + 1, points)
        u, v = x[ahead] - x[start], y[ahead] - y[start]
        steepest = np.minimum.accumulate((v + tolerance + SLACK) / u)
        flattest = np.maximum.accumulate((v - tolerance - SLACK) / u)
        good = np.flatnonzero((v / u <= steepest) & (v / u >= flattest))
        good = good[legs[ahead[good]] == legs[ahead[good]].min()]
        legs[start] = legs[ahead[good[0]]] + 1
        error[start] = min(
            float(np.abs(v[: g + 1] - v[g] / u[g] * u[: g + 1]).sum()) + error[ahead[g]] for g in good)
    return int(legs[0]), float(error[0])


def rolling(points: int, seed: int, *, step: float = 1.0, noise: float = 0.03) -> tuple[Floats, Floats]:
    rng = np.random.default_rng(seed)
    x = step * np.arange(points, dtype=float)
    y = np.zeros(points)
    for length, height in ((700.0, 7.0), (300.0, 2.5), (120.0, 0.7), (50.0, 0.2)):
        y += height * np.sin(2 * np.pi * x / (length * rng.uniform(0.8, 1.2)) + rng.uniform(0, 6))
    return x, y + noise * rng.standard_normal(points)


@pytest.mark.parametrize("tolerance", [0.15, 0.5, 1.0])
def test_two_thousand_points_against_all_pairs(tolerance: float) -> None:
    x, y = rolling(2000, 3)
    assert cost(x, y, fewest_chain(x, y, tolerance=tolerance)) == pytest.approx(by_all_pairs(x, y, tolerance), abs=1e-8)


@pytest.mark.parametrize("seed", range(4))
def test_uneven_steps_and_small_blocks_against_all_pairs(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(chains, "_BLOCK", 97)
    monkeypatch.setattr(chains, "_TILE", 24)
    x, y = rolling(700, seed, noise=0.1)
    x = np.cumsum(np.random.default_rng(seed).uniform(0.2, 3.0, len(x)))
    assert cost(x, y, fewest_chain(x, y, tolerance=0.4)) == pytest.approx(by_all_pairs(x, y, 0.4), abs=1e-8)


def test_the_bound_that_saves_sums_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    # gentle ground, legs of some 300 points and 100 candidates each: the bound is at work
    x, y = rolling(3000, 8, noise=0.02)
    with_bound = fewest_chain(x, 0.1 * y, tolerance=0.3)
    monkeypatch.setattr(chains, "_ALL_SUMMED", 10**12)
    assert fewest_chain(x, 0.1 * y, tolerance=0.3).tolist() == with_bound.tolist()


def test_exactly_straight_ground_is_one_leg_however_long() -> None:
    x = np.arange(200_001.0)
    assert fewest_chain(x, 0.03 * x + 5.0, tolerance=0.0).tolist() == [0, 200_000]


def test_one_ridge_on_a_long_line_is_found_at_once() -> None:
    x = np.arange(100_001.0)
    y = np.minimum(0.02 * x, 0.02 * 70_000 - 0.05 * (x - 70_000))
    assert fewest_chain(x, y, tolerance=0.15).tolist() == [0, 70_000, 100_000]


def test_the_tolerance_itself_is_within() -> None:
    x = np.array([0.0, 1.0, 2.0])
    assert fewest_chain(x, np.array([0.0, 0.25, 0.0]), tolerance=0.25).tolist() == [0, 2]
    assert fewest_chain(x, np.array([0.0, 0.2500001, 0.0]), tolerance=0.25).tolist() == [0, 1, 2]


def test_a_tie_in_legs_goes_to_the_least_summed_error() -> None:
    # two legs are needed; a corner at 2 or at 3 would do, and 3 leaves less
    x, y = np.arange(6.0), np.array([0.0, 0.9, 2.0, 3.0, 2.0, 1.0])
    assert fewest_chain(x, y, tolerance=0.7).tolist() == [0, 3, 5]


def test_two_points_are_one_leg() -> None:
    assert fewest_chain(np.array([0.0, 5.0]), np.array([1.0, 9.0]), tolerance=0.15).tolist() == [0, 1]


@pytest.mark.parametrize(("x", "y", "tolerance", "says"), [
    ([0.0], [0.0], 0.1, "two points"),
    ([0.0, 1.0], [0.0], 0.1, "one length"),
    ([0.0, 1.0, 1.0], [0.0, 0.0, 0.0], 0.1, "point 3: .*do not rise"),
    ([0.0, 1.0], [0.0, np.nan], 0.1, "not a finite number"),
    ([0.0, 1.0], [0.0, 0.0], -0.1, "give 0 or more"),
    ([0.0, 1.0], [0.0, 0.0], np.nan, "give 0 or more"),
])
def test_what_cannot_be_chained_is_said(x: list[float], y: list[float], tolerance: float, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        fewest_chain(np.array(x), np.array(y), tolerance=tolerance)
