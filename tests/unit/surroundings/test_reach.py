"""Ways through gates: with the fewest gates, and which land gates join."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components, shortest_path

from planner.surroundings.gateways import Gateway
from planner.surroundings.reach import together, ways_to


def gate(name: str, one: int, other: int) -> Gateway:
    return Gateway(name, "", 0.0, 0.0, 0.0, 4.2, 0.0, (one, other))


CHAIN = [gate("a", 0, 1), gate("b", 1, 2), gate("c", 2, 3), gate("short", 0, 3)]


def test_the_way_with_the_fewest_gates_in_order():
    ways = ways_to({0}, CHAIN)
    assert {land: [g.name for g in way] for land, way in ways.items()} == {
        0: [], 1: ["a"], 3: ["short"], 2: ["b", "a"]}


def test_a_way_does_not_lead_through_what_may_not_be_passed():
    ways = ways_to({0}, CHAIN[:3], may_pass=lambda land: land != 1)
    assert sorted(ways) == [0, 1]


def test_a_gate_with_the_same_land_on_both_sides_leads_nowhere():
    assert sorted(ways_to({0}, [gate("x", 1, 1)])) == [0]


def test_groups_are_joined_through_land_that_is_not_asked_for():
    assert together([1, 3, 5], [gate("a", 1, 2), gate("b", 2, 3)]) == [[1, 3], [5]]


def test_as_scipy_finds_it():
    rng = np.random.default_rng(3)
    gates = [gate(str(k), int(a), int(b)) for k, (a, b) in enumerate(rng.integers(0, 60, size=(70, 2)))]
    one, other = np.array([g.sides for g in gates]).T
    graph = coo_array((np.ones(len(gates)), (one, other)), shape=(60, 60))
    away = shortest_path(graph, directed=False, unweighted=True, indices=0)
    assert {land: len(way) for land, way in ways_to({0}, gates).items()} == {
        land: int(far) for land, far in enumerate(away) if np.isfinite(far)}
    count, label = connected_components(graph, directed=False)
    assert sorted(map(sorted, together(range(60), gates))) == sorted(
        np.flatnonzero(label == k).tolist() for k in range(count))
