"""From a group of demands and its rolls to the pieces: an order in which no roll end leaves a piece too short."""

from __future__ import annotations

import random
from bisect import bisect_left, insort
from collections import deque
from collections.abc import Hashable, Iterable, Iterator, Sequence
from itertools import chain, islice
from operator import itemgetter
from typing import Generic, TypeVar

Laid = list[tuple[int, list[tuple[int, int]]]]
Kind = TypeVar("Kind", bound=Hashable)
_STEPS = 4_000
_SHUFFLES = 24
_SMALL = 7
_AHEAD = 40


def shortest_pieces(lengths: Sequence[int], longest: int, useful: int) -> list[int]:
    """The shortest piece that may be used in each demand. [micrometre]

    A demand takes no piece shorter than a useful offcut, unless it is shorter itself or rolls are too short for that.

    Args:
        lengths: Length of each demand. [micrometre]
        longest: Longest roll. [micrometre]
        useful: Shortest useful piece. [micrometre]
    """
    return [min(useful, d // -(-d // longest)) for d in lengths]


def lay_group(group: Sequence[int], rolls: Sequence[int], lengths: Sequence[int], shortest: Sequence[int],
              slack: int) -> Laid | None:
    """Lays demands end to end on rolls so that every piece is long enough.

    Args:
        group: Indices of the demands.
        rolls: Length of each roll; all are used. [micrometre]
        lengths: Length of each demand. [micrometre]
        shortest: Shortest piece allowed in each demand. [micrometre]
        slack: Length that may be left on rolls before the last one. [micrometre]

    Returns:
        Roll length and pieces (demand, length) of each roll in order; None when no order was found.
    """
    dice = random.Random(len(group) * 7919 + len(rolls))
    demands = sorted(group, key=lambda k: (-lengths[k], k))
    order_of_rolls = sorted(rolls, reverse=True)
    for trial in range(_SHUFFLES if len(group) > 1 or len(set(rolls)) > 1 else 2):
        if len(demands) <= _SMALL:
            laid = _Search(lengths, shortest, slack if trial else 0).lay(demands, order_of_rolls)
            if laid is not None or (trial and len(demands) <= 4):
                return laid
        else:
            laid = _lay_many(demands, order_of_rolls, lengths, shortest, slack if trial else 0)
            if laid is not None:
                return laid
        if trial:
            dice.shuffle(demands)
            dice.shuffle(order_of_rolls)
    return None


def lay_in_order(group: Sequence[int], rolls: Sequence[int], lengths: Sequence[int]) -> Laid:
    """Unrolls rolls one after the other along demands one after the other, however short a piece gets.

    Args:
        group: Indices of the demands, in order.
        rolls: Length of each roll; together long enough. [micrometre]
        lengths: Length of each demand. [micrometre]
    """
    laid: Laid = []
    waiting = list(rolls)
    room = 0
    for k in group:
        rest = lengths[k]
        while rest:
            if room == 0:
                room = waiting.pop(0)
                laid.append((room, []))
            piece = min(room, rest)
            laid[-1][1].append((k, piece))
            room -= piece
            rest -= piece
    return laid


class _Search:
    """Depth-first search for an order of demands and rolls, with a limited number of steps."""

    def __init__(self, lengths: Sequence[int], shortest: Sequence[int], slack: int) -> None:
        self._lengths, self._shortest, self._slack = lengths, shortest, slack
        self._steps = 0
        self.path: Laid = []

    def lay(self, demands: Sequence[int], rolls: Sequence[int], room: int = 0, path: Laid | None = None) -> Laid | None:
        self.path = path if path is not None else []
        return self.path if self._place(list(demands), list(rolls), room, self._slack) else None

    def _place(self, demands: list[int], rolls: list[int], room: int, slack: int) -> bool:
        if not demands:
            return not rolls
        self._steps += 1
        if self._steps > _STEPS:
            return False
        tried: set[int] = set()
        for at, k in enumerate(demands):
            if self._lengths[k] in tried:
                continue
            tried.add(self._lengths[k])
            others = demands[:at] + demands[at + 1:]
            if room >= self._lengths[k]:
                self.path[-1][1].append((k, self._lengths[k]))
                if self._place(others, rolls, room - self._lengths[k], slack):
                    return True
                self.path[-1][1].pop()
            elif self._split(k, others, rolls, room, slack):
                return True
        return 0 < room <= slack and bool(rolls) and self._fresh(demands, rolls, slack - room)

    def _fresh(self, demands: list[int], rolls: list[int], slack: int) -> bool:
        return self._place(demands, rolls, 0, slack)

    def _split(self, k: int, others: list[int], rolls: list[int], room: int, slack: int) -> bool:
        for cut in split_pieces(self._lengths[k], room, rolls, self._shortest[k], slack):
            kept = len(self.path)
            first, used, pieces, last = cut
            if first:
                self.path[-1][1].append((k, first))
            for roll, piece in zip(used, pieces, strict=True):
                self.path.append((roll, [(k, piece)]))
            rest = list(rolls)
            for roll in used:
                rest.remove(roll)
            lost = room - first + sum(r - p for r, p in zip(used[:-1], pieces[:-1], strict=True))
            if self._place(others, rest, last, slack - lost):
                return True
            del self.path[kept:]
            if first:
                self.path[-1][1].pop()
        return False


def split_pieces(length: int, room: int, rolls: Sequence[int], shortest: int,
                 slack: int) -> list[tuple[int, list[int], list[int], int]]:
    """Ways to cut a demand from what is left on a roll and from fresh ones.

    Args:
        length: Length of the demand, longer than ``room``. [micrometre]
        room: Left on the open roll. [micrometre]
        rolls: Fresh rolls. [micrometre]
        shortest: Shortest piece allowed. [micrometre]
        slack: Length that may be left unused on the way. [micrometre]

    Returns:
        Piece from the open roll (0 for none), fresh rolls, their pieces, room left on the last.
    """
    ways = []
    firsts = [room] if room == 0 or room >= shortest else []
    if 0 < room <= slack:
        firsts.append(0)
    for first in firsts:
        spare = slack - (room - first)
        for order in _orders(rolls):
            way = _cut(length - first, order, shortest, spare, first)
            if way is not None and way not in ways:
                ways.append(way)
    return ways


def _orders(rolls: Sequence[int]) -> Iterator[Iterator[int]]:
    """Rolls with each distinct length put first in turn."""
    for length in dict.fromkeys(rolls):
        at = rolls.index(length)
        yield chain((length,), islice(rolls, at), islice(rolls, at + 1, None))


def _cut(rest: int, order: Iterable[int], shortest: int, slack: int,
         first: int) -> tuple[int, list[int], list[int], int] | None:
    used, pieces = [], []
    for roll in order:
        used.append(roll)
        pieces.append(min(roll, rest))
        rest -= pieces[-1]
        if rest == 0:
            break
    if rest:
        return None
    short = shortest - pieces[-1]
    if short > 0:
        if len(pieces) > 1 and pieces[-2] - short >= shortest and short <= slack:
            pieces[-2] -= short
        elif len(pieces) == 1 and first - short >= shortest and short <= slack:
            first -= short
        else:
            return None
        pieces[-1] = shortest
    return first, used, pieces, used[-1] - pieces[-1]


class _Queues(Generic[Kind]):
    """Things in their order, with those alike in one queue: where the first of a kind does not fit, none of it does.

    Attributes:
        first: Place of the first thing of each kind that is left, and the kind, in order of the places.
        left: How many things are left.
    """

    def __init__(self, kinds: Sequence[Kind]) -> None:
        self._places: dict[Kind, deque[int]] = {}
        for place, kind in enumerate(kinds):
            self._places.setdefault(kind, deque()).append(place)
        self.first = [(places[0], kind) for kind, places in self._places.items()]
        self.left = len(kinds)

    def count(self, kind: Kind) -> int:
        return len(self._places[kind])

    def take(self, kind: Kind) -> int:
        """Place of the first thing of a kind, which is taken out."""
        places = self._places[kind]
        place = places.popleft()
        self.first.pop(bisect_left(self.first, place, key=itemgetter(0)))
        if places:
            insort(self.first, (places[0], kind), key=itemgetter(0))
        self.left -= 1
        return place

    def rest(self) -> list[int]:
        """Places of what is left, in order."""
        return sorted(place for places in self._places.values() for place in places)


def _lay_many(demands: list[int], rolls: list[int], lengths: Sequence[int], shortest: Sequence[int],
              slack: int) -> Laid | None:
    """Takes the first demand that fits without a short piece, and searches for the order of the last few."""
    waiting, fresh = _Queues([(lengths[k], shortest[k]) for k in demands]), _Queues(rolls)
    room, good, laid = 0, max(shortest), Laid()
    while waiting.left > _SMALL - 2:
        chosen = _next(waiting, fresh, room, good)
        if chosen is None:
            return None
        kind, first, used, pieces, room = chosen
        k = demands[waiting.take(kind)]
        if first:
            laid[-1][1].append((k, first))
        for roll, piece in zip(used, pieces, strict=True):
            laid.append((roll, [(k, piece)]))
            fresh.take(roll)
    return _Search(lengths, shortest, slack).lay([demands[at] for at in waiting.rest()],
                                                 [rolls[at] for at in fresh.rest()], room, laid)


def _next(waiting: _Queues[tuple[int, int]], fresh: _Queues[int], room: int,
          good: int) -> tuple[tuple[int, int], int, list[int], list[int], int] | None:
    """The first demand that leaves room for a good piece of another; failing that, the first that fits at all."""
    few = [length for _, length in fresh.first for _ in range(min(fresh.count(length), _AHEAD))]
    fallback = None
    for _, kind in waiting.first:
        length, shortest = kind
        if room >= length:
            ways = [(length, list[int](), list[int](), room - length)]
        else:
            ways = split_pieces(length, room, few, shortest, 0)
        for first, used, pieces, last in ways:
            if last == 0 or last >= good:
                return kind, first, used, pieces, last
            fallback = fallback or (kind, first, used, pieces, last)
    return fallback
