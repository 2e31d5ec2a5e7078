"""The set-back line: in its band, never dearer than following the edge, the optimum over its graph.

STRAINWRIGHT_MEANDERS=200 looks at as many random meanders, at the usual fineness (12 coarse ones otherwise).
"""

from __future__ import annotations

import itertools
import os
from typing import Any

import numpy as np
import pytest
import shapely
from meanders import meander
from setback_checks import assert_in_band, simplified_edge_costs

from planner.alignment.setback_band import Wanted, stretches
from planner.alignment.setback_costs import Costs
from planner.alignment.setback_line import setback_line
from planner.alignment.setback_places import candidates, layers
from planner.alignment.setback_ways import ClosedWays, OpenWays
from planner.errors import Cancelled, OutOfRange
from planner.geometry.visibility_graph import TurnPrice, forward_graph

X = np.linspace(0.0, 760.0, 381)
CREEK = shapely.LineString(np.column_stack((X, 28.0 * np.sin(2 * np.pi * X / 150.0))))
ANGLE = np.linspace(0.0, 2 * np.pi, 240, endpoint=False)
DAM = shapely.Polygon(np.column_stack((35.0 * np.cos(ANGLE), 22.5 * np.sin(ANGLE))))


def test_random_meanders_are_a_quarter_cheaper_than_their_simplified_edges() -> None:
    wanted = os.environ.get("STRAINWRIGHT_MEANDERS")
    count, level = (int(wanted), 1) if wanted else (12, 0)
    saved = []
    for seed in range(count):
        stream = meander(seed)
        line = setback_line([stream], setback_m=20.0, give_m=25.0, bank="left" if seed % 2 else "right",
                            baseline="edge", fineness=level).lines[0]
        assert_in_band(line, stream, near_m=20.0, give_m=25.0)
        if line.saved is not None and line.follow is not None:
            saved.append(line.saved / line.follow.cost)
    assert len(saved) > 0.8 * count
    assert np.median(saved) >= 0.15


def test_both_banks_of_a_creek_run_straight_where_the_give_allows() -> None:
    """Creek y = 28 sin(2 pi x / 150), bank half-width 4 m, 20 m from the top of the bank: 760 m a bank at y = +-52, no
    bends, 7.90 ha for both. Plane geometry: 28 + 4 + 20 = 52; 760 x 104 = 79,040 m2."""
    lines = [setback_line([CREEK], setback_m=20.0, give_m=45.0, bank=bank, baseline="centreline", half_width_m=4.0,
                          start=(0.0, y), end=(760.0, y)).lines[0] for bank, y in (("left", 52.0), ("right", -52.0))]
    for line in lines:
        assert_in_band(line, CREEK, near_m=24.0, give_m=45.0)
        assert line.xy[:, 0].tolist() == [0.0, 760.0]
        assert (line.figures.corners, line.figures.length_m) == (0, pytest.approx(760.0))
        assert line.figures.least_setback_m == pytest.approx(20.0, abs=0.05)
    assert sum(line.figures.excluded_m2 for line in lines) == pytest.approx(79_040.0, rel=1e-4)
    assert sum(line.figures.given_up_m2 for line in lines) == pytest.approx(79_040.0 - 8 * CREEK.length, rel=2e-3)


def test_a_dam_gets_a_rectangle_where_corners_cost_and_more_corners_where_they_do_not() -> None:
    """Ellipse 70 x 45 m, 10 m clear. By arithmetic: rectangle round the offset 90 x 65 m, 310 m, 4 corners; the true
    offset is about 245 m long."""
    dear = setback_line([DAM], setback_m=10.0, give_m=25.0, bank="around", baseline="edge").lines[0]
    assert_in_band(dear, DAM, near_m=10.0, give_m=25.0)
    assert (dear.figures.corners, dear.figures.slight_turns) == (4, 0)
    assert dear.figures.length_m == pytest.approx(310.0, abs=3.0)
    assert 4900.0 < dear.figures.excluded_m2 < 6100.0
    assert dear.figures.given_up_m2 == pytest.approx(dear.figures.excluded_m2 - DAM.area)
    free = setback_line([DAM], setback_m=10.0, give_m=25.0, bank="around", baseline="edge", corner_cost=0.0,
                        fineness=0).lines[0]
    assert free.figures.length_m == pytest.approx(shapely.buffer(DAM, 10.0, quad_segs=64).length, rel=0.01)
    costly_land = setback_line([DAM], setback_m=10.0, give_m=25.0, bank="around", baseline="edge",
                               land_cost_per_ha=60_000.0, fineness=0).lines[0]
    assert costly_land.figures.given_up_m2 < dear.figures.given_up_m2
    assert dear.figures.cost <= min(simplified_edge_costs(DAM, near_m=10.0, give_m=25.0, corner=450.0, metre=9.0))


