"""Ordering: from what ends up in the fence to what is bought, in whole packs and rolls."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist

from planner.materials.counting import Count, Role
from planner.materials.roll_plan import RollPlan
from planner.settings import Settings
from planner.spec.items import Item
from planner.units import Metre

_SLACK = 1e-9
_PLACES = 4


@dataclass(frozen=True, slots=True)
class Order:
    """What to buy of one item.

    Attributes:
        waste: Allowance on top of the net quantity.
        order: Quantity to order, whole packs.
        confidence: Quantity to order so that it is enough with the chance chosen.
        pack: Size of a pack or of the longest roll bought.
        packs: Packs or rolls in ``order``.
        lots: Pack or roll length, longest first, and how many of it.
    """

    waste: float
    order: float
    confidence: float
    pack: float
    packs: int
    lots: tuple[tuple[float, int], ...]


def waste_rate(role: Role, item: Item, settings: Settings) -> float:
    """Share that is added for waste, by what an item is used as.

    Nothing is added to the parts of end assemblies, gates, crossings and hold-downs, which are counted one by one;
    wire that goes into them is wasted like other wire.

    Args:
        role: What it is used as.
        item: The item.
        settings: The rates.
    """
    if role in ("mesh", "netting"):
        return settings.waste_mesh
    if role == "wire" or item.unit == "m":
        return settings.waste_wire
    if role in ("post", "dropper"):
        return settings.waste_posts
    return settings.waste_fixings if role == "fixing" else 0.0


def order_of(item: Item, count: Count, net: float, *, length_sd: Mapping[str, Metre], plan: RollPlan | None,
             settings: Settings) -> Order:
    """What to buy of one item: net and waste in whole packs, or the rolls of its plan and more if they fall short.

    Waste is added first and rounding comes last. The quantity at the chosen confidence covers net, waste and the
    normal quantile of the length's standard deviation; the errors of different sections are taken as independent,
    wires of one section as wholly dependent. Counted goods that do not come by the metre are the same at any
    confidence.

    Args:
        item: The item.
        count: Its count.
        net: Quantity that ends up in the fence.
        length_sd: Section id to the standard deviation of its slope length. [m]
        plan: Its roll plan; None for goods without rolls.
        settings: Waste and confidence.
    """
    waste = round(math.fsum(q * waste_rate(r, item, settings) for r, q in count.by_role.items()), _PLACES)
    margin = NormalDist().inv_cdf(settings.order_confidence) * quantity_sd(count, length_sd)
    if item.stock_m:
        rolls = [r.length_m for r in plan.rolls] if plan is not None else []
        bought = _rolls_for(rolls, item, net + waste)
        sure = _rolls_for(bought, item, net + waste + margin)
        return Order(waste, _sum(bought), _sum(sure), max(bought, default=item.stock_m[0]), len(bought),
                     tuple((a, bought.count(a)) for a in sorted(set(bought), reverse=True)))
    packs, sure_packs = (_packs(n, item.pack) for n in (net + waste, net + waste + margin))
    return Order(waste, _whole(packs, item.pack), _whole(sure_packs, item.pack), item.pack, packs,
                 ((item.pack, packs),))


def quantity_sd(count: Count, length_sd: Mapping[str, Metre]) -> float:
    """Standard deviation of a quantity that comes by the metre, in the item's unit.

    Args:
        count: Its count.
        length_sd: Section id to the standard deviation of its slope length. [m]
    """
    return math.sqrt(math.fsum((per_m * length_sd.get(s, 0.0)) ** 2 for s, per_m in count.per_m.items()))


def _rolls_for(rolls: list[Metre], item: Item, needed: float) -> list[Metre]:
    """Rolls, with as many more as the need takes: the shortest that is enough, else the longest."""
    bought = list(rolls)
    while (short := needed - _sum(bought)) > _SLACK:
        bought.append(min((a for a in item.stock_m if a >= short - _SLACK), default=max(item.stock_m)))
    return bought


def _sum(rolls: list[Metre]) -> float:
    return round(math.fsum(rolls), _PLACES)


def _packs(quantity: float, pack: float) -> int:
    return math.ceil(quantity / pack - _SLACK)


def _whole(packs: int, pack: float) -> float:
    return round(packs * pack, _PLACES)
