"""Small roll plans in which every order of a chain leaves a piece too short: which roll serves which demand, exactly.

Goes through the mixes of rolls, and for each through the sets of rolls that could serve each demand; whether pieces
of sufficient length exist for such a choice, and how much is lost on the rolls, is a flow in whole micrometres.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from planner.materials.roll_layout import Laid
from planner.materials.roll_stock import Stock

_NODES_MOST = 4_000
_STEPS_MOST = 400_000
"""Work that may be done: a set of rolls looked at is one step, a flow as many as it has pairs of roll and demand."""
_MIXES_MOST = 20_000
_SAME = 1e-9

Serving = list[tuple[int, ...]]


def exact_layout(lengths: Sequence[int], stock: Stock, shortest: Sequence[int], *, most_rolls: int, known: float,
                 bound: float) -> tuple[Laid | None, bool]:
    """The cheapest plan of a few demands, or nothing better than what is known.

    Args:
        lengths: Length of each demand. [micrometre]
        stock: Roll lengths and prices.
        shortest: Shortest piece allowed in each demand. [micrometre]
        most_rolls: The plan may not need more rolls than this.
        known: Cost of a plan that is known already; only a cheaper one is looked for.
        bound: Cost that no plan undercuts; a plan that reaches it ends the search.

    Returns:
        A cheaper plan, or None; whether it, or the known one, is now proved to be the cheapest.
    """
    kinds = len(stock.lengths)
    fewest = -(-sum(lengths) // stock.longest)
    if sum(math.comb(number + kinds - 1, kinds - 1) for number in range(fewest, most_rolls + 1)) > _MIXES_MOST:
        return None, False
    search = _Search(lengths, stock, shortest, known, bound)
    for price, rolls in sorted(_mixes(stock, sum(lengths), most_rolls)):
        search.try_mix(price, rolls)
    return search.laid, not search.spent


def _mixes(stock: Stock, total: int, most_rolls: int) -> Iterator[tuple[float, tuple[int, ...]]]:
    for number in range(-(-total // stock.longest), most_rolls + 1):
        for chosen in itertools.combinations_with_replacement(range(len(stock.lengths)), number):
            rolls = tuple(stock.lengths[s] for s in chosen)
            if sum(rolls) >= total:
                yield math.fsum(stock.prices[s] for s in chosen), rolls


@dataclass
class _Search:
    lengths: Sequence[int]
    stock: Stock
    shortest: Sequence[int]
    known: float
    bound: float
    laid: Laid | None = None
    nodes: int = 0
    steps: int = 0
    _rolls: tuple[int, ...] = field(init=False, default=())
    _price: float = field(init=False, default=0.0)

    @property
    def spent(self) -> bool:
        """No more is looked at: what was found need not be the cheapest."""
        return self.nodes > _NODES_MOST or self.steps > _STEPS_MOST

    def try_mix(self, price: float, rolls: tuple[int, ...]) -> None:
        self._rolls, self._price = rolls, price
        self._serve(0, [], list(rolls), 0)

    def _floor(self, joins: int) -> float:
        """What a choice with so many joins costs at least."""
        return self._price + self.stock.join * joins + self.stock.penalty(sum(self._rolls) - sum(self.lengths))

    def _is_cheaper(self, cost: float) -> bool:
        return math.isinf(self.known) or cost < self.known - _SAME * max(1.0, self.known)

    def _serve(self, demand: int, serving: Serving, room: list[int], joins: int) -> None:
        used = {r for chosen in serving for r in chosen}
        waiting = len(self.lengths) - demand
        forced = max(sum(-(-d // self.stock.longest) - 1 for d in self.lengths[demand:]),
                     len(self._rolls) - len(used) - waiting, 0)
        hopeless = not self._is_cheaper(self._floor(joins + forced))
        self.nodes += 1
        if hopeless or self.spent or self.known <= self.bound + _SAME * max(1.0, self.bound):
            return
        if demand == len(self.lengths):
            if len(used) == len(self._rolls):
                self._judge(serving, joins)
            return
        least = self.shortest[demand]
        for size in range(1, len(self._rolls) + 1):
            if size > 1 and size * least > self.lengths[demand]:
                return
            for chosen in self._subsets(demand, size, used, room):
                left = [a - least * (r in chosen) for r, a in enumerate(room)]
                self._serve(demand + 1, [*serving, chosen], left, joins + size - 1)

    def _subsets(self, demand: int, size: int, used: set[int], room: list[int]) -> Iterator[tuple[int, ...]]:
        """Rolls that could serve a demand; of fresh rolls of one length only the first ones."""
        least, number, longest = self.shortest[demand], len(self._rolls), max(self._rolls)

        def more(chosen: tuple[int, ...], rest: int, shut: frozenset[int]) -> Iterator[tuple[int, ...]]:
            self.steps += 1
            wanted = size - len(chosen)
            if wanted == 0 and rest <= 0:
                yield chosen
            if wanted == 0 or rest > wanted * longest:
                return
            for r in range(chosen[-1] + 1 if chosen else 0, number - wanted + 1):
                if self.spent:
                    return
                roll, fresh = self._rolls[r], r not in used
                if room[r] >= least and not (fresh and roll in shut):
                    yield from more((*chosen, r), rest - roll, shut)
                if fresh:
                    shut |= {roll}

        return more((), self.lengths[demand], frozenset())

    def _judge(self, serving: Serving, joins: int) -> None:
        """The least that is lost with such a choice; kept when it makes the plan cheaper."""
        spare = sum(self._rolls) - sum(self.lengths)
        keepers: list[tuple[int, ...]] = [()]
        if spare >= self.stock.useful:
            keepers = [k for n in (1, 2) for k in itertools.combinations(range(len(self._rolls)), n)
                       if n * self.stock.useful <= spare]
        serves = [tuple(i for i, chosen in enumerate(serving) if r in chosen) for r in range(len(self._rolls))]
        alike: dict[tuple[tuple[int, tuple[int, ...]], ...], tuple[int, ...]] = {}
        for kept in keepers:
            alike.setdefault(tuple(sorted((self._rolls[r], serves[r]) for r in kept)), kept)
        for kept in alike.values():
            self.steps += len(self._rolls) * len(self.lengths)
            pieces = _flow(self.lengths, self._rolls, self.shortest, serving, kept, self.stock.useful)
            if pieces is None:
                continue
            left = [roll - sum(x for (r, _), x in pieces.items() if r == k) for k, roll in enumerate(self._rolls)]
            cost = self._price + self.stock.join * joins + math.fsum(self.stock.penalty(a) for a in left)
            if self._is_cheaper(cost):
                self.known = cost
                self.laid = [(roll, [(i, x) for (r, i), x in sorted(pieces.items()) if r == k])
                             for k, roll in enumerate(self._rolls)]


def _flow(lengths: Sequence[int], rolls: Sequence[int], shortest: Sequence[int], serving: Serving,
          kept: tuple[int, ...], useful: int) -> dict[tuple[int, int], int] | None:
    """Pieces for a choice of rolls, as little as possible from the rolls that keep an offcut; None when there are none.

    Filling the other rolls first and only then those that keep an offcut loses the least, because a path that serves
    more demand never takes anything back from a roll.
    """
    pieces = {(r, i): shortest[i] for i, chosen in enumerate(serving) for r in chosen}
    need = [lengths[i] - shortest[i] * len(chosen) for i, chosen in enumerate(serving)]
    room = [roll - useful * (r in kept) for r, roll in enumerate(rolls)]
    for (r, _), piece in pieces.items():
        room[r] -= piece
    if min(need) < 0 or min(room) < 0:
        return None
    for sinks in ([r for r in range(len(rolls)) if r not in kept], list(range(len(rolls)))):
        while _augment(serving, shortest, pieces, need, room, sinks):
            pass
    return pieces if not any(need) else None


def _augment(serving: Serving, shortest: Sequence[int], pieces: dict[tuple[int, int], int], need: list[int],
             room: list[int], sinks: Sequence[int]) -> bool:
    """Serves more of some demand along a path to a roll with room; False when there is no such path."""
    came: dict[tuple[str, int], tuple[str, int] | None] = {("demand", i): None for i, n in enumerate(need) if n > 0}
    waiting = list(came)
    for kind, k in waiting:
        if kind == "demand":
            steps = [("roll", r) for r in serving[k]]
        else:
            if room[k] > 0 and k in sinks:
                _push((kind, k), came, shortest, pieces, need, room)
                return True
            steps = [("demand", i) for i, chosen in enumerate(serving) if k in chosen and pieces[k, i] > shortest[i]]
        for step in steps:
            if step not in came:
                came[step] = (kind, k)
                waiting.append(step)
    return False


def _push(end: tuple[str, int], came: dict[tuple[str, int], tuple[str, int] | None], shortest: Sequence[int],
          pieces: dict[tuple[int, int], int], need: list[int], room: list[int]) -> None:
    path = [end]
    while (before := came[path[-1]]) is not None:
        path.append(before)
    path.reverse()
    amount = min(room[end[1]], need[path[0][1]])
    for (kind, a), (_, b) in itertools.pairwise(path):
        if kind == "roll":
            amount = min(amount, pieces[a, b] - shortest[b])
    for (kind, a), (_, b) in itertools.pairwise(path):
        if kind == "demand":
            pieces[b, a] += amount
        else:
            pieces[a, b] -= amount
    need[path[0][1]] -= amount
    room[end[1]] -= amount
