"""Fewest stops against every set of points, on random small profiles; each line of sight measured point by point."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.geometry.arrays import Floats
from planner.geometry.visibility import SLACK, fewest_stops

EYE, TARGET = 1.6, 1.0


def sees(x: Floats, y: Floats, i: int, j: int) -> bool:
    between = np.arange(i + 1, j)
    sight = np.interp(x[between], [x[i], x[j]], [y[i] + EYE, y[j] + TARGET])
    return bool((y[between] <= sight + SLACK).all())


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.sampled_from([1.0, 5.0, 20.0]), st.floats(-6, 6).map(lambda v: round(v, 3))),
                min_size=2, max_size=10))
def test_no_smaller_set_of_points_will_do(points: list[tuple[float, float]]) -> None:
    x, y = np.cumsum([step for step, _ in points]), np.array([level for _, level in points])
    last = len(x) - 1
    stops = fewest_stops(x, y, eye=EYE, target=TARGET).tolist()
    assert all(sees(x, y, i, j) for i, j in pairwise([0, *stops, last]))
    assert not any(
        all(sees(x, y, i, j) for i, j in pairwise([0, *fewer, last]))
        for count in range(len(stops)) for fewer in combinations(range(1, last), count))
