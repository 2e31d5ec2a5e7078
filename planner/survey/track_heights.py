"""Walked and rounded heights: how noisy they are, and what is left when no more is believed than they can show.

A receiver's heights wander and jump; added up as they stand they make hills that are not there. Heights rounded to
whole metres make steps that are not there. Both are smoothed here, an RTK log hardly at all.
"""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import Booleans, Floats, Integers
from planner.units import Metre

SAME_PLACE_M = 0.5
"""Fixes closer together than this along a track are one place, taken at the middle of their heights. [m]"""
RTK_NOISE_M = 0.1
"""Noise up to which heights are smoothed no further than the noise itself allows. [m] Common practice, no source."""
_ORDER = 2
_LEAST_FOR_NOISE = 6


def quantum_of(level_m: Floats) -> Metre:
    """Step to which levels were rounded. [m] 0.0 when they were not, or when it cannot be told.

    Args:
        level_m: Levels. [m] Shape (n,), NaN where unknown.

    Example:
        >>> import numpy as np
        >>> quantum_of(np.array([12.0, 13.0, 13.0, 17.0, 15.0, 14.0, 12.0]))
        1.0
    """
    values = np.unique(level_m[np.isfinite(level_m)])
    if len(values) < 4:
        return 0.0
    least = float(np.diff(values).min())
    slack = 2 * float(np.spacing(np.float32(np.abs(values).max())))  # levels may have gone through single precision
    if least < max(0.005, 20 * slack):
        return 0.0
    above = values - values[0]
    for parts in range(1, 6):  # the least difference met may be a few steps
        steps = np.round(above / least * parts)
        quantum = float(above[-1] / steps[-1])
        if bool((np.abs(above - steps * quantum) <= max(slack, 1e-6 * quantum)).all()):
            return quantum
    return 0.0


def noise_of(at_m: Floats, level_m: Floats) -> Metre:
    """Noise of heights along a track, estimated from the heights alone. [m] 0.0 when there are too few to tell.

    Third divided differences cancel any ground that is a parabola over four fixes; what they leave, scaled so that
    white noise gives its own standard deviation, is noise. The median is taken, so that spikes and cliffs do not
    count. Rounded heights have at least the noise of rounding, a twelfth of the squared step. Slow wander, which no
    estimate from one pass can tell from ground, is not in it.

    Args:
        at_m: Distance along the track. [m] Shape (n,), any order.
        level_m: Heights. [m] Shape (n,), NaN where missing.

    Source:
        Common practice, no source; the rounding term is the variance of a uniform error. Checked by simulation in
        tests/validation/test_gnss_height_noise.py.
    """
    at, level = _places(at_m, level_m)
    rounding = quantum_of(level_m) / np.sqrt(12.0)
    if len(at) < _LEAST_FOR_NOISE:
        return float(rounding)
    four = np.lib.stride_tricks.sliding_window_view(at, 4)
    gaps = four[:, :, None] - four[:, None, :]
    gaps[:, np.arange(4), np.arange(4)] = 1.0
    weight = 1.0 / gaps.prod(axis=2)
    third = (weight * np.lib.stride_tricks.sliding_window_view(level, 4)).sum(axis=1)
    scaled = np.abs(third) / np.sqrt((weight**2).sum(axis=1))
    return float(max(1.4826 * np.median(scaled), rounding))


def smooth(at_m: Floats, level_m: Floats, *, window_m: Metre = 105.0,
           believed: bool = True) -> tuple[Floats, Metre]:
    """Heights along a track without their noise, and that noise. [m]

    A Savitzky-Golay filter of order 2 on a regular grid, so that hills keep their height. Where the noise is above
    ``RTK_NOISE_M`` the window is ``window_m``; below it the widest window whose curve stays within the noise, so
    that good heights are not flattened. Repeated places count once; order does not matter.

    Args:
        at_m: Distance along the track. [m] Shape (n,).
        level_m: Heights. [m] Shape (n,), NaN where missing.
        window_m: Length over which heights are smoothed. [m]
        believed: False where small noise is no sign of good heights; the window is then ``window_m`` in any case.

    Returns:
        Smoothed height at each distance, shape (n,): bridged where a height is missing between two others, NaN before
        the first and after the last; and the noise of the heights as they came.

    Source:
        Savitzky & Golay, Analytical Chemistry 36 (1964) 1627; the window is common practice, no source. Checked in
        tests/validation/test_gnss_height_noise.py.
    """
    at, level = _places(at_m, level_m)
    noise = noise_of(at_m, level_m)
    if len(at) < 2:
        return np.where(np.isfinite(level_m), level_m, np.nan), noise
    grid_at, grid_level = _regular(at, level, step=float(np.clip(np.median(np.diff(at)), 1.0, window_m / 15.0)))
    curve = _curve(grid_at, grid_level, window_m)
    if believed and noise <= RTK_NOISE_M:
        curve = _widest_within(grid_at, grid_level, window_m, noise)
    return np.asarray(np.interp(at_m, grid_at, curve, left=np.nan, right=np.nan)), noise


