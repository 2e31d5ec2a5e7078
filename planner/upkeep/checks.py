"""What was written down since the work began that is worth a look."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from planner.findings import Finding, Place
from planner.settings import Settings
from planner.sources import COMMON_PRACTICE, Source
from planner.surroundings.situation import Planned, section_at
from planner.upkeep.as_built import Measured, built_against_plan
from planner.upkeep.records import Records

RULES = {
    "built-01": "what was built lies on the planned line as well as both are known",
    "built-02": "the length for the invoice is not a noisy walk's",
    "built-03": "what was measured runs along a line of the job",
    "built-04": "a new fence is strained again",
    "built-05": "what an inspection found is put right",
    "built-06": "records speak of lines and sections that are there",
}
LONG_SHARE = 0.03
"""A walk longer than the planned line by more than this, as a share, reads long. Common practice, no source."""
LEAST_OFF_M = 1.0
"""A built fence nearer than this to its line is on it, however well both are known. [m] Common practice."""
RESTRAIN_DAYS = 28
"""Days after which a new fence is due to be strained again. [d] One to four weeks: common practice, no source."""
OVERDUE_DAYS = 30
"""Days after which what an inspection asked for is late. [d] Common practice, no source."""
_SLACK = 1e-9
_RAYLEIGH = Source("Rayleigh distribution of a distance in plan, 95 %", place="any textbook of statistics")


def check_records(lines: Sequence[Planned], records: Records, settings: Settings, today: date) -> list[Finding]:
    """What about the records of the work is worth a look.

    Args:
        lines: Planned lines.
        records: What was written down.
        settings: Standard deviations of the accuracy classes.
        today: Day on which dates are judged.
    """
    if records == Records():
        return []
    measured = built_against_plan(lines, records.as_built, settings)
    return [*_off(lines, measured), *_unmatched(measured), *_not_strained(lines, records, today),
            *_open(records, today), *_strangers(lines, records)]


def _off(lines: Sequence[Planned], measured: Measured) -> Iterator[Finding]:
    by_name = {planned.line.name: planned for planned in lines}
    for stretch in measured.stretches:
        place = Place(stretch.line, section_at(by_name[stretch.line], stretch.greatest_at_m), stretch.greatest_at_m,
                      stretch.x, stretch.y)
        if stretch.greatest_off_m > max(stretch.explained_m, LEAST_OFF_M):
            yield Finding(
                "built-01", "warning", f"'{stretch.name}' lies up to {stretch.greatest_off_m:.1f} m off the planned "
                f"line, at {stretch.greatest_at_m:.0f} m; the accuracy of both explains {stretch.explained_m:.1f} m.",
                "Look on the ground: a variation to write down, a line to draw where it was built, or a wrong grid.",
                place, _RAYLEIGH)
        over = stretch.measured_slope_m / stretch.planned_slope_m - 1.0 if stretch.planned_slope_m else 0.0
        if over > LONG_SHARE + _SLACK:
            yield Finding(
                "built-02", "note", f"'{stretch.name}' measures {stretch.measured_slope_m:.0f} m, "
                f"{100.0 * over:.0f} % more than the {stretch.planned_slope_m:.0f} m of the line beside it: walks with "
                "a handheld read long.", "Take the length along the line for the invoice, or measure along the wire.",
                Place(stretch.line, chainage_m=stretch.from_m), COMMON_PRACTICE)


def _unmatched(measured: Measured) -> Iterator[Finding]:
    for record in measured.unmatched:
        yield Finding(
            "built-03", "warning", f"'{record.name}' was measured along no line of the job"
            f"{f', though it names {record.line!r}' if record.line else ''}; it is left out.",
            "Say which line it belongs to, and check its grid.", Place(file=record.origin), COMMON_PRACTICE)


def _not_strained(lines: Sequence[Planned], records: Records, today: date) -> Iterator[Finding]:
    names = {planned.line.name for planned in lines if planned.fence.pull_n > 0}
    for built in records.built:
        due = built.on + timedelta(days=RESTRAIN_DAYS)
        since = any(i.line == built.line and i.on > built.on for i in records.inspections)
        if built.line in names and today > due and not since:
            yield Finding(
                "built-04", "note", f"'{built.line}' was finished on {built.on} and was due to be strained again by "
                f"{due}; no visit is written down since.", "Check the tension on a cool day, strain again where it "
                "has gone, and write the visit down.", Place(built.line), COMMON_PRACTICE)


def _open(records: Records, today: date) -> Iterator[Finding]:
    for found in records.inspections:
        if found.found and not found.done and today - found.on > timedelta(days=OVERDUE_DAYS):
            yield Finding(
                "built-05", "warning", f"{found.on}: '{found.found}' is not put right after "
                f"{(today - found.on).days} days.", found.action or "Put it right, and write it down.",
                Place(found.line, found.section), COMMON_PRACTICE)


def _strangers(lines: Sequence[Planned], records: Records) -> Iterator[Finding]:
    """Records of sections that are gone since the line was planned anew; the records themselves are kept."""
    known = {planned.line.name: {section.id for section in planned.sections} for planned in lines}
    named = [(p.line, p.section) for p in records.progress] + [(i.line, i.section) for i in records.inspections]
    named += [(b.line, "") for b in records.built]
    for line, section in dict.fromkeys(named):
        if line in known and (not section or section in known[line]):
            continue
        what = f"section {section} of '{line}'" if line in known else f"the line '{line}'"
        yield Finding(
            "built-06", "note", f"Records speak of {what}, which is not in the plan now; they are kept, and counted "
            "nowhere.", "Write them down again for the sections as they are, or leave them as history.",
            Place(line if line in known else ""), COMMON_PRACTICE)
