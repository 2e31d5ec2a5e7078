"""From a job to its plan: each step's function called in turn, its results handed on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.alignment.checks import check_network
from planner.alignment.junctions import find_junctions
from planner.findings import Finding, worst_first
from planner.job.derive_line import plan_line
from planner.job.job import Job, Waiver
from planner.job.plan import JobPlan, LineInputs, LinePlan, RollInputs
from planner.materials.carting import Carting, carting
from planner.materials.checks import check_materials
from planner.materials.estimate import Estimate, estimate
from planner.materials.labour import LabourRow, labour
from planner.materials.roll_plan import RollPlan, plan_rolls, settle_joins
from planner.materials.takeoff import SectionWork, TakeoffRow, roll_demands, take_off
from planner.progress import Part, Progress, Unwatched
from planner.sections.joins import panels_of
from planner.setout.numbering import line_code
from planner.spec.catalogue import Catalogue, choose_fence, load_catalogue
from planner.units import Metre


def catalogue_of(job: Job) -> Catalogue:
    """The catalogue a job is planned from: what is shipped, the user's own, and the job's own.

    Args:
        job: The job.

    Raises:
        BadFenceType: One of them breaks its own rules.
    """
    return load_catalogue(own_fences=job.own_fences, own_items=job.own_items)


def plan_job(job: Job, *, previous: JobPlan | None = None, today: date | None = None,
             progress: Progress = Unwatched()) -> JobPlan:
    """Everything that follows from a job.

    Lines whose inputs are the same as in an earlier plan are taken over from it, so that moving one corner of one
    line computes that line and the sums.

    Args:
        job: The job.
        previous: An earlier plan of the same job.
        today: Day on which prices are judged; today when None.
        progress: Told of each line.

    Raises:
        BadFenceType: A line asks for a fence type, item or assembly that does not exist.
        Cancelled: The user asked to stop.
    """
    catalogue = catalogue_of(job)
    kept = {plan.inputs: plan for plan in previous.lines} if previous else {}
    junctions = find_junctions(job.lines)
    lines: list[LinePlan] = []
    for number, line in enumerate(job.lines):
        progress.stop_if_cancelled()
        progress.report(0.85 * number / len(job.lines), f"planning {line.name}")
        inputs = LineInputs(line, line_code(number), choose_fence(catalogue, line.fence), job.levels.get(line.name),
                            junctions.get(line.name, ()), job.settings, job.crs)
        lines.append(kept.get(inputs) or plan_line(inputs, catalogue))
    sums = _sums(job, catalogue, lines, today, previous, Part(progress, 0.85, 1.0))
    findings = [f for plan in lines for f in plan.findings] + check_network(job.lines) + list(sums.findings)
    return JobPlan(job, catalogue, tuple(lines), sums.materials, sums.roll_plans, sums.labour, sums.estimate,
                   sums.carting, tuple(worst_first(_waived(findings, job.waivers))), sums.roll_inputs)


@dataclass(frozen=True)
class _Sums:
    """What is counted over all lines together."""

    materials: tuple[TakeoffRow, ...]
    roll_inputs: Mapping[str, RollInputs]
    roll_plans: Mapping[str, RollPlan]
    labour: tuple[LabourRow, ...]
    estimate: Estimate
    carting: Carting
    findings: Sequence[Finding]


def _sums(job: Job, catalogue: Catalogue, lines: Sequence[LinePlan], today: date | None, previous: JobPlan | None,
          progress: Progress) -> _Sums:
    works = [work for plan in lines for work in plan.works]
    wanted = _roll_inputs(job, catalogue, lines, works)
    rolls = _roll_plans(wanted, catalogue, job, previous, progress)
    materials = take_off(works, catalogue=catalogue, settings=job.settings, roll_plans=rolls)
    hours = labour(works, catalogue=catalogue, rolls=rolls)
    cost = estimate(materials, hours, job.prices, job.settings, today=today)
    loads = carting(works, materials, catalogue=catalogue, settings=job.settings)
    findings = check_materials(works, materials, catalogue=catalogue, settings=job.settings, roll_plans=rolls,
                               prices=job.prices, cost=cost)
    return _Sums(materials, wanted, rolls, hours, cost, loads, findings)


def _roll_inputs(job: Job, catalogue: Catalogue, lines: Sequence[LinePlan],
                 works: Sequence[SectionWork]) -> dict[str, RollInputs]:
    allowed: dict[str, Sequence[Metre]] = {}
    for plan in lines:
        for section, panels in zip(plan.sections, panels_of(plan.sections, plan.posts), strict=True):
            middles = (panels.chainage_m[:-1] + panels.chainage_m[1:]) / 2.0
            allowed[section.id] = tuple(middles[panels.join_free].tolist())
    demands = roll_demands(works, catalogue=catalogue, settings=job.settings, allowed=allowed)
    return {item: RollInputs(wanted, tuple(_stock(item, catalogue, job).items()), job.settings)
            for item, wanted in demands.items()}


def _roll_plans(wanted: Mapping[str, RollInputs], catalogue: Catalogue, job: Job, previous: JobPlan | None,
                progress: Progress) -> dict[str, RollPlan]:
    """The roll plan of every item; one whose inputs are those of an earlier plan is taken over from it."""
    settings, plans = job.settings, {}
    for number, (item, inputs) in enumerate(wanted.items()):
        progress.stop_if_cancelled()
        progress.report(number / len(wanted), f"rolls of {catalogue.items[item].description}")
        if previous is not None and previous.roll_inputs.get(item) == inputs:
            plans[item] = previous.roll_plans[item]
            continue
        per_m = min(cost / length for length, cost in inputs.stock)
        plan = plan_rolls(inputs.demands, item=item, stock=dict(inputs.stock),
                          join_cost=settings.join_worth_m * per_m, min_useful_m=settings.min_useful_m,
                          joins_allowed=settings.roll_joins_allowed, seconds=settings.roll_plan_seconds,
                          offcut_cost_per_m=per_m)
        plans[item] = settle_joins(plan, inputs.demands)
    return plans


def _stock(item: str, catalogue: Catalogue, job: Job) -> dict[Metre, float]:
    """Roll lengths and what each costs; the metre stands for money where no length has a price."""
    lengths = catalogue.items[item].stock_m
    priced = {length: float(job.prices.prices[item, length].price) for length in lengths
              if (item, length) in job.prices.prices}
    return priced or {length: length for length in lengths}


def _waived(findings: Sequence[Finding], waivers: Sequence[Waiver]) -> list[Finding]:
    reasons = {(w.rule, w.line, w.where): w.reason for w in waivers}
    return [f.waive(reason) if (reason := reasons.get((f.rule, f.place.line, waiver_place(f)))) else f
            for f in findings]


def waiver_place(finding: Finding) -> str:
    """Where a finding stands, as its waiver remembers it: the section, else the chainage to the metre, else the row.

    Args:
        finding: The finding.
    """
    place = finding.place
    if place.section:
        return place.section
    if place.chainage_m is not None:
        return f"{place.chainage_m:.0f} m"
    return f"{place.file} row {place.row}" if place.file else ""
