"""From raw corners to lines that can be used: every part of every feature, cleaned in one sweep over the whole file."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from planner.files.readers.grids import Grid
from planner.files.readers.parts import Label, Parts
from planner.files.readers.rules import Troubles
from planner.geometry.arrays import Booleans, Floats, Integers, frozen
from planner.survey.fixes import MeasuredLine
from planner.wording import counted

LOWEST_M, HIGHEST_M = -500.0, 9000.0
LONGEST_LEG_M = 100_000.0


def lines_of(parts: Parts, grid: Grid, troubles: Troubles) -> list[MeasuredLine]:
    """The lines that can be used; everything left out or mended is noted.

    Args:
        parts: Corners as read.
        grid: Grid of the file.
        troubles: Where trouble is noted.
    """
    if grid.swapped:
        parts = replace(parts, xy=parts.xy[:, ::-1])
    parts = _only(parts, _usable(parts, grid, troubles))
    parts = _closed_up(parts)
    parts = _only(parts, ~_repeats(parts, troubles))
    level = _levels(parts, grid, troubles)
    return _lines(replace(parts, level=frozen(level)), grid, troubles)


def _only(parts: Parts, keep: Booleans) -> Parts:
    if keep.all():
        return parts
    time = None if parts.time is None else parts.time[keep]
    return Parts(parts.xy[keep], parts.level[keep], time, parts.part[keep], parts.labels)


def _usable(parts: Parts, grid: Grid, troubles: Troubles) -> Booleans:
    finite = np.asarray(np.isfinite(parts.xy).all(axis=1))
    reached = grid.reaches(parts.xy)
    nowhere = np.asarray((parts.xy == 0.0).all(axis=1) & grid.geographic)
    starts, ends = _bounds(parts)
    for rule, bad in (("survey-43", ~finite), ("survey-44", finite & (~reached | nowhere))):
        for part in np.unique(parts.part[bad]):
            mine = np.arange(starts[part], ends[part])
            _say_unusable(rule, parts, mine, mine[bad[mine]], grid, troubles)
    return np.asarray(reached & ~nowhere)


def _say_unusable(rule: str, parts: Parts, mine: Integers, wrong: Integers, grid: Grid, troubles: Troubles) -> None:
    label = parts.labels[int(parts.part[wrong[0]])]
    x, y = parts.xy[wrong[0]]
    which = f"corner {int(wrong[0] - mine[0]) + 1} of {label.name}"
    others = f" and {len(wrong) - 1} more" if len(wrong) > 1 else ""
    what = "is not a number" if rule == "survey-43" else out_of_reach(x, y, grid)
    troubles.add(
        rule,
        f"{which}{others} {what} ({x:.9g}, {y:.9g}); left out.",
        row=label.row,
        line=label.name,
        remedy=swap_remedy(x, y, grid),
    )


def out_of_reach(x: float, y: float, grid: Grid) -> str:
    """What is wrong with a finite position that the grid cannot hold, as the end of a sentence.

    Args:
        x: East. [m] or [deg]
        y: North. [m] or [deg]
        grid: Grid of the file.
    """
    if grid.geographic and x == 0.0 and y == 0.0:
        return "is at longitude 0, latitude 0, where a receiver without a fix puts it"
    if grid.geographic:
        return f"has a {'latitude beyond 90' if abs(y) > 90 else 'longitude beyond 360'} degrees"
    return "is farther out than any grid reaches"


def swap_remedy(x: float, y: float, grid: Grid) -> str:
    """The remedy when latitude and longitude may have changed places; empty when they have not.

    Args:
        x: East. [m] or [deg]
        y: North. [m] or [deg]
        grid: Grid of the file.
    """
    if grid.geographic and abs(x) <= 90 < abs(y) <= 180:
        return 'Latitude and longitude look as if they had changed places: read again with axes = "swapped" if so.'
    return ""


def _closed_up(parts: Parts) -> Parts:
    """Rings whose first or last corner was left out are closed again."""
    starts, ends = _bounds(parts)
    full = ends > starts
    opened = [
        int(p)
        for p in np.flatnonzero(full)
        if parts.labels[p].kind == "ring" and not np.array_equal(parts.xy[starts[p]], parts.xy[ends[p] - 1])
    ]
    if not opened:
        return parts
    first, at = starts[opened], ends[opened]
    time = None if parts.time is None else np.insert(parts.time, at, parts.time[first])
    return Parts(
        np.insert(parts.xy, at, parts.xy[first], axis=0),
        np.insert(parts.level, at, parts.level[first]),
        time,
        np.insert(parts.part, at, opened),
        parts.labels,
    )


def _repeats(parts: Parts, troubles: Troubles) -> Booleans:
    if not len(parts.xy):
        return np.zeros(0, dtype=bool)
    same = (np.diff(parts.xy, axis=0) == 0.0).all(axis=1) & (np.diff(parts.part) == 0)
    repeat = np.concatenate(([False], same))
    size = np.bincount(parts.part, minlength=len(parts.labels))
    for part, count in zip(*np.unique(parts.part[repeat], return_counts=True), strict=True):
        label = parts.labels[part]
        if size[part] - count < 2:
            continue  # that the line has one place only is said of it
        troubles.add(
            "survey-45",
            f"{counted(int(count), 'repeated corner')} left out of {label.name}.",
            row=label.row,
            line=label.name,
        )
    return repeat


def _levels(parts: Parts, grid: Grid, troubles: Troubles) -> Floats:
    level = parts.level.copy()
    unit = 1.0 if grid.geographic else grid.metre_per_unit
    given = ~np.isnan(level)
    absurd = given & ~((level * unit > LOWEST_M) & (level * unit < HIGHEST_M))
    for part, count in zip(*np.unique(parts.part[absurd], return_counts=True), strict=True):
        label = parts.labels[part]
        first = int(np.searchsorted(parts.part, part))
        worst = level[first + int(np.argmax(absurd[first:]))]
        troubles.add(
            "survey-46",
            f"{counted(int(count), 'level')} of {label.name} no ground can have, such as {worst:.6g}.",
            row=label.row,
            line=label.name,
        )
    level[absurd] = np.nan
    return level


def _bounds(parts: Parts) -> tuple[Integers, Integers]:
    which = np.arange(len(parts.labels))
    return np.searchsorted(parts.part, which, "left"), np.searchsorted(parts.part, which, "right")


def _lines(parts: Parts, grid: Grid, troubles: Troubles) -> list[MeasuredLine]:
    xy = frozen(parts.xy)
    time = None if parts.time is None else frozen(parts.time)
    lines = []
    for label, start, end in zip(parts.labels, *_bounds(parts), strict=True):
        one = slice(int(start), int(end))
        line = _line(label, xy[one], parts.level[one], None if time is None else time[one], grid, troubles)
        if line is not None:
            lines.append(line)
    return lines


def _line(
    label: Label, xy: Floats, level: Floats, time: Floats | None, grid: Grid, troubles: Troubles
) -> MeasuredLine | None:
    closed = len(xy) > 3 and bool((xy[0] == xy[-1]).all())
    if label.kind == "ring" and not closed:
        different = len({tuple(p) for p in xy.tolist()})
        troubles.add(
            "survey-42",
            f"{label.name} has {counted(different, 'different corner')} and cannot be a ring; left out.",
            row=label.row,
            line=label.name,
        )
        return None
    if len(xy) < 2:
        what = "no corner" if not len(xy) else "one corner only"
        harmless = label.kind == "track" and not len(xy)
        troubles.add(
            "survey-41",
            f"{label.name} has {what}; left out.",
            row=label.row,
            line=label.name,
            severity="note" if harmless else None,
        )
        return None
    _say_jump(label, xy, grid, troubles)
    if time is not None and bool((np.diff(time[~np.isnan(time)]) <= 0).any()):
        troubles.add("survey-66", f"the times of {label.name} do not run forward.", row=label.row, line=label.name)
    return MeasuredLine(
        label.name,
        xy,
        _told(level, label, troubles),
        None if time is None or bool(np.isnan(time).all()) else time,
        closed,
        label.kind,
        label.accuracy,
        troubles.file,
        label.row,
        label.attributes,
    )


def _told(level: Floats, label: Label, troubles: Troubles) -> Floats | None:
    told = level[~np.isnan(level)]
    if not len(told):
        return None
    if not told.any():
        troubles.add(
            "survey-47",
            f"every level of {label.name} is exactly 0.0 and is taken as not given.",
            row=label.row,
            line=label.name,
        )
        return None
    return level


def _say_jump(label: Label, xy: Floats, grid: Grid, troubles: Troubles) -> None:
    flat = grid.as_plane(xy)
    step = np.diff(flat, axis=0)
    leg = np.hypot(step[:, 0], step[:, 1])
    far = int(np.argmax(leg))
    if leg[far] > LONGEST_LEG_M:
        troubles.add(
            "survey-65",
            f"{label.name} jumps {leg[far] / 1000:.0f} km from corner {far + 1} to the next.",
            row=label.row,
            line=label.name,
            at=xy[far],
        )
