"""The search for the cheapest set-back line: candidate corners in the band, legs between them, the cheapest way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from planner.alignment.setback_band import Stretch
from planner.errors import OutOfRange
from planner.geometry.arrays import Booleans, Floats, Integers
from planner.geometry.lines import chainages
from planner.geometry.visibility_graph import Graph, TurnPrice, Way, cheapest_way, forward_graph, in_sight
from planner.units import Metre

_VISITS = 60_000
_CLOUD = np.array([(0, 0), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1)], dtype=float)


@dataclass(frozen=True, slots=True)
class Costs:
    """What a set-back line costs.

    Attributes:
        turn: Price of corners and of slight turns.
        metre_cost: Price of a metre of fence.
        land_per_m2: Value of a square metre given up.
    """

    turn: TurnPrice
    metre_cost: float
    land_per_m2: float


@dataclass(frozen=True, slots=True)
class Fineness:
    """How fine a search was.

    Attributes:
        level: 0 is the coarsest; each level halves the spacing and contains the candidates of the one before.
        station_m: Greatest distance between candidate corners along the edge of the set-back. [m]
        layers_m: Distances of candidate corners from that edge. [m]
        places: Candidate corners.
        legs: Legs between them that stay in the band.
        graph_cost: Cost of the cheapest way over them, before its corners were moved.
        bound: No way over the graph costs less; equal to ``graph_cost`` where that is proven to be the optimum.
        moved_to_m: Step in which the corners were at last moved to save more. [m]
    """

    level: int
    station_m: Metre
    layers_m: tuple[Metre, ...]
    places: int
    legs: int
    graph_cost: float
    bound: float
    moved_to_m: Metre

    @property
    def proven(self) -> bool:
        """True when the way is proven to be the cheapest over the graph."""
        return self.bound >= self.graph_cost - 1e-6 * max(1.0, abs(self.graph_cost))


@dataclass(frozen=True)
class Found:
    """A line that was found.

    Attributes:
        xy: Corners. [m] Shape (n, 2); a closed line repeats its first.
        cost: Corners, metres and land beyond the edge of the set-back.
        fineness: How fine the search was.
    """

    xy: Floats
    cost: float
    fineness: Fineness


def layers(give_m: Metre, level: int) -> tuple[Metre, ...]:
    """Distances of candidate corners from the edge of the set-back; each level contains those of the one before. [m]

    Args:
        give_m: Width of the band. [m]
        level: 0 or more.

    Example:
        >>> layers(16.0, 0), layers(16.0, 1)
        ((0.0, 2.0, 8.0, 16.0), (0.0, 1.0, 2.0, 4.0, 8.0, 12.0, 16.0))
    """
    parts = 2 ** (level + 1)
    shares = {k / parts for k in range(parts + 1)} | {2.0 ** -(k + 3) for k in range(level + 1)}
    return tuple(give_m * share for share in sorted(shares))


def station_spacing(stretch: Stretch, *, near_m: Metre, give_m: Metre, level: int) -> Metre:
    """Distance between candidate corners along the edge of a set-back. [m]

    Args:
        stretch: The stretch.
        near_m: Set-back from the drawn feature. [m]
        give_m: Width of the band. [m]
        level: 0 or more; each halves it.
    """
    length = float(chainages(stretch.arc)[-1])
    coarse = min(max((near_m + give_m) / 2, 1.0), max(length / 16, 0.5))
    return float(length / np.ceil(length / coarse) / 2**level)


def beside(stretch: Stretch, along: Floats, off: Metre) -> tuple[Floats, Booleans]:
    """Places beside the edge of a set-back, and which of them stand in the band no nearer to another part of it.

    Args:
        stretch: The stretch.
        along: Distances along its edge. [m] Shape (n,).
        off: Distance outward. [m]

    Returns:
        Positions, shape (n, 2), and whether each can be used, shape (n,).
    """
    arc = stretch.arc
    at = chainages(arc)
    leg = np.clip(np.searchsorted(at, along, side="right") - 1, 0, len(arc) - 2)
    step = arc[leg + 1] - arc[leg]
    step = step / np.hypot(step[:, 0], step[:, 1])[:, None]
    outward = np.column_stack((step[:, 1], -step[:, 0])) * (1.0 if stretch.water_on_left else -1.0)
    xy = arc[leg] + step * (along - at[leg])[:, None] + outward * off
    shapely.prepare(stretch.region)
    usable = np.asarray(shapely.intersects_xy(stretch.region, xy[:, 0], xy[:, 1]))
    if off > 0.01 and usable.any():
        edge = shapely.LineString(arc)
        shapely.prepare(edge)
        usable[usable] = ~shapely.dwithin(edge, shapely.points(xy[usable]), off * 0.995 - 0.001)
    return xy, usable


def search(stretch: Stretch, costs: Costs, *, near_m: Metre, give_m: Metre, level: int,
           known: Floats | None = None) -> Found:
    """The cheapest line along a stretch: the optimum of a graph, its corners then moved as long as that saves.

    Every level's candidates contain those of the level before, and the best line of all levels is kept, so that a
    finer search is never dearer.

    Args:
        stretch: The stretch.
        costs: What a line costs.
        near_m: Set-back from the drawn feature. [m]
        give_m: Width of the band. [m]
        level: Finest level, 0 or more.
        known: A line known to lie in the band, from a start to an end; the result is not dearer than it.

    Raises:
        OutOfRange: There is no way through the band.
    """
    work = _Closed(stretch, costs) if stretch.closed else _Open(stretch, costs)
    best = _search_at(stretch, work, near_m, give_m, 0)
    for each in range(1, level + 1):
        finer = _search_at(stretch, work, near_m, give_m, each)
        best = finer if finer.cost < best.cost else replace(best, fineness=finer.fineness)
    if known is not None and work.line_cost(known) < best.cost:
        xy, cost, step = work.move(known, best.fineness.station_m / 2)
        best = Found(xy, cost, replace(best.fineness, moved_to_m=step))
    return best


def _search_at(stretch: Stretch, work: _Open, near_m: Metre, give_m: Metre, level: int) -> Found:
    spacing = station_spacing(stretch, near_m=near_m, give_m=give_m, level=level)
    offs = layers(give_m, level)
    xy, along = _candidates(stretch, spacing, offs)
    wide = 2.0 * (near_m + give_m)
    way = work.best(xy, along, sure_m=max(150.0, wide), step_m=max(100.0, wide))
    moved, cost, step = work.move(way.xy, spacing / 2)
    return Found(moved, cost, Fineness(level, spacing, offs, way.places, way.legs, way.cost, way.bound, step))


@dataclass(frozen=True, slots=True)
class _Best:
    """The cheapest way over a graph."""

    xy: Floats
    cost: float
    bound: float
    places: int
    legs: int


def _candidates(stretch: Stretch, spacing: Metre, offs: Sequence[Metre]) -> tuple[Floats, Floats]:
    length = float(chainages(stretch.arc)[-1])
    count = round(length / spacing)
    stations = np.arange(count + (0 if stretch.closed else 1)) * spacing
    xy, along = [], []
    for off in offs:
        at, usable = beside(stretch, stations, off if off < offs[-1] or off == 0 else off * 0.999 - 0.002)
        xy.append(at[usable])
        along.append(stations[usable])
    order = np.argsort(np.concatenate(along), kind="stable")
    return np.concatenate(xy)[order], np.concatenate(along)[order]


def crossed(xy: Floats, origin: Floats) -> Floats:
    """Area swept by each leg of a line as seen from a point, anticlockwise positive. [m2] Shape (n - 1,).

    Args:
        xy: Corners. [m] Shape (n, 2).
        origin: The point. [m] Shape (2,).
    """
    a, b = xy[:-1] - origin, xy[1:] - origin
    return np.asarray((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2.0)


def line_cost(stretch: Stretch, costs: Costs, xy: Floats) -> float:
    """Cost of a line as the search counts it: turns, metres, and land beyond the edge of the set-back.

    Args:
        stretch: The stretch.
        costs: What a line costs.
        xy: Corners, from a start to an end of the stretch, or closed. [m] Shape (n, 2).
    """
    step = np.diff(xy, axis=0)
    turned = np.diff(np.arctan2(step[:, 1], step[:, 0]))
    fence = float(np.hypot(step[:, 0], step[:, 1]).sum()) * costs.metre_cost + float(costs.turn.of(turned).sum())
    return fence + costs.land_per_m2 * beyond_m2(stretch, xy) + (costs.turn.corner if stretch.closed else 0.0)


def beyond_m2(stretch: Stretch, xy: Floats) -> float:
    """Area between the edge of the set-back and a line beyond it. [m2]

    Args:
        stretch: The stretch.
        xy: Corners, from a start to an end of the stretch, or closed. [m] Shape (n, 2).
    """
    origin = stretch.arc.mean(axis=0)
    swept = crossed(xy, origin).sum() - crossed(stretch.arc, origin).sum()
    for end, tip, sign in ((stretch.start, xy[0], 1.0), (stretch.end, xy[-1], -1.0)):
        if end is not None:
            place = int(np.hypot(*(end.xy - tip).T).argmin())
            swept += sign * crossed(end.closing[:place + 3], origin).sum()
    return float(swept if stretch.water_on_left else -swept)


class _Open:
    """Search along a stretch with a start and an end."""

    def __init__(self, stretch: Stretch, costs: Costs) -> None:
        self.stretch, self.costs = stretch, costs
        self.origin = stretch.arc.mean(axis=0)
        self.land = costs.land_per_m2 * (1.0 if stretch.water_on_left else -1.0)
        self.length = float(chainages(stretch.arc)[-1])
        self.barriers = shapely.boundary(stretch.region)

    def leg_cost(self, graph: Graph) -> Floats:
        a, b = graph.xy[graph.tail] - self.origin, graph.xy[graph.head] - self.origin
        swept = (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2.0
        return self.costs.metre_cost * graph.lengths() + self.land * swept

    def ends(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Places of start and end, and the land cost of closing the line there."""
        start, end = self.stretch.start, self.stretch.end
        if start is None or end is None:
            raise OutOfRange("an open line needs a start and an end", remedy="give both")
        return (start.xy, end.xy, self.land * np.cumsum(crossed(start.closing, self.origin))[1:],
                -self.land * np.cumsum(crossed(end.closing, self.origin))[1:])

    def fixed_land(self) -> float:
        return float(-self.land * crossed(self.stretch.arc, self.origin).sum())

    def best(self, xy: Floats, along: Floats, *, sure_m: Metre, step_m: Metre) -> _Best:
        first, last, start_land, end_land = self.ends()
        every = np.concatenate((first, xy, last))
        at = np.concatenate((np.full(len(first), -1.0), along, np.full(len(last), self.length + 1.0)))
        graph = forward_graph(self.barriers, every, at, sure_m=sure_m, step_m=step_m)
        way = self.way(graph, start_land, end_land)
        if not way.places:
            raise OutOfRange("there is no way along the band from its start to its end",
                             where=f"{self.stretch.bank} bank near {first[0, 0]:.0f}, {first[0, 1]:.0f}",
                             remedy="give more, or fence the stretch in parts")
        cost = way.cost + self.fixed_land()
        return _Best(graph.xy[list(way.places)], cost, cost, len(graph.xy), len(graph.tail))

    def way(self, graph: Graph, start_land: Floats, end_land: Floats) -> Way:
        """The cheapest way from one of the first places to one of the last."""
        start_cost, end_cost = np.full(len(graph.xy), np.inf), np.full(len(graph.xy), np.inf)
        start_cost[:len(start_land)], end_cost[len(graph.xy) - len(end_land):] = start_land, end_land
        return cheapest_way(graph, self.leg_cost(graph), self.costs.turn, start_cost=start_cost, end_cost=end_cost)

    def line_cost(self, xy: Floats) -> float:
        """Cost of a line from a start to an end."""
        return line_cost(self.stretch, self.costs, xy)

    def move(self, xy: Floats, step: Metre) -> tuple[Floats, float, Metre]:
        """The line with its corners moved, in ever smaller steps, and left out where that saves."""
        first, last, start_land, end_land = self.ends()
        cost = np.inf
        for _ in range(24):
            graph = _cloud_graph(self.barriers, [first, *_clouds(self.barriers, xy[1:-1], step), last])
            way = self.way(graph, start_land, end_land)
            better = way.cost < cost - 1e-3
            if way.places and way.cost < cost:
                cost, xy = way.cost, graph.xy[list(way.places)]
            if not better:
                if step < 0.05:
                    break
                step /= 2
        return xy, cost + self.fixed_land(), step


