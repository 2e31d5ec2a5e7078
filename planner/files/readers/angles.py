"""Angles as people write them: decimal degrees, degrees-minutes-seconds with signs, or packed into one number."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from planner.files.readers.attributes import number_in
from planner.units import Degree

_PACKED = re.compile(r"([+-]?)(\d+)(?:[.,](\d*))?")
_FIGURE = r"\d+(?:[.,]\d+)?"
_SIGNED = re.compile(
    rf"([+-]?)\s*({_FIGURE})\s*[°ºd:\s]\s*(?:({_FIGURE})\s*['′m:\s]?\s*)?(?:({_FIGURE})\s*(?:\"|″|'')?)?\s*([NSEWnsew])?"
)
_DIRECTED = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*([NSEW])", re.IGNORECASE)
ENOUGH_ROWS = 3


def from_packed(text: str) -> Degree | None:
    """Decimal degrees of a packed number DDD.MMSSssss; None when it is none.

    Digits are taken from the text, so that no rounding of the packed number turns 59 seconds into 60.

    Args:
        text: Such as ``-37.57037203`` for 37 degrees 57 minutes 03.7203 seconds south.

    Example:
        >>> round(from_packed("-37.57037203"), 9)
        -37.951033417
    """
    match = _PACKED.fullmatch(text.strip())
    if not match:
        return None
    digits = (match[3] or "").ljust(5, "0")
    minutes, seconds = int(digits[:2]), float(f"{digits[2:4]}.{digits[4:]}")
    if minutes >= 60 or seconds >= 60:
        return None
    value = int(match[2]) + minutes / 60.0 + seconds / 3600.0
    return -value if match[1] == "-" else value


def may_be_packed(texts: Sequence[str]) -> bool:
    """True when every number could be packed degrees, minutes and seconds: minute and second digits all below 60.

    A column of whole degrees, or with fewer than four digits behind the point, says nothing and gives False.

    Args:
        texts: Numbers of a column of latitudes or longitudes.
    """
    digits = [m[3] or "" for t in texts if (m := _PACKED.fullmatch(t.strip()))]
    if not digits or len(digits) < len(texts) or max(len(d.rstrip("0")) for d in digits) < 4:
        return False
    return all(from_packed(t) is not None for t in texts)


def from_text(text: str) -> Degree | None:
    """Decimal degrees of an angle written with signs, blanks or a letter for its direction; None when it is none.

    Args:
        text: Such as ``37°57'03.72"S``, ``37 57 03.72 S``, ``144.42 E`` or a plain number.

    Example:
        >>> round(from_text("37°57'03.7203\\"S"), 9), from_text("144.5 E"), from_text("-37.5"), from_text("gate")
        (-37.951033417, 144.5, -37.5, None)
    """
    text = text.strip().replace("\u2212", "-")
    plain = number_in(text)
    if plain is not None:
        return plain[0]
    directed = _DIRECTED.fullmatch(text)
    match = None if directed else _SIGNED.fullmatch(text)
    if directed:
        value, letter, sign = float(directed[1].replace(",", ".")), directed[2], ""
    elif match:
        degrees, minutes, seconds = (float((match[i] or "0").replace(",", ".")) for i in (2, 3, 4))
        if minutes >= 60 or seconds >= 60:
            return None
        value, letter, sign = degrees + minutes / 60.0 + seconds / 3600.0, match[5] or "", match[1]
    else:
        return None
    value = -value if sign == "-" else value
    value = -abs(value) if letter.upper() in ("S", "W") and letter else value
    return value if math.isfinite(value) else None
