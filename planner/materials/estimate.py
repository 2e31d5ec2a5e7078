"""Estimate: quantities times prices, in exact decimal money. A missing price is never zero."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


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
    """

    currency: str
    rows: tuple[CostRow, ...]
    subtotal: Decimal
    tax: Decimal
    total: Decimal
    complete: bool
    missing: tuple[str, ...]
