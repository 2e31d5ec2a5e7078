"""What a set-back line costs: corners, metres, and the land beyond the edge of the set-back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.alignment.setback_band import Stretch
from planner.geometry.arrays import Floats
from planner.geometry.visibility_graph import TurnPrice


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
