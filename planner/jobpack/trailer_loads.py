"""Trailer loads: what goes on the trailer for each drop point, load by load, never over its payload."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.job.plan import JobPlan
from planner.spec.items import Item
from planner.units import Kilogram, Metre

_SLACK = 1e-6


@dataclass(frozen=True, slots=True)
class Goods:
    """Pieces of one kind for one drop point.

    Attributes:
        line: Fence line; empty for spares, which are left where they are wanted.
        chainage_m: Where along it. [m]
        item: Item key.
        size_m: Length of each roll or rail. [m] None for counted goods.
        count: How many pieces; for goods sold by mass or length without rolls, how much.
        piece_kg: Mass of one. [kg] None when unknown.
    """

    line: str
    chainage_m: Metre
    item: str
    size_m: Metre | None
    count: float
    piece_kg: Kilogram | None

    @property
    def mass_kg(self) -> Kilogram:
        """Mass of them all; 0 when unknown. [kg]"""
        return self.count * (self.piece_kg or 0.0)


@dataclass(frozen=True, slots=True)
class TrailerLoad:
    """One trip of the trailer.

    Attributes:
        number: Its number, from 1.
        goods: What is on it, in the order in which it is unloaded.
        mass_kg: Mass of those with a known mass. [kg]
    """

    number: int
    goods: tuple[Goods, ...]
    mass_kg: Kilogram


def trailer_loads(plan: JobPlan) -> tuple[TrailerLoad, ...]:
    """The trips of the trailer, drop point after drop point.

    A roll is dropped where the section of its first piece is; counted goods where their sections are, rounded up to
    whole pieces; what is ordered beyond that is spare and comes last. A load is full when the next piece would take it
    over the payload; a single piece heavier than that goes alone. Filling by drop point takes at least as many trips as
    filling by mass alone.

    Args:
        plan: The plan.
    """
    payload = plan.job.settings.trailer_payload_kg
    loads: list[list[Goods]] = []
    room = 0.0
    for goods in _goods(plan):
        rest = goods.count
        while rest > _SLACK:
            take = _fitting(goods, rest, room)
            if take <= 0.0:
                if loads and room >= payload - _SLACK:
                    take = min(1.0, rest)
                else:
                    loads.append([])
                    room = payload
                    continue
            elif not loads:
                loads.append([])
                room = payload
                continue
            loads[-1].append(Goods(goods.line, goods.chainage_m, goods.item, goods.size_m, take, goods.piece_kg))
            room -= take * (goods.piece_kg or 0.0)
            rest -= take
    return tuple(TrailerLoad(k + 1, tuple(load), math.fsum(g.mass_kg for g in load)) for k, load in enumerate(loads))


def _fitting(goods: Goods, rest: float, room: Kilogram) -> float:
    """How many more pieces go on: whole ones, all where they weigh nothing that is known."""
    if not goods.piece_kg:
        return rest
    return min(rest, float(math.floor((room + _SLACK) / goods.piece_kg)))


def _goods(plan: JobPlan) -> Iterator[Goods]:
    rolls = _rolls_by_drop(plan)
    sent: dict[tuple[str, float | None], float] = {}
    for k, drop in enumerate(plan.carting.drops):
        for item_key, size, count in rolls.get(k, ()):
            sent[item_key, size] = sent.get((item_key, size), 0.0) + count
            yield _piece(plan, drop.line, drop.chainage_m, item_key, size, count)
        for item_key, quantity in drop.items:
            if item_key in plan.roll_plans:
                continue
            item = plan.catalogue.items[item_key]
            piece = item.piece_m
            each = quantity / piece if piece is not None else quantity
            whole = float(math.ceil(each - _SLACK)) if piece is not None or item.unit == "each" else quantity
            sent[item_key, piece] = sent.get((item_key, piece), 0.0) + whole
            yield _piece(plan, drop.line, drop.chainage_m, item_key, piece, whole)
    yield from _spares(plan, sent)


def _spares(plan: JobPlan, sent: dict[tuple[str, float | None], float]) -> Iterator[Goods]:
    """What is ordered beyond what the drop points get."""
    for row in plan.materials:
        if row.item in plan.roll_plans or plan.catalogue.items[row.item].piece_m is not None:
            for size, number in row.lots or ((row.pack, row.packs),):
                more = number - sent.get((row.item, size), 0.0)
                if more > _SLACK:
                    yield _piece(plan, "", 0.0, row.item, size, more)
        else:
            more = row.order - sent.get((row.item, None), 0.0)
            if more > _SLACK:
                yield _piece(plan, "", 0.0, row.item, None, more)


def _piece(plan: JobPlan, line: str, chainage: Metre, key: str, size: Metre | None, count: float) -> Goods:
    item: Item = plan.catalogue.items[key]
    mass = None if item.mass_kg is None else item.mass_kg * (1.0 if size is None else size)
    return Goods(line, chainage, key, size, count, mass)


def _rolls_by_drop(plan: JobPlan) -> dict[int, list[tuple[str, Metre, float]]]:
    """Drop point to the rolls left there: item, length of a roll, how many."""
    middle = {s.id: (line.line.name, (s.from_m + s.to_m) / 2) for line in plan.lines for s in line.sections}
    found: dict[int, dict[tuple[str, Metre], float]] = {}
    for key, rolls in plan.roll_plans.items():
        for roll in rolls.rolls:
            if not roll.cuts:
                continue
            name, at = middle[roll.cuts[0].section]
            drop = _nearest(plan, name, at)
            here = found.setdefault(drop, {})
            here[key, roll.length_m] = here.get((key, roll.length_m), 0.0) + 1.0
    return {drop: [(key, size, count) for (key, size), count in here.items()] for drop, here in found.items()}


def _nearest(plan: JobPlan, line: str, at: Metre) -> int:
    drops: Sequence[int] = [k for k, drop in enumerate(plan.carting.drops) if drop.line == line]
    return min(drops, key=lambda k: abs(plan.carting.drops[k].chainage_m - at))
