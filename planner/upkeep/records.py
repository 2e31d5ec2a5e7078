"""What is written down once the work begins: progress, what was built, inspections, losses. Measured, never derived."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING

from planner.errors import OutOfRange

if TYPE_CHECKING:
    from planner.survey.fixes import Accuracy

COMPONENTS = ("ends", "posts", "wires", "finished")
"""Parts of the work whose progress is kept, in the order in which they are built."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far one part of the work on one section is.

    Attributes:
        line: Name of the fence line.
        section: Section id; empty for the whole line.
        component: One of ``COMPONENTS``.
        share: Part that is done, from 0 to 1.
        on: Day on which it was so.
        note: What else was said.

    Raises:
        OutOfRange: No such component, or a share that is not from 0 to 1.
    """

    line: str
    section: str
    component: str
    share: float
    on: date
    note: str = ""

    def __post_init__(self) -> None:
        if self.component not in COMPONENTS:
            raise OutOfRange(f"there is no part of the work '{self.component}'",
                             remedy=f"use one of {', '.join(COMPONENTS)}")
        if not 0.0 <= self.share <= 1.0:
            raise OutOfRange(f"{self.share:g} is not a share from 0 to 1", where=f"progress of {self.line}",
                             remedy="give a percentage from 0 to 100")


@dataclass(frozen=True, slots=True)
class AsBuilt:
    """A track or row of points measured along what was built.

    Attributes:
        name: Its name in the file.
        line: Fence line that it was measured along; empty where the nearest is meant.
        wkt: Its shape in the working grid. [m]
        accuracy: Accuracy class of its points.
        on: Day on which it was measured; None when not known.
        origin: File and row it was read from.
    """

    name: str
    line: str
    wkt: str
    accuracy: Accuracy = "unknown"
    on: date | None = None
    origin: str = ""


@dataclass(frozen=True, slots=True)
class Inspection:
    """What somebody who walked a fence found.

    Attributes:
        line: Name of the fence line.
        section: Section id; empty for the whole line.
        on: Day of the walk.
        by: Who walked.
        found: What was found; empty for nothing wrong.
        action: What was done, or is to be done.
        done: True when nothing remains to be done.
        cost: What it cost, or will; None when not known.
        far_end_kv: Voltage at the far end. [kV] None when not measured.
        floodgate: State of floodgates; empty when not looked at.
    """

    line: str
    section: str
    on: date
    by: str = ""
    found: str = ""
    action: str = ""
    done: bool = False
    cost: Decimal | None = None
    far_end_kv: float | None = None
    floodgate: str = ""


@dataclass(frozen=True, slots=True)
class Loss:
    """Fence lost to fire, flood or storm.

    Attributes:
        line: Name of the fence line, or of a fence that stands.
        from_m: Where the loss begins. [m]
        to_m: Where it ends. [m]
        on: Day of the event.
        cause: What it was.
        photos: Pictures taken before repair, and where they are kept.
        hours: Hours spent so far. [h]
        note: What else was said.

    Raises:
        OutOfRange: It ends before it begins.
    """

    line: str
    from_m: float
    to_m: float
    on: date
    cause: str
    photos: str = ""
    hours: float = 0.0
    note: str = ""

    def __post_init__(self) -> None:
        if not 0.0 <= self.from_m < self.to_m:
            raise OutOfRange(f"from {self.from_m:g} to {self.to_m:g} m is no stretch", where=f"loss on {self.line}",
                             remedy="give where it begins, then where it ends")


@dataclass(frozen=True, slots=True)
class Built:
    """When a line was finished, and what it cost: the start of its life as an asset.

    Attributes:
        line: Name of the fence line.
        on: Day on which it was finished.
        cost: What it cost; None for what the plan says.
        life_years: Years that it is expected to last; None for what the settings say of its fence type.
    """

    line: str
    on: date
    cost: Decimal | None = None
    life_years: float | None = None


@dataclass(frozen=True, slots=True)
class Records:
    """All that was written down once the work began.

    Attributes:
        progress: How far the work is, the latest of each part standing.
        as_built: What was measured along the built fence.
        inspections: What walks found, in the order of writing.
        losses: What was lost.
        built: Which lines are finished.
    """

    progress: tuple[Progress, ...] = ()
    as_built: tuple[AsBuilt, ...] = ()
    inspections: tuple[Inspection, ...] = ()
    losses: tuple[Loss, ...] = ()
    built: tuple[Built, ...] = ()


def with_line_renamed(records: Records, old: str, new: str) -> Records:
    """Records in which a line has another name.

    Args:
        records: The records.
        old: Its name so far.
        new: Its name from now on.
    """
    if all(one.line != old for kind in _every(records) for one in kind):
        return records
    return Records(
        tuple(replace(one, line=new) if one.line == old else one for one in records.progress),
        tuple(replace(one, line=new) if one.line == old else one for one in records.as_built),
        tuple(replace(one, line=new) if one.line == old else one for one in records.inspections),
        tuple(replace(one, line=new) if one.line == old else one for one in records.losses),
        tuple(replace(one, line=new) if one.line == old else one for one in records.built))


def _every(records: Records) -> tuple[tuple[Progress | AsBuilt | Inspection | Loss | Built, ...], ...]:
    return records.progress, records.as_built, records.inspections, records.losses, records.built
