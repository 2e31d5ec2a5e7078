from __future__ import annotations

import numpy as np
import pytest

from planner.geometry.feet import feet_on
from planner.geometry.lines import nearest_on

LINE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 50.0], [30.0, 80.0]])


def test_feet_are_those_of_single_points() -> None:
    points = np.random.default_rng(1).uniform(-20, 120, (300, 2))
    along, off = feet_on(LINE, points, within=1000.0)
    single = np.array([nearest_on(LINE, (x, y)) for x, y in points])
    assert off == pytest.approx(single[:, 1], abs=1e-9)
    assert along == pytest.approx(single[:, 0], abs=1e-6)


def test_the_limit_itself_counts() -> None:
    along, off = feet_on(LINE, np.array([[40.0, -2.0], [40.0, -2.001]]), within=2.0)
    assert along[0] == 40.0
    assert off[0] == 2.0
    assert np.isnan(along[1])
    assert np.isnan(off[1])


def test_a_point_on_the_line_counts_within_nothing() -> None:
    assert feet_on(LINE, np.array([[40.0, 0.0]]), within=0.0)[0][0] == 40.0


def test_no_points_no_line_and_no_numbers_have_no_feet() -> None:
    assert feet_on(LINE, np.empty((0, 2)), within=5.0)[0].shape == (0,)
    assert np.isnan(feet_on(LINE[:1], np.array([[0.0, 0.0]]), within=5.0)[0]).all()
    assert np.isnan(feet_on(LINE, np.array([[np.nan, 0.0], [0.0, np.inf]]), within=5.0)[0]).all()
