"""What every edit is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from planner.alignment.line import FenceLine
from planner.errors import JobTrouble
from planner.job import options, stages, unread
from planner.job.job import Job
from planner.upkeep.records import with_line_renamed


class Edit(Protocol):
    """Something decided, which gives a new job."""

    @property
    def label(self) -> str:
        """What to call it in the undo list, in the imperative: ``move a corner of Home block``."""

    def apply(self, job: Job) -> Job:
        """The job after it; the very same job when it changes nothing.

        Args:
            job: The job before it.

        Raises:
            JobTrouble: What it speaks of is not in the job, or it would leave a line that cannot be fenced.
        """


def on_line(job: Job, name: str, change: Callable[[FenceLine], FenceLine]) -> Job:
    """A job with one of its lines changed; the very same job when the change gives the same line back.

    Args:
        job: The job.
        name: Name of the line.
        change: Gives the new line from the old.

    Raises:
        JobTrouble: There is no such line, or its new name is taken.
    """
    for index, line in enumerate(job.lines):
        if line.name == name:
            changed = change(line)
            if changed == line:
                return job
            if changed.name != name and any(other.name == changed.name for other in job.lines):
                raise JobTrouble(f"there is already a line '{changed.name}'", remedy="give it another name")
            lines = (*job.lines[:index], changed, *job.lines[index + 1:])
            levels = {changed.name if key == name else key: value for key, value in job.levels.items()}
            job = replace(job, lines=lines, levels=levels)
            return job if changed.name == name else _renamed(job, name, changed.name)
    raise JobTrouble(f"there is no line '{name}'", remedy="choose one that is in the job")


def _renamed(job: Job, old: str, new: str) -> Job:
    """The job with its options, stages, clearances and records speaking of a line by its new name."""
    return replace(job, options=options.with_line_renamed(job.options, old, new),
                   stages=stages.with_line_renamed(job.stages, old, new),
                   clearances=tuple(replace(c, about=new) if c.about == old else c for c in job.clearances),
                   records=with_line_renamed(job.records, old, new),
                   unread=unread.with_line_renamed(job.unread, old, new))
