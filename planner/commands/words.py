"""Words of a command line that are pairs, taken apart."""

from __future__ import annotations

from collections.abc import Sequence

from planner.errors import BadSetting


def pairs(words: Sequence[str], option: str, pattern: str) -> dict[str, str]:
    """Words such as ``x=3`` as names and values.

    Args:
        words: The words.
        option: The option they were given to, for the sentence when one is none.
        pattern: How one looks, for the same sentence.

    Raises:
        BadSetting: One has no name or no ``=``.

    Example:
        >>> pairs(["x=3", "y = 2"], "--columns", "x=3,y=2")
        {'x': '3', 'y': '2'}
    """
    found = {}
    for word in words:
        name, mark, value = word.partition("=")
        if not mark or not name.strip():
            raise BadSetting(f"'{word}' is not of the form {pattern}", where=option,
                             remedy="write a name, = and a value")
        found[name.strip()] = value.strip()
    return found


def columns_said(text: str) -> dict[str, str] | None:
    """What was said to ``--columns``; None when nothing was.

    Args:
        text: Pairs with commas between them.

    Raises:
        BadSetting: One of them is no pair.
    """
    return pairs(text.split(","), "--columns", "x=3,y=2") if text else None
