"""Which post of a family to buy: the shortest that is long enough."""

from __future__ import annotations

from collections.abc import Mapping

from planner.errors import BadFenceType
from planner.spec.items import Item
from planner.units import Metre

_SLACK_M = 1e-9


def choose_post(items: Mapping[str, Item], *, family: str, length_m: Metre) -> str:
    """Item key of the shortest post of a family that is long enough.

    Args:
        items: Items by key.
        family: Family of the post, such as ``steel-post``.
        length_m: Least length, height above ground plus depth in it. [m] A post of just this length will do.

    Raises:
        BadFenceType: The family is unknown, or no post of it is long enough.

    Example:
        >>> short, long = (Item(f"steel-{n}", "", "each", family="steel", length_m=n / 1000) for n in (1650, 1800))
        >>> choose_post({short.key: short, long.key: long}, family="steel", length_m=1.7)
        'steel-1800'
    """
    lengths = sorted((item.length_m, key) for key, item in items.items()
                     if item.family == family and item.length_m is not None)
    for length, key in lengths:
        if length >= length_m - _SLACK_M:
            return key
    known = f"the longest is {lengths[-1][0]:.2f} m" if lengths else "there is none of that family at all"
    raise BadFenceType(f"no post is {length_m:.2f} m long or longer ({known})", where=f"post family '{family}'",
                       remedy="add a longer post to the items, or make the fence lower or its posts shallower")
