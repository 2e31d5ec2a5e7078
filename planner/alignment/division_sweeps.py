"""Sweeps over a paddock: how much of it lies behind a line that moves across it, or behind a ray that turns.

A paddock is given by its edges, the land on their left. Behind a parallel line the area is a piecewise quadratic of
the line's position; behind a ray it is a sum of triangles. Both are exact, edge by edge, and rise throughout, so that
a safeguarded Newton step finds the cut for any area. Many bearings are swept at once.

Source:
    Plane geometry. Checked in tests/unit/alignment/test_division_sweeps.py against areas of clipped polygons by
    shapely.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from planner.geometry.arrays import Floats
from planner.units import Degree, Metre

_STEPS = 80
_BESIDE_M = 1e-5
_AT_ONCE = 400_000


def edges_of(land: Any) -> tuple[Floats, Floats]:
    """Start and end of each edge, the land on its left. [m] Two arrays of shape (n, 2).

    Args:
        land: One paddock, or several pieces of one; holes are left out of it.
    """
    rings = [ring for part in shapely.get_parts(shapely.orient_polygons(land)) for ring in (part.exterior,
                                                                                           *part.interiors)]
    corners = [shapely.get_coordinates(ring) for ring in rings]
    return np.concatenate([xy[:-1] for xy in corners]), np.concatenate([xy[1:] for xy in corners])


@dataclass(frozen=True, eq=False)
class ParallelSweep:
    """A line of fixed bearing that moves to its right across a paddock; one sweep for each bearing.

    Positions are distances to the right of the origin, shape (m, k) for m bearings.

    Attributes:
        start: Start of each edge. [m] Shape (n, 2), near the origin.
        end: End of each edge. [m] Shape (n, 2).
        bearings: Bearing of each sweep's line. [deg] Shape (m,).
    """

    start: Floats
    end: Floats
    bearings: Floats

    def axes(self) -> tuple[Floats, Floats]:
        """Unit vectors to the right of each line and along it. Shape (m, 2) each."""
        angle = np.radians(self.bearings)
        return np.column_stack((np.cos(angle), -np.sin(angle))), np.column_stack((np.sin(angle), np.cos(angle)))

    def across(self, points: Floats) -> Floats:
        """How far right of the origin points stand. [m] Shape (m, n).

        Args:
            points: Positions. [m] Shape (n, 2).
        """
        return np.asarray(self.axes()[0] @ points.T)

    def range(self) -> tuple[Floats, Floats]:
        """Position of the first and the last corner. [m] Shape (m, 1) each."""
        across = self.across(self.start)
        return across.min(axis=1, keepdims=True), across.max(axis=1, keepdims=True)

    def behind(self, at: Floats) -> tuple[Floats, Floats]:
        """Area to the left of each line, and the line's length in the paddock. [m2, m] Shape (m, k) each.

        Args:
            at: Positions. [m] Shape (m, k).
        """
        low, wide, along, slope, sign = self._edges()
        gone = np.clip(at[:, :, None] - low, 0.0, wide)
        on = (at[:, :, None] >= low) & (at[:, :, None] < low + wide)
        area = (sign * gone * (along + slope * gone / 2)).sum(axis=2)
        length = np.where(on, sign * (along + slope * gone), 0.0).sum(axis=2)
        return area, length

    def fence(self, at: Floats) -> Floats:
        """New fence along each line: its length in the paddock, not counting where it runs on an edge. [m]

        Args:
            at: Positions. [m] Shape (m, k).
        """
        return np.minimum(self.behind(at - _BESIDE_M)[1], self.behind(at + _BESIDE_M)[1])

    def _edges(self) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        right, ahead = self.axes()
        s1, s2, t1, t2 = right @ self.start.T, right @ self.end.T, ahead @ self.start.T, ahead @ self.end.T
        low, high = np.minimum(s1, s2), np.maximum(s1, s2)
        wide = high - low
        rise = np.where(s1 <= s2, t2 - t1, t1 - t2)
        slope = np.divide(rise, wide, out=np.zeros_like(rise), where=wide > 0.0)
        along = np.where(s1 <= s2, t1, t2)
        return tuple(v[:, None, :] for v in (low, wide, along, slope, np.sign(s1 - s2)))  # type: ignore[return-value]


@dataclass(frozen=True, eq=False)
class TurningSweep:
    """A ray from the origin that turns clockwise over a paddock; one sweep for each starting bearing.

    Positions are angles turned from the start, shape (m, k) for m starts.

    Attributes:
        start: Start of each edge, from the point the rays come from. [m] Shape (n, 2).
        end: End of each edge. [m] Shape (n, 2).
        first: Starting bearing of each sweep. [rad] Shape (m,).
    """

    start: Floats
    end: Floats
    first: Floats

    def range(self) -> tuple[Floats, Floats]:
        """No turn and a whole turn. [rad] Shape (m, 1) each."""
        return np.zeros((len(self.first), 1)), np.full((len(self.first), 1), 2 * np.pi)

    def behind(self, at: Floats) -> tuple[Floats, Floats]:
        """Area between the start and each ray, and how fast it grows. [m2, m2/rad] Shape (m, k) each.

        Args:
            at: Angles turned. [rad] Shape (m, k).
        """
        area, squares, _ = self._swept(at)
        return area, squares / 2

    def fence(self, at: Floats) -> Floats:
        """Length of each ray in the paddock. [m] Shape (m, k).

        Args:
            at: Angles turned. [rad] Shape (m, k).
        """
        return self._swept(at)[2]

    def _swept(self, at: Floats) -> tuple[Floats, Floats, Floats]:
        """Area, sum of squares of the ray's ends and the ray's length in the paddock."""
        low, wide, near, far, cross = self._edges()
        area, squares, length = np.zeros_like(at), np.zeros_like(at), np.zeros_like(at)
        for round_, sign in ((at, 1.0), (at + 2 * np.pi, 1.0), (np.full((len(at), 1), 2 * np.pi), -1.0)):
            # the share of an edge's triangle between its first side and the ray is from_near / (from_near + from_far)
            turned = np.clip(round_[:, :, None] - low, 0.0, wide)
            from_near, from_far = near * np.sin(turned), far * np.sin(wide - turned)
            area += sign * (cross / 2 * from_near / (from_near + from_far)).sum(axis=2)
            if sign > 0.0:
                on = (round_[:, :, None] >= low) & (round_[:, :, None] < low + wide)
                reach = np.where(on, np.abs(cross) / (from_near + from_far), 0.0)
                squares += (np.sign(cross) * reach**2).sum(axis=2)
                length += (np.sign(cross) * reach).sum(axis=2)
        return area, squares, length

    def _edges(self) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """Lower bearing after the start, angle, length of the two sides and twice the area of each edge's triangle."""
        p, q = self.start, self.end
        cross = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
        size = np.hypot(*p.T) * np.hypot(*q.T)
        seen = np.abs(cross) > 1e-9 * np.maximum(size, 1e-3)
        p, q, cross = p[seen], q[seen], cross[seen]
        ahead = cross < 0.0  # travelled clockwise
        near, far = np.where(ahead[:, None], p, q), np.where(ahead[:, None], q, p)
        wide = np.arctan2(np.abs(cross), (p * q).sum(axis=1))
        low = np.remainder(np.arctan2(near[:, 0], near[:, 1]) - self.first[:, None], 2 * np.pi)
        return (low[:, None, :], *(v[None, None, :] for v in (wide, np.hypot(*near.T), np.hypot(*far.T), cross)))


