"""Visibility over a profile: what an eye above one point sees above the others, and the fewest stops between."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Booleans, Floats, Integers
from planner.units import Metre

SLACK = 1e-9
"""How far the ground may stand above a line of sight that grazes it: a nanometre, for the rounding. [m]"""


def seen_from(x: Floats, y: Floats, at: int, *, eye: Metre, target: Metre) -> Booleans:
    """Which later points have their target in sight of an eye above one point. Shape (n,), False up to that point.

    A line of sight may touch the ground; the next point is always seen. Curvature of the Earth and refraction are
    left out: 1 km away they come to 0.07 m.

    Args:
        x: Distance along a straight line, strictly rising. [m] Shape (n,).
        y: Ground level. [m] Shape (n,).
        at: Index of the point below the eye.
        eye: Height of the eye above its point. [m]
        target: Height of the targets above theirs. [m]

    Example:
        >>> import numpy as np
        >>> seen_from(np.arange(4.0), np.array([0.0, 2.0, 0.0, 2.0]), 0, eye=1.5, target=1.0).tolist()
        [False, True, False, True]
    """
    run = x[at + 1 :] - x[at]
    rise = y[at + 1 :] - (y[at] + eye)
    horizon = np.maximum.accumulate((rise - SLACK) / run)
    seen = np.zeros(len(x), dtype=np.bool_)
    seen[at + 1 : at + 2] = True
    seen[at + 2 :] = (rise[1:] + target) / run[1:] >= horizon[:-1]
    return seen


def seeing(x: Floats, y: Floats, at: int, *, eye: Metre, target: Metre) -> Booleans:
    """Which earlier points have an eye that sees the target above one point. Shape (n,), False from that point on.

    Args:
        x: Distance along a straight line, strictly rising. [m] Shape (n,).
        y: Ground level. [m] Shape (n,).
        at: Index of the point below the target.
        eye: Height of the eyes above their points. [m]
        target: Height of the target above its point. [m]
    """
    return seen_from(-x[::-1], y[::-1], len(x) - 1 - at, eye=target, target=eye)[::-1]


def fewest_stops(x: Floats, y: Floats, *, eye: Metre, target: Metre) -> Integers:
    """The fewest points between the first and the last such that each, from the first on, sees the next.

    Exact: a search by levels from both ends until they meet. Among equally few, higher ground is taken.

    Args:
        x: Distance along a straight line, strictly rising. [m] Shape (n,), n >= 2.
        y: Ground level. [m] Shape (n,).
        eye: Height of the eye. [m] 0 or more.
        target: Height of the target. [m] 0 or more.

    Returns:
        Index of each stop, rising; empty when the first point sees the last.

    Raises:
        OutOfRange: Fewer than two points, or a height below zero.

    Source:
        Shortest path over the pairs of points that see each other. Checked in tests/unit/geometry/test_visibility.py
        and tests/properties/test_visibility.py against a search over all sets of points.
    """
    if len(x) < 2:
        raise OutOfRange("there is nothing to see between fewer than two points", remedy="give two or more")
    if not (eye >= 0 and target >= 0):
        raise OutOfRange(f"an eye {eye} m and a target {target} m above the ground cannot both be used",
                         remedy="give heights of 0 or more")
    last = len(x) - 1
    first_sees = seen_from(x, y, 0, eye=eye, target=target)
    if first_sees[last]:
        return np.empty(0, dtype=np.int64)
    ahead, behind = np.full(len(x), -1), np.full(len(x), -1)
    ahead[first_sees] = 1
    ahead[0], behind[last] = 0, 0
    steps_ahead, steps_behind = 1, 0
    while not ((ahead >= 0) & (behind >= 0)).any():
        front, back = np.flatnonzero(ahead == steps_ahead), np.flatnonzero(behind == steps_behind)
        if len(front) <= len(back):
            steps_ahead += 1
            found = _any(seen_from(x, y, int(i), eye=eye, target=target) for i in front)
            ahead[found & (ahead < 0)] = steps_ahead
        else:
            steps_behind += 1
            found = _any(seeing(x, y, int(i), eye=eye, target=target) for i in back)
            behind[found & (behind < 0)] = steps_behind
    middle = _highest(y, (ahead >= 0) & (behind >= 0))
    path = [middle]
    while path[0] != 0:
        path.insert(0, _highest(y, seeing(x, y, path[0], eye=eye, target=target) & (ahead == ahead[path[0]] - 1)))
    while path[-1] != last:
        path.append(
            _highest(y, seen_from(x, y, path[-1], eye=eye, target=target) & (behind == behind[path[-1]] - 1)))
    return np.array(path[1:-1], dtype=np.int64)


def _any(rows: Iterator[Booleans]) -> Booleans:
    found = next(rows).copy()
    for row in rows:
        found |= row
    return found


def _highest(y: Floats, among: Booleans) -> int:
    candidates = np.flatnonzero(among)
    return int(candidates[y[candidates].argmax()])
