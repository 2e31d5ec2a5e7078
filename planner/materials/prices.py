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

    def of(self, item: str, *, unit: str, pack: float, is_roll: bool = False) -> Price | None:
        """The price to use for a pack: its own, else that of a smaller pack that goes into it evenly.

        A roll is priced by its own length or by the metre, never by a roll of another length. A price in another
        unit is no price.

        Args:
            item: Item key.
            unit: Unit the item is counted in.
            pack: Size of the pack or length of the roll, in that unit.
            is_roll: True for goods sold in rolls.

        Example:
            >>> each = Price("post", "each", 1.0, Decimal("5.00"), "store", date(2026, 1, 1))
            >>> PriceList({("post", 1.0): each}).of("post", unit="each", pack=10.0) == each
            True
        """
        exact = self.prices.get((item, pack))
        if exact is not None and exact.unit == unit:
            return exact
        fitting = [p for p in self.prices.values() if p.item == item and p.unit == unit and p.pack < pack
                   and as_decimal(pack) % as_decimal(p.pack) == 0 and (p.pack == 1 or not is_roll)]
        return max(fitting, key=lambda p: p.pack, default=None)


def as_decimal(value: float) -> Decimal:
    """A quantity as the decimal number a person would write.

    Args:
        value: Quantity, in any unit.

    Example:
        >>> as_decimal(402.3)
        Decimal('402.3')
    """
    return Decimal(repr(float(value)))
