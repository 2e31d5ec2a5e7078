"""Edits of gates and crossings."""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.errors import JobTrouble
from planner.job.edits.edit import on_line
from planner.job.job import Job


@dataclass(frozen=True)
class AddGate:
    """Puts a gate on a line."""

    line: str
    gate: Gate

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"place gate {self.gate.name}"

    def apply(self, job: Job) -> Job:
        """The job with the gate."""
        _unused(job, self.gate.name)
        return on_line(job, self.line, lambda line: replace(line, gates=(*line.gates, self.gate)))


@dataclass(frozen=True)
class ChangeGate:
    """Puts another gate in the place of one: moved, renamed, of another width."""

    line: str
    name: str
    gate: Gate

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"change gate {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the gate changed."""
        if self.gate.name != self.name:
            _unused(job, self.gate.name)
        return on_line(job, self.line, self._changed)

    def _changed(self, line: FenceLine) -> FenceLine:
        _known(self.name, [g.name for g in line.gates], line)
        return replace(line, gates=tuple(self.gate if g.name == self.name else g for g in line.gates))


@dataclass(frozen=True)
class RemoveGate:
    """Takes a gate away."""

    line: str
    name: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"remove gate {self.name}"

    def apply(self, job: Job) -> Job:
        """The job without the gate."""
        return on_line(job, self.line, self._removed)

    def _removed(self, line: FenceLine) -> FenceLine:
        _known(self.name, [g.name for g in line.gates], line)
        return replace(line, gates=tuple(g for g in line.gates if g.name != self.name))


@dataclass(frozen=True)
class AddCrossing:
    """Puts a water crossing on a line."""

    line: str
    crossing: Crossing

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"place crossing {self.crossing.name}"

    def apply(self, job: Job) -> Job:
        """The job with the crossing."""
        _unused(job, self.crossing.name)
        return on_line(job, self.line, lambda line: replace(line, crossings=(*line.crossings, self.crossing)))


@dataclass(frozen=True)
class ChangeCrossing:
    """Puts another crossing in the place of one: moved, renamed, of another span."""

    line: str
    name: str
    crossing: Crossing

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"change crossing {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the crossing changed."""
        if self.crossing.name != self.name:
            _unused(job, self.crossing.name)
        return on_line(job, self.line, self._changed)

    def _changed(self, line: FenceLine) -> FenceLine:
        _known(self.name, [c.name for c in line.crossings], line)
        return replace(line, crossings=tuple(self.crossing if c.name == self.name else c for c in line.crossings))


@dataclass(frozen=True)
class RemoveCrossing:
    """Takes a crossing away."""

    line: str
    name: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"remove crossing {self.name}"

    def apply(self, job: Job) -> Job:
        """The job without the crossing."""
        return on_line(job, self.line, self._removed)

    def _removed(self, line: FenceLine) -> FenceLine:
        _known(self.name, [c.name for c in line.crossings], line)
        return replace(line, crossings=tuple(c for c in line.crossings if c.name != self.name))


def _unused(job: Job, name: str) -> None:
    taken = {g.name for line in job.lines for g in line.gates} | {c.name for line in job.lines for c in line.crossings}
    if name in taken:
        raise JobTrouble(f"there is already a gate or crossing '{name}'", remedy="give it another name")


def _known(name: str, names: list[str], line: FenceLine) -> None:
    if name not in names:
        raise JobTrouble(f"'{line.name}' has no '{name}'", remedy=f"it has {', '.join(names) or 'none'}")
