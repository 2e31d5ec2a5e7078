"""Sums: what is counted over several lines together, for a whole job, one stage of it or one kind of fence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.findings import Finding
from planner.job.job import Job
from planner.job.plan import JobPlan, LinePlan, RollInputs
from planner.materials.carting import Carting, carting
from planner.materials.checks import check_materials
from planner.materials.estimate import Estimate, estimate
from planner.materials.labour import LabourRow, labour
from planner.materials.roll_plan import RollPlan, plan_rolls, settle_joins
from planner.materials.section_work import SectionWork
from planner.materials.takeoff import TakeoffRow, roll_demands, take_off
from planner.progress import Progress, Unwatched
from planner.sections.joins import panels_of
from planner.spec.catalogue import Catalogue
from planner.units import Metre


@dataclass(frozen=True)
class Sums:
    """What is counted over some lines together.

    Attributes:
        materials: Materials list.
        roll_inputs: Item key to what its roll plan was computed from.
        roll_plans: Item key to roll plan.
        labour: Person-hours by component.
        estimate: Cost.
        carting: Loads and drop points.
        findings: What is worth a look.
    """

    materials: tuple[TakeoffRow, ...]
    roll_inputs: Mapping[str, RollInputs]
    roll_plans: Mapping[str, RollPlan]
    labour: tuple[LabourRow, ...]
    estimate: Estimate
    carting: Carting
    findings: Sequence[Finding]


def sums_of(job: Job, catalogue: Catalogue, lines: Sequence[LinePlan], *, today: date | None = None,
            previous: JobPlan | None = None, progress: Progress = Unwatched()) -> Sums:
    """Materials, rolls, hours, cost and loads of some lines, bought and built together.

    Args:
        job: The job: its settings, prices and quote terms.
        catalogue: What the lines were planned from.
        lines: Plans of the lines.
        today: Day on which prices are judged; None to leave their age out.
        previous: An earlier plan, whose roll plans are taken over where nothing changed.
        progress: Told of each item.

    Raises:
        BadFenceType: A fence type asks for an item that does not exist.
        Cancelled: The user asked to stop.
    """
    terms = job.terms
    works = [work for plan in lines for work in plan.works]
    wanted = _roll_inputs(job, catalogue, lines, works)
    rolls = _roll_plans(wanted, catalogue, job, previous, progress)
    materials = take_off(works, catalogue=catalogue, settings=job.settings, roll_plans=rolls)
    hours = labour(works, catalogue=catalogue, rolls=rolls, factors=terms.factor_of)
    cost = estimate(materials, hours, job.prices, job.settings, today=today, rates=terms.rate_of,
                    mark_up=terms.mark_up)
    loads = carting(works, materials, catalogue=catalogue, settings=job.settings)
    findings = check_materials(works, materials, catalogue=catalogue, settings=job.settings, roll_plans=rolls,
                               prices=job.prices, cost=cost)
    return Sums(materials, wanted, rolls, hours, cost, loads, findings)


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
