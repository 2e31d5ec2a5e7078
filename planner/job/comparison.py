"""Comparison: options, jobs or stages side by side on what decides between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

import shapely

from planner.geometry.arrays import Floats
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.job.options import chosen_option
from planner.job.plan import JobPlan, LinePlan
from planner.job.stages import UNSTAGED, stage_of
from planner.job.sums import Sums, sums_of
from planner.materials.breakdown import break_down
from planner.materials.estimate import Estimate
from planner.materials.ownership import annual_cost, upkeep_of
from planner.progress import Part, Progress, Unwatched
from planner.spec.catalogue import Catalogue
from planner.survey.datum import ellipsoidal_area
from planner.units import HECTARE_M2, Hour, Metre, SquareMetre

_CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Figures:
    """What one alternative or stage comes to.

    Attributes:
        name: Its name.
        lines: Names of its lines.
        slope_m: Length along the ground. [m]
        strains: Straining sections.
        joins: Mid-run joins.
        ends: End assemblies, corners among them.
        corners: Corners that end a strain.
        gates: Gates.
        crossings: Water crossings.
        posts: Posts.
        hours: Person-hours. [h]
        hectares: Area inside its closed lines; None where none is closed. [ha]
        cost: Its estimate.
        yearly: Cost of owning it for a year: depreciation, interest, maintenance; of what has a price.
    """

    name: str
    lines: tuple[str, ...]
    slope_m: Metre
    strains: int
    joins: int
    ends: int
    corners: int
    gates: int
    crossings: int
    posts: int
    hours: Hour
    hectares: float | None
    cost: Estimate
    yearly: Decimal

    @property
    def per_m(self) -> Decimal | None:
        """Total cost of a metre along the ground; None without any length."""
        if not self.slope_m:
            return None
        return (self.cost.total / Decimal(repr(self.slope_m))).quantize(_CENT, ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Alternatives side by side.

    Attributes:
        columns: One for each alternative, in the order given.
    """

    columns: tuple[Figures, ...]

    @property
    def cheapest(self) -> Figures | None:
        """The alternative of least total cost; None unless every one is fully priced in one currency."""
        costs = [column.cost for column in self.columns]
        if not costs or not all(cost.complete for cost in costs) or len({cost.currency for cost in costs}) > 1:
            return None
        return min(self.columns, key=lambda column: column.cost.total)


def compare(plans: Sequence[tuple[str, JobPlan]]) -> Comparison:
    """Plans side by side.

    Args:
        plans: Name and plan of each alternative.
    """
    return Comparison(tuple(figures_of(name, plan.job, plan.catalogue, plan.lines, Sums(
        plan.materials, plan.roll_inputs, plan.roll_plans, plan.labour, plan.estimate, plan.carting, ()))
        for name, plan in plans))


def plan_options(job: Job, *, today: date | None = None, previous: JobPlan | None = None,
                 progress: Progress = Unwatched()) -> tuple[tuple[str, JobPlan], ...]:
    """A plan for each option of a job, under the option's name.

    Args:
        job: The job.
        today: Day on which prices are judged; today when None.
        previous: An earlier plan of the same job; what did not change is taken over from it.
        progress: Told of each option.

    Raises:
        BadFenceType: A line asks for a fence type, item or assembly that does not exist.
        Cancelled: The user asked to stop.
    """
    count = len(job.options)
    return tuple((option.name, plan_job(replace(job, option=option.name), today=today, previous=previous,
                                        progress=Part(progress, k / count, (k + 1) / count)))
                 for k, option in enumerate(job.options))


def stage_totals(plan: JobPlan, *, today: date | None = None) -> tuple[Figures, ...]:
    """What each stage comes to when it is bought and built by itself; then what stands in no stage.

    Packs and rolls are rounded up for each stage, so together they may cost more than all at once. An assembly where
    lines of two stages meet is counted with the earlier one.

    Args:
        plan: The plan of the whole job.
        today: Day on which prices are judged; None to leave their age out.
    """
    stages = plan.job.stages
    place = stage_of(stages)
    found = []
    for number, name in enumerate([*(stage.name for stage in stages), UNSTAGED]):
        lines = [line for line in plan.lines if place.get(line.line.name, len(stages)) == number]
        if number < len(stages) or lines:
            found.append(figures_of(name, plan.job, plan.catalogue, lines,
                                    sums_of(plan.job, plan.catalogue, lines, today=today)))
    return tuple(found) if stages else ()


def figures_of(name: str, job: Job, catalogue: Catalogue, lines: Sequence[LinePlan], sums: Sums) -> Figures:
    """What some lines of a job come to.

    Args:
        name: What to call them.
        job: The job.
        catalogue: What they were planned from.
        lines: Their plans.
        sums: Their materials, hours and cost.
    """
    closed = [line.line.xy for line in lines if line.line.closed]
    area = _area_inside(closed, job.crs) / HECTARE_M2 if closed else None
    return Figures(
        name=name, lines=tuple(line.line.name for line in lines),
        slope_m=float(sum(float(line.ground.slope_m[-1]) for line in lines)),
        strains=sum(len(line.joins) for line in lines),
        joins=sum(len(run.joins) for line in lines for run in line.joins.values()),
        ends=sum(len(work.assemblies) for line in lines for work in line.works),
        corners=sum(corner.role == "corner" for line in lines
                    for corner in line.corners[:-1 if line.line.closed else None]),
        gates=sum(section.is_gate for line in lines for section in line.sections),
        crossings=sum(section.is_crossing for line in lines for section in line.sections),
        posts=sum(len(line.posts) for line in lines), hours=sum(row.hours for row in sums.labour), hectares=area,
        cost=sums.estimate, yearly=_yearly(job, catalogue, lines, sums))


def _area_inside(rings: Sequence[Floats], crs: str) -> SquareMetre:
    """Area inside some rings on the ellipsoid; land inside several, as in a clump fenced off in a paddock, once."""
    whole = shapely.union_all([shapely.make_valid(shapely.Polygon(xy[:, :2])) for xy in rings])
    area = 0.0
    for part in shapely.get_parts(whole):
        if part.geom_type == "Polygon":
            area += ellipsoidal_area(shapely.get_coordinates(part.exterior), crs)[0]
            area -= sum(ellipsoidal_area(shapely.get_coordinates(hole), crs)[0] for hole in part.interiors)
    return area


def _yearly(job: Job, catalogue: Catalogue, lines: Sequence[LinePlan], sums: Sums) -> Decimal:
    """Cost of owning for a year, each fence type by its own life, or the option's, and upkeep; tax is shared out."""
    works = [work for line in lines for work in line.works]
    before = sums.estimate.subtotal + sums.estimate.mark_up
    if not works or not before:
        return Decimal("0.00")
    tax = sums.estimate.total / before
    fences = {line.line.name: line.fence for line in lines}
    chosen = chosen_option(job)
    life = chosen.life_years if chosen is not None else None
    total = Decimal(0)
    for part in break_down(works, sums.materials, sums.estimate, catalogue=catalogue, rolls=sums.roll_plans,
                           factors=job.terms.factor_of):
        upkeep = upkeep_of(fences[part.line], job.settings)
        total += annual_cost(part.amount * tax, life_years=life or upkeep.life_years,
                             maintenance_rate=upkeep.maintenance_rate, interest_rate=job.settings.interest_rate).total
    return total.quantize(_CENT, ROUND_HALF_UP)
