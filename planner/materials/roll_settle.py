"""Roll joins moved to where they may be: the order of the pieces in a demand, and a little left on a roll's end.

A piece may be cut shorter than its roll allows as long as the roll at the end of the chain has length to spare. Each
chain is worked from its far ends towards the roll with most left over, so that what one demand gives up, a later one
can still take.
"""

from __future__ import annotations

import itertools
from bisect import bisect_right
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, field

_ALL_ORDERS_MOST = 5


@dataclass
class Chains:
    """Pieces of a roll plan as a net of rolls and demands. Lengths in whole micrometres.

    Attributes:
        lengths: Length of each demand.
        shortest: Shortest piece allowed in each demand.
        allowed: Distances from each demand's start at which a join may be made; None when anywhere.
        rolls: Length of each roll.
        pieces: (roll, demand) to length.
        order: Rolls of each demand, from its start to its end.
    """

    lengths: Sequence[int]
    shortest: Sequence[int]
    allowed: Sequence[Sequence[int] | None]
    rolls: Sequence[int]
    pieces: dict[tuple[int, int], int]
    order: list[list[int]]
    left: list[int] = field(init=False)
    _up_demand: dict[int, int] = field(init=False, default_factory=dict)
    _up_roll: dict[int, int] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self.left = list(self.rolls)
        for (r, _), piece in self.pieces.items():
            self.left[r] -= piece

    def settle(self) -> None:
        """Moves every join to an allowed place where the slack permits."""
        for demand in reversed(self._outward()):
            if len(self.order[demand]) > 1 and self.allowed[demand] is not None:
                self._settle_one(demand)

    def unsettled(self) -> list[tuple[int, int]]:
        """Demand and distance from its start of each join that is not at an allowed place. [micrometre]"""
        found = []
        for demand, order in enumerate(self.order):
            allowed = self.allowed[demand]
            start = 0
            for r in order[:-1]:
                start += self.pieces[r, demand]
                if allowed is not None and start not in allowed:
                    found.append((demand, start))
        return found

    def _outward(self) -> list[int]:
        """Demands from the roll with most left over outwards, chain by chain."""
        of_roll: dict[int, list[int]] = {r: [] for r in range(len(self.rolls))}
        for r, demand in self.pieces:
            of_roll[r].append(demand)
        reached: list[int] = []
        seen: set[int] = set()
        known = [False] * len(self.lengths)
        for root in sorted(of_roll, key=lambda r: (-self.left[r], r)):
            if root in seen:
                continue
            seen.add(root)
            waiting = deque([root])
            while waiting:
                r = waiting.popleft()
                for demand in of_roll[r]:
                    if known[demand]:
                        continue
                    known[demand] = True
                    reached.append(demand)
                    self._up_roll[demand] = r
                    for other in self.order[demand]:
                        if other not in seen:
                            seen.add(other)
                            self._up_demand[other] = demand
                            waiting.append(other)
        return reached

    def _settle_one(self, demand: int) -> None:
        parent = self._up_roll[demand]
        best: tuple[int, int, list[int], dict[int, int]] | None = None
        for order in self._orders(demand):
            new, missed = self._places(demand, parent, order)
            while not self._fits(demand, parent, new) and new:
                worst = max(new, key=lambda r: (self.pieces[r, demand] - new[r], r))
                del new[worst]
                missed += 1
            shrink = sum(self.pieces[r, demand] - piece for r, piece in new.items())
            if best is None or (missed, shrink) < best[:2]:
                best = (missed, shrink, order, new)
        if best is not None:
            self.order[demand] = list(best[2])
            self._apply(demand, parent, best[3])

    def _orders(self, demand: int) -> list[list[int]]:
        order = self.order[demand]
        if len(order) <= _ALL_ORDERS_MOST:
            return [list(each) for each in itertools.permutations(order)]
        return [list(order), list(reversed(order))]

    def _places(self, demand: int, parent: int, order: list[int]) -> tuple[dict[int, int], int]:
        """New lengths of the pieces that can end at an allowed place, and how many cannot."""
        at = order.index(parent)
        allowed = sorted(self.allowed[demand] or ())
        mirrored = [self.lengths[demand] - place for place in reversed(allowed)]
        new: dict[int, int] = {}
        missed = 0
        for side, places in ((order[:at], allowed), (order[:at:-1], mirrored)):
            start = 0
            for r in side:
                piece = self.pieces[r, demand]
                k = bisect_right(places, start + piece + self.left[r]) - 1
                end = places[k] if k >= 0 else -1
                if end - start >= min(piece, self.shortest[demand]):
                    new[r] = end - start
                    start = end
                else:
                    missed += 1
                    start += piece
        return new, missed

    def _fits(self, demand: int, parent: int, new: dict[int, int]) -> bool:
        more = sum(self.pieces[r, demand] - piece for r, piece in new.items())
        if self.pieces[parent, demand] + more < self.shortest[demand] and more < 0:
            return False
        return more <= 0 or self._giver(parent, more) is not None

    def _giver(self, roll: int, more: int) -> list[int] | None:
        """Rolls from this one to the one that can give the length; None when none can."""
        path = [roll]
        while self.left[path[-1]] < more:
            above = self._up_demand.get(path[-1])
            if above is None or self.pieces[path[-1], above] - more < self.shortest[above]:
                return None
            path.append(self._up_roll[above])
        return path

    def _apply(self, demand: int, parent: int, new: dict[int, int]) -> None:
        more = sum(self.pieces[r, demand] - piece for r, piece in new.items())
        for r, piece in new.items():
            self.left[r] += self.pieces[r, demand] - piece
            self.pieces[r, demand] = piece
        self.pieces[parent, demand] += more
        if more <= 0:
            self.left[parent] -= more
            return
        path = self._giver(parent, more) or [parent]
        for roll, above in itertools.pairwise(path):
            between = self._up_demand[roll]
            self.pieces[roll, between] -= more
            self.pieces[above, between] += more
        self.left[path[-1]] -= more
