"""Where a figure comes from. Printed beside the figure wherever a person reads it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """A document, and the place in it, that a figure or a rule was taken from.

    Attributes:
        document: Title with author or issuer.
        edition: Year or edition; empty when the document has none.
        place: Clause, table, page or chapter; empty when the whole document is meant.
    """

    document: str
    edition: str = ""
    place: str = ""

    def __str__(self) -> str:
        return ", ".join(part for part in (self.document, self.edition, self.place) if part)


COMMON_PRACTICE = Source("common practice, no source")
FROM_MEMORY = Source("from memory, not looked up; confirm before relying on it")
MECHANICS = Source("derived from statics and the strength of materials")
OWN_MODEL = Source("this program's own model of common practice")
