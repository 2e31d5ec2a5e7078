"""Legs and corners of a track: robust straight lines through its points, and where they meet."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.geometry.arrays import Floats, Integers
from planner.survey.track_noise import LEAST_NOISE_M
from planner.units import Metre

# Common practice, no source.
HUBER = 1.5
SHALLOWEST_SIN = 0.05
_ROUNDS = 5


@dataclass(frozen=True, slots=True)
class Leg:
    """A straight leg.

    Attributes:
        points: Index of each point it rests on, in order. Shape (m,).
        middle: A place on it. [m] Shape (2,).
        along: Its direction, of length 1. Shape (2,).
        normal: Its left normal, of length 1. Shape (2,).
        length_m: How far its points reach along it. [m]
    """

    points: Integers
    middle: Floats
    along: Floats
    normal: Floats
    length_m: Metre

    def placed(self, xy: Floats) -> tuple[Floats, Floats]:
        """Distance along the leg from its middle, and off it to the left, of some places. [m]

        Args:
            xy: Places. [m] Shape (..., 2).
        """
        off = xy - self.middle
        return off @ self.along, off @ self.normal

    def foot(self, xy: Floats) -> Floats:
        """The nearest place on the leg's line. [m] Shape (2,).

        Args:
            xy: A place. [m] Shape (2,).
        """
        return np.asarray(self.middle + ((xy - self.middle) @ self.along) * self.along)


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner, and how it moves with its legs.

    Attributes:
        xy: Where it is. [m] Shape (2,).
        legs: Number of each leg it hangs on, and how far it moves when that leg shifts to its left by a metre there.
        free: How far it moves with a stray of one metre along the leg; zero where two legs hold it. Shape (2,).
    """

    xy: Floats
    legs: tuple[tuple[int, Floats], ...]
    free: Floats


def settled(points: Floats, cuts: Integers, *, closed: bool) -> tuple[list[Leg], list[Corner]]:
    """Legs and corners, the cuts moved to the points nearest the corners until they stay.

    Args:
        points: Positions in order. [m] Shape (n, 2). A closed track begins and ends at one place inside a leg.
        cuts: Index of the points at which legs meet, first 0, last n - 1. Shape (k,).
        closed: True when the last leg goes on in the first.
    """
    for _ in range(_ROUNDS):
        legs = fitted(points, cuts, closed=closed)
        corners = _corners(points, cuts, legs, closed)
        middles = (cuts[:-1] + cuts[1:]) // 2
        moved = cuts.copy()
        for i, corner in enumerate(corners if closed else corners[1:-1]):
            low, high = int(middles[i]) + 1, max(int(middles[i + 1]), int(middles[i]) + 2)
            moved[i + 1] = low + int(np.hypot(*(points[low:high] - corner.xy).T).argmin())
        if np.array_equal(moved, cuts) or (np.diff(moved) < 1).any():
            break
        cuts = moved
    return legs, corners


def fitted(points: Floats, cuts: Integers, *, closed: bool) -> list[Leg]:
    """The robust straight line through the points of each leg, without its first and last where it has six or more.

    The point of a cut is not on both legs: a corner seldom falls on a point.

    Args:
        points: Positions in order. [m] Shape (n, 2).
        cuts: Index of the points at which legs meet, first 0, last n - 1. Shape (k,).
        closed: True when the last leg goes on in the first.
    """
    rows = [np.arange(a, b + 1) for a, b in pairwise(cuts)]
    if closed:
        rows = [np.concatenate((rows[-1], rows[0][1:])), *rows[1:-1]]
    return [_robust_leg(points, row[1:-1] if len(row) >= 6 else row) for row in rows]


def _robust_leg(points: Floats, row: Integers) -> Leg:
    xy = points[row]
    weight = np.ones(len(xy))
    for _ in range(_ROUNDS):
        middle = weight @ xy / weight.sum()
        off = xy - middle
        (xx, xy_), (_, yy) = (off * weight[:, None]).T @ off
        angle = 0.5 * np.arctan2(2.0 * xy_, xx - yy)
        along = np.array([np.cos(angle), np.sin(angle)])
        if along @ (xy[-1] - xy[0]) < 0:
            along = -along
        normal = np.array([-along[1], along[0]])
        stray = np.abs(off @ normal)
        usual = max(1.4826 * float(np.median(stray)), LEAST_NOISE_M)
        new = np.minimum(1.0, HUBER * usual / np.maximum(stray, 1e-12))
        if np.abs(new - weight).max() < 1e-3:
            break
        weight = new
    return Leg(row, middle, along, normal, float(np.ptp(xy @ along)))


def _corners(points: Floats, cuts: Integers, legs: list[Leg], closed: bool) -> list[Corner]:
    count = len(legs)
    pairs = [(i, (i + 1) % count) for i in range(count if closed else count - 1)]
    inner = [_between(points[cuts[i + 1]], i, j, legs) for i, j in pairs]
    if closed:
        return inner
    return [_free_end(points[0], 0, legs[0]), *inner, _free_end(points[-1], count - 1, legs[-1])]


def _free_end(point: Floats, number: int, leg: Leg) -> Corner:
    return Corner(leg.foot(point), ((number, leg.normal),), leg.along)


def _between(point: Floats, i: int, j: int, legs: list[Leg]) -> Corner:
    before, after = legs[i], legs[j]
    normals = np.array([before.normal, after.normal])
    if abs(float(np.linalg.det(normals))) > SHALLOWEST_SIN:
        move = np.linalg.inv(normals)
        xy = move @ np.array([before.normal @ before.middle, after.normal @ after.middle])
        reach = 0.5 * min(before.length_m, after.length_m) + LEAST_NOISE_M
        if np.hypot(*(xy - point)) <= reach:
            return Corner(xy, ((i, move[:, 0]), (j, move[:, 1])), np.zeros(2))
    between = (before.foot(point) + after.foot(point)) / 2.0
    return Corner(between, ((i, before.normal / 2.0), (j, after.normal / 2.0)), before.along)
