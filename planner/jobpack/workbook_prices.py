"""Which price each row of the workbook takes, and where on the sheet of prices it stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from planner.job.plan import JobPlan
from planner.materials.estimate import LABOUR, OWN_RATE, is_roll
from planner.materials.takeoff import TakeoffRow

SUMMARY, TO_BUY, TAKEOFF, ROLLS = "Summary", "To buy", "Takeoff", "Rolls"
HOURS, LOADS, PRICES, FINDINGS = "Hours", "Loads", "Prices", "To look at"
PRICE_COLUMN = 4
"""Column of the price itself on the sheet of prices."""
NO_PRICE = "no price"


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One row of the sheet of prices.

    Attributes:
        item: Item key.
        description: What it is.
        unit: Unit it is counted in.
        per: Quantity that the price is for, in that unit.
        price: The price; None when there is none.
        supplier: Who gave it.
        dated: When; None when it has no date.
        tax_class: ``standard`` or ``free``.
        is_stale: Whether it is older than the settings allow.
    """

    item: str
    description: str
    unit: str
    per: float
    price: Decimal | None
    supplier: str
    dated: date | None
    tax_class: str
    is_stale: bool = False


@dataclass(frozen=True, slots=True)
class Lot:
    """Packs or rolls of one size to buy.

    Attributes:
        row: The item.
        pack: Size of one. In the item's unit.
        packs: How many.
        price: Its row on the sheet of prices.
        amount: What they cost; None without a price.
    """

    row: TakeoffRow
    pack: float
    packs: int
    price: int
    amount: Decimal | None


@dataclass(frozen=True, slots=True)
class Rate:
    """Hours at one rate.

    Attributes:
        name: What the hours are called in the estimate.
        hours: How many. [h]
        price: Its row on the sheet of prices.
        amount: What they cost; None without a rate.
    """

    name: str
    hours: Decimal
    price: int
    amount: Decimal | None


@dataclass(frozen=True, slots=True)
class Priced:
    """All that is priced.

    Attributes:
        rows: Rows of the sheet of prices.
        lots: Materials.
        rates: Hours.
    """

    rows: tuple[PriceRow, ...]
    lots: tuple[Lot, ...]
    rates: tuple[Rate, ...]


def priced(plan: JobPlan) -> Priced:
    """Prices of everything that the estimate of a plan is made of.

    Args:
        plan: The plan.
    """
    rows: dict[tuple[str, float, str], PriceRow] = {}
    cost = iter(plan.estimate.rows)
    lots: list[Lot] = []
    for row in plan.materials:
        for pack, packs in row.lots or ((row.pack, row.packs),):
            if packs:
                found = _of(plan, row, pack)
                key = (row.item, found.per, "")
                rows.setdefault(key, found)
                lots.append(Lot(row, pack, packs, list(rows).index(key), next(cost).amount))
    rates: list[Rate] = []
    for hours in cost:
        key = (LABOUR, 1.0, hours.description)
        own = hours.supplier == OWN_RATE
        dated = date.fromisoformat(hours.dated) if hours.dated else None
        rows.setdefault(key, PriceRow(LABOUR, hours.description, "h", 1.0, hours.each, hours.supplier, dated,
                                      hours.tax_class, not own and LABOUR in plan.estimate.stale))
        rates.append(Rate(hours.description, hours.quantity, list(rows).index(key), hours.amount))
    return Priced(tuple(rows.values()), tuple(lots), tuple(rates))


def _of(plan: JobPlan, row: TakeoffRow, pack: float) -> PriceRow:
    price = plan.job.prices.of(row.item, unit=row.unit, pack=pack, is_roll=is_roll(row))
    if price is None:
        return PriceRow(row.item, row.description, row.unit, pack, None, "", None, "standard")
    return PriceRow(row.item, row.description, row.unit, price.pack, price.price, price.supplier, price.dated,
                    price.tax_class, row.item in plan.estimate.stale)
