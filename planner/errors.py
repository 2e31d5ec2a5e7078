"""Expected failures. Each says what happened, to what, and what to do about it: one sentence for each part."""

from __future__ import annotations


class PlannerError(Exception):
    """An expected failure that a person can do something about.

    Args:
        what: What happened, as a clause without a full stop.
        where: What it happened to: a file, a row, a line, a setting. May be empty.
        remedy: What to do, as a clause without a full stop. May be empty.
    """

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        self.what = what
        self.where = where
        self.remedy = remedy
        super().__init__(str(self))

    def __str__(self) -> str:
        head = f"{self.where}: {self.what}" if self.where else self.what
        return f"{head}; {self.remedy}." if self.remedy else f"{head}."


class FileTrouble(PlannerError):
    """A file is missing, cannot be read or written, or is not what its name says."""


class TooLarge(FileTrouble):
    """A file is so large that a person is asked before it is read."""


class GridTrouble(PlannerError):
    """A coordinate system is missing, unusable, or cannot be reached from another with known accuracy."""


class OutOfRange(PlannerError):
    """A value lies outside the limits within which a rule holds."""


class BadFenceType(PlannerError):
    """A fence type, item list or assembly list breaks the rules of its own file."""


class BadSetting(PlannerError):
    """A setting has no such name, or its value cannot be used."""


class JobTrouble(PlannerError):
    """A job file cannot be opened, is newer than this program, or would be overwritten."""


class PriceTrouble(PlannerError):
    """A price list cannot be used."""


class NothingToPlan(PlannerError):
    """The sources hold no line that can be fenced."""


class Cancelled(Exception):
    """The user asked for the work to stop; nothing half-done is kept."""
