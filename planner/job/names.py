"""Names of many things, each of its own, given one after the other."""

from __future__ import annotations

from collections.abc import Iterable


class Names:
    """Names that are in use; a wanted one that is taken gets the least number from 2 that makes it one of its own.

    Numbers that were given before are not tried again.

    Args:
        taken: Names that are in use already.

    Example:
        >>> names = Names({"Hill", "Hill (2)"})
        >>> names.own("Hill"), names.own("Hill"), names.own("Creek")
        ('Hill (3)', 'Hill (4)', 'Creek')
    """

    def __init__(self, taken: Iterable[str] = ()) -> None:
        self._taken = set(taken)
        self._tried: dict[str, int] = {}

    def own(self, name: str) -> str:
        """A name of its own for a wanted one; it is in use from now on."""
        number = self._tried.get(name, 1)
        given = name if number == 1 else f"{name} ({number})"
        while given in self._taken:
            number += 1
            given = f"{name} ({number})"
        self._tried[name] = number
        self._taken.add(given)
        return given
