"""Lines that can be fenced along: corners without a place, repeated corners and jumps taken out, each one named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from planner.findings import Finding, Place
from planner.geometry.arrays import Booleans, Floats, Integers, frozen
from planner.geometry.lines import repeated
from planner.survey.fixes import MeasuredLine
from planner.units import Metre

SAME_PLACE_M: Metre = 0.001
"""Distance within which two successive corners are one. [m]"""


def kept_corners(line: MeasuredLine, lost: Booleans) -> MeasuredLine | None:
    """A line without the corners that a check has lost; a ring stays a ring.

    Args:
        line: The line, in any coordinate system.
        lost: Which of its corners to leave out. Shape (n,).

    Returns:
        None when fewer than two corners are left.
    """
    if not lost.any():
        return line
    return _with_corners(line, np.flatnonzero(~lost[:_around_once(line)]))


def without_repeats(line: MeasuredLine) -> tuple[MeasuredLine | None, list[Finding]]:
    """A line in a working grid with one corner for each place, and what was said on the way.

    Args:
        line: The line. Corners in metres.

    Returns:
        The line, None when it has no two different places (a ring: three), and the findings.
    """
    place = Place(line=line.name, file=line.file, row=line.row)
    once = line.xy[:_around_once(line)]
    kept = _different(once)
    if line.closed and len(kept) > 1 and np.hypot(*(once[kept[-1]] - once[kept[0]])) <= SAME_PLACE_M:
        kept = kept[:-1]
    least = 3 if line.closed else 2
    if len(kept) < least:
        places = "1 place" if len(kept) == 1 else f"{len(kept)} different places"
        wanted = "a ring needs three" if line.closed else "a line needs two"
        return None, [Finding(
            "survey-21", "warning", f"Line '{line.name}' was left out, because it has only {places}; {wanted}.",
            "Draw or walk it again if it is wanted.", place)]
    dropped = len(once) - len(kept)
    if not dropped:
        return line, []
    corners = "1 corner that stood" if dropped == 1 else f"{dropped} corners that stood"
    return _with_corners(line, kept), [Finding(
        "survey-22", "note", f"Left out {corners} within 1 mm of the corner before.", "Nothing needs doing.", place)]


def unique_names(lines: list[MeasuredLine]) -> tuple[list[MeasuredLine], list[Finding]]:
    """Lines with no name used twice: a later line of the same name gets a number.

    Args:
        lines: Lines of all sources.

    Returns:
        The lines in the same order, and a note for each that was named anew.
    """
    given = {line.name for line in lines}
    taken: set[str] = set()
    named, findings = [], []
    for line in lines:
        name, number = line.name, 2
        while name in taken or (name != line.name and name in given):
            name, number = f"{line.name} ({number})", number + 1
        taken.add(name)
        if name != line.name:
            findings.append(Finding(
                "survey-27", "note", f"More than one line is called '{line.name}'; this one is now '{name}'.",
                "Nothing needs doing.", Place(line=name, file=line.file, row=line.row)))
        named.append(line if name == line.name else replace(line, name=name))
    return named, findings


def _around_once(line: MeasuredLine) -> int:
    """Number of corners before the first one comes again."""
    closes = line.closed and len(line.xy) > 1 and bool(np.allclose(line.xy[0], line.xy[-1], rtol=0.0, atol=1e-9))
    return len(line.xy) - 1 if closes else len(line.xy)


def _with_corners(line: MeasuredLine, kept: Integers) -> MeasuredLine | None:
    if len(kept) < 2:
        return None
    rows = np.append(kept, kept[0]) if line.closed else kept
    return replace(line, xy=frozen(line.xy[rows]), level_m=_rows(line.level_m, rows), time_s=_rows(line.time_s, rows))


def _rows(values: Floats | None, rows: Integers) -> Floats | None:
    return None if values is None else frozen(values[rows])


def _different(xy: Floats) -> Integers:
    """Indices of corners that stand away from the last one kept, so that a slow creep is not taken for one place."""
    if not repeated(xy, within=SAME_PLACE_M).any():
        return np.arange(len(xy))
    kept = [0]
    points = xy.tolist()
    for index, (x, y) in enumerate(points):
        last_x, last_y = points[kept[-1]]
        if (x - last_x) ** 2 + (y - last_y) ** 2 > SAME_PLACE_M**2:
            kept.append(index)
    return np.array(kept, dtype=np.int64)
