"""Ways through the band: the cheapest over candidate corners, and a line's own corners moved to save more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from planner.alignment.setback_band import Stretch
from planner.alignment.setback_costs import Costs, crossed, line_cost
from planner.errors import OutOfRange
from planner.geometry.arrays import Booleans, Floats, Integers
from planner.geometry.lines import chainages
from planner.geometry.visibility_graph import Graph, Way, cheapest_way, forward_graph, in_sight
from planner.progress import Progress, Unwatched
from planner.units import Metre

_VISITS = 60_000
_CLOUD = np.array([(0, 0), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1)], dtype=float)


@dataclass(frozen=True, slots=True)
class Best:
    """The cheapest way over a graph."""

    xy: Floats
    cost: float
    bound: float
    places: int
    legs: int


class OpenWays:
    """Search along a stretch with a start and an end.

    Args:
        stretch: The stretch.
        costs: What a line costs.
        progress: Who may ask the search to stop.
    """

    def __init__(self, stretch: Stretch, costs: Costs, progress: Progress = Unwatched()) -> None:
        self.stretch, self.costs, self.progress = stretch, costs, progress
        self.origin = stretch.arc.mean(axis=0)
        self.land = costs.land_per_m2 * (1.0 if stretch.water_on_left else -1.0)
        self.length = float(chainages(stretch.arc)[-1])
        self.barriers = shapely.boundary(stretch.region)

    def leg_cost(self, graph: Graph) -> Floats:
        """Cost of each leg: metres, and land swept. Shape (m,)."""
        a, b = graph.xy[graph.tail] - self.origin, graph.xy[graph.head] - self.origin
        swept = (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2.0
        return np.asarray(self.costs.metre_cost * graph.lengths() + self.land * swept)

    def ends(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Places of start and end, and the land cost of closing the line there."""
        start, end = self.stretch.start, self.stretch.end
        if start is None or end is None:
            raise OutOfRange("an open line needs a start and an end", remedy="give both")
        return (start.xy, end.xy, self.land * np.cumsum(crossed(start.closing, self.origin))[1:],
                -self.land * np.cumsum(crossed(end.closing, self.origin))[1:])

    def fixed_land(self) -> float:
        """Cost that is the same for every line."""
        return float(-self.land * crossed(self.stretch.arc, self.origin).sum())

    def best(self, xy: Floats, along: Floats, *, sure_m: Metre, step_m: Metre) -> Best:
        """The cheapest way from a start to an end over candidate corners.

        Args:
            xy: Candidate corners. [m] Shape (n, 2).
            along: Distance along the edge of the set-back of each, rising. [m] Shape (n,).
            sure_m: Distance along within which every pair is looked at. [m]
            step_m: Step of looking on. [m]

        Raises:
            OutOfRange: There is none.
        """
        first, last, start_land, end_land = self.ends()
        every = np.concatenate((first, xy, last))
        at = np.concatenate((np.full(len(first), -1.0), along, np.full(len(last), self.length + 1.0)))
        graph = forward_graph(self.barriers, every, at, sure_m=sure_m, step_m=step_m, progress=self.progress)
        way = self.way(graph, start_land, end_land)
        if not way.places:
            raise OutOfRange("there is no way along the band from its start to its end",
                             where=f"{self.stretch.bank} bank near {first[0, 0]:.0f}, {first[0, 1]:.0f}",
                             remedy="give more, or fence the stretch in parts")
        cost = way.cost + self.fixed_land()
        return Best(graph.xy[list(way.places)], cost, cost, len(graph.xy), len(graph.tail))

    def way(self, graph: Graph, start_land: Floats, end_land: Floats) -> Way:
        """The cheapest way from one of the first places to one of the last."""
        start_cost, end_cost = np.full(len(graph.xy), np.inf), np.full(len(graph.xy), np.inf)
        start_cost[:len(start_land)], end_cost[len(graph.xy) - len(end_land):] = start_land, end_land
        self.progress.stop_if_cancelled()
        return cheapest_way(graph, self.leg_cost(graph), self.costs.turn, start_cost=start_cost, end_cost=end_cost)

    def line_cost(self, xy: Floats) -> float:
        """Cost of a line from a start to an end."""
        return line_cost(self.stretch, self.costs, xy)

    def move(self, xy: Floats, step: Metre) -> tuple[Floats, float, Metre]:
        """The line with its corners moved, in ever smaller steps, and left out where that saves."""
        first, last, start_land, end_land = self.ends()
        cost, sights = np.inf, _Sights(self.barriers)
        for _ in range(24):
            graph = _cloud_graph(sights, [first, *_clouds(self.barriers, xy[1:-1], step), last])
            way = self.way(graph, start_land, end_land)
            better = way.cost < cost - 1e-3
            if way.places and way.cost < cost:
                cost, xy = way.cost, graph.xy[list(way.places)]
            if not better:
                if step < 0.05:
                    break
                step /= 2
        return xy, cost + self.fixed_land(), step


