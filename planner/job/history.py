"""History: every job that was, in order. Snapshots share what did not change, so there is nothing to reverse."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.job.edits.edit import Edit
    from planner.job.job import Job


@dataclass(frozen=True)
class Step:
    """One step: what was done, and the job it gave."""

    label: str
    job: Job


class History:
    """The steps of one job, with a place among them.

    Args:
        job: The job as opened.

    Attributes:
        saved: The job as it was last saved; None when it never was.
        told: How the job now came about: the label of an edit, or ``undo`` or ``redo`` and that label.
    """

    def __init__(self, job: Job, *, saved: bool = True) -> None:
        self._steps = [Step("", job)]
        self._at = 0
        self.saved: Job | None = job if saved else None
        self.told = ""

    @property
    def job(self) -> Job:
        """The job now."""
        return self._steps[self._at].job

    @property
    def is_saved(self) -> bool:
        """True when the job now is the one last saved."""
        return self.job is self.saved

    @property
    def can_undo(self) -> str:
        """What would be undone; empty when nothing can be."""
        return self._steps[self._at].label if self._at else ""

    @property
    def can_redo(self) -> str:
        """What would be done again; empty when nothing can be."""
        return self._steps[self._at + 1].label if self._at + 1 < len(self._steps) else ""

    def do(self, edit: Edit) -> Job:
        """Applies an edit. One that changes nothing adds no step; what had been undone is forgotten.

        Args:
            edit: The edit.

        Raises:
            JobTrouble: The edit cannot be applied; the history stays as it was.
        """
        job = edit.apply(self.job)
        if job is not self.job:
            del self._steps[self._at + 1:]
            self._steps.append(Step(edit.label, job))
            self._at += 1
            self.told = edit.label
        return self.job

    def undo(self) -> Job:
        """Goes one step back; stays when there is none."""
        self.told = f"undo {self.can_undo}" if self.can_undo else self.told
        self._at = max(0, self._at - 1)
        return self.job

    def redo(self) -> Job:
        """Goes one step forward again; stays when there is none."""
        self.told = f"redo {self.can_redo}" if self.can_redo else self.told
        self._at = min(len(self._steps) - 1, self._at + 1)
        return self.job

    def mark_saved(self, job: Job) -> None:
        """Notes which job has been saved.

        Args:
            job: The job that now stands in the file.
        """
        self.saved = job
