"""Checks of stages: what an earlier stage must leave ready for a later one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.alignment.junctions import Junction
from planner.findings import Finding, Place
from planner.job.plan import LinePlan
from planner.job.stages import Stage, stage_of
from planner.sections.strains import chainage_of_junction
from planner.units import Metre

RULES = {
    "stage-01": "an end that a later stage will pull from is built with the stage whose line it stands in",
    "stage-02": "a line is built in one stage",
    "stage-03": "every line of a job with stages belongs to one of them",
}
_AT_END_M: Metre = 0.5


def check_stages(lines: Sequence[LinePlan], junctions: Mapping[str, Sequence[Junction]],
                 stages: Sequence[Stage]) -> list[Finding]:
    """What an earlier stage must leave ready, lines in two stages, and lines in none.

    Args:
        lines: Plans of the lines.
        junctions: Line name to where other lines meet it.
        stages: Stages in the order in which they are built.
    """
    if not stages:
        return []
    place = stage_of(stages)
    findings = _twice(stages)
    for plan in lines:
        mine = place.get(plan.line.name)
        if mine is None:
            findings.append(Finding("stage-03", "note", f"'{plan.line.name}' belongs to no stage.",
                                    "Put it into one, or leave it for last.", Place(line=plan.line.name)))
            continue
        for junction in junctions.get(plan.line.name, ()):
            later = [name for name in junction.others if place.get(name, len(stages)) > mine]
            if later:
                findings += _to_leave_ready(plan, junction, later, stages, place, mine)
    return findings


def _to_leave_ready(plan: LinePlan, junction: Junction, later: Sequence[str], stages: Sequence[Stage],
                    place: Mapping[str, int], mine: int) -> list[Finding]:
    at = chainage_of_junction(plan.line, plan.ground, junction)
    ends = (0.0, float(plan.ground.chainage_m[-1]))
    where = "at the end of" if not plan.line.closed and min(abs(at - end) for end in ends) <= _AT_END_M else "inside"
    names = " and ".join(f"'{name}'" for name in later)
    first = min(later, key=lambda name: place.get(name, len(stages)))
    when = _when(stages[place[first]]) if first in place else "later, in no stage so far"
    section = next((s.id for s in plan.sections if s.from_m <= at <= s.to_m), "")
    return [Finding(
        "stage-01", "warning" if where == "inside" else "note",
        f"{names} will pull from {at:.1f} m, {where} '{plan.line.name}'; that is built {when}, this one "
        f"{_when(stages[mine])}.",
        f"Build the end assembly at {at:.1f} m now, as planned here, so that '{plan.line.name}' need not be cut later.",
        Place(plan.line.name, section, at, junction.x, junction.y))]


def _when(stage: Stage) -> str:
    return f"in stage '{stage.name}'" + (f" ({stage.year})" if stage.year is not None else "")


def _twice(stages: Sequence[Stage]) -> list[Finding]:
    seen: dict[str, str] = {}
    findings = []
    for stage in stages:
        for name in stage.lines:
            if name in seen and seen[name] != stage.name:
                findings.append(Finding(
                    "stage-02", "warning", f"'{name}' stands in stage '{seen[name]}' and in stage '{stage.name}'; it "
                    f"is counted in '{seen[name]}'.", "Take it out of one of them.", Place(line=name)))
            seen.setdefault(name, stage.name)
    return findings
