"""Days, amounts and figures as people type them into the records of a job."""

from __future__ import annotations

import math
from datetime import date, timedelta
from decimal import Decimal

from planner.errors import BadSetting
from planner.numerals import decimal_of

_MONEY_MOST = 10**10


def typed_day(text: str, where: str = "") -> date | None:
    """A day as typed; None for nothing.

    Args:
        text: Such as 2026-03-31.
        where: What it is typed for.

    Raises:
        BadSetting: It is no date.
    """
    said = text.strip()
    if said in ("", "–"):
        return None
    try:
        return date.fromisoformat(said)
    except ValueError:
        raise BadSetting(f"'{said}' is no date", where=where, remedy="write it as 2026-03-31") from None


def day_gone_by(text: str, where: str = "", *, today: date | None = None) -> date | None:
    """A day on which something happened, as typed; None for nothing.

    Args:
        text: Such as 2026-03-31.
        where: What it is typed for.
        today: The day; that of the machine when None. Tomorrow passes too: it is today already further east.

    Raises:
        BadSetting: It is no date, or has not come yet.
    """
    day = typed_day(text, where)
    if day is not None and day > (today or date.today()) + timedelta(days=1):
        raise BadSetting(f"{day} has not come yet", where=where, remedy="give the day on which it happened")
    return day


def typed_number(text: str, where: str, *, low: float, high: float) -> float:
    """A figure as typed.

    Args:
        text: The figure, with a decimal point or comma; a per cent sign may follow.
        where: What it is typed for.
        low: Least that it may be.
        high: Most that it may be.

    Raises:
        BadSetting: It is no number within its limits.
    """
    said = text.strip().removesuffix("%").strip()
    found = decimal_of(said)
    number = math.nan if found is None else float(found)
    if not low <= number <= high:
        raise BadSetting(f"'{said}' is not a number from {low:g} to {high:g}", where=where,
                         remedy="give one inside these limits")
    return number


def typed_money(text: str, where: str = "") -> Decimal | None:
    """An amount of money as typed; None for nothing.

    Args:
        text: The amount, with a decimal point or comma.
        where: What it is typed for.

    Raises:
        BadSetting: It is no amount, is below zero, or is ten thousand million or more.
    """
    said = text.strip()
    if said in ("", "–"):
        return None
    amount = decimal_of(said)
    if amount is None or not 0 <= amount < _MONEY_MOST:
        raise BadSetting(f"'{said}' is no amount of money", where=where,
                         remedy="give a number such as 1234.50 or 1234,50, not below zero")
    return amount
