"""What is taken out of a track before it is fitted, one trouble at a time."""

from __future__ import annotations

import re

import numpy as np
import pytest
from walks import correlated

from planner.geometry.arrays import Floats
from planner.survey.track_cleaning import clean


def straight(points: int = 400, *, sd: float = 0.5) -> Floats:
    xy = np.column_stack((1.2 * np.arange(points), np.zeros(points)))
    return xy + correlated(points, sd=sd, rho=0.9, rng=np.random.default_rng(1))


def test_a_clean_walk_loses_nothing() -> None:
    kept, removed = clean(straight(), None)
    assert (len(kept), removed) == (400, ())


@pytest.mark.parametrize("length", [1, 2, 3])
def test_a_spike_goes_and_its_neighbours_stay(length: int) -> None:
    xy = straight()
    xy[200 : 200 + length] += (10.0, 60.0)
    kept, removed = clean(xy, np.arange(400.0))
    assert [(r.reason, r.count, r.from_index, r.to_index) for r in removed] == [
        ("spike", length, 200, 199 + length)]
    stand = "1 point stands" if length == 1 else f"{length} points stand"
    assert re.fullmatch(rf"{stand} 6\d m off the points before and after", removed[0].text)
    assert len(kept) == 400 - length


def test_a_turn_at_the_far_end_of_sparse_points_is_no_spike() -> None:
    xy = np.array([(0, 0), (40, 0), (80, 0), (80, 60), (88, 0), (130, 0), (170, 0)], dtype=float)
    assert clean(xy, None)[1] == ()


def test_a_stop_says_how_long() -> None:
    xy = np.concatenate((straight()[:200], np.tile(straight()[200], (300, 1)), straight()[200:]))
    xy += correlated(len(xy), sd=0.5, rho=0.9, rng=np.random.default_rng(2))
    kept, removed = clean(xy, np.arange(len(xy), dtype=float))
    assert [r.reason for r in removed] == ["stop"]
    assert 290 <= removed[0].count <= 330
    assert removed[0].text.startswith("stood still for 5 min: ")
    assert len(kept) + removed[0].count == 700


def test_repeated_positions_are_counted() -> None:
    xy = np.repeat(straight(60), [1] * 30 + [5] + [1] * 29, axis=0)
    _, removed = clean(xy, None)
    assert [(r.reason, r.count, r.from_index, r.to_index) for r in removed] == [("repeated", 4, 31, 34)]


def test_a_way_walked_back_and_on_again_goes() -> None:
    xy = straight()
    xy = np.concatenate((xy[:250], xy[200:250][::-1] + 0.3, xy[200:] - 0.3))
    kept, removed = clean(xy, None)
    assert {r.reason for r in removed} == {"loop"}
    assert 85 <= sum(r.count for r in removed) <= 110
    assert np.abs(np.diff(xy[kept, 0])).max() < 8.0


def test_a_ring_round_a_tree_goes_and_a_fence_of_that_shape_stays() -> None:
    turn = np.linspace(0, 2 * np.pi, 60)
    ring = 12.0 * np.column_stack((np.sin(turn), 1 - np.cos(turn)))
    xy = straight(sd=0.1)
    walked = np.concatenate((xy[:200], xy[200] + ring[1:-1], xy[200:]))
    _, removed = clean(walked, None)
    assert [r.reason for r in removed] == ["loop"]
    assert clean(100 + ring, None)[1] == ()
