"""Prices: a price list with supplier and date. None is ever shipped or invented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Price:
    """What one pack of an item costs.

    Attributes:
        item: Item key; ``labour`` for a person-hour.
        unit: Unit the pack is counted in; must be the item's.
        pack: Quantity the price is for, in that unit.
        price: Price of the pack, before tax.
        supplier: Who said so.
        dated: When.
        tax_class: ``standard`` or ``free``.
    """

    item: str
    unit: str
    pack: float
    price: Decimal
    supplier: str
    dated: date
    tax_class: str = "standard"


@dataclass(frozen=True)
class PriceList:
    """Prices by item; for roll goods by item and roll length.

    Attributes:
        prices: (item key, pack) to price.
    """

    prices: Mapping[tuple[str, float], Price] = field(default_factory=dict)
