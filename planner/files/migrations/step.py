"""One step from a format of the job file to the next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.files.migrations.content import Content


@dataclass(frozen=True)
class Step:
    """A step.

    Attributes:
        before: Format that it takes.
        after: Format that it gives.
        words: What it does to the job, for a person.
        change: Does it.
    """

    before: str
    after: str
    words: str
    change: Callable[[Content], Content]
