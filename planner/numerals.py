"""Numbers as people write them: with a decimal point or a decimal comma, with thousands set apart or not."""

from __future__ import annotations

import re
from decimal import Decimal

_PLAIN = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d{1,3})?", re.ASCII | re.IGNORECASE)
_COMMA = re.compile(r"[-+]?\d*,\d+", re.ASCII)
_GROUPED = (re.compile(r"[-+]?\d{1,3}(?:,\d{3})+(?:\.\d+)?", re.ASCII),
            re.compile(r"[-+]?\d{1,3}(?:\.\d{3})+,\d+|[-+]?\d{1,3}(?:\.\d{3}){2,}", re.ASCII))
_TWO_WAYS = re.compile(r"[-+]?[1-9]\d{0,2},\d{3}")


def decimal_of(text: str) -> Decimal | None:
    """The number that a text holds, with a decimal point or a decimal comma; None when it holds none.

    Spaces are passed over, and thousands may be set apart by the mark that is not the decimal one. ``1,234`` can be
    read in two ways, and so holds none.

    Args:
        text: The number, without a unit.

    Example:
        >>> decimal_of("12,50"), decimal_of("1.234,50"), decimal_of("1,234.50"), decimal_of("1,234")
        (Decimal('12.50'), Decimal('1234.50'), Decimal('1234.50'), None)
    """
    bare = "".join(text.split())
    if reads_two_ways(bare):
        return None
    if _COMMA.fullmatch(bare):
        return Decimal(bare.replace(",", "."))
    if _GROUPED[0].fullmatch(bare):
        return Decimal(bare.replace(",", ""))
    if _GROUPED[1].fullmatch(bare):
        return Decimal(bare.replace(".", "").replace(",", "."))
    return Decimal(bare) if _PLAIN.fullmatch(bare) else None


def with_point(text: str) -> str:
    """The number that a text holds, written with a decimal point; any other text as it is.

    Args:
        text: What was typed; of ``1,234``, which can be read in two ways, the reader that comes next makes no number.

    Example:
        >>> with_point("12,5"), with_point("1.234,5"), with_point("1,234"), with_point("survey")
        ('12.5', '1234.5', '1,234', 'survey')
    """
    found = decimal_of(text)
    return text.strip() if found is None else str(found)


def reads_two_ways(number: str) -> bool:
    """Whether the comma of a number may be a decimal mark or set thousands apart, as that of ``1,234`` may.

    Args:
        number: The number, without spaces.

    Example:
        >>> reads_two_ways("1,234"), reads_two_ways("12,34"), reads_two_ways("0,125")
        (True, False, False)
    """
    return _TWO_WAYS.fullmatch(number) is not None
