"""Visibility in the plane: which places see each other past barriers, and the cheapest way with turns that cost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Booleans, Floats, Integers
from planner.progress import Progress, Unwatched
from planner.units import Degree, Metre

_PAIRS_AT_ONCE = 200_000
_BEGINNING_M = 50.0
"""How much of a leg is tried before the whole of it: most legs end at a barrier near one of their ends. [m]"""


@dataclass(frozen=True, slots=True)
class TurnPrice:
    """What a turn costs: nothing where the way runs on, one price for a slight turn and one for a corner.

    Attributes:
        corner: Price of a turn above ``corner_deg``.
        slight: Price of a turn above ``slight_deg`` and up to ``corner_deg``; not above the price of a corner.
        corner_deg: Turn above which a place is a corner. [deg]
        slight_deg: Turn up to which a way runs straight on. [deg]
    """

    corner: float
    slight: float
    corner_deg: Degree
    slight_deg: Degree

    def of(self, turn_rad: Floats) -> Floats:
        """Price of each turn.

        Args:
            turn_rad: Turns, left or right, any shape. [rad]
        """
        size = np.abs(turn_rad)
        size = np.minimum(size, 2.0 * np.pi - size)
        return np.where(size > np.radians(self.corner_deg), self.corner,
                        np.where(size > np.radians(self.slight_deg), self.slight, 0.0))


@dataclass(frozen=True, slots=True)
class Graph:
    """Places in order, and the legs between those that see each other, sorted by tail.

    Attributes:
        xy: Places, in an order in which every leg runs forward. [m] Shape (n, 2).
        tail: Place at which each leg starts. Shape (m,), rising.
        head: Place at which it ends, always after its tail. Shape (m,).
    """

    xy: Floats
    tail: Integers
    head: Integers

    def lengths(self) -> Floats:
        """Length of each leg. [m] Shape (m,)."""
        step = self.xy[self.head] - self.xy[self.tail]
        return np.hypot(step[:, 0], step[:, 1])


@dataclass(frozen=True, slots=True)
class Way:
    """The cheapest way through a graph.

    Attributes:
        cost: Its cost; infinite when there is none.
        places: Index of each place on it, in order; empty when there is none.
        arrive: Least cost of reaching each place, its own end price not counted. Shape (n,).
    """

    cost: float
    places: tuple[int, ...]
    arrive: Floats


def in_sight(barriers: Any, xy: Floats, tail: Integers, head: Integers) -> Booleans:
    """Which pairs of places have no barrier between them. Shape (m,).

    Of places inside a region, with its edge for a barrier, these are the pairs whose leg stays inside. A leg that
    touches a barrier does not count.

    Args:
        barriers: Lines that no leg may touch, such as the edge of a region.
        xy: Places. [m] Shape (n, 2).
        tail: One place of each pair. Shape (m,).
        head: The other. Shape (m,).
    """
    import shapely

    shapely.prepare(barriers)
    seen = np.zeros(len(tail), dtype=np.bool_)
    for first in range(0, len(tail), _PAIRS_AT_ONCE):
        part = slice(first, first + _PAIRS_AT_ONCE)
        start, end = xy[tail[part]], xy[head[part]]
        length = np.hypot(*(end - start).T)
        clear = np.ones(len(start), dtype=np.bool_)
        for a, b in ((start, end), (end, start)):
            far = np.flatnonzero(clear & (length > 2.0 * _BEGINNING_M))
            beginning = a[far] + (_BEGINNING_M / length[far])[:, None] * (b - a)[far]
            clear[far] = ~_touch(barriers, a[far], beginning)
        left = np.flatnonzero(clear)
        clear[left] = ~_touch(barriers, start[left], end[left])
        seen[part] = clear
    return seen


def _touch(barriers: Any, start: Floats, end: Floats) -> Booleans:
    import shapely

    return np.asarray(shapely.intersects(barriers, shapely.linestrings(np.stack((start, end), axis=1))))


def forward_graph(barriers: Any, xy: Floats, along: Floats, *, sure_m: Metre, step_m: Metre,
                  tails: int | None = None, progress: Progress = Unwatched()) -> Graph:
    """The legs that run forward and cross no barrier.

    All pairs up to ``sure_m`` apart along are looked at; beyond, a place looks on, ``step_m`` at a time, for as long
    as it saw something in the step before. The first and the last places (those that share the least and the greatest
    distance along) are tried against all.

    Args:
        barriers: Lines that no leg may touch.
        xy: Places. [m] Shape (n, 2).
        along: Distance along of each, rising; places of equal distance have no leg between them. [m] Shape (n,).
        sure_m: Distance along within which every pair is looked at. [m]
        step_m: Step of looking on. [m] Above 0.
        tails: Only the first so many places may start a leg; all when None.
        progress: Who may ask the work to stop.

    Raises:
        OutOfRange: The distances along do not rise, or the step is not above 0.
    """
    if (np.diff(along) < 0).any():
        raise OutOfRange("places must stand in order of their distance along", remedy="sort them first")
    if not step_m > 0:
        raise OutOfRange(f"a step of {step_m} m does not get on", remedy="give one above 0")
    count = len(xy) if tails is None else tails
    found = [np.zeros((2, 0), dtype=np.int64)]
    looking = np.arange(count)
    near = np.searchsorted(along, along[:count] + 1e-9, side="left")
    reach = sure_m
    while len(looking):
        progress.stop_if_cancelled()
        far = np.searchsorted(along, along[looking] + reach, side="right")
        pairs = _pairs(looking, near[looking], far)
        pairs = pairs[:, in_sight(barriers, xy, pairs[0], pairs[1])]
        found.append(pairs)
        near[looking] = far
        saw = np.zeros(count, dtype=np.bool_)
        saw[pairs[0]] = True
        looking = looking[saw[looking] & (far < len(xy))]
        reach += step_m
    if tails is None:
        found.append(_ends(barriers, xy, along, sure_m))
    tail, head = np.unique(np.concatenate(found, axis=1), axis=1)
    return Graph(xy, tail, head)


def _pairs(tail: Integers, first: Integers, end: Integers) -> Integers:
    """Each tail with every place from its first up to, not including, its end. Shape (2, m)."""
    size = np.maximum(end - first, 0)
    starts = np.cumsum(size) - size
    heads = np.arange(int(size.sum())) - np.repeat(starts, size) + np.repeat(first, size)
    return np.stack((np.repeat(tail, size), heads))


def _ends(barriers: Any, xy: Floats, along: Floats, sure_m: Metre) -> Integers:
    first, last = np.flatnonzero(along == along[0]), np.flatnonzero(along == along[-1])
    every = np.arange(len(xy))
    pairs = np.concatenate((
        np.stack((np.repeat(first, len(xy)), np.tile(every, len(first)))),
        np.stack((np.tile(every, len(last)), np.repeat(last, len(xy))))), axis=1)
    pairs = pairs[:, along[pairs[1]] > along[pairs[0]] + sure_m]
    return pairs[:, in_sight(barriers, xy, pairs[0], pairs[1])]


def cheapest_way(graph: Graph, leg_cost: Floats, price: TurnPrice, *, start_cost: Floats, end_cost: Floats) -> Way:
    """The cheapest way through a forward graph, each turn priced by its angle: exact over the graph.

    The state of the search is the leg walked last, so that the price of every turn is known.

    Args:
        graph: Places and legs.
        leg_cost: Cost of each leg; may be below 0. Shape (m,).
        price: What turns cost.
        start_cost: Cost of starting at each place; infinite where none may start. Shape (n,).
        end_cost: Cost of ending at each place; infinite where none may end. Shape (n,).

    Example:
        >>> square = Graph(np.array([[0.0, 0.0], [1.0, 1.0], [2.0, 0.0]]), np.array([0, 1]), np.array([1, 2]))
        >>> only = [np.array([0.0, np.inf, np.inf]), np.array([np.inf, np.inf, 0.0])]
        >>> cheapest_way(square, square.lengths(), TurnPrice(5.0, 1.0, 20.0, 1.0), start_cost=only[0],
        ...              end_cost=only[1]).places
        (0, 1, 2)
    """
    count, legs = len(graph.xy), len(graph.tail)
    step = graph.xy[graph.head] - graph.xy[graph.tail]
    direction = np.arctan2(step[:, 1], step[:, 0])
    out = np.searchsorted(graph.tail, np.arange(count + 1))
    by_head = np.argsort(graph.head, kind="stable")
    into = np.searchsorted(graph.head[by_head], np.arange(count + 1))
    value, before = np.full(legs, np.inf), np.full(legs, -1, dtype=np.int64)
    arrive, last_leg = np.full(count, np.inf), np.full(count, -1, dtype=np.int64)
    for place in range(count):
        onward = slice(out[place], out[place + 1])
        if np.isfinite(start_cost[place]):
            value[onward] = start_cost[place] + leg_cost[onward]
        came = by_head[into[place]:into[place + 1]]
        if not len(came):
            continue
        spent = value[came]
        best = int(spent.argmin())
        if not np.isfinite(spent[best]):
            continue
        arrive[place], last_leg[place] = spent[best], came[best]
        if onward.start == onward.stop:
            continue
        worth = spent <= spent[best] + price.corner  # any other would rather have come the best way and turned
        came, spent = came[worth], spent[worth]
        total = spent[:, None] + price.of(direction[onward][None, :] - direction[came][:, None])
        chosen = total.argmin(axis=0)
        reached = total[chosen, np.arange(total.shape[1])] + leg_cost[onward]
        better = reached < value[onward]
        value[onward] = np.where(better, reached, value[onward])
        before[onward] = np.where(better, came[chosen], before[onward])
    total_cost = arrive + end_cost
    if not count or not np.isfinite(total_cost).any():
        return Way(float("inf"), (), arrive)
    end = int(total_cost.argmin())
    walked = list(_back(before, int(last_leg[end])))[::-1]
    return Way(float(total_cost[end]), (int(graph.tail[walked[0]]), *(int(graph.head[leg]) for leg in walked)), arrive)


def _back(before: Integers, leg: int) -> Iterator[int]:
    while leg >= 0:
        yield leg
        leg = int(before[leg])
