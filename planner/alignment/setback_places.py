"""Candidate corners of a set-back line: rows of places beside the edge of the set-back."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from planner.alignment.setback_band import Stretch
from planner.geometry.arrays import Booleans, Floats
from planner.geometry.lines import chainages
from planner.units import Metre


def layers(give_m: Metre, level: int) -> tuple[Metre, ...]:
    """Distances of candidate corners from the edge of the set-back; each level contains those of the one before. [m]

    Args:
        give_m: Width of the band. [m]
        level: 0 or more.

    Example:
        >>> layers(16.0, 0), layers(16.0, 1)
        ((0.0, 2.0, 8.0, 16.0), (0.0, 1.0, 2.0, 4.0, 8.0, 12.0, 16.0))
    """
    parts = 2 ** (level + 1)
    shares = {k / parts for k in range(parts + 1)} | {2.0 ** -(k + 3) for k in range(level + 1)}
    return tuple(give_m * share for share in sorted(shares))


def station_spacing(stretch: Stretch, *, near_m: Metre, give_m: Metre, level: int) -> Metre:
    """Distance between candidate corners along the edge of a set-back. [m]

    Args:
        stretch: The stretch.
        near_m: Set-back from the drawn feature. [m]
        give_m: Width of the band. [m]
        level: 0 or more; each halves it.
    """
    length = float(chainages(stretch.arc)[-1])
    coarse = min(max((near_m + give_m) / 2, 1.0), max(length / 16, 0.5))
    return float(length / np.ceil(length / coarse) / 2**level)


def beside(stretch: Stretch, along: Floats, off: Metre) -> tuple[Floats, Booleans]:
    """Places beside the edge of a set-back, and which of them stand in the band no nearer to another part of it.

    Args:
        stretch: The stretch.
        along: Distances along its edge. [m] Shape (n,).
        off: Distance outward. [m]

    Returns:
        Positions, shape (n, 2), and whether each can be used, shape (n,).
    """
    arc = stretch.arc
    at = chainages(arc)
    leg = np.clip(np.searchsorted(at, along, side="right") - 1, 0, len(arc) - 2)
    step = arc[leg + 1] - arc[leg]
    step = step / np.hypot(step[:, 0], step[:, 1])[:, None]
    outward = np.column_stack((step[:, 1], -step[:, 0])) * (1.0 if stretch.water_on_left else -1.0)
    xy = arc[leg] + step * (along - at[leg])[:, None] + outward * off
    shapely.prepare(stretch.region)
    usable = np.asarray(shapely.intersects_xy(stretch.region, xy[:, 0], xy[:, 1]))
    if off > 0.01 and usable.any():
        edge = shapely.LineString(arc)
        shapely.prepare(edge)
        usable[usable] = ~shapely.dwithin(edge, shapely.points(xy[usable]), off * 0.995 - 0.001)
    return xy, usable


def candidates(stretch: Stretch, spacing: Metre, offs: Sequence[Metre]) -> tuple[Floats, Floats]:
    """Candidate corners in order along the edge of a set-back.

    Args:
        stretch: The stretch.
        spacing: Distance between them along the edge. [m]
        offs: Their distances from the edge. [m]

    Returns:
        Positions, shape (n, 2), and distances along the edge, shape (n,), rising. [m]
    """
    length = float(chainages(stretch.arc)[-1])
    count = round(length / spacing)
    stations = np.arange(count + (0 if stretch.closed else 1), dtype=np.float64) * spacing
    xy, along = [], []
    for off in offs:
        at, usable = beside(stretch, stations, off if off < offs[-1] or off == 0 else off * 0.999 - 0.002)
        xy.append(at[usable])
        along.append(stations[usable])
    order = np.argsort(np.concatenate(along), kind="stable")
    return np.concatenate(xy)[order], np.concatenate(along)[order]
