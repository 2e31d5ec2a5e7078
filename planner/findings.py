"""Findings: what is worth a look before the first post. Data, never an exception."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from planner.sources import COMMON_PRACTICE, Source
from planner.units import Metre

Severity = Literal["error", "warning", "note"]
_RANK: dict[str, int] = {"error": 0, "warning": 1, "note": 2}
SPOKEN: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("what kills or stops the work", ("service", "electric-04", "before", "tree-01")),
    ("where everything lies", ("survey", "traverse", "register", "feature", "ground")),
    ("whose land it is on", ("boundary", "clearing-02", "clearing-03", "clearing-01", "clearing")),
    ("how stock get in, through and out", (
        "paddock", "gate", "network", "line-04", "line-05", "line-06", "line-07", "line-12", "line-13", "line-52",
        "line-53", "line-55", "line-56", "line-08", "division", "electric")),
    ("what water does", ("water",)),
    ("what the ground does to ends, dips and strains", ("loads", "sections", "profile", "tree", "stage", "oldfence")),
    ("what is bought, carted and paid for", (
        "line-11", "line-10", "line-03", "materials", "haul", "option", "built")),
    ("what is tidied up", ("line", "materials-03", "materials-02", "loads-07", "materials-07")),
)
"""Heads of rule ids, or whole ids, in the order in which a contractor speaks of them; an id goes before its head."""
_SPOKEN_AT: dict[str, int] = {
    head: at for at, head in enumerate(head for _, heads in SPOKEN for head in heads)}


@dataclass(frozen=True, slots=True)
class Place:
    """Where a finding stands: as much as is known of line, section, chainage, position, file and row.

    Attributes:
        line: Name of the fence line; empty when the finding is about the whole job.
        section: Section id; empty when not about one section.
        chainage_m: Ground plan distance from the line's start. [m] None when not at one point.
        x: Easting in the working grid. [m]
        y: Northing in the working grid. [m]
        file: File the trouble was read from.
        row: Row, feature or point in that file, counted from 1.
    """

    line: str = ""
    section: str = ""
    chainage_m: Metre | None = None
    x: Metre | None = None
    y: Metre | None = None
    file: str = ""
    row: int | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule broken, or one thing to look at, with its place, its remedy and its source.

    Attributes:
        rule: Rule id, ``<stage>-<number>``; its meaning never changes.
        severity: How bad: an error stops a good job, a warning costs money, a note is for information.
        message: What was found, with the figures, as one sentence.
        remedy: What to do, as one sentence.
        place: Where.
        source: Which document the limit comes from.
        waived: The reason it was waived, or empty.
    """

    rule: str
    severity: Severity
    message: str
    remedy: str
    place: Place = field(default_factory=Place)
    source: Source = COMMON_PRACTICE
    waived: str = ""

    def waive(self, reason: str) -> Finding:
        """The same finding, set aside for a stated reason."""
        return replace(self, waived=reason)


def spoken_at(rule: str) -> int:
    """When a contractor speaks of a rule: the lower the sooner; rules that are in no table come last.

    Args:
        rule: Rule id.
    """
    return _SPOKEN_AT.get(rule, _SPOKEN_AT.get(rule.rpartition("-")[0], len(_SPOKEN_AT)))


def worst_first(findings: list[Finding]) -> list[Finding]:
    """Findings in the order a person should take them: errors, warnings, notes; of each what kills, then whose land,
    stock, water, ground, money; then along the job."""
    return sorted(
        findings,
        key=lambda f: (
            bool(f.waived), _RANK[f.severity], spoken_at(f.rule), f.rule, f.place.line,
            -1.0 if f.place.chainage_m is None else f.place.chainage_m, f.place.file, f.place.row or 0, f.message,
        ),
    )
