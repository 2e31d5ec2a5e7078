"""What a job file holds that this version does not know: carried along unread, so that saving loses none of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class UnreadTable:
    """A table that this version does not know.

    Attributes:
        name: Its name.
        columns: Name, SQL type and place in the key (0 for none) of each column.
        rows: Its values, as they stand in the file.
        contents: How it was registered: kind of table, identifier, description, four bounds, number of its
            coordinate system; empty when it was not.
        geometry: Column, type, number of the coordinate system and the marks for z and m; empty without a geometry.
        extensions: Column (None for the table), name, definition and scope of each extension it was registered under.
    """

    name: str
    columns: tuple[tuple[str, str, int], ...]
    rows: tuple[Row, ...]
    contents: Row = ()
    geometry: Row = ()
    extensions: tuple[Row, ...] = ()


@dataclass(frozen=True, slots=True)
class UnreadColumn:
    """A column that this version does not know, in a table that it does.

    Attributes:
        table: The table.
        name: The column.
        kind: Its SQL type.
        values: For each row that has one: what the row is known by, the how-manieth of that key it is, the value.
    """

    table: str
    name: str
    kind: str
    values: tuple[tuple[Row, int, Any], ...]


@dataclass(frozen=True, slots=True)
class Unread:
    """Everything of a job file that this version does not know.

    Attributes:
        format: Format of the file when it is newer than this version's; empty otherwise.
        rows: Table and row of each name that a table of names and values has and this version does not know.
        columns: Columns.
        tables: Tables.
        systems: Rows of the coordinate systems that those tables use.
    """

    format: str = ""
    rows: tuple[tuple[str, Row], ...] = ()
    columns: tuple[UnreadColumn, ...] = ()
    tables: tuple[UnreadTable, ...] = ()
    systems: tuple[Row, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.format or self.rows or self.columns or self.tables)

    @property
    def words(self) -> str:
        """What it is, for a person; empty for nothing."""
        parts = [f"the table '{table.name}'" for table in self.tables]
        parts += [f"the column '{column.name}' of '{column.table}'" for column in self.columns]
        parts += [f"'{row[-2]}' in '{table}'" for table, row in self.rows]
        return ", ".join(parts)


def with_line_renamed(unread: Unread, old: str, new: str) -> Unread:
    """What is unread, with what hangs on a line hanging on its new name.

    Args:
        unread: What is unread.
        old: Name of the line.
        new: Its new name.
    """
    if not unread.columns and not unread.rows:
        return unread
    rows = tuple((table, (new, *row[1:]) if table in ON_LINES and row[0] == old else row) for table, row in unread.rows)
    return replace(unread, rows=rows, columns=tuple(replace(column, values=tuple(
        ((new, *key[1:]) if column.table in ON_LINES and key[0] == old else key, count, value)
        for key, count, value in column.values)) for column in unread.columns))


ON_LINES = ("lines", "gates", "crossings", "strainwright_stretches", "strainwright_corners", "strainwright_levels",
            "strainwright_line_facts", "strainwright_progress", "strainwright_inspections", "strainwright_losses",
            "strainwright_built")
"""Tables whose rows are known by their line first."""
