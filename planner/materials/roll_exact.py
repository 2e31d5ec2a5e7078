"""Small roll plans in which every order leaves a piece too short: the direct model, roll by demand, solved exactly."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from planner.geometry.arrays import Floats
from planner.materials.roll_layout import Laid
from planner.materials.roll_stock import PER_M, Stock

_NODES_MOST = 20_000
_CELLS_MOST = 72


class _Model:
    """Columns: roll used, offcut kept, offcut cost for each roll; then piece used and piece length for each cell."""

    def __init__(self, lengths: Sequence[int], stock: Stock, shortest: Sequence[int], rolls: Sequence[int]) -> None:
        self.n, self.r = len(lengths), len(rolls)
        self.lengths, self.stock, self.shortest, self.rolls = lengths, stock, shortest, rolls
        self.columns = 3 * self.r + 2 * self.n * self.r
        self.rows: list[Floats] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def used(self, r: int) -> int:
        return r

    def kept(self, r: int) -> int:
        return self.r + r

    def lost(self, r: int) -> int:
        return 2 * self.r + r

    def cut(self, r: int, i: int) -> int:
        return 3 * self.r + r * self.n + i

    def piece(self, r: int, i: int) -> int:
        return 3 * self.r + self.r * self.n + r * self.n + i

    def add(self, terms: dict[int, float], low: float, high: float) -> None:
        row = np.zeros(self.columns)
        for column, factor in terms.items():
            row[column] = factor
        self.rows.append(row)
        self.low.append(low)
        self.high.append(high)

    def build(self, most_rolls: int) -> None:
        for i, length in enumerate(self.lengths):
            self.add({self.piece(r, i): 1.0 for r in range(self.r)}, length / PER_M, length / PER_M)
        for r, roll in enumerate(self.rolls):
            a = roll / PER_M
            pieces = {self.piece(r, i): 1.0 for i in range(self.n)}
            self.add({**pieces, self.used(r): -a}, -np.inf, 0.0)
            useful = self.stock.useful / PER_M
            self.add({**pieces, self.used(r): -a, self.kept(r): useful}, -np.inf, 0.0)
            c = self.stock.offcut_per_m
            offcut = {self.used(r): -c * a, self.kept(r): c * a, self.lost(r): 1.0}
            self.add({**dict.fromkeys(pieces, c), **offcut}, 0.0, np.inf)
            if r and self.rolls[r - 1] == roll:
                self.add({self.used(r - 1): 1.0, self.used(r): -1.0}, 0.0, np.inf)
            for i, length in enumerate(self.lengths):
                whole = min(roll, length) / PER_M
                self.add({self.piece(r, i): 1.0, self.cut(r, i): -whole}, -np.inf, 0.0)
                self.add({self.piece(r, i): 1.0, self.cut(r, i): -self.shortest[i] / PER_M}, 0.0, np.inf)
        self.add({self.used(r): 1.0 for r in range(self.r)}, 0.0, float(most_rolls))


def exact_layout(lengths: Sequence[int], stock: Stock, shortest: Sequence[int], most_rolls: int) -> Laid | None:
    """The cheapest plan of a few demands, solved as a mixed-integer program; None when it is too large or unsolved.

    Args:
        lengths: Length of each demand. [micrometre]
        stock: Roll lengths and prices.
        shortest: Shortest piece allowed in each demand. [micrometre]
        most_rolls: The plan may not need more rolls than this.
    """
    rolls = [a for a in stock.lengths for _ in range(min(most_rolls, math.ceil(sum(lengths) / a)))]
    if len(rolls) * len(lengths) > _CELLS_MOST:
        return None
    from scipy.optimize import Bounds, LinearConstraint, milp

    model = _Model(lengths, stock, shortest, rolls)
    model.build(most_rolls)
    prices = dict(zip(stock.lengths, stock.prices, strict=True))
    cost = np.zeros(model.columns)
    cost[: model.r] = [prices[a] for a in rolls]
    cost[2 * model.r: 3 * model.r] = 1.0
    cost[3 * model.r: 3 * model.r + model.n * model.r] = stock.join
    whole = np.zeros(model.columns, dtype=np.int64)
    whole[: 2 * model.r] = 1
    whole[3 * model.r: 3 * model.r + model.n * model.r] = 1
    high = np.full(model.columns, np.inf)
    high[whole > 0] = 1.0
    answer = milp(cost, integrality=whole, bounds=Bounds(np.zeros(model.columns), high),
                  constraints=LinearConstraint(np.array(model.rows), np.array(model.low), np.array(model.high)),
                  options={"node_limit": _NODES_MOST, "mip_rel_gap": 0.0})
    if answer.status != 0 or answer.x is None:
        return None
    return _laid(answer.x, model)


def _laid(x: Floats, model: _Model) -> Laid | None:
    """The pieces in whole micrometres; None when they do not add up exactly."""
    laid: Laid = []
    covered = [0] * model.n
    for r, roll in enumerate(model.rolls):
        pieces = [(i, round(float(x[model.piece(r, i)]) * PER_M)) for i in range(model.n)]
        pieces = [(i, piece) for i, piece in pieces if piece > 0]
        if not pieces:
            continue
        if sum(piece for _, piece in pieces) > roll or any(piece < model.shortest[i] for i, piece in pieces):
            return None
        for i, piece in pieces:
            covered[i] += piece
        laid.append((roll, pieces))
    return laid if covered == list(model.lengths) else None
