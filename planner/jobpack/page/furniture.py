"""Heads and feet: what every sheet says of its job, of its page and of what can hurt people."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.jobpack.page.form import FOOT_MM, HEAD_MM, MARGIN_MM
from planner.jobpack.page.lettering import fitted_size, line_height, paragraph, text_width, wrapped
from planner.jobpack.page.records import FAINT, INK, Mark, Page, Stroke, Text

SAFETY = ("Stand clear of the line of pull. Eye protection and gloves. Strain with two people in sight or call. Nobody "
          "within reach of the post driver but its driver. Alone: agree a call-in time. No cutting, grinding or "
          "welding on fire-ban days.")
STANDING = ("Loads and tensions are advisory, not an engineer's design. Lengths are as good as the accuracy named "
            "above. "
            "Not a boundary survey.")
_SMALL = 6.6
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
           "December")


@dataclass(frozen=True, slots=True)
class JobFacts:
    """What every head says.

    Attributes:
        name: Name of the job.
        grid: Datum and grid.
        dated: Day printed.
        accuracy: Accuracy classes of its lines, for sheets that say nothing of their own.
        program: Name and version of the program.
        standing: Whether the job is issued for build, and by whom and when.
    """

    name: str
    grid: str
    dated: date
    accuracy: str
    program: str
    standing: str = ""


def finished(pages: Sequence[Page], facts: JobFacts) -> tuple[Page, ...]:
    """The pages with their heads and feet, numbered.

    Args:
        pages: Pages of one document, in order.
        facts: What the heads say.
    """
    return tuple(replace(page, marks=(*page.marks, *_head(page, facts), *_foot(page, facts, k + 1, len(pages))))
                 for k, page in enumerate(pages))


def _head(page: Page, facts: JobFacts) -> list[Mark]:
    left, right, top = MARGIN_MM, page.width - MARGIN_MM, MARGIN_MM - 3.0
    aside = min(82.0, 0.42 * (right - left))
    room = right - left - aside - 4.0
    marks: list[Mark] = []
    size = fitted_size(page.title, width=room, size_pt=14.0, weight="bold", least_pt=9.0)
    title = wrapped(page.title, width=room, size_pt=size, weight="bold")
    name_pt = 9.0 if len(title) == 1 else 7.5
    name = wrapped(facts.name, width=room, size_pt=name_pt, weight="semibold")
    if len(name) > 1:
        name_pt = 7.0
        name = wrapped(facts.name, width=room, size_pt=name_pt, weight="semibold")
    if len(name) + len(title) > 3:
        size, name_pt = 9.0, 5.5
    marks += paragraph(left, top, facts.name, width=room, size_pt=name_pt, weight="semibold", colour=FAINT)
    below = top + len(wrapped(facts.name, width=room, size_pt=name_pt, weight="semibold")) * line_height(name_pt)
    marks += paragraph(left, below + 0.4, page.title, width=room, size_pt=size, weight="bold")
    base = top + HEAD_MM - 3.5
    y = top + 2.4
    if facts.standing:
        strong = fitted_size(facts.standing, width=aside, size_pt=8.2, weight="bold")
        marks.append(Text(right, y, facts.standing, strong, "bold", "right"))
        y += line_height(8.2)
    pt, lines = _facts_that_fit(page.about or facts.accuracy, facts, aside, base - y - 0.8)
    for text in lines:
        fitted = fitted_size(text, width=aside, size_pt=pt)
        marks.append(Text(right, y, text, fitted, "regular", "right"))
        y += line_height(pt)
    marks.append(Stroke(((left, base), (right, base)), 0.5, INK))
    return marks


def _facts_that_fit(accuracy: str, facts: JobFacts, width: float, height: float) -> tuple[float, list[str]]:
    """Day, grid and accuracy in lines, and the size in which the last stands above the rule: the largest that does."""
    day = day_text(facts.dated)
    for pt in (7.5, 7.0, 6.5, 6.0, 5.5):
        texts = wrapped(accuracy, width=width, size_pt=pt)
        for lines in ([day, facts.grid, *texts], [f"{day} · {facts.grid}", *texts]):
            if (len(lines) - 1) * line_height(pt) <= height + 1e-6:
                return pt, lines
    return pt, lines


def day_text(day: date) -> str:
    """A day as sheets write it; the same whatever language the machine speaks.

    Args:
        day: The day.

    Example:
        >>> day_text(date(2026, 3, 7))
        '7 March 2026'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def _foot(page: Page, facts: JobFacts, number: int, count: int) -> list[Mark]:
    left, right = MARGIN_MM, page.width - MARGIN_MM
    top = page.height - MARGIN_MM + 3.0 - FOOT_MM + 2.0
    label = f"page {number} of {count}"
    aside = max(text_width(label, size_pt=9.0, weight="semibold"), text_width(facts.program, size_pt=_SMALL)) + 4.0
    marks: list[Mark] = [Stroke(((left, top), (right, top)), 0.25, INK)]
    marks += paragraph(left, top + 1.0, SAFETY, width=right - left - aside, size_pt=_SMALL, weight="semibold")
    lines = len(wrapped(SAFETY, width=right - left - aside, size_pt=_SMALL, weight="semibold"))
    marks += paragraph(left, top + 1.0 + lines * line_height(_SMALL), STANDING, width=right - left - aside,
                       size_pt=_SMALL, colour=FAINT)
    marks.append(Text(right, top + 4.2, label, 9.0, "semibold", "right"))
    marks.append(Text(right, top + 7.6, facts.program, _SMALL, "regular", "right", FAINT))
    return marks
