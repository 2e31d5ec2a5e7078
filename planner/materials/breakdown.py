"""Breakdown: the estimate shared out to what it is for, run by run, end by end, gate by gate, to the cent."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from planner.materials.estimate import LABOUR, STANDARD_HOURS, Estimate
from planner.materials.labour import labour
from planner.materials.roll_plan import RollPlan
from planner.materials.section_work import SectionWork
from planner.materials.takeoff import TakeoffRow
from planner.sections.strains import SectionEnd
from planner.spec.catalogue import Catalogue

PartKind = Literal["run", "end", "gate", "crossing"]
_CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class PartCost:
    """What one part of the fence costs.

    Attributes:
        kind: run, end, gate or crossing.
        line: Name of the fence line.
        section: Section id that it stands in or is charged to.
        end: The end, for an end; None for others.
        amount: What it costs before tax, mark-up included; of what has a price.
        missing: Item keys in it that have no price.
        hours: Person-hours. [h]
    """

    kind: PartKind
    line: str
    section: str
    end: SectionEnd | None
    amount: Decimal
    missing: tuple[str, ...]
    hours: float


@dataclass
class _Part:
    kind: PartKind
    work: SectionWork
    end: SectionEnd | None
    weight: Fraction = Fraction(0)
    missing: dict[str, None] = field(default_factory=dict)
    hours: float = 0.0


def break_down(works: Sequence[SectionWork], rows: Sequence[TakeoffRow], cost: Estimate, *, catalogue: Catalogue,
               rolls: Mapping[str, RollPlan],
               factors: Mapping[tuple[str, str], float] = MappingProxyType({})) -> tuple[PartCost, ...]:
    """The cost of every part, so that they add up to the subtotal and its mark-up exactly.

    What an item costs, waste and whole packs included, is shared out by where it ends up; hours by component, at the
    rate of the component. Parts of an end assembly are taken out of the section that it is charged to. Cents left
    over go to the parts that lost most by rounding.

    Args:
        works: Sections of all lines.
        rows: Materials of the same sections.
        cost: Their estimate.
        catalogue: End assemblies, items and ground classes.
        rolls: Item key to roll plan, for the roll joins of mesh.
        factors: Multipliers on hours, as for ``labour``.

    Returns:
        In order of sections: its run, gate or crossing, then the ends charged to it.
    """
    each = _cost_per_unit(rows, cost)
    rates = {row.description: row.each for row in cost.rows if row.item == LABOUR}
    net = {row.item: dict(row.by_section) for row in rows}
    parts: list[_Part] = []
    for work in works:
        parts += _parts_of(work, {item: found.get(work.section.id, 0.0) for item, found in net.items()}, each, rates,
                           catalogue, rolls, factors)
    amounts = _to_the_cent([part.weight for part in parts], cost.subtotal + cost.mark_up)
    return tuple(PartCost(p.kind, p.work.line, p.work.section.id, p.end, amount, tuple(p.missing), p.hours)
                 for p, amount in zip(parts, amounts, strict=True))


def _cost_per_unit(rows: Sequence[TakeoffRow], cost: Estimate) -> dict[str, Fraction | None]:
    """Item key to what a unit that ends up in the fence costs; None where a price is missing."""
    found: dict[str, Fraction | None] = {}
    for row in rows:
        amounts = [c.amount for c in cost.rows if c.item == row.item]
        known = [amount for amount in amounts if amount is not None]
        found[row.item] = None if len(known) < len(amounts) or not row.net else (
            sum(map(Fraction, known), Fraction(0)) / Fraction(row.net))
    return found


def _parts_of(work: SectionWork, quantities: Mapping[str, float], each: Mapping[str, Fraction | None],
              rates: Mapping[str, Decimal | None], catalogue: Catalogue, rolls: Mapping[str, RollPlan],
              factors: Mapping[tuple[str, str], float]) -> list[_Part]:
    def hours(ends: tuple[tuple[SectionEnd, str], ...]) -> dict[str, float]:
        found: dict[str, float] = {}
        for row in labour([replace(work, assemblies=ends)], catalogue=catalogue, rolls=rolls, factors=factors):
            found[row.work] = found.get(row.work, 0.0) + row.hours
        return found

    section = work.section
    body = _Part("gate" if section.is_gate else "crossing" if section.is_crossing else "run", work, None)
    left = dict(quantities)
    bare = hours(())
    ends = []
    for end, ground in work.assemblies:
        part = _Part("end", work, end)
        for item, quantity in _assembly_parts(catalogue, end):
            taken = min(quantity, left.get(item, 0.0))
            left[item] = left.get(item, 0.0) - taken
            _add_material(part, item, taken, each)
        with_it = hours(((end, ground),))
        _add_hours(part, {work_: h - bare.get(work_, 0.0) for work_, h in with_it.items()}, rates)
        ends.append(part)
    for item, quantity in left.items():
        _add_material(body, item, quantity, each)
    _add_hours(body, bare, rates)
    return [body, *ends]


def _assembly_parts(catalogue: Catalogue, end: SectionEnd) -> list[tuple[str, float]]:
    assembly = catalogue.assemblies[end.assembly]
    further = max(0, end.directions - 1)
    return [*assembly.parts, *((item, quantity * further) for item, quantity in assembly.parts_further if further)]


def _add_material(part: _Part, item: str, quantity: float, each: Mapping[str, Fraction | None]) -> None:
    if quantity <= 1e-9:
        return
    cost = each.get(item)
    if cost is None:
        part.missing[item] = None
    else:
        part.weight += cost * Fraction(quantity)


def _add_hours(part: _Part, hours: Mapping[str, float], rates: Mapping[str, Decimal | None]) -> None:
    for work, amount in hours.items():
        if amount <= 1e-9:
            continue
        own = f"Labour, {work}"
        rate = rates.get(own if own in rates else STANDARD_HOURS)
        part.hours += amount
        if rate is None:
            part.missing[LABOUR] = None
        else:
            part.weight += Fraction(rate) * Fraction(amount)


def _to_the_cent(weights: Sequence[Fraction], total: Decimal) -> list[Decimal]:
    """Amounts in proportion to weights that add up to a total exactly; cents go to the greatest remainders."""
    whole = sum(weights, Fraction(0))
    if not whole:
        return [Decimal("0.00") for _ in weights]
    exact = [weight / whole * Fraction(total) * 100 for weight in weights]
    cents = [e.numerator // e.denominator for e in exact]
    spare = int(total / _CENT) - sum(cents)
    for k in sorted(range(len(exact)), key=lambda k: (cents[k] - exact[k], k))[:spare]:
        cents[k] += 1
    return [Decimal(cent) * _CENT for cent in cents]
