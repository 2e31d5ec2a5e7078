"""Estimate: quantities times prices, in exact decimal money. A missing price is never zero."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from planner.materials.labour import LabourRow
from planner.materials.prices import Price, PriceList, as_decimal
from planner.materials.takeoff import TakeoffRow
from planner.settings import Settings

LABOUR = "labour"
_CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class CostRow:
    """One line of the estimate.

    Attributes:
        item: Item key, or ``labour``.
        description: What it is.
        quantity: Packs or hours.
        unit: Unit of the quantity.
        each: Price of one. None when no price is known.
        amount: quantity x each. None when no price is known.
        supplier: Who priced it; empty when no price is known.
        dated: ISO date of the price; empty when no price is known.
    """

    item: str
    description: str
    quantity: Decimal
    unit: str
    each: Decimal | None
    amount: Decimal | None
    supplier: str
    dated: str


@dataclass(frozen=True, slots=True)
class Estimate:
    """Cost of a job.

    Attributes:
        currency: ISO 4217 code.
        rows: One for each item bought and for labour.
        subtotal: Sum of the amounts that are known.
        tax: Tax on them.
        total: subtotal + tax.
        complete: True when every row has a price.
        missing: Item keys without a price.
        stale: Item keys whose price is older than the settings allow; empty when no date was given.
    """

    currency: str
    rows: tuple[CostRow, ...]
    subtotal: Decimal
    tax: Decimal
    total: Decimal
    complete: bool
    missing: tuple[str, ...]
    stale: tuple[str, ...] = ()


def estimate(rows: Sequence[TakeoffRow], labour: Sequence[LabourRow], prices: PriceList, settings: Settings, *,
             today: date | None = None) -> Estimate:
    """What a job costs: everything ordered, and labour, at the prices of a list.

    Each amount is rounded to the cent, half a cent up; tax is taken once on the sum of the taxed amounts and rounded
    the same way. A row without a price has no amount, the sums leave it out, and the estimate says it is incomplete.

    Args:
        rows: Materials. Roll goods are priced by roll length.
        labour: Person-hours; priced by the item ``labour``, one hour a pack.
        prices: Price list.
        settings: Currency, tax rate and the age at which a price is stale.
        today: Day against which prices are stale; None to leave that out.
    """
    costs: list[CostRow] = []
    used: list[Price | None] = []
    for row in rows:
        for pack, packs in row.lots or ((row.pack, row.packs),):
            if packs:
                price = prices.of(row.item, unit=row.unit, pack=pack, is_roll=_is_roll(row))
                costs.append(_material(row, pack, packs, price))
                used.append(price)
    hours = sum((as_decimal(round(r.hours, 6)) for r in labour), Decimal(0)).quantize(_CENT, ROUND_HALF_UP)
    if hours:
        price = prices.of(LABOUR, unit="h", pack=1.0)
        costs.append(_cost(LABOUR, "Labour, person-hours", hours, "h", price))
        used.append(price)
    return _summed(costs, used, settings, today)


def _is_roll(row: TakeoffRow) -> bool:
    return row.unit == "m" and row.pack > 1


def _material(row: TakeoffRow, pack: float, packs: int, price: Price | None) -> CostRow:
    size = price.pack if price is not None else pack
    quantity = as_decimal(pack) * packs / as_decimal(size)
    unit = row.unit if size == 1 else f"pack of {size:g} {row.unit}"
    what = f"{row.description}, {pack:g} m roll" if _is_roll(row) else row.description
    if _is_roll(row) and size == pack:
        unit = f"roll of {pack:g} m"
    return _cost(row.item, what, quantity, unit, price)


def _cost(item: str, description: str, quantity: Decimal, unit: str, price: Price | None) -> CostRow:
    if price is None:
        return CostRow(item, description, quantity, unit, None, None, "", "")
    amount = (quantity * price.price).quantize(_CENT, ROUND_HALF_UP)
    return CostRow(item, description, quantity, unit, price.price, amount, price.supplier, price.dated.isoformat())


def _summed(costs: Sequence[CostRow], used: Sequence[Price | None], settings: Settings, today: date | None) -> Estimate:
    known = [(c.amount, p) for c, p in zip(costs, used, strict=True) if c.amount is not None and p is not None]
    subtotal = sum((amount for amount, _ in known), Decimal("0.00"))
    taxed = sum((amount for amount, price in known if price.tax_class != "free"), Decimal("0.00"))
    tax = (taxed * as_decimal(settings.tax_rate)).quantize(_CENT, ROUND_HALF_UP)
    missing = tuple(dict.fromkeys(c.item for c in costs if c.amount is None))
    stale = tuple(dict.fromkeys(
        p.item for _, p in known if today is not None and (today - p.dated).days > settings.price_stale_days))
    return Estimate(settings.currency, tuple(costs), subtotal, tax, subtotal + tax, not missing, missing, stale)
