"""Checks of what is ordered: margins, roll joins, prices and masses."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from planner.findings import Finding, Place, Severity
from planner.materials.carting import pieces_of
from planner.materials.estimate import Estimate
from planner.materials.prices import PriceList
from planner.materials.roll_plan import RollPlan
from planner.materials.section_work import SectionWork
from planner.materials.takeoff import TakeoffRow
from planner.sections.posts import is_end_post
from planner.settings import Settings
from planner.spec.catalogue import Catalogue
from planner.wording import few_of

RULES = {
    "materials-01": "what is ordered is enough at the chance chosen, the lengths being known only so well",
    "materials-02": "rolls are counted along the slope, not on the plan",
    "materials-03": "roll joins of mesh are at mid-panel, clear of ends, gates, crossings, deviations and dips",
    "materials-04": "every item and the labour have a price",
    "materials-05": "prices are not older than the settings allow",
    "materials-06": "prices are in the unit the item is counted in",
    "materials-07": "the mass of every item is known",
    "materials-08": "mesh has a fixing for every kind of post it hangs on",
    "materials-09": "no single piece is heavier than the trailer's payload",
    "materials-10": "no demand is joined where joins are not allowed",
}
_TIGHT_SHARE = 0.03
"""Share of the net length below which what is left over is tight, unless it is a whole roll. Common practice."""
_NAMED = 6


def check_materials(works: Sequence[SectionWork], rows: Sequence[TakeoffRow], *, catalogue: Catalogue,
                    settings: Settings, roll_plans: Mapping[str, RollPlan], prices: PriceList | None = None,
                    cost: Estimate | None = None) -> tuple[Finding, ...]:
    """Everything about the order that is worth a look before it is sent.

    Args:
        works: Sections of all lines.
        rows: Materials.
        catalogue: Items.
        settings: Confidence, payload, limits.
        roll_plans: Item key to roll plan, joins settled.
        prices: Price list, to find prices in the wrong unit; None to leave that out.
        cost: Estimate; None to leave prices out.

    Returns:
        Findings, in the order of the rules.
    """
    names = {row.item: row.description for row in rows}
    return (*_margins(rows, catalogue, settings), *_plan_traps(works, rows, catalogue),
            *_unsettled(works, roll_plans, catalogue), *_prices(rows, prices, cost, settings),
            *_masses(rows, catalogue, settings), *_without_ties(works, catalogue),
            *_needless_joins(roll_plans, names, settings))


def _finding(rule: str, severity: Severity, message: str, remedy: str, place: Place | None = None) -> Finding:
    return Finding(rule, severity, message, remedy, place or Place())


def _margins(rows: Sequence[TakeoffRow], catalogue: Catalogue, settings: Settings) -> Iterator[Finding]:
    for row in rows:
        if not catalogue.items[row.item].stock_m or row.order <= 0:
            continue
        spare = row.order - row.net
        rolls = f"{row.packs} {'roll' if row.packs == 1 else 'rolls'}"
        if row.confidence > row.order + 1e-6:
            more = math.ceil((row.confidence - row.order) / row.pack - 1e-9)
            yield _finding(
                "materials-01", "warning",
                f"{row.description}: {rolls} leave {spare:.0f} m over the net length, {row.left_over:.0f} m after "
                f"waste, and the length is not known that well: {settings.order_confidence:.0%} certainty takes "
                f"{row.confidence:g} {row.unit}.",
                f"Order {row.packs + more} rolls, or survey the line more closely.")
        elif spare < min(_TIGHT_SHARE * row.net, catalogue.items[row.item].stock_m[0]) - 1e-6:
            yield _finding(
                "materials-01", "warning",
                f"{row.description}: {rolls} leave only {spare:.0f} m, {spare / row.net:.1%} of the net length.",
                "Order one more roll, or re-measure the line on the ground before you order.")


def _plan_traps(works: Sequence[SectionWork], rows: Sequence[TakeoffRow], catalogue: Catalogue) -> Iterator[Finding]:
    ratio = {w.section.id: w.section.plan_length_m / w.section.slope_length_m
             for w in works if w.section.slope_length_m > 0}
    runs = {w.section.id: w.section.slope_length_m for w in works}
    for row in rows:
        item = catalogue.items[row.item]
        if not item.stock_m:
            continue
        roll = item.stock_m[0]
        # wires of this item in a section: whole multiples of its length, the tails apart
        stretched = [(math.floor(q / runs[s] + 1e-9) * runs[s], ratio[s]) for s, q in row.by_section if runs[s] > 0]
        flat = math.fsum(metres * share for metres, share in stretched)
        on_plan, along = (math.ceil(metres / roll - 1e-6) for metres in (flat, math.fsum(m for m, _ in stretched)))
        if 0 < on_plan < along:
            yield _finding(
                "materials-02", "note",
                f"{row.description}: by the map's {flat:.0f} m {on_plan} {'roll' if on_plan == 1 else 'rolls'} of "
                f"{roll:g} m look enough, but along the slope and with tails it is {row.net:.0f} m: short by "
                f"{row.net - on_plan * roll:.0f} m on {on_plan}.",
                "Order by the roll plan, not by metres off the map.")


def _unsettled(works: Sequence[SectionWork], plans: Mapping[str, RollPlan],
               catalogue: Catalogue) -> Iterator[Finding]:
    lines = {w.section.id: w.line for w in works}
    order = {w.section.id: k for k, w in enumerate(works)}
    meshes = {w.fence.mesh.item for w in works if w.fence.mesh is not None}
    for item, plan in plans.items():
        if item not in meshes:
            continue
        starts = {(cut.demand, round(cut.start_m, 5)): cut for roll in plan.rolls for cut in roll.cuts}
        cuts = [cut for demand, start in plan.unsettled if (cut := starts.get((demand, round(start, 5)))) is not None]
        if not cuts:
            continue
        cuts.sort(key=lambda cut: (order[cut.section], cut.from_m))
        named = few_of([f"{cut.from_m:.1f} m in {cut.section}" for cut in cuts], most=_NAMED)
        yield _finding(
            "materials-03", "note",
            f"{catalogue.items[item].description}: {len(cuts)} roll {'join' if len(cuts) == 1 else 'joins'} not at "
            f"mid-panel, or too near an end, gate, crossing, deviation or dip: {named}.",
            "Cut the roll back to the nearest mid-panel on the day; one more roll gives the length for it.",
            Place(lines[cuts[0].section], cuts[0].section, cuts[0].from_m))


def _prices(rows: Sequence[TakeoffRow], prices: PriceList | None, cost: Estimate | None,
            settings: Settings) -> Iterator[Finding]:
    names = {row.item: row.description for row in rows}
    if cost is not None and cost.missing and prices is not None and not prices.prices:
        yield _finding("materials-04", "note", "No price list was read in, so that nothing is priced.",
                       "Read one in where a cost or a quote is wanted.")
    elif cost is not None and cost.missing:
        missing = few_of([names.get(item, item) for item in cost.missing], most=_NAMED, joint="; ")
        yield _finding("materials-04", "warning", f"There is no price for {missing}: the total is incomplete.",
                       "Add the prices to the price list.")
    if cost is not None and cost.stale:
        stale = few_of([names.get(item, item) for item in cost.stale], most=_NAMED, joint="; ")
        yield _finding("materials-05", "warning", f"Prices older than {settings.price_stale_days} days: {stale}.",
                       "Ask the supplier again.")
    units = {row.item: row.unit for row in rows}
    for price in (prices.prices.values() if prices is not None else ()):
        if price.item in units and price.unit != units[price.item]:
            yield _finding(
                "materials-06", "error",
                f"{names[price.item]} is priced by {price.unit} but counted in {units[price.item]}; the price is not "
                "used.",
                f"Give its price in {units[price.item]}.")


def _masses(rows: Sequence[TakeoffRow], catalogue: Catalogue, settings: Settings) -> Iterator[Finding]:
    unknown = [row.description for row in rows if catalogue.items[row.item].mass_kg is None]
    if unknown:
        yield _finding(
            "materials-07", "note", f"The mass is not known of: {'; '.join(unknown)}. Loads are heavier by it.",
            "Give mass_kg in your items.toml.")
    for row in rows:
        heaviest = max((mass for mass, _ in pieces_of(row, catalogue.items[row.item])), default=0.0)
        if heaviest > settings.trailer_payload_kg:
            yield _finding(
                "materials-09", "error",
                f"One piece of {row.description} weighs {heaviest:.0f} kg, more than the trailer's "
                f"{settings.trailer_payload_kg:.0f} kg.",
                "Buy it in smaller rolls, or use a trailer with a higher payload.")


def _without_ties(works: Sequence[SectionWork], catalogue: Catalogue) -> Iterator[Finding]:
    told: set[tuple[str, bool]] = set()
    for work in works:
        mesh = work.fence.mesh
        if mesh is None:
            continue
        for timber in {catalogue.items[p.item].timber for p in work.posts if not is_end_post(p)}:
            number, item = ((mesh.staples_per_timber_post, mesh.staple_item) if timber
                            else (mesh.ties_per_steel_post, mesh.tie_item))
            if (number < 1 or not item) and (work.fence.key, timber) not in told:
                told.add((work.fence.key, timber))
                kind = "timber" if timber else "steel"
                yield _finding("materials-08", "error",
                               f"The mesh of '{work.fence.name}' has no fixing on its {kind} posts.",
                               f"Name {'staples' if timber else 'ties'} and how many for each post in the fence type.")


def _needless_joins(plans: Mapping[str, RollPlan], names: Mapping[str, str], settings: Settings) -> Iterator[Finding]:
    for item, plan in plans.items():
        if plan.joins and not settings.roll_joins_allowed:
            yield _finding(
                "materials-10", "warning",
                f"{names.get(item, item)} needs {plan.joins} {'join' if plan.joins == 1 else 'joins'} although none "
                "are allowed: a section is longer than the longest roll.",
                "Allow joins, add an end, or find longer rolls.")