def unround(at_m: Floats, level_m: Floats, quantum_m: Metre, *, window_m: Metre = 105.0) -> Floats:
    """Levels along a line without the steps of rounding, nowhere farther than half a step from what was given. [m]

    Smoothing and pulling back inside the half step take turns, over shorter and shorter windows, so that flat ground
    loses its steps and a gully keeps its depth.

    Args:
        at_m: Distance along the line, rising. [m] Shape (n,).
        level_m: Levels. [m] Shape (n,), NaN where unknown; each run of known levels is treated by itself.
        quantum_m: Step to which they were rounded. [m] 0 or less returns them as they are.
        window_m: Length over which they are smoothed. [m]
    """
    if quantum_m <= 0:
        return level_m
    result = level_m.copy()
    for run in known_runs(np.isfinite(level_m)):
        at, level = at_m[run], level_m[run]
        if len(at) < 3:
            continue
        grid_at, held = _regular(at, level, step=float(np.clip(np.median(np.diff(at)), 0.5, 5.0)))
        low, high = held - quantum_m / 2, held + quantum_m / 2
        for share in (1.0, 1.0, 0.5, 0.5, 0.25, 0.25, 0.12, 0.12):
            held = np.clip(_curve(grid_at, held, share * window_m), low, high)
        result[run] = np.clip(np.interp(at, grid_at, held), level - quantum_m / 2, level + quantum_m / 2)
    return result


def known_runs(known: Booleans) -> list[slice]:
    """Stretches of successive points that are known.

    Args:
        known: Shape (n,).
    """
    edges = np.flatnonzero(np.diff(np.concatenate(([0], known.astype(np.int8), [0]))))
    return [slice(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def places_and_heights(at_m: Floats, level_m: Floats) -> tuple[Floats, Floats]:
    """A track's places in order, each once, with its middle height. [m] Two arrays of one length.

    Args:
        at_m: Distance along the track. [m] Shape (n,), any order.
        level_m: Heights. [m] Shape (n,), NaN where missing.
    """
    return _places(at_m, level_m)


def _places(at_m: Floats, level_m: Floats) -> tuple[Floats, Floats]:
    good = np.isfinite(at_m) & np.isfinite(level_m)
    order = np.argsort(at_m[good], kind="stable")
    at, level = at_m[good][order], level_m[good][order]
    if not len(at) or bool((np.diff(at) >= SAME_PLACE_M).all()):
        return at, level
    place = np.floor((at - at[0]) / SAME_PLACE_M + 1e-9)
    starts = np.flatnonzero(np.diff(place, prepend=-1.0)).astype(np.int64)
    counts = np.diff(np.append(starts, len(at)))
    return np.asarray(np.add.reduceat(at, starts) / counts), _middles(level, starts, counts)


def _middles(level: Floats, starts: Integers, counts: Integers) -> Floats:
    middle: Floats = level[starts].copy()
    for k in np.flatnonzero(counts > 1):
        middle[k] = np.median(level[starts[k]:starts[k] + counts[k]])
    return middle


def _regular(at: Floats, level: Floats, *, step: Metre) -> tuple[Floats, Floats]:
    count = max(2, round(float(at[-1] - at[0]) / step) + 1)
    grid_at = np.linspace(at[0], at[-1], count)
    return grid_at, np.asarray(np.interp(grid_at, at, level))


def _curve(grid_at: Floats, level: Floats, window_m: Metre) -> Floats:
    from scipy.signal import savgol_filter  # late: it takes a third of a second to import

    step = float(grid_at[1] - grid_at[0])
    window = min(2 * round((window_m / step - 1) / 2) + 1, len(level) - (len(level) + 1) % 2)
    if window <= _ORDER:
        return level
    return np.asarray(savgol_filter(level, window, _ORDER), dtype=np.float64)


def _widest_within(grid_at: Floats, level: Floats, window_m: Metre, noise: Metre) -> Floats:
    for share in (1.0, 0.7, 0.5, 0.35, 0.25, 0.15):
        curve = _curve(grid_at, level, share * window_m)
        if float(np.quantile(np.abs(curve - level), 0.95)) <= 2.0 * noise + 1e-9:
            return curve
    return level
