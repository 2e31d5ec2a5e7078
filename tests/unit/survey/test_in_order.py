"""A walk and the line fitted to it, gone through in order."""

from __future__ import annotations

import numpy as np
import pytest

from planner.geometry.lines import chainages, points_along
from planner.survey import in_order
from planner.survey.in_order import matched_in_order


def _walked(corners: np.ndarray, *, step: float, noise: float, seed: int) -> np.ndarray:
    fixes = points_along(corners, np.arange(0.0, chainages(corners)[-1] + step / 2, step))
    return fixes + np.random.default_rng(seed).normal(0.0, noise, fixes.shape)


@pytest.mark.parametrize("seed", range(4))
def test_it_never_goes_back_and_goes_all_the_way(seed: int) -> None:
    rng = np.random.default_rng(seed)
    corners = np.cumsum(rng.normal(0.0, 60.0, (12, 2)), axis=0)
    walk = _walked(corners, step=4.0, noise=1.5, seed=seed)
    at, walked, off = matched_in_order(corners, walk)
    assert (np.diff(walked) >= -1e-9).all()
    assert walked[0] < 15.0
    assert walked[-1] > chainages(walk)[-1] - 15.0
    assert np.median(off) < 3.0
    assert at[[0, -1]] == pytest.approx([0.0, chainages(corners)[-1]])


def test_a_long_line_keeps_to_the_same_band_of_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """With few steps and a narrow band the passes of a hairpin are told apart all the same."""
    monkeypatch.setattr(in_order, "_MOST_STEPS", 300)
    monkeypatch.setattr(in_order, "_REACH", 40)
    corners = np.array([[0.0, 0.0], [900.0, 0.0], [0.0, 6.0], [900.0, 12.0]])
    walk = _walked(corners, step=5.0, noise=1.0, seed=3)
    at, walked, _ = matched_in_order(corners, walk)
    assert len(at) == 301
    assert walked / chainages(walk)[-1] == pytest.approx(at / at[-1], abs=0.02)


def test_a_way_out_and_back_beside_the_line_is_left_out() -> None:
    line = np.array([[0.0, 0.0], [400.0, 0.0]])
    walk = points_along(np.array([[0.0, 0.0], [200.0, 0.0], [200.0, 90.0], [200.0, 0.0], [400.0, 0.0]]),
                        np.arange(0.0, 580.1, 2.0))
    _, walked, off = matched_in_order(line, walk)
    assert off.max() < 8.0  # of the 90 m of the way out
    assert np.diff(walked).max() > 160.0


def test_what_a_cut_bend_skips_is_spread() -> None:
    """A bend of 30 m that the line cuts makes the walk pass faster there, not jump."""
    line = np.array([[0.0, 0.0], [200.0, 0.0]])
    walk = points_along(np.array([[0.0, 0.0], [95.0, 0.0], [100.0, 15.0], [105.0, 0.0], [200.0, 0.0]]),
                        np.arange(0.0, 221.0, 1.0))
    at, walked, _ = matched_in_order(line, walk)
    assert (np.diff(walked) / np.diff(at)).max() < 2.5


def test_the_shortest_lines() -> None:
    line = np.array([[0.0, 0.0], [1.0, 0.0]])
    at, walked, off = matched_in_order(line, line)
    assert walked == pytest.approx(at, abs=0.5)
    assert off.max() < 0.5
