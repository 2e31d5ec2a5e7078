"""Stations: where along a line its ground levels are taken."""

from __future__ import annotations

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, Integers
from planner.geometry.lines import chainages, leg_lengths
from planner.units import Metre

SAME_STATION_M = 0.001
"""An extra place this near to a station is that station. [m]"""


def stations(xy: Floats, *, step_m: Metre, extra_at_m: Floats | None = None) -> Floats:
    """Grid distances along a line at which to take levels: every corner, equal steps between, and extra places.

    Args:
        xy: Corners, at least two, none repeated. [m] Shape (m, 2).
        step_m: Greatest distance between stations. [m] Above zero.
        extra_at_m: Further places. [m] Shape (k,), any order; those off the line's ends are left out.

    Returns:
        Strictly rising from 0 to the line's length. [m] Shape (n,).

    Raises:
        OutOfRange: Fewer than two corners, a repeated corner, a position that is no number, or a step not above zero.

    Example:
        >>> import numpy as np
        >>> stations(np.array([[0.0, 0.0], [2.5, 0.0], [2.5, 1.0]]), step_m=1.0).round(3).tolist()
        [0.0, 0.833, 1.667, 2.5, 3.5]
    """
    if len(xy) < 2 or not np.isfinite(xy).all():
        raise OutOfRange("a line needs two corners or more, each with a position", remedy="give its corners again")
    if not step_m > 0:
        raise OutOfRange(f"a profile step of {step_m:g} m", remedy="give one above zero")
    length = leg_lengths(xy)
    if not length.min() > 0:
        raise OutOfRange(f"corners {int(np.argmin(length)) + 1} and {int(np.argmin(length)) + 2} are the same place",
                         remedy="take one of them out")
    steps = np.maximum(1, np.ceil(length / step_m - 1e-9)).astype(np.int64)
    leg = np.repeat(np.arange(len(length)), steps)
    within = np.arange(len(leg)) - np.repeat(np.cumsum(steps) - steps, steps)
    along = chainages(xy)
    at = np.append(along[leg] + length[leg] * within / steps[leg], along[-1])
    if extra_at_m is None or not len(extra_at_m):
        return at
    extra = np.unique(extra_at_m[(extra_at_m > 0) & (extra_at_m < at[-1])])
    extra = extra[np.diff(extra, prepend=-np.inf) > SAME_STATION_M]
    extra = extra[np.abs(at[nearest_station(at, extra)] - extra) > SAME_STATION_M]
    return np.sort(np.concatenate((at, extra)))


def nearest_station(at_m: Floats, wanted_m: Floats) -> Integers:
    """Index of the station nearest to each distance along the line.

    Args:
        at_m: Stations, rising, at least two. [m] Shape (n,).
        wanted_m: Distances along the line. [m] Shape (k,).
    """
    after = np.clip(np.searchsorted(at_m, wanted_m), 1, len(at_m) - 1)
    return np.asarray(np.where(wanted_m - at_m[after - 1] <= at_m[after] - wanted_m, after - 1, after), dtype=np.int64)
