"""Takeoff: what each section is made of, counted by the fence type's rules."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.materials.counting import ROLES, Count, Tally, count_section
from planner.materials.demands import Demands, add_section
from planner.materials.ordering import order_of
from planner.materials.roll_plan import RollDemand, RollPlan
from planner.materials.section_work import SectionWork
from planner.settings import Settings
from planner.spec.catalogue import Catalogue
from planner.spec.items import Item
from planner.units import Metre


@dataclass(frozen=True, slots=True)
class TakeoffRow:
    """One item of the materials list.

    Attributes:
        item: Item key.
        description: What to write on an order.
        unit: Unit it is counted in.
        net: Quantity that ends up in the fence; equals the sum of ``by_section``.
        waste: Allowance on top of it.
        order: Quantity to order, whole packs.
        confidence: Quantity to order so that it is enough with the chance chosen in the settings.
        pack: Size of a pack, roll or coil in that unit.
        packs: Number of packs in ``order``; where several roll lengths are mixed, the number of rolls.
        left_over: Order less net and waste.
        by_section: Section id to quantity, in order of section.
        rule: The rules that gave it, one sentence each.
        lots: Pack or roll length and how many of it, for what is ordered; empty when it is ``packs`` of ``pack``.
    """

    item: str
    description: str
    unit: str
    net: float
    waste: float
    order: float
    confidence: float
    pack: float
    packs: int
    left_over: float
    by_section: tuple[tuple[str, float], ...]
    rule: tuple[str, ...]
    lots: tuple[tuple[float, int], ...] = ()


def take_off(works: Sequence[SectionWork], *, catalogue: Catalogue, settings: Settings,
             roll_plans: Mapping[str, RollPlan]) -> tuple[TakeoffRow, ...]:
    """The materials of a job, every quantity charged to a section.

    Net quantities follow the fence type's rules; waste, whole packs and the quantity at the chosen confidence are
    added to the sum. Roll goods are ordered as their roll plan buys them, with more rolls only where what is left
    over does not cover the waste allowance.

    Args:
        works: Sections of all lines, in order.
        catalogue: Items and end assemblies.
        settings: Waste rates and order confidence.
        roll_plans: Item key to roll plan; an item sold in rolls that has none is ordered in its longest rolls.

    Returns:
        One row an item: mesh, netting and wire first, then posts, ends, gates, crossings, hold-downs and fixings.

    Raises:
        BadFenceType: A fence type or an end assembly names an item that is not in the item list.
    """
    tally = Tally(catalogue)
    joins = roll_joins(roll_plans)
    for work in works:
        count_section(tally, work, joins.get(work.section.id, {}))
    length_sd = {w.section.id: w.section.length_sd_m for w in works}
    order_of_section = {w.section.id: k for k, w in enumerate(works)}
    listed = {key: k for k, key in enumerate(catalogue.items)}
    rows = [_row(catalogue.items[key], count, length_sd, order_of_section, roll_plans.get(key), settings)
            for key, count in sorted(tally.counts.items(), key=lambda kc: (ROLES.index(kc[1].role), listed[kc[0]]))]
    return tuple(rows)


def roll_demands(works: Sequence[SectionWork], *, catalogue: Catalogue, settings: Settings,
                 allowed: Mapping[str, Sequence[Metre]]) -> Mapping[str, tuple[RollDemand, ...]]:
    """The lengths that rolls and coils have to cover, by item.

    Mesh is covered sub-run by sub-run, a mid-run join being a place where two pieces meet anyway; netting and
    strands are covered from end to end of a section. Wire may be joined anywhere, mesh only at the places given,
    the cable of a crossing nowhere.

    Args:
        works: Sections of all lines, in order.
        catalogue: Items; those without stock lengths are left out.
        settings: Not used so far: tails are properties of the fence type.
        allowed: Section id to the chainages at which a roll join of mesh may be made [m]; a section that is not in
            it may be joined anywhere.

    Example:
        Item ``mesh-8-90-30`` in section ``A2`` with one mid-run join gives ``sub-run 1`` and ``sub-run 2``.
    """
    demands = Demands(catalogue)
    for work in works:
        add_section(demands, work, allowed.get(work.section.id))
    return {item: tuple(wanted) for item, wanted in demands.by_item.items()}


def roll_joins(plans: Mapping[str, RollPlan]) -> Mapping[str, Mapping[tuple[str, str, str], int]]:
    """Roll joins of every plan: section id to (item, section id, part) to their number.

    Args:
        plans: Item key to roll plan.
    """
    found: dict[str, dict[tuple[str, str, str], int]] = {}
    for item, plan in plans.items():
        seen: set[int] = set()
        for cut in (cut for roll in plan.rolls for cut in roll.cuts):
            of_section = found.setdefault(cut.section, {})
            key = (item, cut.section, cut.part)
            of_section[key] = of_section.get(key, 0) + (cut.demand in seen)
            seen.add(cut.demand)
    return found


def sums_by(rows: Sequence[TakeoffRow], group_of: Mapping[str, str]) -> Mapping[str, tuple[tuple[str, float], ...]]:
    """Net quantities by line, stage or whatever else groups sections.

    Args:
        rows: Materials of a job.
        group_of: Section id to the name of its group; sections that are not in it are left out.

    Returns:
        Name of the group to item key and quantity, in the order of the rows.

    Example:
        >>> row = TakeoffRow("post", "Post", "each", 3, 0, 3, 3, 1, 3, 0, (("A1", 1), ("B1", 2)), ())
        >>> dict(sums_by([row], {"A1": "creek", "B1": "ridge"}))
        {'creek': (('post', 1.0),), 'ridge': (('post', 2.0),)}
    """
    sums: dict[str, list[tuple[str, float]]] = {}
    for row in rows:
        parts: dict[str, list[float]] = {}
        for section, quantity in row.by_section:
            if section in group_of:
                parts.setdefault(group_of[section], []).append(quantity)
        for group, quantities in parts.items():
            sums.setdefault(group, []).append((row.item, math.fsum(quantities)))
    return {group: tuple(found) for group, found in sums.items()}


def _row(item: Item, count: Count, length_sd: Mapping[str, Metre], order_of_section: Mapping[str, int],
         plan: RollPlan | None, settings: Settings) -> TakeoffRow:
    by_section = tuple(sorted(count.by_section.items(), key=lambda sq: order_of_section[sq[0]]))
    net = math.fsum(quantity for _, quantity in by_section)
    order = order_of(item, count, net, length_sd=length_sd, plan=plan, settings=settings)
    return TakeoffRow(item.key, item.description, item.unit, net, order.waste, order.order, order.confidence,
                      order.pack, order.packs, round(order.order - net - order.waste, 4), by_section,
                      tuple(count.rules), order.lots)
