"""A walk matched to the line that was fitted to it, in the order in which both were gone.

The nearest place of a walk is the wrong one where the walk passes the same spot twice, as on hairpins and on the way
back; what is nearest then jumps from pass to pass. Gone through in order, each place of the line has one pass.
"""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import Floats, Integers
from planner.geometry.lines import leg_lengths, points_along
from planner.units import Metre

# Common practice, no source.
_STRAY_M = 5.0
"""How far off the walk a fitted line is usually found: a squared one counts as much as ``_SKIP_M`` skipped. [m]"""
_SKIP_M = 10.0
_LEAST_STEP_M = 1.0
_MOST_STEPS = 5000
_REACH = 2000
_PACE = 2
_EVEN_M = 40.0
"""Length over which what one of the two skips is spread, so that a cut bend makes a slope and not a cliff. [m]"""
_LEFT_OUT_M = 50.0
"""A skip in one step from which a stretch of the walk was left out, as a way out and back beside the line is. [m]"""


def matched_in_order(line_xy: Floats, walk_xy: Floats) -> tuple[Floats, Floats, Floats]:
    """Where the walk was when it passed each of some places of a line, never going back.

    The least sum of squared distances between line and walk, each metre that one goes without the other being paid
    for, over all ways of going through both in order: a dynamic programme over equal steps, in a band about equal
    shares of the way. Time and memory grow no faster than the band, whatever the length.

    Args:
        line_xy: Corners of the line. [m] Shape (m, 2), of some length.
        walk_xy: Fixes of the walk, from the same end. [m] Shape (n, 2), of some length.

    Returns:
        Distances along the line, equal steps from 0 to its length; distance along the walk at each, never falling;
        and how far the two places lie apart. [m] Shape (k,) each.

    Source:
        Common practice, no source: dynamic time warping with a band (Sakoe & Chiba, IEEE Transactions on Acoustics,
        Speech and Signal Processing 26, 1978), cited from memory. Checked in tests/unit/survey/test_in_order.py.

    Example:
        >>> import numpy as np
        >>> there_and_back = np.array([[0.0, 0.0], [100.0, 0.0], [0.0, 0.5]])
        >>> at, walked, off = matched_in_order(there_and_back, there_and_back)
        >>> bool(np.abs(walked - at).max() < 2.0)
        True
    """
    length, walked = (float(leg_lengths(xy).sum()) for xy in (line_xy, walk_xy))
    steps = int(np.clip(np.ceil(length / _LEAST_STEP_M), 2, _MOST_STEPS))
    at, way = np.linspace(0.0, length, steps + 1), np.linspace(0.0, walked, _PACE * steps + 1)
    place, passed = points_along(line_xy, at), points_along(walk_xy, way)
    state = _cheapest(place, passed, length / steps, walked / (_PACE * steps))
    found = _even(at, way[state])
    return at, found, np.hypot(*(place - points_along(walk_xy, found)).T)


def _cheapest(place: Floats, passed: Floats, step: Metre, pace: Metre) -> Integers:
    """Index of the walk's place for each place of the line, never falling.

    A stretch of the line passes over ``_PACE`` places of the walk when both go alike; fewer or more are paid for.
    """
    rows, states = len(place), len(passed)
    width = min(states, 2 * _REACH + 1)
    low = np.clip(_PACE * np.arange(rows) - _REACH, 0, states - width)
    toll = pace / _SKIP_M
    ramp = toll * np.arange(width)
    came = np.empty((rows, width), dtype=np.int16)  # how many places of the walk were passed since the row before
    cost = _strays(place[0], passed[:width], step) + ramp
    for row in range(1, rows):
        shift = int(low[row] - low[row - 1])
        old = np.concatenate((cost[shift:], np.full(shift, np.inf)))
        best, passed_by = np.full(width, np.inf), np.zeros(width, dtype=np.int16)
        for few in range(_PACE):
            here = old[:width - few] + toll * (_PACE - few)
            better = here < best[few:]
            best[few:][better], passed_by[few:][better] = here[better], few
        # as many as usual or more: the cheapest of all that lie as far back, each place in between paid for
        level = old - ramp
        lowest = np.minimum.accumulate(level)
        which = np.maximum.accumulate(np.where(level <= lowest, np.arange(width), 0))
        here = lowest[:width - _PACE] + ramp[:width - _PACE]
        better = here < best[_PACE:]
        best[_PACE:][better] = here[better]
        passed_by[_PACE:][better] = (np.arange(_PACE, width) - which[:width - _PACE])[better]
        came[row], cost = passed_by, best + _strays(place[row], passed[low[row]:low[row] + width], step)
    state = np.empty(rows, dtype=np.int64)
    state[-1] = low[-1] + int(np.argmin(cost + ramp[::-1]))
    for row in range(rows - 1, 0, -1):
        state[row - 1] = state[row] - came[row, state[row] - low[row]]
    return state


def _strays(place: Floats, passed: Floats, step: Metre) -> Floats:
    return np.asarray(step / _SKIP_M * ((passed - place) ** 2).sum(axis=1) / _STRAY_M**2)


def _even(at: Floats, way: Floats) -> Floats:
    """The same without its unevenness: a running mean, which never falls either, between stretches left out."""
    step = float(at[1] - at[0])
    cuts = np.flatnonzero(np.diff(way) > _LEFT_OUT_M + 2.0 * step) + 1
    half = max(1, round(_EVEN_M / 2.0 / step))
    parts = []
    for part in np.split(way, cuts):
        reach = min(half, len(part) - 1)
        padded = np.concatenate((2 * part[0] - part[reach:0:-1], part, 2 * part[-1] - part[-2:-reach - 2:-1]))
        summed = np.concatenate(([0.0], np.cumsum(padded)))
        parts.append((summed[2 * reach + 1:] - summed[:-2 * reach - 1]) / (2 * reach + 1))
    return np.asarray(np.concatenate(parts))
