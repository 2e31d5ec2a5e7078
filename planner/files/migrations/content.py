"""What stands in a job file, as rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

Rows = Sequence[tuple[Any, ...]]


@dataclass(frozen=True)
class Content:
    """The rows of a job file.

    Attributes:
        format: Its format, ``major.minor``.
        features: Layer name to rows, the geometry first.
        tables: Table name to rows.
    """

    format: str
    features: Mapping[str, Rows]
    tables: Mapping[str, Rows]

    def with_tables(self, names: Iterable[str], *, after: str) -> Content:
        """The content in a later format, with tables that it did not have yet, empty.

        Args:
            names: The tables.
            after: The later format.
        """
        return replace(self, format=after, tables={**{name: [] for name in names}, **self.tables})
