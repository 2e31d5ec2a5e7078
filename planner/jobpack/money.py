"""How money is written on sheets."""

from __future__ import annotations

from decimal import Decimal

from planner.jobpack.page.measures import MINUS


def money_text(amount: Decimal, currency: str = "") -> str:
    """An amount to the cent, thousands parted by thin spaces, the currency before it.

    Args:
        amount: The amount.
        currency: ISO 4217 code; empty to leave it out.

    Example:
        >>> money_text(Decimal("133197.72"), "AUD"), money_text(Decimal("-0.5"))
        ('AUD\\xa0133\\u202f197.72', '−0.50')
    """
    text = f"{abs(amount):,.2f}".replace(",", "\u202f")
    sign = MINUS if amount < 0 else ""
    return f"{currency}\u00a0{sign}{text}" if currency else f"{sign}{text}"
