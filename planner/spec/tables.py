"""One table of a catalogue file, read field by field, with one clear sentence for each thing wrong in it."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from typing import NoReturn, TypeVar

from planner.errors import BadFenceType

Choice = TypeVar("Choice", bound=str)
_KEY = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


def parse_toml(text: str, *, file: str, exact: bool = False) -> Mapping[str, object]:
    """The tables of a TOML text.

    Args:
        text: The text.
        file: What to call it in a message.
        exact: True to read numbers with a point as ``Decimal``, as amounts of money need.

    Raises:
        BadFenceType: The text is not TOML; says which line.
    """
    try:
        return tomllib.loads(text, parse_float=Decimal if exact else float)
    except ValueError as trouble:  # TOMLDecodeError is one; so is a number of thousands of digits
        raise BadFenceType(
            f"this is not a readable TOML file: {trouble}", where=file, remedy="correct that line") from trouble


def check_key(key: str, *, file: str) -> None:
    """Refuse a key that a person could not type on a command line or find in a price list.

    Args:
        key: Key of a fence type, item, end assembly or ground class.
        file: Name of the file, for messages.

    Raises:
        BadFenceType: It is not made of small letters and figures with single hyphens.
    """
    if not _KEY.fullmatch(key):
        raise BadFenceType(f"'{key}' is not a readable key", where=file,
                           remedy="use small letters and figures with single hyphens, a letter first")


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word nearest to a mistyped one; empty when none is near.

    Example:
        >>> nearest("hieght_mm", ["height_mm", "kind"])
        'height_mm'
    """
    return next(iter(difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)), "")


