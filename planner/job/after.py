"""What follows from the records of a job's work: how far it is, how it lies, what it is worth, what was lost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from planner.job.plan import JobPlan
from planner.materials.breakdown import break_down
from planner.surroundings.situation import Situation
from planner.upkeep.as_built import Measured, built_against_plan
from planner.upkeep.assets import Asset, LossRow, assets, losses
from planner.upkeep.progress import WorkDone, work_done


@dataclass(frozen=True, slots=True)
class AfterPlan:
    """What follows from the records of a job's work.

    Attributes:
        work: How far the work is.
        measured: What was measured against the plan.
        assets: Fences that stand.
        losses: What was lost.
    """

    work: WorkDone
    measured: Measured
    assets: tuple[Asset, ...]
    losses: tuple[LossRow, ...]


def situation_of(plan: JobPlan) -> Situation:
    """The situation that a plan's checks looked at.

    Args:
        plan: The plan.
    """
    return Situation(plan.lines, plan.around, {p.line.name: p.inputs.junctions for p in plan.lines},
                     plan.job.settings, plan.catalogue, plan.job.clearances, plan.planned_on or date.today())


def after_plan(plan: JobPlan) -> AfterPlan:
    """What follows from the records of a job's work.

    Args:
        plan: The plan of the job.
    """
    situation, records = situation_of(plan), plan.job.records
    standing = assets(situation, records, line_costs(plan) if records.built else {})
    return AfterPlan(work_done(plan.lines, records.progress),
                     built_against_plan(plan.lines, records.as_built, plan.job.settings),
                     standing, losses(situation, records, standing))


def line_costs(plan: JobPlan) -> Mapping[str, Decimal]:
    """Line name to what it costs by the plan, tax shared out; empty where something has no price.

    Args:
        plan: The plan.
    """
    before = plan.estimate.subtotal + plan.estimate.mark_up
    if not plan.estimate.complete or not before:
        return {}
    tax = plan.estimate.total / before
    found: dict[str, Decimal] = {}
    works = [work for line in plan.lines for work in line.works]
    for part in break_down(works, plan.materials, plan.estimate, catalogue=plan.catalogue, rolls=plan.roll_plans,
                           factors=plan.job.terms.factor_of):
        found[part.line] = found.get(part.line, Decimal(0)) + part.amount * tax
    return {line: amount.quantize(Decimal("0.01")) for line, amount in found.items()}
