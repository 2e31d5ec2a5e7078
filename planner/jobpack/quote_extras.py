"""Rates for what may come up: worked out from the job's own prices alone, and to be agreed where there are none."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal

from planner.job.plan import JobPlan
from planner.job.quote_terms import Extra
from planner.jobpack.workbook_prices import priced
from planner.materials.estimate import LABOUR
from planner.materials.prices import as_decimal
from planner.spec.fence_type import FenceType

_CENT = Decimal("0.01")
_HARD = "ledge"


def quote_extras(plan: JobPlan) -> tuple[Extra, ...]:
    """Rates for extras, before tax and with the mark-up in them; the price of one is None where it is to be agreed.

    An extra end is its parts and its hours at the job's prices; an extra gate is the gate and the hours of hanging
    it; a post in rock is the hours that it takes above one in soil. Then the extras of the quote terms.

    Args:
        plan: The plan.
    """
    found: dict[tuple[str, str], Extra] = {}
    rates = _Rates(plan)
    for fence in dict.fromkeys(line.fence.key for line in plan.lines):
        kind = next(line.fence for line in plan.lines if line.fence.key == fence)
        for extra in (*_ends(rates, kind), *_rock(rates, kind)):
            found.setdefault((extra.what, extra.unit), extra)
    for extra in (*_gates(rates), Extra("Person-hour", "h", rates.marked_up(rates.hour(""))), *plan.job.terms.extras):
        found.setdefault((extra.what, extra.unit), extra)
    return tuple(found.values())


class _Rates:
    """Prices of single units, as the job holds them."""

    def __init__(self, plan: JobPlan) -> None:
        self.plan = plan
        self._units: dict[str, Decimal] = {}
        for row in priced(plan).rows:
            if row.price is not None and row.item != LABOUR:
                self._units.setdefault(row.item, row.price / as_decimal(row.per))

    def unit(self, item: str) -> Decimal | None:
        if item not in self._units:
            known = self.plan.catalogue.items.get(item)
            packs = () if known is None else (known.pack, *known.stock_m, 1.0)
            for pack in packs:
                price = self.plan.job.prices.of(item, unit=known.unit if known else "", pack=pack)
                if price is not None:
                    return price.price / as_decimal(price.pack)
        return self._units.get(item)

    def hour(self, work: str) -> Decimal | None:
        own = self.plan.job.terms.rate_of.get(work)
        if own is not None:
            return own
        price = self.plan.job.prices.of(LABOUR, unit="h", pack=1.0)
        return None if price is None else price.price

    def factor(self, work: str) -> Decimal:
        return as_decimal(self.plan.job.terms.factor_of.get((work, ""), 1.0))

    def marked_up(self, amount: Decimal | None) -> Decimal | None:
        if amount is None:
            return None
        return (amount * (1 + self.plan.job.terms.mark_up)).quantize(_CENT, ROUND_HALF_UP)

    def work(self, hours: float, work: str) -> Decimal | None:
        rate = self.hour(work)
        return None if rate is None else as_decimal(hours) * self.factor(work) * rate


def _ends(rates: _Rates, fence: FenceType) -> Iterator[Extra]:
    for key in dict.fromkeys((fence.ends.double if fence.pull_n > fence.ends.double_above_n else fence.ends.single,
                              fence.ends.gate)):
        assembly = rates.plan.catalogue.assemblies.get(key)
        if assembly is None:
            continue
        parts = [_times(quantity, rates.unit(item)) for item, quantity in assembly.parts]
        cost = _sum([*parts, rates.work(fence.labour.end, "end assemblies")])
        yield Extra(f"Extra end: {assembly.description}, one direction of pull", "each", rates.marked_up(cost))


def _gates(rates: _Rates) -> Iterator[Extra]:
    hung = {work.gate_item: work.fence for line in rates.plan.lines for work in line.works if work.gate_item}
    for item, fence in hung.items():
        cost = _sum([rates.unit(item), rates.work(fence.labour.gate, "gates")])
        yield Extra(f"Extra gate: {rates.plan.catalogue.items[item].description}, hung; its two ends not counted",
                    "each", rates.marked_up(cost))
    if not hung:
        yield Extra("Extra gate, hung; its two ends not counted", "each", None)


def _rock(rates: _Rates, fence: FenceType) -> Iterator[Extra]:
    ground = rates.plan.catalogue.grounds.get(_HARD)
    if ground is None:
        return
    work = "steel line posts"
    factor = rates.plan.job.terms.factor_of.get((work, _HARD), ground.posts_factor)
    each = fence.labour.steel_post or fence.labour.timber_post
    more = rates.work(each * max(0.0, factor - 1.0), work)
    yield Extra(f"Rock: line post, {ground.description}, above one in soil ({fence.name})", "each",
                rates.marked_up(more))


def _times(quantity: float, price: Decimal | None) -> Decimal | None:
    return None if price is None else as_decimal(quantity) * price


def _sum(amounts: list[Decimal | None]) -> Decimal | None:
    known = [amount for amount in amounts if amount is not None]
    return sum(known, Decimal(0)) if len(known) == len(amounts) else None
