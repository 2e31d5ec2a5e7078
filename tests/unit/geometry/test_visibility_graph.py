"""Visibility in the plane, against the GEOS library and against a search over all ways."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats
from planner.geometry.visibility_graph import Graph, TurnPrice, cheapest_way, forward_graph, in_sight

PRICE = TurnPrice(corner=3.0, slight=1.0, corner_deg=40.0, slight_deg=5.0)


def cost_of(xy: Floats, price: TurnPrice) -> float:
    step = np.diff(xy, axis=0)
    return float(np.hypot(*step.T).sum() + price.of(np.diff(np.arctan2(step[:, 1], step[:, 0]))).sum())


def all_ways(graph: Graph) -> float:
    """Least cost from the first place to the last over every way there is."""
    legs = set(zip(graph.tail.tolist(), graph.head.tolist(), strict=True))
    inner = range(1, len(graph.xy) - 1)
    ways = ((0, *between, len(graph.xy) - 1) for size in range(len(graph.xy) - 1)
            for between in itertools.combinations(inner, size))
    return min((cost_of(graph.xy[list(way)], PRICE) for way in ways
                if all(leg in legs for leg in itertools.pairwise(way))), default=np.inf)


@pytest.mark.parametrize("seed", range(30))
def test_the_cheapest_way_is_the_cheapest_of_all_ways(seed: int) -> None:
    rng = np.random.default_rng(seed)
    xy = np.column_stack((np.sort(rng.uniform(0, 10, 10)), rng.uniform(0, 5, 10)))
    pairs = np.array([pair for pair in itertools.combinations(range(10), 2) if rng.random() < 0.6])
    graph = Graph(xy, pairs[:, 0], pairs[:, 1])
    first, last = np.full(10, np.inf), np.full(10, np.inf)
    first[0] = last[-1] = 0.0
    way = cheapest_way(graph, graph.lengths(), PRICE, start_cost=first, end_cost=last)
    assert way.cost == pytest.approx(all_ways(graph))
    if way.places:
        assert cost_of(xy[list(way.places)], PRICE) == pytest.approx(way.cost)


def test_turns_are_priced_by_their_size_and_the_limit_itself_is_the_lower_price() -> None:
    turns = np.radians([0.0, 5.0, 5.1, -40.0, 40.1, 359.0, -180.0])
    assert PRICE.of(turns).tolist() == [0.0, 0.0, 1.0, 1.0, 3.0, 0.0, 3.0]


def test_no_way_costs_without_end() -> None:
    graph = Graph(np.zeros((3, 2)), np.array([0]), np.array([1]))
    only = np.array([0.0, np.inf, np.inf])
    way = cheapest_way(graph, np.ones(1), PRICE, start_cost=only, end_cost=only[::-1])
    assert (way.cost, way.places) == (np.inf, ())


@pytest.mark.parametrize("size", [1.0, 10.0, 60.0])
def test_places_in_sight_are_those_whose_leg_a_region_covers(size: float) -> None:
    """Of a large region, legs are tried near their ends first; what is found is the same."""
    rng = np.random.default_rng(1)
    region = shapely.Point(0, 0).buffer(10 * size).difference(shapely.Point(2 * size, size).buffer(3 * size))
    xy = rng.uniform(-10 * size, 10 * size, (200, 2))
    xy = xy[shapely.contains_xy(region, *xy.T)]
    tail, head = (rng.integers(0, len(xy), 3000) for _ in range(2))
    legs = shapely.linestrings(np.stack((xy[tail], xy[head]), axis=1))
    assert (in_sight(region.boundary, xy, tail, head) == shapely.covers(region, legs)).all()


def test_a_forward_graph_holds_every_near_pair_and_sees_on_along_a_straight() -> None:
    along = np.repeat(np.arange(0.0, 500.0, 10.0), 2)
    xy = np.column_stack((along, np.tile([1.0, 2.0], 50)))
    graph = forward_graph(shapely.box(-1, 0, 600, 3).boundary, xy, along, sure_m=30.0, step_m=20.0)
    assert len(graph.tail) == 4 * 50 * 49 // 2
    assert (along[graph.head] > along[graph.tail]).all()
    assert (np.diff(graph.tail) >= 0).all()


def test_places_out_of_order_and_a_step_that_does_not_get_on_are_refused() -> None:
    edge = shapely.box(0, 0, 9, 9).boundary
    with pytest.raises(OutOfRange, match="in order"):
        forward_graph(edge, np.zeros((2, 2)), np.array([1.0, 0.0]), sure_m=1.0, step_m=1.0)
    with pytest.raises(OutOfRange, match="does not get on"):
        forward_graph(edge, np.zeros((2, 2)), np.array([0.0, 1.0]), sure_m=1.0, step_m=0.0)
