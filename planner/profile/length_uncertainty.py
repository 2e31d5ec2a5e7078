"""How well a slope length is known: the standard deviation of stretches of a line from that of corners and levels.

First order, closed form. What is assumed:

- each corner is off by an independent error in east and in north; a leg stretches with its corners, and a place inside
  a leg is a fixed share of it and keeps its level;
- errors of level are alike over short distances and independent over long ones: they run straight between knots, equal
  parts of the line about ``level_scale_m`` long, and are independent from knot to knot. Taking the error of every 1 m
  station as independent would be wrong: neighbours share a terrain cell, a filter window or a satellite constellation,
  and white noise at 1 m would make an uncertainty, and a false length, that no source of levels has;
- on level ground a level error counts only in second order, which is left out; so is the change of level where a moved
  corner stands on other ground.
"""

from __future__ import annotations

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, Integers
from planner.profile.ground_line import GroundLine
from planner.units import Metre


def slope_length_sd(ground: GroundLine, *, corner_sd_m: Floats, from_m: Floats, to_m: Floats,
                    level_scale_m: Metre = 50.0) -> Floats:
    """Standard deviation of the slope length of each stretch. [m] Shape (k,).

    Args:
        ground: Profile of the line. Stations whose standard deviation is unknown add nothing, so a stretch without
            levels has only the part of its corners.
        corner_sd_m: Standard deviation of each corner, in east and in north alike. [m] Shape (m,).
        from_m: Chainage where each stretch starts. [m] Shape (k,).
        to_m: Chainage where it ends, not before its start. [m] Shape (k,).
        level_scale_m: Distance over which level errors are alike. [m] Common practice, no source.

    Raises:
        OutOfRange: Not one standard deviation to a corner, or a stretch ends before it starts.

    Source:
        Propagation of variance (Gauss). Checked against a Monte Carlo in tests/validation/test_slope_length_sd.py.
    """
    if len(corner_sd_m) != len(ground.vertices):
        raise OutOfRange(f"{len(corner_sd_m)} standard deviations for {len(ground.vertices)} corners",
                         remedy="give one to a corner")
    start, end = (np.clip(np.atleast_1d(np.asarray(c, dtype=np.float64)), 0.0, ground.chainage_m[-1])
                  for c in (from_m, to_m))
    if (end < start).any():
        raise OutOfRange("a stretch ends before it starts", remedy="give its chainages in order")
    step, rise = np.diff(ground.chainage_m), np.diff(ground.level_m)
    slope = np.hypot(step, rise)
    corner = ground.chainage_m[ground.vertices]
    xy = np.column_stack((ground.x, ground.y))[ground.vertices]
    legs = np.diff(xy, axis=0)
    plan = _variance(ground.chainage_m, step**2 / slope, knots=corner, sd=np.asarray(corner_sd_m, dtype=np.float64),
                     direction=legs / np.hypot(legs[:, :1], legs[:, 1:]), start=start, end=end,
                     closed=bool(np.hypot(*(xy[0] - xy[-1])) < 1e-6))
    parts = max(1, round(float(ground.chainage_m[-1]) / level_scale_m))
    knots = np.linspace(0.0, ground.chainage_m[-1], parts + 1)
    level_sd = np.interp(knots, ground.chainage_m, np.where(np.isfinite(ground.sd_m), ground.sd_m, 0.0))
    level = _variance(ground.chainage_m, step * rise / slope, knots=knots, sd=level_sd,
                      direction=np.ones((parts, 1)), start=start, end=end, closed=False)
    return np.sqrt(plan + level)


def _variance(chainage: Floats, part: Floats, *, knots: Floats, sd: Floats, direction: Floats, start: Floats,
              end: Floats, closed: bool) -> Floats:
    """Variance of sum(part / span * (error at the span's end - error at its start)) over each stretch."""
    so_far = np.concatenate(([0.0], np.cumsum(part)))
    span = np.diff(knots)
    first, last = _span_of(knots, start, inclusive=True), _span_of(knots, end, inclusive=False)
    last = np.maximum(first, last)
    at = np.interp(np.concatenate((start, end, knots)), chainage, so_far)
    at_start, at_end, at_knot = at[:len(start)], at[len(start):2 * len(start)], at[2 * len(start):]
    whole = (np.diff(at_knot) / span)[:, None] * direction
    alone = first == last
    head = (np.where(alone, at_end, at_knot[first + 1]) - at_start) / span[first]
    tail = (at_end - np.where(alone, at_start, at_knot[last])) / span[last]
    head_v, tail_v = head[:, None] * direction[first], tail[:, None] * direction[last]
    # error coefficients at the knots between two whole spans, and their sums
    between = np.zeros(len(knots))
    between[1:-1] = sd[1:-1] ** 2 * ((whole[:-1] - whole[1:]) ** 2).sum(axis=1)
    summed = np.concatenate(([0.0], np.cumsum(between)))
    inner = np.where(last - first >= 2, summed[last] - summed[np.minimum(first + 2, last)], 0.0)
    after_head = np.where((last - first >= 2)[:, None], whole[np.minimum(first + 1, len(span) - 1)], tail_v)
    before_tail = whole[np.maximum(last - 1, 0)]
    ends = sd[first] ** 2 * (head_v**2).sum(axis=1) + sd[last + 1] ** 2 * (tail_v**2).sum(axis=1)
    joint = np.where(alone, 0.0, sd[first + 1] ** 2 * ((head_v - after_head) ** 2).sum(axis=1))
    joint += np.where(last - first >= 2, sd[last] ** 2 * ((before_tail - tail_v) ** 2).sum(axis=1), 0.0)
    result = ends + joint + inner
    if closed:  # first and last knot are one: their errors are the same
        round_trip = (first == 0) & (last == len(span) - 1) & ~alone
        result += np.where(round_trip, -2.0 * sd[0] * sd[-1] * (head_v * tail_v).sum(axis=1), 0.0)
    return np.asarray(np.maximum(result, 0.0))


def _span_of(knots: Floats, at: Floats, *, inclusive: bool) -> Integers:
    side = np.searchsorted(knots, at, side="right" if inclusive else "left") - 1
    return np.clip(side, 0, len(knots) - 2).astype(np.int64)