class ClosedWays(OpenWays):
    """Search for a line that returns to its start, where a corner is always counted."""

    def __init__(self, stretch: Stretch, costs: Costs, progress: Progress = Unwatched()) -> None:
        super().__init__(stretch, costs, progress)
        self.middle = shapely.get_coordinates(shapely.point_on_surface(stretch.inside))[0]

    def fixed_land(self) -> float:
        """Cost that is the same for every line: the corner at which it starts among them."""
        return super().fixed_land() + self.costs.turn.corner

    def best(self, xy: Floats, along: Floats, *, sure_m: Metre, step_m: Metre) -> Best:
        """The cheapest way once round over candidate corners, and a cost that none can beat.

        Args:
            xy: Candidate corners. [m] Shape (n, 2).
            along: Distance along the edge of the set-back of each, rising. [m] Shape (n,).
            sure_m: Distance along within which every pair is looked at. [m]
            step_m: Step of looking on. [m]

        Raises:
            OutOfRange: There is none.
        """
        count = len(xy)
        lap = forward_graph(self.barriers, np.concatenate((xy, xy)), np.concatenate((along, along + self.length)),
                            sure_m=sure_m, step_m=step_m, tails=count, progress=self.progress)
        good = (lap.head - lap.tail < count) & self._keeps_round(lap, self._winding(xy, along))
        xy, tail, head = _cut_where_narrow(xy, lap.tail[good], lap.head[good])
        starts = np.unique(tail[head >= count])
        if not len(starts):
            raise OutOfRange("there is no way round in the band", remedy="give more")
        bound = self._arrivals(xy, tail, head, starts)
        order = starts[np.argsort(bound[starts], kind="stable")]
        cost, way, least = np.inf, np.zeros((0, 2)), np.inf
        for tried, start in enumerate(order.tolist()):
            self.progress.stop_if_cancelled()
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
        return Best(way, cost + fixed, min(least, cost) + fixed, count, len(tail))

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
        return np.asarray(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1)))

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
        """The line with its corners moved, in ever smaller steps, and left out where that saves."""
        cost, sights = self.line_cost(xy), _Sights(self.barriers)
        still = 0
        while step >= 0.05 and still < 200:
            better = False
            for _ in range(2):
                turned = np.concatenate((xy[1:], xy[1:2])) if len(xy) > 4 else xy
                clouds = [turned[:1], *_clouds(self.barriers, turned[1:-1], step), turned[:1]]
                graph = self._round_only(_cloud_graph(sights, clouds), turned, clouds)
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


class _Sights:
    """Which places of one cloud see which of another; each two clouds are looked at once."""

    def __init__(self, barriers: Any) -> None:
        self._barriers = barriers
        self._seen: dict[tuple[bytes, bytes], Booleans] = {}

    def between(self, pairs: Sequence[tuple[Floats, Floats]]) -> list[Booleans]:
        """For each pair of clouds, the places of the first by those of the second, one after the other."""
        keys = [(a.tobytes(), b.tobytes()) for a, b in pairs]
        fresh = {key: pair for key, pair in zip(keys, pairs, strict=True) if key not in self._seen}
        if fresh:
            tails = np.concatenate([np.repeat(a, len(b), axis=0) for a, b in fresh.values()])
            heads = np.concatenate([np.tile(b, (len(a), 1)) for a, b in fresh.values()])
            every = np.arange(len(tails))
            seen = in_sight(self._barriers, np.concatenate((tails, heads)), every, every + len(tails))
            ends = np.cumsum([len(a) * len(b) for a, b in fresh.values()])
            self._seen.update(zip(fresh, np.split(seen, ends[:-1]), strict=True))
        return [self._seen[key] for key in keys]


def _cloud_graph(sights: _Sights, clouds: Sequence[Floats]) -> Graph:
    """Legs from each cloud to the next three, so that one or two corners may be left out."""
    ends = np.cumsum([len(cloud) for cloud in clouds])
    starts = [0, *ends[:-1].tolist()]
    near = [(here, there) for here in range(len(clouds) - 1) for there in range(here + 1, min(here + 4, len(clouds)))]
    legs = [np.stack((np.repeat(np.arange(starts[a], ends[a]), len(clouds[b])),
                      np.tile(np.arange(starts[b], ends[b]), len(clouds[a])))) for a, b in near]
    seen = np.concatenate(sights.between([(clouds[a], clouds[b]) for a, b in near]))
    return Graph(np.concatenate(clouds), *_sorted(*np.concatenate(legs, axis=1)[:, seen]))
