"""Cleaning a walked track: repeated positions, spikes, stops and walked-back loops, each taken out with its reason."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.geometry.arrays import Booleans, Floats, Integers
from planner.units import Metre

RemovedFor = Literal["stop", "spike", "loop", "repeated"]

# Common practice, no source: what tells a stop, a spike or a loop from walking, as multiples of what the track itself
# shows (its median step, its walking pace, its noise).
SPIKE_STEPS = 8.0
SPIKE_PACES = 4.0
SPIKE_LONGEST = 3
STOP_WINDOW_M = 50.0
STOP_SHARE = 0.3
LOOP_SHARE = 0.25
LOOP_SHORT_M = 150.0
LOOP_LEAST = 8.0


@dataclass(frozen=True, slots=True)
class Removed:
    """Points taken out of a track for one reason at one place.

    Attributes:
        reason: stop, spike, loop or repeated.
        count: Number of points taken out.
        from_index: First of them in the track as given, counted from 0.
        to_index: Last of them.
        text: The same as a sentence, with the figures.
    """

    reason: RemovedFor
    count: int
    from_index: int
    to_index: int
    text: str


def clean(xy: Floats, time_s: Floats | None) -> tuple[Integers, tuple[Removed, ...]]:
    """Which points of a track are worth fitting, and what was taken out and why.

    Args:
        xy: Positions in order. [m] Shape (n, 2), all finite.
        time_s: Time of each. [s] Shape (n,), NaN where unknown; None when no point has one.

    Returns:
        Indices of the points that stay, rising, and the removals in order of their first point.
    """
    kept = np.arange(len(xy))
    removed: list[Removed] = []
    for find in (_repeated, _spikes, _stops, _loops):
        out = np.zeros(len(kept), dtype=np.bool_)
        for first, last, reason, text in find(xy[kept], None if time_s is None else time_s[kept]):
            out[first : last + 1] = True
            removed.append(Removed(reason, last + 1 - first, int(kept[first]), int(kept[last]), text))
        kept = kept[~out]
    return kept, tuple(sorted(removed, key=lambda r: (r.from_index, r.to_index)))


_Found = Iterator[tuple[int, int, RemovedFor, str]]


def _runs(marked: Booleans) -> list[tuple[int, int]]:
    edge = np.flatnonzero(np.diff(np.concatenate(([False], marked, [False])).astype(np.int8)))
    return [(int(a), int(b) - 1) for a, b in zip(edge[::2], edge[1::2], strict=True)]


def _repeated(xy: Floats, time_s: Floats | None) -> _Found:
    same = np.concatenate(([False], np.hypot(*np.diff(xy, axis=0).T) <= 1e-6))
    for first, last in _runs(same):
        count = last + 1 - first
        yield first, last, "repeated", ("1 point repeats the position before it" if count == 1 else
                                        f"{count} points repeat the position before them")


def _spikes(xy: Floats, time_s: Floats | None) -> _Found:
    if len(xy) < 5:
        return
    step = np.hypot(*np.diff(xy, axis=0).T)
    least = SPIKE_STEPS * float(np.median(step))
    taken = np.zeros(len(xy), dtype=np.bool_)
    for length in range(1, SPIKE_LONGEST + 1):
        before, after = xy[: -length - 1], xy[length + 1 :]
        away = np.min([_apart(xy[k : len(xy) - length - 1 + k], side)
                       for k in range(1, length + 1) for side in (before, after)], axis=0)
        out = (away > least) & (_apart(before, after) < 0.5 * away)
        if time_s is not None:
            with np.errstate(invalid="ignore", divide="ignore"):
                pace = np.hypot(*np.diff(xy, axis=0).T) / np.diff(time_s)
                usual = np.nanmedian(pace) if np.isfinite(pace).any() else np.nan
                out &= ~(pace[: len(out)] <= SPIKE_PACES * usual)
        for first in np.flatnonzero(out) + 1:
            if not taken[first - 1 : first + length + 1].any():
                taken[first : first + length] = True
                stand = "1 point stands" if length == 1 else f"{length} points stand"
                yield (int(first), int(first) + length - 1, "spike",
                       f"{stand} {away[first - 1]:.0f} m off the points before and after")


def _apart(a: Floats, b: Floats) -> Floats:
    return np.hypot(a[:, 0] - b[:, 0], a[:, 1] - b[:, 1])


def walking_window(xy: Floats) -> int:
    """Number of steps in which a track usually gets 50 m on (less on a small track); 0 when it is too sparse to say.

    Args:
        xy: Positions in order. [m] Shape (n, 2).
    """
    far = min(STOP_WINDOW_M, float(np.hypot(*np.ptp(xy, axis=0))) / 6.0)
    window = 4
    while window < len(xy) // 2:
        if np.median(_apart(xy[window:], xy[:-window])) >= far:
            return window if window >= 8 else 0
        window = window * 5 // 4 + 1
    return 0


def _scatter(xy: Floats, window: int) -> tuple[Floats, Floats]:
    """Greater and smaller mean square spread of each window of so many steps. [m2]"""
    centred = xy - xy.mean(axis=0)
    sums = np.concatenate((np.zeros((1, 5)), np.cumsum(
        np.column_stack((centred, centred**2, centred[:, 0] * centred[:, 1])), axis=0)))
    mean = (sums[window + 1 :] - sums[: -window - 1]) / (window + 1)
    xx, yy = mean[:, 2] - mean[:, 0] ** 2, mean[:, 3] - mean[:, 1] ** 2
    half, cross = (xx - yy) / 2.0, mean[:, 4] - mean[:, 0] * mean[:, 1]
    middle, reach = (xx + yy) / 2.0, np.hypot(half, cross)
    return np.maximum(middle + reach, 0.0), np.maximum(middle - reach, 0.0)


def _moving_mean(xy: Floats, half: int) -> Floats:
    sums = np.concatenate((np.zeros((1, 2)), np.cumsum(xy, axis=0)))
    at = np.arange(len(xy))
    half_here = np.minimum(np.minimum(at, at[::-1]), half)
    return np.asarray((sums[at + half_here + 1] - sums[at - half_here]) / (2 * half_here + 1)[:, None])


def _stops(xy: Floats, time_s: Floats | None) -> _Found:
    window = walking_window(xy)
    if not window:
        return
    long, short = _scatter(xy, window)
    pace = float(np.median(_apart(xy[window:], xy[:-window])))
    slow = np.flatnonzero(np.sqrt(long + short) < STOP_SHARE * pace / np.sqrt(12.0))
    covered = np.zeros(len(xy) + 1, dtype=np.int64)
    np.add.at(covered, slow, 1)
    np.add.at(covered, slow + window + 1, -1)
    for first, last in _runs(np.cumsum(covered[:-1]) > 0):
        core = xy[first : last + 1]
        centre = np.median(core, axis=0)
        off = np.hypot(*(core - centre).T)
        near = np.flatnonzero(off <= 2.5 * np.median(off))
        first, last = first + int(near[0]), first + int(near[-1])
        duration = "" if time_s is None else _duration(float(time_s[last] - time_s[first]))
        yield first, last, "stop", f"stood still{duration}: {last + 1 - first} points around one place"


def _duration(seconds: float) -> str:
    if not np.isfinite(seconds):
        return ""
    return f" for {seconds:.0f} s" if seconds < 120 else f" for {seconds / 60:.0f} min"


def _loops(xy: Floats, time_s: Floats | None) -> _Found:
    window = walking_window(xy)
    if not window:
        return
    from scipy.spatial import cKDTree

    calm = _moving_mean(xy, window // 8)
    step = np.hypot(*np.diff(calm, axis=0).T)
    path = np.concatenate(([0.0], np.cumsum(step)))
    near: Metre = max(1.5 * float(np.median(step)), 3.0 * float(np.sqrt(np.median(_scatter(xy, window)[1]))))
    pairs = cKDTree(calm).query_pairs(near, output_type="ndarray")
    walked = path[pairs[:, 1]] - path[pairs[:, 0]]
    pairs = pairs[(walked >= LOOP_LEAST * near) & (walked <= LOOP_SHARE * path[-1])]
    first, last = pairs[:, 0], pairs[:, 1]
    area = np.concatenate(([0.0], np.cumsum(calm[:-1, 0] * calm[1:, 1] - calm[1:, 0] * calm[:-1, 1])))
    closing = calm[last, 0] * calm[first, 1] - calm[first, 0] * calm[last, 1]
    walked = path[last] - path[first]
    wide = np.abs(area[last] - area[first] + closing) / walked
    pairs = pairs[(walked <= LOOP_SHORT_M) | (wide <= near)]
    done = -1
    for begin in np.unique(pairs[:, 0]):
        if begin <= done:
            continue
        done = int(pairs[pairs[:, 0] == begin, 1].max())
        yield (int(begin) + 1, done, "loop",
               f"walked {path[done] - path[begin]:.0f} m and came back to where the track had been")
