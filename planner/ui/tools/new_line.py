"""What a new line is given: a name, a fence, an accuracy; and the edits that bring it, or several, into the job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.findings import Finding
from planner.geometry.arrays import Floats, frozen
from planner.job.edits import AddLine
from planner.job.edits.edit import Edit
from planner.job.job import Job
from planner.survey.fixes import Accuracy

ACCURACIES: tuple[tuple[Accuracy, str], ...] = (
    ("survey", "surveyed"), ("rtk", "fixed by RTK"), ("dgnss", "differential GNSS"), ("handheld", "handheld GNSS"),
    ("traced", "drawn on the map"), ("unknown", "not known"))
"""Accuracy classes and what they are called."""
USUAL_FENCE = "general-mesh"


@dataclass(frozen=True)
class Together:
    """Several edits done as one step.

    Attributes:
        label: What to call it in the undo list.
        edits: The edits, in order.
    """

    label: str
    edits: tuple[Edit, ...]

    def apply(self, job: Job) -> Job:
        """The job after all of them."""
        for edit in self.edits:
            job = edit.apply(job)
        return job


@dataclass(frozen=True)
class OnGrid:
    """An edit of a job that has no working grid yet: the grid comes with it.

    Attributes:
        crs: The grid.
        edit: The edit.
    """

    crs: str
    edit: Edit

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return self.edit.label

    def apply(self, job: Job) -> Job:
        """The job on the grid, after the edit."""
        return self.edit.apply(replace(job, crs=self.crs))


def fence_choices(job: Job) -> list[tuple[str, str]]:
    """Keys and names of the fence types a line of a job may carry.

    Args:
        job: The job.
    """
    from planner.job.derive import catalogue_of

    return [(key, fence.name) for key, fence in catalogue_of(job).fences.items()]


def usual_fence(job: Job) -> str:
    """The fence of the job's last line, else the usual one.

    Args:
        job: The job.
    """
    return job.lines[-1].fence if job.lines else USUAL_FENCE


def next_name(job: Job, stem: str = "Line") -> str:
    """A name with a number that no line of a job has.

    Args:
        job: The job.
        stem: The word before the number.
    """
    taken, number = {line.name for line in job.lines}, len(job.lines) + 1
    while f"{stem} {number}" in taken:
        number += 1
    return f"{stem} {number}"


def drawn(name: str, fence: str, xy: Floats, accuracy: Accuracy, *, closed: bool = False,
          origin: str = "drawn on the map", noticed: tuple[Finding, ...] = ()) -> AddLine:
    """The edit that adds a line.

    Args:
        name: Its name.
        fence: Fence type key.
        xy: Corners; of a ring the first again at the end. [m] Shape (n, 2).
        accuracy: Accuracy class of its corners.
        closed: True for a ring.
        origin: Where it comes from.
        noticed: What was noticed in that from which it was made.
    """
    from planner.alignment.line import FenceLine

    return AddLine(FenceLine(name, fence, frozen(xy), closed, accuracy, origin=origin), noticed)


def all_lines(label: str, edits: Sequence[Edit]) -> Edit:
    """Several lines added as one step.

    Args:
        label: What to call it.
        edits: The edits.
    """
    return edits[0] if len(edits) == 1 else Together(label, tuple(edits))