class _Closed(_Open):
    """Search for a line that returns to its start, where a corner is always counted."""

    def __init__(self, stretch: Stretch, costs: Costs) -> None:
        super().__init__(stretch, costs)
        self.middle = shapely.get_coordinates(shapely.point_on_surface(stretch.inside))[0]

    def fixed_land(self) -> float:
        return super().fixed_land() + self.costs.turn.corner

    def best(self, xy: Floats, along: Floats, *, sure_m: Metre, step_m: Metre) -> _Best:
        count = len(xy)
        lap = forward_graph(self.barriers, np.concatenate((xy, xy)), np.concatenate((along, along + self.length)),
                            sure_m=sure_m, step_m=step_m, tails=count)
        good = (lap.head - lap.tail < count) & self._keeps_round(lap, self._winding(xy, along))
        xy, tail, head = _cut_where_narrow(xy, lap.tail[good], lap.head[good])
        starts = np.unique(tail[head >= count])
        if not len(starts):
            raise OutOfRange("there is no way round in the band", remedy="give more")
        bound = self._arrivals(xy, tail, head, starts)
        order = starts[np.argsort(bound[starts], kind="stable")]
        cost, way, least = np.inf, np.zeros((0, 2)), np.inf
        for tried, start in enumerate(order.tolist()):
            least = float(bound[start])
            if least >= cost - 1e-9 or tried >= max(4, _VISITS // max(count, 1)):
                break
            found, places = self._from(xy, tail, head, start)
            if found < cost:
                cost, way = found, xy[places]
            least = cost
        if not len(way):
            raise OutOfRange("there is no way round in the band", remedy="give more")
        fixed = self.fixed_land()
        return _Best(way, cost + fixed, min(least, cost) + fixed, count, len(tail))

    def _winding(self, xy: Floats, along: Floats) -> Floats:
        """Angle that each place of two laps has gone round the features, by way of the edge. [rad]"""
        arc = self.stretch.arc
        round_edge = np.concatenate(([0.0], np.cumsum(self._swept(arc[:-1], arc[1:]))))
        at = chainages(arc)
        leg = np.clip(np.searchsorted(at, along, side="right") - 1, 0, len(arc) - 2)
        foot = arc[leg] + (arc[leg + 1] - arc[leg]) * ((along - at[leg]) / (at[leg + 1] - at[leg]))[:, None]
        wound = round_edge[leg] + self._swept(arc[leg], foot) + self._swept(foot, xy)
        return np.concatenate((wound, wound + round_edge[-1]))

    def _swept(self, start: Floats, end: Floats) -> Floats:
        """Angle under which steps that do not enter the features are seen from within them. [rad]"""
        a, b = start - self.middle, end - self.middle
        return np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1))

    def _keeps_round(self, graph: Graph, wound: Floats) -> Booleans:
        """Which legs go round the features the way the edge does, and not back the other way."""
        step = self._swept(graph.xy[graph.tail], graph.xy[graph.head])
        return np.asarray(np.abs(wound[graph.head] - wound[graph.tail] - step) < 1e-3)

    def _arrivals(self, xy: Floats, tail: Integers, head: Integers, starts: Integers) -> Floats:
        """For each start, a cost that no way once round from it can beat."""
        count = len(xy)
        twice = np.concatenate((xy, xy))
        graph = Graph(twice, *_sorted(np.concatenate((tail, tail + count)), np.concatenate((head, head + count))))
        within = graph.head < 2 * count
        graph = Graph(twice, graph.tail[within], graph.head[within])
        start_cost = np.full(2 * count, np.inf)
        start_cost[starts] = 0.0
        reach = int(starts.max()) + count + 1
        keep = graph.head < reach
        graph = Graph(twice[:reach], graph.tail[keep], graph.head[keep])
        way = cheapest_way(graph, self.leg_cost(graph), self.costs.turn, start_cost=start_cost[:reach],
                           end_cost=np.zeros(reach))
        bound = np.full(count, np.inf)
        bound[starts] = way.arrive[starts + count]
        return bound

    def _from(self, xy: Floats, tail: Integers, head: Integers, start: int) -> tuple[float, list[int]]:
        count = len(xy)
        turned = np.remainder(tail - start, count)
        ahead = turned + head - tail
        keep = ahead <= count
        graph = Graph(np.concatenate((xy[start:], xy[:start + 1])), *_sorted(turned[keep], ahead[keep]))
        start_cost, end_cost = np.full(count + 1, np.inf), np.full(count + 1, np.inf)
        start_cost[0], end_cost[count] = 0.0, 0.0
        way = cheapest_way(graph, self.leg_cost(graph), self.costs.turn, start_cost=start_cost, end_cost=end_cost)
        return way.cost, [(place + start) % count for place in way.places]

    def move(self, xy: Floats, step: Metre) -> tuple[Floats, float, Metre]:
        cost = self.line_cost(xy)
        still = 0
        while step >= 0.05 and still < 200:
            better = False
            for _ in range(2):
                turned = np.concatenate((xy[1:], xy[1:2])) if len(xy) > 4 else xy
                clouds = [turned[:1], *_clouds(self.barriers, turned[1:-1], step), turned[:1]]
                graph = self._round_only(_cloud_graph(self.barriers, clouds), turned, clouds)
                way = self.way(graph, np.zeros(1), np.zeros(1))
                xy = turned if self.line_cost(turned) <= cost + 1e-9 else xy
                if len(way.places) > 3 and way.cost + self.fixed_land() < cost - 1e-9:
                    better |= way.cost + self.fixed_land() < cost - 1e-3
                    cost, xy = way.cost + self.fixed_land(), graph.xy[list(way.places)]
            still += 1
            if not better:
                step /= 2
        return xy, cost, step


    def _round_only(self, graph: Graph, line: Floats, clouds: Sequence[Floats]) -> Graph:
        corner = np.concatenate(([0.0], np.cumsum(self._swept(line[:-1], line[1:]))))
        which = np.repeat(np.arange(len(clouds)), [len(cloud) for cloud in clouds])
        keep = self._keeps_round(graph, corner[which] + self._swept(line[which], graph.xy))
        return Graph(graph.xy, graph.tail[keep], graph.head[keep])


