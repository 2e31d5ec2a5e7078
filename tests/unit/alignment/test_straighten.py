"""Straightening, against a search over all chains, and the tolerance measured by the GEOS library."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from meanders import meander

from planner.alignment import straighten as room
from planner.alignment.straighten import straighten
from planner.errors import OutOfRange
from planner.geometry.arrays import Floats


def far_apart(a: Floats, b: Floats) -> float:
    return float(shapely.hausdorff_distance(shapely.LineString(a), shapely.LineString(b), densify=0.02))


@pytest.mark.parametrize(("seed", "tolerance"), [(0, 1.0), (1, 3.0), (2, 5.0), (3, 8.0)])
def test_neither_line_leaves_the_other_by_more_than_the_tolerance(seed: int, tolerance: float) -> None:
    traced = np.array(meander(seed, length_m=600.0).coords)
    found = straighten(traced, tolerance_m=tolerance)
    assert far_apart(traced, found.xy) <= tolerance + 1e-6
    assert len(found.xy) <= len(shapely.simplify(shapely.LineString(traced), tolerance).coords)
    assert (found.xy[[0, -1]] == traced[[0, -1]]).all()
    assert found.corners_saved == len(traced) - len(found.xy)
    assert found.metres_added == pytest.approx(shapely.length(shapely.LineString(found.xy))
                                               - shapely.length(shapely.LineString(traced)))


@pytest.mark.parametrize("seed", range(8))
def test_no_chain_over_the_same_places_has_fewer_corners(seed: int) -> None:
    rng = np.random.default_rng(seed)
    traced = np.column_stack((np.arange(5) * 10.0, rng.uniform(-4, 4, 5)))
    found = straighten(traced, tolerance_m=2.0)
    places = traced[1:-1, None, :] + room._SHIFTS * 2.0

    def holds(chain: list[tuple[int, Floats]]) -> bool:
        for (i, a), (j, b) in itertools.pairwise(chain):
            leg = shapely.LineString([a, b])
            if (shapely.distance(leg, shapely.points(traced[i:j + 1])) > 2.0 + 1e-9).any():
                return False
        return True

    ends = (0, traced[0]), (4, traced[4])
    fewer = len(found.xy) - 3
    chains = [[ends[0], *((k + 1, places[k, w]) for k, w in zip(corners, which, strict=True)), ends[1]]
              for corners in itertools.combinations(range(3), max(fewer, 0))
              for which in itertools.product(range(17), repeat=max(fewer, 0))]
    assert fewer < 0 or not any(holds(chain) for chain in chains)


def test_a_rounded_corner_becomes_one_corner_and_a_fixed_one_stays() -> None:
    traced = np.array([[0.0, 0.0], [50.0, 0.4], [95.0, 0.0], [100.0, 5.0], [100.0, 90.0]])
    assert len(straighten(traced, tolerance_m=5.0).xy) == 3
    kept = straighten(traced, tolerance_m=5.0, fixed=[1])
    assert [50.0, 0.4] in kept.xy.tolist()


def test_a_closed_line_stays_closed_and_close() -> None:
    angle = np.linspace(0, 2 * np.pi, 61)
    ring = np.column_stack((50 * np.cos(angle), 30 * np.sin(angle)))
    ring[-1] = ring[0]
    found = straighten(ring, tolerance_m=3.0)
    assert (found.xy[0] == found.xy[-1]).all()
    assert far_apart(ring, found.xy) <= 3.0 + 1e-6
    assert len(found.xy) <= len(shapely.simplify(shapely.LineString(ring), 3.0).coords)
    assert ring[7].tolist() in straighten(ring, tolerance_m=3.0, fixed=[7]).xy.tolist()


def test_a_loop_is_not_cut_off() -> None:
    out_and_back = np.array([[0.0, 0.0], [50.0, 0.0], [50.0, 40.0], [51.0, 40.0], [51.0, 0.0], [100.0, 0.0]])
    assert straighten(out_and_back, tolerance_m=2.0).xy[:, 1].max() > 37.0


def test_without_tolerance_only_corners_on_a_straight_go() -> None:
    traced = np.array([[0.0, 0.0], [5.0, 0.0], [5.0, 0.0], [9.0, 0.0], [9.0, 9.0]])
    assert straighten(traced, tolerance_m=0.0).xy.tolist() == [[0.0, 0.0], [9.0, 0.0], [9.0, 9.0]]


@pytest.mark.parametrize(("xy", "tolerance", "fixed", "said"), [
    ([[0.0, 0.0], [0.0, 0.0]], 1.0, [], "two different corners"),
    ([[0.0, 0.0], [1.0, 0.0]], -1.0, [], "tolerance of -1 m"),
    ([[0.0, 0.0], [1.0, 0.0]], 1.0, [2], "no corner 2"),
])
def test_what_cannot_be_straightened_is_refused(xy: list[list[float]], tolerance: float, fixed: list[int],
                                                said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        straighten(np.array(xy), tolerance_m=tolerance, fixed=fixed)
