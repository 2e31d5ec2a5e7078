"""Cuts of a row of points into straight legs, against a search over every set of cuts."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pytest

from planner.geometry.arrays import Floats
from planner.geometry.straight_runs import straight_runs


def off_lines(xy: Floats, cuts: list[int]) -> float:
    """Summed square distance from each leg's best line, by singular values."""
    return sum(float(np.linalg.svd(xy[a : b + 1] - xy[a : b + 1].mean(axis=0))[1][-1] ** 2) if b > a + 1 else 0.0
               for a, b in pairwise(cuts))


@pytest.mark.parametrize("seed", range(6))
def test_no_cuts_into_as_many_legs_leave_less(seed: int) -> None:
    rng = np.random.default_rng(seed)
    xy = np.column_stack((np.arange(9.0) * 10, 8 * np.abs(np.arange(9.0) - 4) + rng.normal(0, 2, 9)))
    for cuts in straight_runs(xy, least=0.05):
        inside = len(cuts) - 2
        best = min(off_lines(xy, [0, *c, 8]) for c in combinations(range(1, 8), inside))
        assert off_lines(xy, cuts.tolist()) == pytest.approx(best, abs=1e-9)


def test_from_many_legs_to_one() -> None:
    rng = np.random.default_rng(0)
    xy = np.column_stack((np.arange(200.0), rng.normal(0, 1, 200)))
    counts = [len(cuts) for cuts in straight_runs(xy, least=0.05)]
    assert counts == sorted(counts, reverse=True)
    assert counts[-1] == 2


def test_out_and_back_is_two_legs_and_not_one() -> None:
    out = np.column_stack((np.arange(0, 100.0), np.zeros(100)))
    row = next(c for c in reversed(straight_runs(np.concatenate((out, out[::-1])), least=0.05)) if len(c) == 3)
    assert 50 <= int(row[1]) <= 150


def test_a_long_row_is_cut_at_some_points_only() -> None:
    xy = np.column_stack((np.arange(4000.0), np.abs(np.arange(4000.0) - 2000)))
    assert abs(int(straight_runs(xy, least=0.05)[-2][1]) - 2000) <= 3