def _cut_where_narrow(xy: Floats, tail: Integers, head: Integers) -> tuple[Floats, Integers, Integers]:
    """Places and legs of a lap, counted from where the fewest legs pass."""
    count = len(xy)
    passing = np.zeros(2 * count + 1, dtype=np.int64)
    np.add.at(passing, tail + 1, 1)
    np.add.at(passing, head + 1, -1)
    over = np.cumsum(passing)[:2 * count].reshape(2, count).sum(axis=0)
    first = int(over.argmin())
    turned = np.remainder(tail - first, count)
    return np.roll(xy, -first, axis=0), *_sorted(turned, turned + head - tail)


def _sorted(tail: Integers, head: Integers) -> tuple[Integers, Integers]:
    order = np.lexsort((head, tail))
    return tail[order], head[order]


def _clouds(barriers: Any, corners: Floats, step: Metre) -> list[Floats]:
    """Places round each corner with no barrier between, the corner itself first."""
    count = len(corners)
    if not count:
        return []
    near = (corners[:, None, :] + _CLOUD * step).reshape(-1, 2)
    seen = in_sight(barriers, np.concatenate((corners, near)), np.repeat(np.arange(count), len(_CLOUD)),
                    np.arange(count, count + len(near))).reshape(count, -1)
    seen[:, 0] = True
    return [cloud[kept] for cloud, kept in zip(near.reshape(count, -1, 2), seen, strict=True)]


def _cloud_graph(barriers: Any, clouds: Sequence[Floats]) -> Graph:
    """Legs from each cloud to the next three, so that one or two corners may be left out."""
    sizes = np.array([len(cloud) for cloud in clouds])
    ends = np.cumsum(sizes)
    pairs = []
    for here in range(len(clouds) - 1):
        for there in range(here + 1, min(here + 4, len(clouds))):
            a = np.arange(ends[here] - sizes[here], ends[here])
            b = np.arange(ends[there] - sizes[there], ends[there])
            pairs.append(np.stack((np.repeat(a, len(b)), np.tile(b, len(a)))))
    tail, head = _sorted(*np.concatenate(pairs, axis=1))
    xy = np.concatenate(clouds)
    seen = in_sight(barriers, xy, tail, head)
    return Graph(xy, tail[seen], head[seen])