def test_a_finer_search_is_never_dearer() -> None:
    for feature, bank, levels in ((meander(4, length_m=300.0), "left", (0, 1, 2)), (DAM, "around", (0, 1))):
        costs = [setback_line([feature], setback_m=10.0, give_m=10.0, bank=bank, baseline="edge",
                              fineness=level).lines[0].figures.cost for level in levels]
        assert costs == sorted(costs, reverse=True)
    for level in (0, 1, 2):
        assert set(layers(17.0, level)) <= set(layers(17.0, level + 1))


def way_cost(xy: Any, costs: Costs) -> float:
    step = np.diff(xy, axis=0)
    return float(costs.metre_cost * np.hypot(*step.T).sum()
                 + costs.turn.of(np.diff(np.arctan2(step[:, 1], step[:, 0]))).sum())


def test_an_open_line_is_the_optimum_over_its_graph() -> None:
    """Every way over a coarse graph is tried; the land has no price here."""
    stream = shapely.LineString([(0, 0), (20, 8), (40, 0)])
    stretch = stretches([stream], Wanted(8.0, 8.0, "left"))[0]
    costs = Costs(TurnPrice(30.0, 10.0, 20.0, 1.0), 1.0, 0.0)
    work = OpenWays(stretch, costs)
    xy, along = candidates(stretch, work.length / 4, (0.0, 4.0))
    best = work.best(xy, along, sure_m=200.0, step_m=50.0)
    first, last, _, _ = work.ends()
    every = np.concatenate((first, xy, last))
    at = np.concatenate((np.full(len(first), -1.0), along, np.full(len(last), work.length + 1.0)))
    graph = forward_graph(work.barriers, every, at, sure_m=200.0, step_m=50.0)
    legs = set(zip(graph.tail.tolist(), graph.head.tolist(), strict=True))
    inner = range(len(first), len(first) + len(xy))
    ends = [(a, b) for a in range(len(first)) for b in range(len(every) - len(last), len(every))]
    ways = ((a, *between, b) for size in range(4) for between in itertools.combinations(inner, size)
            if all(leg in legs for leg in itertools.pairwise(between)) for a, b in ends)
    least = min(way_cost(every[list(way)], costs) for way in ways
                if (way[0], way[1]) in legs and (way[-2], way[-1]) in legs)
    assert best.cost == pytest.approx(least)


def test_a_closed_line_is_the_optimum_over_its_places_and_says_so() -> None:
    pond = shapely.box(-4, -3, 4, 3)
    stretch = stretches([pond], Wanted(4.0, 9.0, "around"))[0]
    costs = Costs(TurnPrice(12.0, 4.0, 20.0, 1.0), 1.0, 0.0)
    work = ClosedWays(stretch, costs)
    xy, along = candidates(stretch, work.length / 10, (0.0, 5.0))
    best = work.best(xy, along, sure_m=200.0, step_m=50.0)
    least = np.inf
    for size in (3, 4, 5):
        for way in itertools.combinations(range(len(xy)), size):
            ring = xy[[*way, way[0]]]
            if stretch.region.covers(shapely.LineString(ring)) and shapely.Polygon(ring).contains(pond):
                least = min(least, *(way_cost(np.roll(ring[:-1], -k, axis=0)[[*range(size), 0]], costs)
                                     for k in range(size)))
    assert best.cost == pytest.approx(least + 12.0)
    assert best.bound == pytest.approx(best.cost)


def test_a_line_stays_in_its_paddock_and_ends_on_its_boundary() -> None:
    paddock = shapely.box(100.0, -120.0, 560.0, 130.0)
    lines = setback_line([CREEK], setback_m=20.0, give_m=25.0, bank="both", baseline="bank-top",
                         paddock=paddock).lines
    assert [line.bank for line in lines] == ["left", "right"]
    for line in lines:
        assert_in_band(line, CREEK, near_m=20.0, give_m=25.0)
        assert shapely.buffer(paddock, 0.001).covers(shapely.LineString(line.xy))
        assert line.xy[[0, -1], 0].tolist() == pytest.approx([100.0, 560.0])
    strip = shapely.Polygon(np.vstack((lines[0].xy, lines[1].xy[::-1])))
    assert sum(line.figures.excluded_m2 for line in lines) == pytest.approx(strip.area, rel=1e-3)


def test_a_dam_on_the_boundary_is_closed_off_by_an_open_line() -> None:
    paddock = shapely.box(-200.0, 0.0, 200.0, 200.0)
    line, = setback_line([DAM], setback_m=10.0, give_m=20.0, bank="around", baseline="edge", paddock=paddock).lines
    assert not line.closed
    assert line.xy[[0, -1], 1].tolist() == pytest.approx([0.0, 0.0], abs=1e-6)
    assert_in_band(line, DAM, near_m=10.0, give_m=20.0)
    assert line.figures.excluded_m2 == pytest.approx(shapely.Polygon(line.xy).area, rel=1e-3)


