"""From a job to its plan: each step's function called in turn, its results handed on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from planner.alignment.checks import check_network
from planner.alignment.junctions import find_junctions
from planner.findings import Finding, Place, worst_first
from planner.job.job import Job, Waiver
from planner.job.many_lines import plan_lines
from planner.job.options import check_options, chosen_option, lines_of_option
from planner.job.plan import JobPlan, LineInputs
from planner.job.stage_checks import check_stages
from planner.job.stages import in_building_order
from planner.job.sums import sums_of
from planner.progress import Part, Progress, Unwatched
from planner.setout.numbering import line_code
from planner.spec.catalogue import Catalogue, choose_fence, load_catalogue
from planner.surroundings.before_start import before_start, check_before_start, issued_on
from planner.surroundings.checks import check_surroundings
from planner.surroundings.electric import circuits
from planner.surroundings.network import nodes_of
from planner.surroundings.old_fences import old_fences_along
from planner.surroundings.paddocks import land_of
from planner.surroundings.situation import Situation, areas_under, around
from planner.upkeep.checks import check_records
from planner.wording import few_of


def catalogue_of(job: Job) -> Catalogue:
    """The catalogue a job is planned from: what is shipped, the user's own, and the job's own.

    Args:
        job: The job.

    Raises:
        BadFenceType: One of them breaks its own rules.
    """
    return load_catalogue(own_fences=job.own_fences, own_items=job.own_items)


def plan_job(job: Job, *, previous: JobPlan | None = None, today: date | None = None,
             progress: Progress = Unwatched(), processes: int | None = 1) -> JobPlan:
    """Everything that follows from a job.

    Lines that only another option than the chosen one holds are left out. Lines whose inputs are the same as in an
    earlier plan are taken over from it, so that moving one corner of one line computes that line and the sums.

    Args:
        job: The job.
        previous: An earlier plan of the same job.
        today: Day on which prices are judged; today when None.
        progress: Told of each line.
        processes: How many processes plan the lines; None for as many as pay. The window takes one: it plans few lines
            anew at a time, and from a thread.

    Raises:
        BadFenceType: A line asks for a fence type, item or assembly that does not exist.
        Cancelled: The user asked to stop.
    """
    catalogue = catalogue_of(job)
    kept = {plan.inputs: plan for plan in previous.lines} if previous else {}
    built = lines_of_option(job, chosen_option(job))
    junctions = find_junctions(in_building_order(built, job.stages))
    place = {line.name: number for number, line in enumerate(job.lines)}
    known = previous is not None and previous.job.features is job.features
    nearby = previous.around if previous and known else around(job.features)
    areas, old = areas_under(built, nearby), old_fences_along(built, nearby)
    inputs = [LineInputs(line, line_code(place[line.name]), choose_fence(catalogue, line.fence),
                         job.levels.get(line.name), junctions.get(line.name, ()), job.settings, job.crs,
                         areas.get(line.name, ()), old.get(line.name, ())) for line in built]
    lines = plan_lines(inputs, catalogue, kept, processes=processes, progress=Part(progress, 0.0, 0.85))
    situation = Situation(lines, nearby, dict(junctions), job.settings, catalogue, job.clearances,
                          today or date.today())
    situation.worked_out["old fences"] = old
    sums = sums_of(job, catalogue, lines, today=today, previous=previous, progress=Part(progress, 0.85, 1.0))
    findings = [*(f for plan in lines for f in plan.findings),
                *check_network(built, junctions=None if job.stages else junctions), *sums.findings, *job.noticed,
                *check_options(job), *check_stages(lines, junctions, job.stages), *check_surroundings(situation)]
    items = before_start(situation)
    findings += [*check_before_start(items, job.clearances, situation.today),
                 *check_records(lines, job.records, job.settings, situation.today)]
    told = tuple(worst_first(_waived(_said_once(findings, len(lines)), job.waivers)))
    return JobPlan(
        job, catalogue, tuple(lines), sums.materials, sums.roll_plans, sums.labour, sums.estimate, sums.carting, told,
        sums.roll_inputs, around=nearby, before_start=items,
        issued=issued_on(items, job.clearances, told, situation.today), electric=circuits(situation),
        paddocks=land_of(situation).paddocks if lines else (), nodes=nodes_of(situation),
        planned_on=situation.today)


def _said_once(findings: Sequence[Finding], lines: int) -> list[Finding]:
    """What is said of several lines in the very same words, and of no place on them, is said once for the job; with
    the names of those lines where they are not all."""
    told: dict[tuple[str, str, str], list[Finding]] = {}
    for finding in findings:
        told.setdefault((finding.rule, finding.message, finding.remedy), []).append(finding)
    once = []
    for same in told.values():
        if len(same) > 1 and all(f.place == Place(f.place.line) for f in same):
            once.append(replace(same[0], place=Place(), message=_of_lines(same, lines)))
        else:
            once += same
    return once


def _of_lines(same: Sequence[Finding], lines: int) -> str:
    """The words of findings that say the same, and of which of so many lines they hold."""
    names = list(dict.fromkeys(f"'{f.place.line}'" for f in same if f.place.line))
    if len(names) in (0, lines):
        return same[0].message
    return f"{same[0].message} Lines: {few_of(names)}."


def _waived(findings: Sequence[Finding], waivers: Sequence[Waiver]) -> list[Finding]:
    reasons = {(w.rule, w.line, w.where): w.reason for w in waivers}
    return [f.waive(reason) if (reason := reasons.get((f.rule, f.place.line, waiver_place(f)))) else f
            for f in findings]


def waiver_place(finding: Finding) -> str:
    """Where a finding stands, as its waiver remembers it: the section, else the chainage to the metre, else the row,
    else what it speaks of: the words before its first colon.

    Args:
        finding: The finding.
    """
    place = finding.place
    if place.section:
        return place.section
    if place.chainage_m is not None:
        return f"{place.chainage_m:.0f} m"
    if place.file:
        return f"{place.file} row {place.row}"
    return finding.message.partition(":")[0].removesuffix(" Lines")[:200]
