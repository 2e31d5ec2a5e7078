"""Feet: where many points stand on a line, all at once."""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages, leg_lengths
from planner.units import Metre


def feet_on(line_xy: Floats, points: Floats, *, within: Metre) -> tuple[Floats, Floats]:
    """Foot of each point on a line: the nearest place on it.

    Args:
        line_xy: Corners, at least two. [m] Shape (m, 2).
        points: Positions. [m] Shape (n, 2). One that is not finite has no foot.
        within: Greatest distance off the line. [m]

    Returns:
        Distance along the line and distance off it. [m] Two arrays of shape (n,), NaN for points without a foot.

    Example:
        >>> import numpy as np
        >>> line = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]])
        >>> along, off = feet_on(line, np.array([[4.0, 1.0], [11.0, 5.0], [4.0, 9.0]]), within=2.0)
        >>> along.tolist(), off.tolist()
        ([4.0, 15.0, nan], [1.0, 1.0, nan])
    """
    along, off = np.full(len(points), np.nan), np.full(len(points), np.nan)
    usable = np.flatnonzero(np.isfinite(points[:, :2]).all(axis=1))
    if len(line_xy) < 2 or not len(usable):
        return along, off
    which, leg = _nearest_legs(line_xy, points[usable, :2], within)
    which = usable[which]
    start, step = line_xy[leg, :2], line_xy[leg + 1, :2] - line_xy[leg, :2]
    square = np.maximum((step**2).sum(axis=1), np.finfo(float).tiny)
    share = np.clip(((points[which, :2] - start) * step).sum(axis=1) / square, 0.0, 1.0)
    foot = start + share[:, None] * step
    along[which] = chainages(line_xy)[leg] + share * leg_lengths(line_xy)[leg]
    off[which] = np.hypot(*(points[which, :2] - foot).T)
    return along, off


def _nearest_legs(line_xy: Floats, points: Floats, within: Metre) -> tuple[Floats, Floats]:
    import shapely  # here, because reading a job must not wait for it

    legs = shapely.linestrings(np.stack((line_xy[:-1, :2], line_xy[1:, :2]), axis=1))
    # the tree keeps what lies nearer than its limit; the limit itself counts here
    pairs = shapely.STRtree(legs).query_nearest(
        shapely.points(points), max_distance=max(within * (1 + 1e-12), 1e-9), all_matches=False)
    return pairs[0], pairs[1]