class Table:
    """One table of a catalogue file.

    Ask for each field by name and kind, then call ``finish``: whatever was not asked for is unknown. Numbers that
    are not finite, or outside their limits, are refused.

    Args:
        values: Field name to value, as read.
        file: Name of the file, for messages.
        name: Name of the table in the file; empty for the top of the file.
    """

    def __init__(self, values: Mapping[str, object], *, file: str, name: str = "") -> None:
        self.file = file
        self.name = name
        self._values = values
        self._asked: set[str] = set()

    def has(self, field: str) -> bool:
        """True when the field is given."""
        self._asked.add(field)
        return field in self._values

    def names(self) -> tuple[str, ...]:
        """Every field that is given, in the order written."""
        return tuple(self._values)

    def refuse(self, field: str, what: str, remedy: str) -> NoReturn:
        """Stop, naming file, table and field.

        Raises:
            BadFenceType: Always.
        """
        raise BadFenceType(what, where=self._where(field), remedy=remedy)

    def number(
        self, field: str, *, low: float, high: float, unit: str = "", default: float | None = None,
        above_low: bool = False,
    ) -> float:
        """A finite number within its limits.

        Args:
            field: Name of the field.
            low: Least value.
            high: Greatest value.
            unit: Unit, for messages.
            default: Value where the field is absent; None when it must be given.
            above_low: True when ``low`` itself is refused.

        Raises:
            BadFenceType: Missing, not a number, not finite, or outside the limits.
        """
        if default is not None and not self.has(field):
            return default
        return self._number_in(field, self._value(field), low, high, unit, above_low)

    def whole(self, field: str, *, low: int, high: int, default: int | None = None) -> int:
        """A whole number within its limits.

        Args:
            field: Name of the field.
            low: Least value.
            high: Greatest value.
            default: Value where the field is absent; None when it must be given.

        Raises:
            BadFenceType: Missing, not whole, or outside the limits.
        """
        number = self.number(field, low=low, high=high, default=default)
        if number != int(number):
            self.refuse(field, f"{number:g} is not a whole number", "give a whole number")
        return int(number)

    def numbers(self, field: str, *, low: float, high: float, unit: str = "") -> tuple[float, ...]:
        """A list of finite numbers within their limits; may be empty.

        Args:
            field: Name of the field.
            low: Least value.
            high: Greatest value.
            unit: Unit, for messages.

        Raises:
            BadFenceType: Missing, not a list, or a member is not such a number.
        """
        return tuple(self._number_in(field, v, low, high, unit, False) for v in self._list(field, "numbers"))

    def amount(self, field: str, *, low: int, high: int) -> Decimal:
        """A sum of money, or another exact number, within its limits.

        Args:
            field: Name of the field.
            low: Least value.
            high: Greatest value.

        Raises:
            BadFenceType: Missing, not a number, not finite, or outside the limits.
        """
        value = self._value(field)
        self._number_in(field, value, low, high, "", False)
        return Decimal(str(value))

    def text(self, field: str, *, default: str | None = None, may_be_blank: bool = False) -> str:
        """A text that is not blank, unless it may be.

        Args:
            field: Name of the field.
            default: Value where the field is absent; None when it must be given.
            may_be_blank: True to take a blank text too.

        Raises:
            BadFenceType: Missing, not a text, or blank.
        """
        if default is not None and not self.has(field):
            return default
        value = self._value(field)
        if not isinstance(value, str):
            self.refuse(field, f"{_shown(value)} is not a text", "put it in quotes")
        if not value.strip() and not may_be_blank:
            self.refuse(field, "the text is blank", "write something, or leave the field out if it may be left out")
        return value

    def texts(self, field: str, *, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
        """A list of texts.

        Args:
            field: Name of the field.
            default: Value where the field is absent; None when it must be given.

        Raises:
            BadFenceType: Missing, not a list, or a member is not a text.
        """
        if default is not None and not self.has(field):
            return default
        read: list[str] = []
        for value in self._list(field, "texts"):
            if not isinstance(value, str) or not value.strip():
                self.refuse(field, f"{_shown(value)} is not a text", "list texts in quotes")
            read.append(value)
        return tuple(read)

    def choice(self, field: str, known: tuple[Choice, ...]) -> Choice:
        """One of the known words.

        Args:
            field: Name of the field.
            known: Words that may stand there.

        Raises:
            BadFenceType: Missing, or not one of them; names the nearest.
        """
        value = self.text(field)
        for word in known:
            if value == word:
                return word
        near = nearest(value, known)
        self.refuse(field, f"'{value}' is not one of {', '.join(known)}",
                    f"did you mean '{near}'" if near else "use one of these")

    def yes_no(self, field: str, *, default: bool) -> bool:
        """True or false.

        Args:
            field: Name of the field.
            default: Value where the field is absent.

        Raises:
            BadFenceType: Something else stands there.
        """
        if not self.has(field):
            return default
        value = self._value(field)
        if not isinstance(value, bool):
            self.refuse(field, f"{_shown(value)} is neither true nor false", "write true or false")
        return value

    def table(self, field: str) -> Table:
        """A table inside this one.

        Args:
            field: Name of the table.

        Raises:
            BadFenceType: Missing, or not a table.
        """
        return self._inner(field, self._value(field), self._path(field))

    def tables(self, field: str) -> tuple[Table, ...]:
        """Tables of one name, written with double brackets; none when absent.

        Args:
            field: Name of the tables.

        Raises:
            BadFenceType: Something else stands there.
        """
        if not self.has(field):
            return ()
        members = self._list(field, f"tables, each headed [[{field}]]")
        return tuple(self._inner(field, v, f"{self._path(field)} {i}") for i, v in enumerate(members, start=1))

    def each(self) -> Iterator[tuple[str, Table]]:
        """Every field of this table as a table of its own, with its name.

        Raises:
            BadFenceType: A field is not a table.
        """
        for field in self._values:
            yield field, self.table(field)

    def amounts(self, field: str, *, high: float) -> tuple[tuple[str, float], ...]:
        """A table of names and positive amounts, in the order written.

        Args:
            field: Name of the table.
            high: Greatest amount.

        Raises:
            BadFenceType: Missing, not a table, or an amount is not a positive number.
        """
        inner = self.table(field)
        return tuple((n, inner.number(n, low=0.0, high=high, above_low=True)) for n in inner._values)

    def finish(self) -> None:
        """Refuse whatever was never asked for.

        Raises:
            BadFenceType: A field is not known; names the nearest known one.
        """
        for field in self._values:
            if field not in self._asked:
                near = nearest(field, self._asked - set(self._values)) or nearest(field, self._asked)
                self.refuse(field, "no such field",
                            f"did you mean '{near}'" if near else f"use {', '.join(sorted(self._asked))}")

    def _path(self, field: str) -> str:
        return f"{self.name}.{field}" if self.name else field

    def _where(self, field: str) -> str:
        return ", ".join(p for p in (self.file, f"[{self.name}]" if self.name else "", f"field '{field}'") if p)

    def _value(self, field: str) -> object:
        if self.has(field):
            return self._values[field]
        near = nearest(field, (k for k in self._values if k not in self._asked))
        if near:
            self.refuse(near, "no such field", f"did you mean '{field}'")
        self.refuse(field, "the field is missing", "add it; a shipped file shows how")

    def _list(self, field: str, of: str) -> list[object]:
        value = self._value(field)
        if not isinstance(value, list):
            self.refuse(field, f"{_shown(value)} is not a list", f"give a list of {of}")
        return list(value)

    def _inner(self, field: str, value: object, name: str) -> Table:
        if not isinstance(value, dict):
            self.refuse(field, f"{_shown(value)} is not a table", f"write it as a table headed [{name}]")
        return Table(value, file=self.file, name=name)

    def _number_in(self, field: str, value: object, low: float, high: float, unit: str, above_low: bool) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
            self.refuse(field, f"{_shown(value)} is not a number", "give a number without quotes")
        is_nan = isinstance(value, Decimal) and value.is_nan()  # that of a float fails every comparison
        if is_nan or not low <= value <= high or (above_low and value == low):
            limits = f"{'above' if above_low else 'from'} {low:g} to {high:g} {unit}".rstrip()
            self.refuse(field, f"{_shown(value)} is not a number {limits}", "give one inside these limits")
        return float(value)


def _shown(value: object) -> str:
    if isinstance(value, dict):
        return "a table"
    text = f"'{value}'" if isinstance(value, str) else str(value).lower() if isinstance(value, bool) else str(value)
    return text if len(text) <= 40 else f"{text[:37]}..."
