"""Estimate: quantities times prices, in exact decimal money. A missing price is never zero."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from types import MappingProxyType

from planner.materials.labour import LabourRow
from planner.materials.prices import Price, PriceList, as_decimal
from planner.materials.takeoff import TakeoffRow
from planner.settings import Settings

LABOUR = "labour"
STANDARD_HOURS = "Labour, person-hours"
OWN_RATE = "own rate"
"""Supplier of the hours whose rate stands in the quote terms; such a rate has no date and is never stale."""
_UNDATED = date.max
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
        dated: ISO date of the price; empty when no price is known, or when it has none.
        tax_class: ``standard`` or ``free``.
    """

    item: str
    description: str
    quantity: Decimal
    unit: str
    each: Decimal | None
    amount: Decimal | None
    supplier: str
    dated: str
    tax_class: str = "standard"


@dataclass(frozen=True, slots=True)
class Estimate:
    """Cost of a job.

    Attributes:
        currency: ISO 4217 code.
        rows: One for each item bought and for labour.
        subtotal: Sum of the amounts that are known.
        tax: Tax on them, mark-up included.
        total: subtotal + mark_up + tax.
        complete: True when every row has a price.
        missing: Item keys without a price.
        stale: Item keys whose price is older than the settings allow; empty when no date was given.
        mark_up: Mark-up on the subtotal.
        mark_up_rate: Its rate, a share.
    """

    currency: str
    rows: tuple[CostRow, ...]
    subtotal: Decimal
    tax: Decimal
    total: Decimal
    complete: bool
    missing: tuple[str, ...]
    stale: tuple[str, ...] = ()
    mark_up: Decimal = Decimal("0.00")
    mark_up_rate: Decimal = Decimal(0)


def estimate(rows: Sequence[TakeoffRow], labour: Sequence[LabourRow], prices: PriceList, settings: Settings, *,
             today: date | None = None, rates: Mapping[str, Decimal] = MappingProxyType({}),
             mark_up: Decimal = Decimal(0)) -> Estimate:
    """What a job costs: everything ordered, and labour, at the prices of a list.

    Each amount is rounded to the cent, half a cent up; tax is taken once on the sum of the taxed amounts and rounded
    the same way, mark-up on taxed amounts included. A row without a price has no amount, the sums leave it out, and
    the estimate says it is incomplete.

    Args:
        rows: Materials. Roll goods are priced by roll length.
        labour: Person-hours; priced by the item ``labour``, one hour a pack.
        prices: Price list.
        settings: Currency, tax rate and the age at which a price is stale.
        today: Day against which prices are stale; None to leave that out.
        rates: Labour component to the price of a person-hour of it, where that is not the price of ``labour``.
        mark_up: Share added to the subtotal before tax.
    """
    costs: list[CostRow] = []
    used: list[Price | None] = []
    for row in rows:
        for pack, packs in row.lots or ((row.pack, row.packs),):
            if packs:
                price = prices.of(row.item, unit=row.unit, pack=pack, is_roll=is_roll(row))
                costs.append(_material(row, pack, packs, price))
                used.append(price)
    standard = prices.of(LABOUR, unit="h", pack=1.0)
    for row_of_hours, hours, price in _labour(labour, standard, rates):
        costs.append(_cost(LABOUR, row_of_hours, hours, "h", price))
        used.append(price)
    return _summed(costs, used, settings, today, mark_up)


def _labour(labour: Sequence[LabourRow], standard: Price | None,
            rates: Mapping[str, Decimal]) -> Iterator[tuple[str, Decimal, Price | None]]:
    """Description, hours and price of an hour: all that is done at the standard rate, then each rate of its own."""
    for work in (None, *dict.fromkeys(row.work for row in labour if row.work in rates)):
        exact = (as_decimal(round(r.hours, 6)) for r in labour if (r.work if r.work in rates else None) == work)
        hours = sum(exact, Decimal(0)).quantize(_CENT, ROUND_HALF_UP)
        if not hours:
            continue
        if work is None:
            yield STANDARD_HOURS, hours, standard
        else:
            tax_class = standard.tax_class if standard is not None else "standard"
            yield f"Labour, {work}", hours, Price(LABOUR, "h", 1.0, rates[work], OWN_RATE, _UNDATED, tax_class)


def is_roll(row: TakeoffRow) -> bool:
    """Whether an item is bought in rolls or coils, each priced by its own length.

    Args:
        row: The item.
    """
    return row.unit == "m" and row.pack > 1


def _material(row: TakeoffRow, pack: float, packs: int, price: Price | None) -> CostRow:
    size = price.pack if price is not None else pack
    quantity = as_decimal(pack) * packs / as_decimal(size)
    unit = row.unit if size == 1 else f"pack of {size:g} {row.unit}"
    what = f"{row.description}, {pack:g} m roll" if is_roll(row) else row.description
    if is_roll(row) and size == pack:
        unit = f"roll of {pack:g} m"
    return _cost(row.item, what, quantity, unit, price)


def _cost(item: str, description: str, quantity: Decimal, unit: str, price: Price | None) -> CostRow:
    if price is None:
        return CostRow(item, description, quantity, unit, None, None, "", "")
    amount = (quantity * price.price).quantize(_CENT, ROUND_HALF_UP)
    dated = "" if price.dated == _UNDATED else price.dated.isoformat()
    return CostRow(item, description, quantity, unit, price.price, amount, price.supplier, dated, price.tax_class)


def _summed(costs: Sequence[CostRow], used: Sequence[Price | None], settings: Settings, today: date | None,
            rate: Decimal) -> Estimate:
    known = [(c.amount, p) for c, p in zip(costs, used, strict=True) if c.amount is not None and p is not None]
    subtotal = sum((amount for amount, _ in known), Decimal("0.00"))
    taxed = sum((amount for amount, price in known if price.tax_class != "free"), Decimal("0.00"))
    mark_up = (subtotal * rate).quantize(_CENT, ROUND_HALF_UP)
    mark_up_taxed = (taxed * rate).quantize(_CENT, ROUND_HALF_UP)
    tax = ((taxed + mark_up_taxed) * as_decimal(settings.tax_rate)).quantize(_CENT, ROUND_HALF_UP)
    missing = tuple(dict.fromkeys(c.item for c in costs if c.amount is None))
    stale = tuple(dict.fromkeys(
        p.item for _, p in known if today is not None and (today - p.dated).days > settings.price_stale_days))
    total = subtotal + mark_up + tax
    return Estimate(settings.currency, tuple(costs), subtotal, tax, total, not missing, missing, stale, mark_up, rate)
