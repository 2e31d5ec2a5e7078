"""The fewest-legs chain against every subset of the points, on random small profiles."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.geometry.arrays import Floats
from planner.geometry.chains import SLACK, fewest_chain

quarters = st.integers(-8, 8).map(lambda q: q / 4)


def best_of_all_subsets(x: Floats, y: Floats, tolerance: float) -> tuple[int, float]:
    last = len(x) - 1
    for inside in range(last):
        errors = []
        for between in combinations(range(1, last), inside):
            stations = [0, *between, last]
            off = np.abs(np.interp(x, x[stations], y[stations]) - y)
            if off.max() <= tolerance + SLACK:
                errors.append(float(off.sum()))
        if errors:
            return inside + 1, min(errors)
    raise AssertionError("the points themselves are always a chain")


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.sampled_from([0.5, 1.0, 2.5]), quarters | st.floats(-2, 2)), min_size=2, max_size=10),
       st.sampled_from([0.0, 0.15, 0.25, 0.5, 1.0]))
def test_no_subset_does_better(points: list[tuple[float, float]], tolerance: float) -> None:
    x, y = np.cumsum([step for step, _ in points]), np.array([level for _, level in points])
    stations = fewest_chain(x, y, tolerance=tolerance)
    off = np.abs(np.interp(x, x[stations], y[stations]) - y)
    legs, error = best_of_all_subsets(x, y, tolerance)
    assert off.max() <= tolerance + SLACK
    assert len(stations) - 1 == legs
    assert abs(off.sum() - error) < 1e-9
