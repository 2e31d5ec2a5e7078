"""What stands on the ground beside the fences: each thing with its shape, its meaning and its facts."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Feature:
    """Something on the ground that is not a fence to be built.

    Attributes:
        name: Name on the sheets.
        meaning: What it is for the job: a key of ``survey.feature_meanings.MEANINGS``; another text is kept and shown,
            and no check knows it.
        wkt: Its shape in the working grid, as OGC well-known text. [m]
        attributes: Further facts, as texts; those that checks read are named by its meaning.
        origin: File and row it was read from.
    """

    name: str
    meaning: str
    wkt: str
    attributes: tuple[tuple[str, str], ...] = ()
    origin: str = ""

    def fact(self, key: str, default: str = "") -> str:
        """One of its facts as text.

        Args:
            key: Name of the fact.
            default: What to give where it says nothing.
        """
        return next((value for name, value in self.attributes if name == key and value != ""), default)
