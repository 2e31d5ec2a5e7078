"""One output of the job pack: what it is called, whom it is for, and how it is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from planner.job.plan import JobPlan


@dataclass(frozen=True, slots=True)
class Output:
    """One file of the job pack.

    Attributes:
        name: File name in the folder.
        reader: Whom it is for.
        write: Writes it, whole or not at all, to a path from a plan.
    """

    name: str
    reader: str
    write: Callable[[Path, JobPlan], None]
