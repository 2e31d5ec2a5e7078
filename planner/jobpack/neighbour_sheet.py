"""The neighbour sheet: the fence against the boundary, the land on either side, and who pays what. Not a survey."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal

import shapely

from planner.job.derive import plan_job
from planner.job.plan import JobPlan
from planner.jobpack.basis import Basis
from planner.jobpack.map_figure import Extent, map_figure
from planner.jobpack.money import money_text
from planner.jobpack.page.blanks import blank_line, loud_box
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import Column, Row, Table
from planner.jobpack.stretches import Stretch, stretches_beside
from planner.materials.breakdown import break_down
from planner.settings import ACCURACY_CLASSES
from planner.spec.catalogue import choose_fence
from planner.units import Metre

BESIDE_M = 20.0
"""Distance from a boundary within which a fence counts as running along it. [m] Common practice, no source."""
_CENT = Decimal("0.01")
_MAPS_MM = (84.0, 66.0, 50.0)
"""Heights of the map, the first that leaves it all on one page; else the first. [mm]"""
_NAMED = ("boundary", "existing fence", "water", "gate", "road reserve")
"""What the map calls by name: what a neighbour goes by."""
_NOT_A_SURVEY = ("NOT A SURVEY. Only a licensed surveyor fixes a boundary. A fence is no proof of where the boundary "
                 "is, and nothing here changes who owns which land.")


@dataclass(frozen=True, slots=True)
class CostSplit:
    """Who pays what for one stretch, tax included.

    Attributes:
        planned: Cost of the fence as planned.
        standard: Cost of the standard fence, at most that of the planned one.
        neighbour: What the neighbour pays: a share of the standard.
        owner: What is left.
        is_complete: True when every price is known.
        standard_name: Name of the standard fence.
    """

    planned: Decimal
    standard: Decimal
    neighbour: Decimal
    owner: Decimal
    is_complete: bool
    standard_name: str


def has_neighbour(plan: JobPlan) -> bool:
    """Whether a fence line runs beside a boundary that is marked.

    Args:
        plan: The plan.
    """
    return bool(stretches_beside(plan, ("boundary",), within_m=BESIDE_M))


def neighbour_pages(basis: Basis) -> tuple[Page, ...]:
    """The neighbour sheet; nothing where no fence runs beside a boundary.

    Args:
        basis: Basis of the sheets.
    """
    stretches = stretches_beside(basis.plan, ("boundary",), within_m=BESIDE_M)
    if not stretches:
        return ()
    laid = []
    for height in _MAPS_MM:
        laid.append(_laid_out(basis, stretches, height))
        if len(laid[-1]) == 1:
            return laid[-1]
    return laid[0]


def _laid_out(basis: Basis, stretches: Sequence[Stretch], map_mm: float) -> tuple[Page, ...]:
    flow = Flow(Form("A4"), "Neighbour sheet")
    blank_line(flow, ("Owner", ("Neighbour", _neighbour(stretches))))
    blank_line(flow, ("Title of the owner", "Title of the neighbour", "Survey, if any"))
    loud_box(flow, _NOT_A_SURVEY)
    map_figure(basis, flow, _extent(stretches), height=map_mm, names=_NAMED)
    _against_boundary(basis, stretches, flow)
    _land(basis, stretches, flow)
    _costs(basis, stretches, flow)
    _agreement(flow)
    return flow.pages()


def _neighbour(stretches: Sequence[Stretch]) -> str:
    """The neighbour that the boundaries name; nothing where they name none or several."""
    told = {dict(s.feature.attributes).get("neighbour", "") for s in stretches}
    return told.pop() if len(told) == 1 else ""


def _extent(stretches: Sequence[Stretch]) -> Extent:
    shapes = [shapely.LineString(s.line.line.xy) for s in stretches]
    west, south, east, north = shapely.union_all(shapes).bounds
    return west, south, east, north


def _against_boundary(basis: Basis, stretches: Sequence[Stretch], flow: Flow) -> None:
    measures = basis.measures
    rows = []
    for s in stretches:
        sd = position_sd(basis.plan, s)
        rows.append(Row((s.feature.name or "boundary", f"{s.line.line.name}, {s.line.fence.name}",
                         f"{measures.number(s.from_m)} to {measures.number(s.to_m)}", measures.number(s.slope_m),
                         _side_words(s), *(measures.number(s.ground(v), 2) for v in (
                             s.found.least_m, s.found.mean_m, s.found.greatest_m)),
                         measures.plus_minus(sd, 2))))
    unit = measures.length_unit
    flow.heading("The fence against the boundary")
    flow.table(Table((
        Column("Boundary", weight="semibold"), Column("Fence"), Column(f"Chainage, {unit}", grow=0),
        Column(f"Length, {unit}", "right", grow=0), Column("Fence stands", grow=0),
        Column(f"Least, {unit}", "right", grow=0), Column("Mean", "right", grow=0),
        Column("Greatest", "right", grow=0), Column("Known to", "right", grow=0)), tuple(rows), size_pt=7.8))
    doubtful = [s for s in stretches if s.ground(s.found.least_m) < 2.0 * position_sd(basis.plan, s)]
    for s in doubtful:
        flow.text(f"{s.line.line.name}: at {measures.length(s.least_at_m)} the fence is "
                  f"{measures.length(s.ground(s.found.least_m), 2)} from '{s.feature.name or 'boundary'}', and the two "
                  f"are known to {measures.plus_minus(position_sd(basis.plan, s), 2)} {unit} together: on which side "
                  "it stands cannot be told from these data.", size_pt=8.2, weight="semibold", bullet="!")
    flow.text("Least, mean and greatest distance from the boundary as marked in this job. Sides are seen looking the "
              "way the boundary is drawn. 'Known to': one standard deviation of fence and boundary together; a "
              "boundary of unknown origin is taken as known to "
              f"{measures.plus_minus(basis.plan.job.settings.sd_unknown_m, 1)} {unit}.", size_pt=7.4, colour=FAINT)


def position_sd(plan: JobPlan, stretch: Stretch) -> Metre:
    """How well the distance between fence and boundary is known: one standard deviation. [m]

    The accuracy class of the boundary is that of its attribute ``accuracy``, unknown without one.

    Args:
        plan: The plan.
        stretch: The stretch.
    """
    told = dict(stretch.feature.attributes).get("accuracy", "unknown")
    boundary = plan.job.settings.sd_of(told if told in ACCURACY_CLASSES else "unknown")
    return math.hypot(stretch.line.corner_sd_m, boundary)


def _side_words(stretch: Stretch) -> str:
    found = stretch.found
    crosses = found.left_m2 > 1.0 and found.right_m2 > 1.0
    return "on both sides" if crosses else {"around": "all round"}.get(found.side, found.side)


def _land(basis: Basis, stretches: Sequence[Stretch], flow: Flow) -> None:
    def area(value: float) -> str:
        if basis.measures.is_metric and value < 5000.0:
            return f"{value:,.0f} m²".replace(",", "\u202f")
        return basis.measures.area(value)

    rows = []
    for s in stretches:
        inside = s.found.side in ("inside", "outside", "around")
        words = ("inside the boundary, outside the fence", "outside the boundary, inside the fence") if inside else (
            "left of the boundary, up to the fence", "right of the boundary, up to the fence")
        for word, value in zip(words, (s.found.left_m2, s.found.right_m2), strict=True):
            rows.append(Row((s.feature.name or "boundary", s.line.line.name, word, area(s.ground_area(value)))))
    flow.heading("Land between boundary and fence (give and take)")
    flow.table(Table((Column("Boundary", weight="semibold"), Column("Fence"), Column("Which land", grow=2),
                      Column("Area", "right", "semibold", 0)), tuple(rows), size_pt=8.0))


def _costs(basis: Basis, stretches: Sequence[Stretch], flow: Flow) -> None:
    plan, currency = basis.plan, basis.plan.estimate.currency
    share = Decimal(repr(plan.job.settings.neighbour_share))
    splits = cost_splits(plan, stretches)
    rows = [Row((s.line.line.name, split.standard_name, *(_money(split, v) for v in (
        split.standard, split.planned - split.standard, split.planned, split.neighbour, split.owner))))
        for s, split in zip(stretches, splits, strict=True)]
    if len(splits) > 1:
        whole = all(split.is_complete for split in splits)
        total = [sum((v for v in values), Decimal("0.00")) for values in zip(*(
            (x.standard, x.planned - x.standard, x.planned, x.neighbour, x.owner) for x in splits), strict=True)]
        rows.append(Row(("all", "", *(f"{'' if whole else 'from '}{money_text(v)}" for v in total)), "strong"))
    flow.heading("Who pays what, tax included")
    flow.table(Table((
        Column("Fence", weight="semibold"), Column("Standard fence"), Column("Standard", "right", grow=0),
        Column("Upgrade", "right", grow=0), Column(f"All, {currency}", "right", grow=0),
        Column("Neighbour", "right", "semibold", 0), Column("Owner", "right", "semibold", 0)), tuple(rows),
        size_pt=8.2))
    if not all(split.is_complete for split in splits):
        loud_box(flow, "INCOMPLETE: prices are missing; amounts marked 'from' leave them out.")
    flow.text(f"The neighbour pays {float(share) * 100:g} % of the standard fence; the upgrade is paid by whoever "
              "wants it, here the owner. Cost of the stretch at the mean cost of a metre of its line. Which share and "
              "which standard the law asks for differs from place to place: agree it in writing.",
              size_pt=7.4, colour=FAINT)


def _money(split: CostSplit, amount: Decimal) -> str:
    return money_text(amount) if split.is_complete else f"from {money_text(amount)}"


def cost_splits(plan: JobPlan, stretches: Sequence[Stretch]) -> tuple[CostSplit, ...]:
    """Who pays what for each stretch.

    Args:
        plan: The plan.
        stretches: Stretches beside a boundary.

    Raises:
        BadFenceType: The settings name a standard fence that does not exist.
    """
    key = plan.job.settings.standard_fence
    if not key:
        return tuple(_split(plan, plan, s) for s in stretches)
    choose_fence(plan.catalogue, key)
    shared = {s.line.line.name for s in stretches}
    other = plan_job(replace(plan.job, options=(), lines=tuple(
        replace(line.line, fence=key) if line.line.name in shared else line.line for line in plan.lines)))
    return tuple(_split(plan, other, s) for s in stretches)


def _split(plan: JobPlan, standard: JobPlan, stretch: Stretch) -> CostSplit:
    name = stretch.line.line.name
    planned, whole = _cost_per_m(plan, name)
    plain, known = _cost_per_m(standard, name)
    length = Decimal(repr(stretch.slope_m))
    cost = (planned * length).quantize(_CENT, ROUND_HALF_UP)
    least = min(cost, (plain * length).quantize(_CENT, ROUND_HALF_UP))
    neighbour = (least * Decimal(repr(plan.job.settings.neighbour_share))).quantize(_CENT, ROUND_HALF_UP)
    fence = next(line.fence.name for line in standard.lines if line.line.name == name)
    return CostSplit(cost, least, neighbour, cost - neighbour, whole and known, fence)


def _cost_per_m(plan: JobPlan, name: str) -> tuple[Decimal, bool]:
    """Cost of a metre of a line, tax included, and whether all of it has a price."""
    before = plan.estimate.subtotal + plan.estimate.mark_up
    tax = plan.estimate.total / before if before else Decimal(1)
    parts = [part for part in break_down(
        [work for line in plan.lines for work in line.works], plan.materials, plan.estimate, catalogue=plan.catalogue,
        rolls=plan.roll_plans, factors=plan.job.terms.factor_of) if part.line == name]
    line = next(line for line in plan.lines if line.line.name == name)
    total = sum((part.amount for part in parts), Decimal(0)) * tax
    return total / Decimal(repr(float(line.ground.slope_m[-1]))), not any(part.missing for part in parts)


def _agreement(flow: Flow) -> None:
    flow.heading("What is agreed", size_pt=9.5, keep_with=45.0)
    for words in (("Fence type", "Who builds it"), ("Work starts", "Work ends"), ("Access over", "Stock kept away by"),
                  ("Signed, owner", "Date"), ("Signed, neighbour", "Date")):
        blank_line(flow, words)
