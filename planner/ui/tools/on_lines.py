"""Where on the job's fence lines the pointer stands: nearest line, corner, leg, opening."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from planner.alignment.line import FenceLine
from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages, points_along
from planner.units import Metre


@dataclass(frozen=True, slots=True)
class OnLine:
    """A place on a fence line.

    Attributes:
        line: The line.
        leg: Number of the leg, from 0.
        at_m: Grid distance along the line. [m]
        x: East of the foot. [m]
        y: North of the foot. [m]
        off_m: Distance of the place asked about from the foot. [m]
    """

    line: FenceLine
    leg: int
    at_m: Metre
    x: Metre
    y: Metre
    off_m: Metre


def nearest_line(lines: Iterable[FenceLine], x: Metre, y: Metre, within: Metre) -> OnLine | None:
    """The place on the nearest of some lines; None when none is near enough.

    Args:
        lines: Fence lines.
        x: East. [m]
        y: North. [m]
        within: How far off it may be. [m]
    """
    best: OnLine | None = None
    for line in lines:
        start, step = line.xy[:-1], np.diff(line.xy, axis=0)
        square = np.maximum((step**2).sum(axis=1), 1e-12)
        share = np.clip(((np.array([x, y]) - start) * step).sum(axis=1) / square, 0.0, 1.0)
        foot = start + share[:, None] * step
        off = np.hypot(foot[:, 0] - x, foot[:, 1] - y)
        leg = int(off.argmin())
        if off[leg] <= within and (best is None or off[leg] < best.off_m):
            at = float(chainages(line.xy)[leg] + share[leg] * np.sqrt(square[leg]))
            best = OnLine(line, leg, at, float(foot[leg, 0]), float(foot[leg, 1]), float(off[leg]))
    return best


def nearest_corner(lines: Iterable[FenceLine], x: Metre, y: Metre, within: Metre) -> tuple[FenceLine, int] | None:
    """The nearest corner of some lines; None when none is near enough. The last corner of a ring counts as its first.

    Args:
        lines: Fence lines.
        x: East. [m]
        y: North. [m]
        within: How far off it may be. [m]
    """
    best: tuple[Metre, FenceLine, int] | None = None
    for line in lines:
        off = np.hypot(line.xy[:, 0] - x, line.xy[:, 1] - y)
        corner = int(off.argmin())
        if off[corner] <= within and (best is None or off[corner] < best[0]):
            best = float(off[corner]), line, 0 if line.closed and corner == len(off) - 1 else corner
    return None if best is None else (best[1], best[2])


def beside_corner(line: FenceLine, corner: int) -> tuple[int | None, int | None]:
    """Numbers of the corners before and after one; None beyond an end.

    Args:
        line: The line.
        corner: Number of the corner.
    """
    last = len(line.xy) - 1
    if line.closed and corner in (0, last):
        return last - 1, 1
    return (corner - 1 if corner > 0 else None), (corner + 1 if corner < last else None)


def span_on(line: FenceLine, at_m: Metre, width_m: Metre) -> Floats:
    """Corners of a stretch of a line about a place on it. [m] Shape (n, 2).

    Args:
        line: The line.
        at_m: Grid distance of its middle. [m]
        width_m: Its length. [m]
    """
    along = chainages(line.xy)
    low, high = max(at_m - width_m / 2.0, 0.0), min(at_m + width_m / 2.0, float(along[-1]))
    inside = along[(along > low) & (along < high)]
    return points_along(line.xy, np.concatenate(([low], inside, [high])))


def free_opening_name(lines: Sequence[FenceLine], letter: str) -> str:
    """A name that no gate or crossing has.

    Args:
        lines: Lines of the job.
        letter: Its first letter.
    """
    taken = {gate.name for line in lines for gate in line.gates}
    taken |= {crossing.name for line in lines for crossing in line.crossings}
    number = 1
    while f"{letter}{number}" in taken:
        number += 1
    return f"{letter}{number}"
