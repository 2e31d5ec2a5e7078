"""Job files of earlier formats, brought up in memory: one step from each format to the next, run in a chain.

A step never touches the file. What it did to the job is said in words, for the person who opens it.
"""

from __future__ import annotations

from planner.files.migrations.content import Content
from planner.files.migrations.step import Step
from planner.files.migrations.to_1_1 import TO_1_1
from planner.files.migrations.to_1_2 import TO_1_2
from planner.files.migrations.to_1_3 import TO_1_3

STEPS: tuple[Step, ...] = (TO_1_1, TO_1_2, TO_1_3)
"""Every step, in order."""


def brought_up(content: Content) -> tuple[Content, tuple[str, ...]]:
    """The content of a job file in the newest format that this version knows, and what was done, in words.

    Args:
        content: What stands in the file.
    """
    notes = []
    for step in STEPS:
        if content.format == step.before:
            content = step.change(content)
            notes.append(f"Brought from format {step.before} to {step.after}: {step.words}")
    return content, tuple(notes)


__all__ = ["STEPS", "Content", "Step", "brought_up"]
