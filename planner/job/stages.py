"""Stages: which lines are built when."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.alignment.line import FenceLine

UNSTAGED = "no stage"
"""What the lines that belong to no stage are listed under."""


@dataclass(frozen=True, slots=True)
class Stage:
    """Lines that are built together.

    Attributes:
        name: Name on the sheets, unique in the job.
        lines: Names of its lines.
        year: Year in which it is to be built; None when not decided.
        note: What else was decided.
    """

    name: str
    lines: tuple[str, ...] = ()
    year: int | None = None
    note: str = ""


def stage_of(stages: Sequence[Stage]) -> Mapping[str, int]:
    """Line name to the place of its stage in the order of building; a line in none is not in it.

    Args:
        stages: Stages in the order in which they are built.
    """
    found: dict[str, int] = {}
    for place, stage in enumerate(stages):
        for name in stage.lines:
            found.setdefault(name, place)
    return found


def in_building_order(lines: Sequence[FenceLine], stages: Sequence[Stage]) -> tuple[FenceLine, ...]:
    """Lines in the order in which they are built, those of no stage last, else as they are.

    Args:
        lines: Lines.
        stages: Stages in the order in which they are built.
    """
    place = stage_of(stages)
    return tuple(sorted(lines, key=lambda line: place.get(line.name, len(stages))))


def without_line(stages: Iterable[Stage], name: str) -> tuple[Stage, ...]:
    """Stages that no longer hold a line.

    Args:
        stages: Stages.
        name: Name of the line.
    """
    return tuple(replace(stage, lines=tuple(n for n in stage.lines if n != name)) for stage in stages)


def with_line_renamed(stages: Iterable[Stage], old: str, new: str) -> tuple[Stage, ...]:
    """Stages in which a line has another name.

    Args:
        stages: Stages.
        old: Its name so far.
        new: Its name from now on.
    """
    return tuple(replace(stage, lines=tuple(new if n == old else n for n in stage.lines)) for stage in stages)
