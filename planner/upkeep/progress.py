"""How far the work is: by section and part of the work, and what is finished for the invoice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.sections.strains import Section, assemblies_of
from planner.surroundings.situation import Planned
from planner.units import Metre
from planner.upkeep.records import COMPONENTS, Progress


@dataclass(frozen=True, slots=True)
class SectionProgress:
    """How far the work on one section is.

    Attributes:
        line: Name of the line.
        section: Section id.
        slope_m: Its length along the ground. [m]
        shares: Part of each of ``COMPONENTS`` that is done, in their order.
        on: Day of the latest record; None where there is none.
    """

    line: str
    section: str
    slope_m: Metre
    shares: tuple[float, ...]
    on: date | None


@dataclass(frozen=True, slots=True)
class WorkDone:
    """How far the work of a job is.

    Attributes:
        sections: Every section that is built, along the lines.
        shares: Part of each of ``COMPONENTS`` that is done over all: ends by number, posts by number, the rest by
            length along the ground.
        finished_m: Length along the ground that is finished. [m]
        total_m: Length along the ground of all. [m]
    """

    sections: tuple[SectionProgress, ...]
    shares: tuple[float, ...]
    finished_m: Metre
    total_m: Metre


def work_done(lines: Sequence[Planned], records: Sequence[Progress]) -> WorkDone:
    """How far the work is. The latest record of a section and a part stands, one of a section before one of the line.

    Args:
        lines: Planned lines.
        records: What was written down.
    """
    latest: dict[tuple[str, str, str], Progress] = {}
    for record in records:
        key = (record.line, record.section, record.component)
        if key not in latest or record.on >= latest[key].on:
            latest[key] = record
    rows, weights = [], []
    for planned in lines:
        ends = assemblies_of(planned.sections, closed=planned.line.closed)
        for section in planned.sections:
            row = _row(planned.line.name, section, latest)
            rows.append(row)
            posts = sum(post.section == section.id for post in planned.posts)
            weights.append((float(len(ends.get(section.id, ()))), float(posts), row.slope_m, row.slope_m))
    shares = tuple(_share([w[k] for w in weights], [row.shares[k] for row in rows]) for k in range(len(COMPONENTS)))
    return WorkDone(tuple(rows), shares, sum(row.slope_m * row.shares[-1] for row in rows),
                    sum(row.slope_m for row in rows))


def _row(line: str, section: Section, latest: dict[tuple[str, str, str], Progress]) -> SectionProgress:
    found = [latest.get((line, section.id, part)) or latest.get((line, "", part)) for part in COMPONENTS]
    done = found[-1].share if found[-1] is not None else 0.0
    shares = tuple(max(record.share if record is not None else 0.0, done) for record in found)
    days = [record.on for record in found if record is not None]
    return SectionProgress(line, section.id, section.slope_length_m, shares, max(days, default=None))


def _share(weights: Sequence[float], shares: Sequence[float]) -> float:
    total = sum(weights)
    return sum(w * share for w, share in zip(weights, shares, strict=True)) / total if total > 0 else 0.0