def cut_at(sweep: ParallelSweep | TurningSweep, areas: Floats) -> Floats:
    """Where each sweep has left given areas behind it. Shape (m, k), in the sweep's own position.

    Args:
        sweep: Sweeps.
        areas: Areas, each between nothing and the whole. [m2] Shape (k,).
    """
    low, high = (np.repeat(end, len(areas), axis=1) for end in sweep.range())
    at = low + (high - low) * areas / max(float(sweep.behind(high)[0].max()), 1e-12)
    enough = 1e-10 * float(np.abs(areas).max(initial=1.0)) + 1e-9
    before = np.full_like(at, np.inf)
    for _ in range(_STEPS):
        area, rate = sweep.behind(at)
        miss = area - areas
        if (np.abs(miss) <= enough).all():
            break
        low, high = np.where(miss < 0.0, at, low), np.where(miss > 0.0, at, high)
        step = np.divide(miss, rate, out=np.full_like(miss, np.inf), where=rate > 0.0)
        newton = at - step
        trusted = (newton > low) & (newton < high) & (np.abs(miss) < before / 2)  # else it may swing to and fro
        before = np.abs(miss)
        at = np.where(before <= enough, at, np.where(trusted, newton, (low + high) / 2))
    return at


def least(cost: Callable[[Floats], Floats], among: Floats, *, period: Degree, room: int) -> tuple[Degree, Metre]:
    """The bearing of least cost: every low place among the given ones is searched to a hundred-thousandth of a degree.

    Args:
        cost: Cost of each of some bearings, and equal after a period. [deg] to [m], shape (m,).
        among: Bearings to start from. [deg] Shape (m,).
        period: After how much the costs repeat. [deg]
        room: Numbers that one bearing takes, to keep the arrays small.
    """
    chunk = max(1, _AT_ONCE // max(room, 1))
    at = np.unique(np.remainder(among, period))
    found = np.concatenate([cost(at[i:i + chunk]) for i in range(0, len(at), chunk)])
    low = np.flatnonzero((found <= np.roll(found, 1)) & (found <= np.roll(found, -1)))
    below, above = np.roll(at, 1)[low], np.roll(at, -1)[low]
    below, above = np.where(below < at[low], below, below - period), np.where(above > at[low], above, above + period)
    best, value = float(at[np.argmin(found)]), float(found.min())
    for i in range(0, len(low), chunk):
        for left, right in ((below[i:i + chunk], at[low[i:i + chunk]]), (at[low[i:i + chunk]], above[i:i + chunk])):
            near, there = _golden(cost, left, right)
            k = int(np.argmin(there))
            if there[k] < value - 1e-9:
                best, value = float(near[k]), float(there[k])
    return float(np.remainder(best, period)), value


def _golden(cost: Callable[[Floats], Floats], left: Floats, right: Floats) -> tuple[Floats, Floats]:
    """Golden-section search in many brackets at once."""
    share = (np.sqrt(5.0) - 1.0) / 2.0
    a, b = left.copy(), right.copy()
    c, d = b - share * (b - a), a + share * (b - a)
    at_c, at_d = cost(c), cost(d)
    while float((b - a).max(initial=0.0)) > 1e-5:
        lower = at_c < at_d
        a, b = np.where(lower, a, c), np.where(lower, d, b)
        c, d = b - share * (b - a), a + share * (b - a)
        fresh = cost(np.where(lower, c, d))
        at_c, at_d = np.where(lower, fresh, at_d), np.where(lower, at_c, fresh)
    return np.where(at_c < at_d, c, d), np.minimum(at_c, at_d)
