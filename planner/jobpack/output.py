"""One output of the job pack: what it is called, whom it is for, and how it is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from planner.job.plan import JobPlan


def always(_: JobPlan) -> bool:
    """Every plan has something for it."""
    return True


@dataclass(frozen=True, slots=True)
class Output:
    """One file of the job pack.

    Attributes:
        name: File name in the folder.
        reader: Whom it is for.
        write: Writes it, whole or not at all, to a path from a plan.
        has_content: Whether a plan has anything for it; without, it is written only when asked for by name.
        nothing: Why it has nothing then, in a sentence.
    """

    name: str
    reader: str
    write: Callable[[Path, JobPlan], None]
    has_content: Callable[[JobPlan], bool] = always
    nothing: str = ""
