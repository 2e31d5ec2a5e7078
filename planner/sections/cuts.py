"""Cuts of a run that is longer than the longest strain: fewest equal parts, each cut at a grade break near it."""

from __future__ import annotations

import math

import numpy as np

from planner.geometry.arrays import Floats
from planner.units import Metre

_SLACK_M = 1e-6


def equal_cuts(length_m: Metre, *, longest: Metre, breaks: Floats, move_share: float) -> Floats:
    """Where to cut a run into the fewest parts that are none longer than the longest strain.

    The parts are equal but for this: a cut moves to a grade break within a share of a part of it, as many cuts as
    can without a part becoming too long, and together as little as can be.

    Args:
        length_m: Slope length of the run. [m]
        longest: Longest strain. [m] A run of just this length is not cut.
        breaks: Slope distance of its grade breaks from its start. [m] Rising.
        move_share: How far a cut may move, as a share of an equal part. 0 to 0.5.

    Returns:
        Slope distance of each cut from the start of the run. [m] Empty when it need not be cut.

    Source:
        Common practice, no source. The count is checked in tests/validation/test_strainer_distance.py.

    Example:
        >>> equal_cuts(1000.0, longest=400.0, breaks=np.array([350.0, 500.0]), move_share=0.15).round(1).tolist()
        [350.0, 666.7]
    """
    parts = max(math.ceil((length_m - _SLACK_M) / longest), 1)
    part = length_m / parts
    steps = [_candidates(k * part, breaks, move_share * part) for k in range(1, parts)]
    at, cost, origins = np.zeros(1), np.zeros((1, 2)), []
    for spots, spot_cost in [*steps, (np.array([length_m]), np.zeros((1, 2)))]:
        gap = spots[None, :] - at[:, None]
        fits = (gap > 0) & (gap <= max(longest, part) + _SLACK_M)
        left, moved = (np.where(fits, cost[:, c][:, None], np.inf) for c in (0, 1))
        moved = np.where(left == left.min(axis=0), moved, np.inf)
        origin = np.argmin(moved, axis=0)
        origins.append(origin)
        at, cost = spots, cost[origin] + spot_cost + np.where(np.isfinite(left.min(axis=0)), 0.0, np.inf)[:, None]
    found, k = [], 0
    for (spots, _), origin in zip(reversed(steps), reversed(origins), strict=False):
        k = int(origin[k])
        found.append(float(spots[k]))
    return np.array(found[::-1])


def _candidates(equal: Metre, breaks: Floats, reach: Metre) -> tuple[Floats, Floats]:
    """Places for one cut, and the cost of each: whether it misses every break, and how far it moved."""
    near = breaks[np.abs(breaks - equal) <= reach]
    spots = np.concatenate((near, [equal]))
    missed = np.concatenate((np.zeros(len(near)), [1.0]))
    return spots, np.column_stack((missed, np.abs(spots - equal)))
