"""Edits of fence lines: add, remove, change, and move their corners."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from planner.alignment.line import FenceLine, GroundStretch, Side
from planner.errors import JobTrouble
from planner.findings import Finding
from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages, nearest_on, points_along, repeated
from planner.job import options, stages
from planner.job.edits.edit import on_line
from planner.job.job import Job
from planner.job.names import Names
from planner.job.noticed import with_noticed
from planner.survey.fixes import Accuracy
from planner.units import Metre

_ON_LINE_M: Metre = 1e-6


@dataclass(frozen=True)
class AddLine:
    """Adds a fence line; a name that is taken gets a number.

    Attributes:
        line: The line.
        noticed: What was noticed in that from which it was made.
    """

    line: FenceLine
    noticed: tuple[Finding, ...] = ()

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"draw {self.line.name}"

    def apply(self, job: Job) -> Job:
        """The job with the line."""
        job = replace(job, lines=(*job.lines, replace(self.line, name=free_name(self.line.name, job))))
        return with_noticed(job, self.noticed) if self.noticed else job


@dataclass(frozen=True)
class RemoveLine:
    """Removes a fence line with its gates, crossings and recorded levels."""

    name: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"remove {self.name}"

    def apply(self, job: Job) -> Job:
        """The job without the line."""
        if all(line.name != self.name for line in job.lines):
            raise JobTrouble(f"there is no line '{self.name}'", remedy="choose one that is in the job")
        return replace(job, lines=tuple(line for line in job.lines if line.name != self.name),
                       levels={name: levels for name, levels in job.levels.items() if name != self.name},
                       options=options.without_line(job.options, self.name),
                       stages=stages.without_line(job.stages, self.name))


@dataclass(frozen=True)
class ChangeLine:
    """Changes name, fence, accuracy, side of the wires or typed ground of a line; None leaves as it is.

    Another accuracy class is a person's word for the corners as they are now, and stands in place of the fit's.
    """

    name: str
    new_name: str | None = None
    fence: str | None = None
    accuracy: Accuracy | None = None
    wires_on: Side | None = None
    stretches: tuple[GroundStretch, ...] | None = None

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"change the fence of {self.name}" if self.fence else f"change {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the line changed."""
        return on_line(job, self.name, lambda line: replace(
            line, name=self.new_name or line.name, fence=self.fence or line.fence,
            accuracy=self.accuracy or line.accuracy,
            wires_on=line.wires_on if self.wires_on is None else self.wires_on,
            stretches=line.stretches if self.stretches is None else self.stretches,
            corner_sd_m=line.corner_sd_m if self.accuracy in (None, line.accuracy) else None))


@dataclass(frozen=True)
class MoveCorner:
    """Moves one corner. The first corner of a closed line is its last as well."""

    name: str
    corner: int
    x: Metre
    y: Metre

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"move a corner of {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the corner moved."""
        return on_line(job, self.name, self._moved)

    def _moved(self, line: FenceLine) -> FenceLine:
        _know_corner(line, self.corner)
        xy = line.xy.copy()
        xy[_same_corners(line, self.corner)] = self.x, self.y
        return _fenceable(line, xy)


@dataclass(frozen=True)
class InsertCorner:
    """Inserts a corner after the one of a number."""

    name: str
    after: int
    x: Metre
    y: Metre

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"insert a corner in {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the corner inserted."""
        return on_line(job, self.name, self._inserted)

    def _inserted(self, line: FenceLine) -> FenceLine:
        _know_corner(line, self.after)
        return _fenceable(line, np.insert(line.xy, self.after + 1, (self.x, self.y), axis=0))


@dataclass(frozen=True)
class DeleteCorner:
    """Deletes one corner."""

    name: str
    corner: int

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"delete a corner of {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the corner deleted."""
        return on_line(job, self.name, self._deleted)

    def _deleted(self, line: FenceLine) -> FenceLine:
        _know_corner(line, self.corner)
        xy = np.delete(line.xy, _same_corners(line, self.corner), axis=0)
        if line.closed and len(xy) and len(xy) == len(line.xy) - 2:
            xy = np.concatenate((xy, xy[:1]))
        return _fenceable(line, xy)


@dataclass(frozen=True)
class MoveStretch:
    """Moves some successive corners together, as when a whole section is dragged."""

    name: str
    first: int
    last: int
    east: Metre
    north: Metre

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"move a stretch of {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the corners moved."""
        return on_line(job, self.name, self._moved)

    def _moved(self, line: FenceLine) -> FenceLine:
        _know_corner(line, self.first)
        _know_corner(line, self.last)
        which = sorted({same for corner in range(self.first, self.last + 1) for same in _same_corners(line, corner)})
        xy = line.xy.copy()
        xy[which] += self.east, self.north
        return _fenceable(line, xy)


def free_name(name: str, job: Job) -> str:
    """A name that no line of a job has: the wanted one, or that with a number.

    Args:
        name: Wanted name.
        job: The job.
    """
    return Names(line.name for line in job.lines).own(name)


def _know_corner(line: FenceLine, corner: int) -> None:
    if not 0 <= corner < len(line.xy):
        raise JobTrouble(f"'{line.name}' has no corner {corner + 1}", remedy=f"it has {len(line.xy)}")


def _same_corners(line: FenceLine, corner: int) -> list[int]:
    last = len(line.xy) - 1
    return [0, last] if line.closed and corner in (0, last) else [corner]


def _fenceable(line: FenceLine, xy: Floats) -> FenceLine:
    if not np.isfinite(xy).all():
        raise JobTrouble(f"a corner of '{line.name}' would have no position", remedy="give numbers")
    xy = xy[~repeated(xy, within=0.001)] if len(xy) else xy
    if len(xy) < (4 if line.closed else 2):
        raise JobTrouble(f"'{line.name}' would have too few corners to be fenced", remedy="remove the line instead")
    return with_openings_carried(line, xy)


def with_openings_carried(line: FenceLine, xy: Floats) -> FenceLine:
    """A line through other corners, its gates and crossings still on it.

    With as many corners as before an opening keeps its leg and its share of it; else it goes to the nearest place.

    Args:
        line: The line.
        xy: Its new corners. [m] Shape (n, 2).
    """
    def place(x: Metre, y: Metre) -> tuple[Metre, Metre]:
        at, _ = nearest_on(line.xy, (x, y))
        if len(xy) == len(line.xy):
            at = float(np.interp(at, chainages(line.xy), chainages(xy)))
        else:
            at, off = nearest_on(xy, (x, y))
            if off < _ON_LINE_M:
                return x, y
        new_x, new_y = points_along(xy, np.array([at]))[0]
        return (x, y) if np.hypot(new_x - x, new_y - y) < _ON_LINE_M else (float(new_x), float(new_y))

    gates, crossings = [], []
    for gate in line.gates:
        x, y = place(gate.x, gate.y)
        gates.append(replace(gate, x=x, y=y))
    for crossing in line.crossings:
        x, y = place(crossing.x, crossing.y)
        crossings.append(replace(crossing, x=x, y=y))
    return replace(line.with_corners(xy), gates=tuple(gates), crossings=tuple(crossings))