def test_features_whose_bands_touch_are_fenced_as_one_and_others_alone() -> None:
    near, far = (shapely.Point(x, 0.0).buffer(15.0) for x in (55.0, 400.0))
    lines = setback_line([shapely.Point(0.0, 0.0).buffer(15.0), near, far], setback_m=10.0, give_m=10.0,
                         bank="around", baseline="edge").lines
    assert len(lines) == 2
    assert shapely.Polygon(lines[0].xy).contains(near)
    everything = shapely.union_all([shapely.Point(0.0, 0.0).buffer(15.0), near, far])
    for line in lines:
        assert_in_band(line, everything, near_m=10.0, give_m=10.0)


@pytest.mark.parametrize(("feature", "bank"), [
    (shapely.box(0.0, 0.0, 30.0, 20.0), "around"),
    (shapely.LineString([(0.0, 0.0), (40.0, 15.0), (80.0, 0.0)]), "left")])
def test_a_search_stops_when_asked_at_any_place_of_its_way(feature: Any, bank: Any) -> None:
    """One line is searched for, so that only the loops inside it can stop it."""
    class Impatient:
        def __init__(self, patience: int) -> None:
            self.asked, self.patience = 0, patience

        def report(self, fraction: float, text: str) -> None:
            assert 0.0 <= fraction <= 1.0

        def stop_if_cancelled(self) -> None:
            self.asked += 1
            if self.asked > self.patience:
                raise Cancelled

    def ask(patience: int) -> Impatient:
        somebody = Impatient(patience)
        setback_line([feature], setback_m=10.0, give_m=15.0, bank=bank, baseline="edge", fineness=0, progress=somebody)
        return somebody

    asked = ask(10**6).asked
    assert asked > 10
    for patience in (1, asked // 2, asked - 1):
        with pytest.raises(Cancelled):
            ask(patience)


def test_an_island_is_given_up() -> None:
    lake = shapely.Point(0.0, 0.0).buffer(60.0).difference(shapely.Point(0.0, 0.0).buffer(40.0))
    line, = setback_line([lake], setback_m=5.0, give_m=20.0, bank="around", baseline="edge").lines
    assert line.figures.given_up_m2 == pytest.approx(shapely.Polygon(line.xy).area - lake.area)


def test_a_stream_that_joins_is_gone_round() -> None:
    branch = shapely.LineString([(300.0, 90.0), (310.0, 30.0), (310.0, 0.0)])
    stem = shapely.LineString([(0.0, 0.0), (310.0, 0.0), (600.0, 0.0)])
    left, right = setback_line([stem, branch], setback_m=10.0, give_m=20.0, bank="both", baseline="edge").lines
    for line in (left, right):
        assert_in_band(line, shapely.union_all([stem, branch]), near_m=10.0, give_m=20.0)
    assert left.xy[:, 1].max() > 100.0
    assert right.xy[:, 1].max() < 0.0


def test_banks_of_water_drawn_as_a_shape_run_between_a_start_and_an_end() -> None:
    river = shapely.LineString([(0, 0), (150, 40), (300, 0)]).buffer(15.0, cap_style="flat")
    left, right = (setback_line([river], setback_m=10.0, give_m=15.0, bank=bank, baseline="edge", start=(-15.0, 0.0),
                                end=(315.0, 0.0)).lines[0] for bank in ("left", "right"))
    assert left.xy[:, 1].max() > 60.0
    assert right.xy[:, 1].max() < 25.0
    for line in (left, right):
        assert_in_band(line, river, near_m=10.0, give_m=15.0)
        assert line.xy[[0, -1]].tolist() == [[-15.0, 0.0], [315.0, 0.0]]


def test_gates_asked_for_along_the_stream_come_to_stand_on_the_line() -> None:
    straight = shapely.LineString([(0.0, 0.0), (400.0, 0.0)])
    line, = setback_line([straight], setback_m=10.0, give_m=5.0, bank="left", baseline="edge",
                         openings_at_m=[120.0]).lines
    opening, = line.openings
    assert (opening.x, opening.chainage_m) == (pytest.approx(120.0, abs=0.2), pytest.approx(120.0, abs=0.2))
    assert shapely.distance(shapely.LineString(line.xy), shapely.Point(opening.x, opening.y)) < 1e-6


@pytest.mark.parametrize(("changes", "said"), [
    ({"bank": "north"}, "no bank 'north'"),
    ({"baseline": "middle"}, "counted from 'middle'"),
    ({"setback_m": 0.0}, "set-back of 0"),
    ({"give_m": -1.0}, "give of -1"),
    ({"fineness": -1}, "fineness of -1"),
    ({"baseline": "edge", "half_width_m": 2.0}, "half width of 2 m belongs to a centreline"),
    ({"features": []}, "no feature"),
    ({"features": [DAM]}, "no left and right bank"),
    ({"start": (0.0, 200.0)}, "the start asked for is 175.62 m"),
])
def test_what_cannot_be_asked_is_refused(changes: dict[str, Any], said: str) -> None:
    asked: dict[str, Any] = {"features": [CREEK], "setback_m": 20.0, "give_m": 25.0, "bank": "left",
                             "baseline": "centreline"} | changes
    features = asked.pop("features")
    with pytest.raises(OutOfRange, match=said):
        setback_line(features, **asked)
