"""Ends that stop beside another line, taken to meet it where the corners are not known any better."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from planner.alignment.line import FenceLine
from planner.findings import Finding, Place
from planner.geometry.arrays import Floats
from planner.geometry.lines import nearest_on, points_along, repeated
from planner.settings import Settings
from planner.units import Metre


def met_lines(fresh: Sequence[FenceLine], known: Sequence[FenceLine], settings: Settings,
              findings: list[Finding]) -> list[FenceLine]:
    """New lines with each end that stops beside another line, within twice the deviation of its corners, moved to it.

    One line after the other, so that of two ends that stop beside each other only one is moved. A line that runs
    along another, as the two sides of a lane do, is left as it is: its next corner lies as near as its end.

    Args:
        fresh: The new lines.
        known: Lines that are there already and stay as they are.
        settings: Standard deviation of the accuracy classes.
        findings: Told of each end that was moved.
    """
    lines, before = [*known, *fresh], len(known)
    near = _near(lines, before, 2.0 * max((2.0 * settings.sd_of(line.accuracy) for line in fresh), default=0.0))
    for i in range(before, len(lines)):
        lines[i] = _met(lines[i], [lines[k] for k in near.get(i, ())], settings, findings)
    return lines[before:]


def _near(lines: Sequence[FenceLine], first: int, reach: Metre) -> dict[int, list[int]]:
    """Number of each line from the first on to the numbers of the others that an end of it comes near, in order.

    The reach allows for the other line's end being moved meanwhile.
    """
    fresh = lines[first:]
    if not fresh:
        return {}
    sizes = [len(line.xy) for line in lines]
    shapes = shapely.linestrings(np.concatenate([line.xy[:, :2] for line in lines]),
                                 indices=np.repeat(np.arange(len(lines)), sizes))
    ends = shapely.points(np.concatenate([line.xy[[0, -1], :2] for line in fresh]))
    end, other = shapely.STRtree(shapely.box(*shapely.bounds(shapes).T)).query(ends, predicate="dwithin",
                                                                              distance=reach)
    mine = end // 2 + first
    pairs = np.unique(np.column_stack((mine, other))[mine != other], axis=0)
    found: dict[int, list[int]] = {}
    for a, b in pairs.tolist():
        found.setdefault(a, []).append(b)
    return found


def _met(line: FenceLine, others: Sequence[FenceLine], settings: Settings, findings: list[Finding]) -> FenceLine:
    reach = 2.0 * settings.sd_of(line.accuracy)
    if line.closed or reach <= 0.01:
        return line
    xy, told = line.xy.copy(), []
    for end in (0, -1):
        beside = _beside(line.xy, end, others, reach)
        if beside is None:
            continue
        at, off, other = beside
        if off < 1e-6:
            continue
        xy[end] = points_along(other.xy, np.array([at]))[0]
        told.append(Finding(
            "line-51", "note",
            f"The {'start' if end == 0 else 'end'} of '{line.name}' stops {off:.1f} m from '{other.name}' and is taken "
            f"to meet it; its corners are known to about {settings.sd_of(line.accuracy):g} m.",
            "Move the end if the two lines do not join here.",
            Place(line=line.name, x=float(xy[end, 0]), y=float(xy[end, 1]))))
    if not told or repeated(xy, within=0.001).any():
        return line
    findings.extend(told)
    return line.with_corners(xy)


def _beside(xy: Floats, end: int, others: Sequence[FenceLine], reach: Metre) -> tuple[Metre, Metre, FenceLine] | None:
    """The nearest of the lines that an end stops beside: where on it, how far off it, and which."""
    best: tuple[Metre, Metre, FenceLine] | None = None
    for other in others:
        if not _within(other.xy, xy[end], reach):
            continue
        at, off = nearest_on(other.xy, (float(xy[end, 0]), float(xy[end, 1])))
        if off <= reach and (best is None or off < best[1]) and not _runs_along(xy, end, other.xy, reach):
            best = (at, off, other)
    return best


def _runs_along(xy: Floats, end: int, other: Floats, reach: Metre) -> bool:
    """Whether the leg to an end stays within reach of a line over the whole of its length."""
    following = xy[1] if end == 0 else xy[-2]
    return nearest_on(other, (float(following[0]), float(following[1])))[1] <= reach


def _within(xy: Floats, point: Floats, reach: Metre) -> bool:
    low, high = xy.min(axis=0) - reach, xy.max(axis=0) + reach
    return bool((low <= point).all() and (point <= high).all())
