"""Lines in the plane: lengths, directions, turns, points along."""

from __future__ import annotations

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Booleans, Floats
from planner.units import Metre


def leg_lengths(xy: Floats) -> Floats:
    """Length of each leg of a line. [m] Shape (n - 1,).

    Args:
        xy: Corners. [m] Shape (n, 2).
    """
    step = np.diff(xy[:, :2], axis=0)
    return np.hypot(step[:, 0], step[:, 1])


def chainages(xy: Floats) -> Floats:
    """Distance from the start along the line to each corner. [m] Shape (n,).

    Args:
        xy: Corners. [m] Shape (n, 2).
    """
    return np.concatenate(([0.0], np.cumsum(leg_lengths(xy))))


def turns(xy: Floats, *, closed: bool) -> Floats:
    """Turn of the line at each corner. [rad] Shape (n,). Positive turns left; 0 at the two ends of an open line.

    Args:
        xy: Corners, no two successive ones equal. [m] Shape (n, 2). A closed line repeats its first corner at
            the end; its turn there is written at both ends.
        closed: True when the line returns to its start.
    """
    step = np.diff(xy[:, :2], axis=0)
    direction = np.arctan2(step[:, 1], step[:, 0])
    turn = np.zeros(len(xy))
    turn[1:-1] = np.diff(direction)
    if closed:
        turn[0] = turn[-1] = direction[0] - direction[-1]
    return np.remainder(turn + np.pi, 2 * np.pi) - np.pi


def points_along(xy: Floats, at: Floats) -> Floats:
    """Positions on a line. [m] Shape (k, 2).

    Args:
        xy: Corners. [m] Shape (n, 2).
        at: Distances along the line, each clipped to the line. [m] Shape (k,).
    """
    along = chainages(xy)
    return np.column_stack((np.interp(at, along, xy[:, 0]), np.interp(at, along, xy[:, 1])))


def repeated(xy: Floats, *, within: Metre = 0.0) -> Booleans:
    """Which corners stand on the corner before them. Shape (n,), the first always False.

    Args:
        xy: Corners. [m] Shape (n, 2).
        within: Greatest distance that counts as the same place. [m]
    """
    return np.concatenate(([False], leg_lengths(xy) <= within))


def nearest_on(xy: Floats, point: tuple[Metre, Metre]) -> tuple[Metre, Metre]:
    """Where on a line a point stands, and how far off.

    Args:
        xy: Corners, at least two. [m] Shape (n, 2).
        point: Position. [m]

    Returns:
        Distance along the line and distance off it. [m]

    Raises:
        OutOfRange: The line has fewer than two corners.

    Example:
        >>> import numpy as np
        >>> nearest_on(np.array([[0.0, 0.0], [10.0, 0.0]]), (4.0, 3.0))
        (4.0, 3.0)
    """
    if len(xy) < 2:
        raise OutOfRange("a line needs two corners", remedy="give two different corners")
    start, step = xy[:-1, :2], np.diff(xy[:, :2], axis=0)
    square = np.maximum((step**2).sum(axis=1), np.finfo(float).tiny)
    share = np.clip(((np.asarray(point) - start) * step).sum(axis=1) / square, 0.0, 1.0)
    foot = start + share[:, None] * step
    off = np.hypot(foot[:, 0] - point[0], foot[:, 1] - point[1])
    leg = int(np.argmin(off))
    return float(chainages(xy)[leg] + share[leg] * np.sqrt(square[leg])), float(off[leg])
