"""What a job file holds that this version does not know: taken out of the file, and put back into the next.

Tables of the standard itself (``gpkg_``) and spatial indexes are left to whoever made them: they are made again from
the tables. Statements of the file are never run; tables are made from the names and types of their columns.
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from planner.job.unread import ON_LINES, Row, Unread, UnreadColumn, UnreadTable

DERIVED = ("sections", "posts", "joins", "pegs")
"""Tables that are computed and written anew with every save."""
_NOT_KEPT = ("gpkg_", "rtree_", "sqlite_")
_TYPE_LETTERS = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_(), ")
_KEYS: dict[str, tuple[str, ...]] = {"gates": ("line", "name"), "crossings": ("line", "name"),
                                     "strainwright_line_facts": ("line", "name")}

Known = dict[str, tuple[str, ...]]


def unread_of(database: sqlite3.Connection, known: Known, *, newer: str, rows: Sequence[tuple[str, Row]]) -> Unread:
    """What a job file holds beyond what is known.

    Args:
        database: The file.
        known: Table to its known columns, besides its key and its geometry.
        newer: Format of the file, when it is newer than this version's; empty otherwise.
        rows: Rows of known tables whose names are not known.
    """
    there = [str(name) for name, sql in database.execute("SELECT name, sql FROM sqlite_master WHERE type = 'table'")
             if not str(sql).upper().startswith("CREATE VIRTUAL")]
    computed = {name.casefold() for name in DERIVED}
    strange = [name for name in there if name not in known and name.casefold() not in computed
               and not name.lower().startswith(_NOT_KEPT)]
    tables = tuple(_table(database, name) for name in strange)
    columns = tuple(column for name in there if name in known for column in _columns(database, name, known[name]))
    wanted = {table.geometry[2] for table in tables if table.geometry}
    systems = tuple(row for row in database.execute("SELECT * FROM gpkg_spatial_ref_sys") if row[1] in wanted) \
        if wanted else ()
    return Unread(newer, tuple(rows), columns, tables, systems)


def put_back(database: sqlite3.Connection, unread: Unread) -> None:
    """Puts what was unread into a job file that holds everything else.

    Args:
        database: The file being written.
        unread: What was unread when the job was opened.
    """
    there = {str(row[0]).casefold() for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    database.executemany("INSERT OR IGNORE INTO gpkg_spatial_ref_sys VALUES (?,?,?,?,?,?)", unread.systems)
    for named, row in unread.rows:
        database.execute(f"INSERT INTO {_quoted(named)} (name, value) VALUES (?, ?)" if len(row) == 2 else
                         f"INSERT INTO {_quoted(named)} (line, name, value) VALUES (?, ?, ?)", row)
    for table in unread.tables:
        if table.name.casefold() not in there:
            _make(database, table)
    for column in unread.columns:
        _add(database, column)


def values_of(unread: Unread) -> list[list[Any]]:
    """What was unread as rows of plain values, for the journal."""
    return [["format", unread.format], *(["row", table, *row] for table, row in unread.rows),
            *(["system", *row] for row in unread.systems), *(line for column in unread.columns for line in [
                ["column", column.table, column.name, column.kind],
                *(["value", count, value, *key] for key, count, value in column.values)]),
            *(line for table in unread.tables for line in [
                ["table", table.name, *(part for column in table.columns for part in column)],
                ["contents", *table.contents], ["geometry", *table.geometry],
                *(["extension", *row] for row in table.extensions), *(["cells", *row] for row in table.rows)])]


def from_values(values: Iterable[Sequence[Any]]) -> Unread:
    """What ``values_of`` gave.

    Args:
        values: Its rows.

    Raises:
        ValueError: They are not that.
    """
    found, rows, systems = "", [], []
    columns: list[tuple[str, str, str, list[tuple[Row, int, Any]]]] = []
    tables: list[dict[str, Any]] = []
    for kind, *rest in values:
        if kind == "format":
            found = str(rest[0])
        elif kind == "row":
            rows.append((str(rest[0]), tuple(rest[1:])))
        elif kind == "system":
            systems.append(tuple(rest))
        elif kind == "column":
            table, name, sql_type = rest
            columns.append((table, name, sql_type, []))
        elif kind == "value":
            columns[-1][-1].append((tuple(rest[2:]), int(rest[0]), rest[1]))
        elif kind == "table":
            parts = rest[1:]
            tables.append({"name": rest[0], "columns": tuple(zip(parts[::3], parts[1::3], parts[2::3], strict=True)),
                           "rows": [], "extensions": []})
        elif kind in ("contents", "geometry"):
            tables[-1][kind] = tuple(rest)
        elif kind in ("extension", "cells"):
            tables[-1]["rows" if kind == "cells" else "extensions"].append(tuple(rest))
        else:
            raise ValueError(f"{kind!r:.40} is nothing that a job file holds")
    return Unread(found, tuple(rows), tuple(UnreadColumn(table, name, sql_type, tuple(of))
                                            for table, name, sql_type, of in columns),
                  tuple(UnreadTable(**{**table, "rows": tuple(table["rows"]), "extensions": tuple(table["extensions"])})
                        for table in tables), tuple(systems))


def _table(database: sqlite3.Connection, name: str) -> UnreadTable:
    columns = tuple(_columns_of(database, name))
    wanted = ", ".join(_quoted(column[0]) for column in columns)
    rows = tuple(database.execute(f"SELECT {wanted} FROM {_quoted(name)}"))
    contents = list(database.execute(
        "SELECT data_type, identifier, description, min_x, min_y, max_x, max_y, srs_id FROM gpkg_contents"
        " WHERE table_name = ?", (name,)))
    has_shape = bool(list(database.execute(
        "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'gpkg_geometry_columns'")))
    geometry = list(database.execute("SELECT column_name, geometry_type_name, srs_id, z, m FROM gpkg_geometry_columns"
                                     " WHERE table_name = ?", (name,))) if has_shape else []
    has_extensions = bool(list(database.execute(
        "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'gpkg_extensions'")))
    extensions = tuple(row for row in database.execute(
        "SELECT column_name, extension_name, definition, scope FROM gpkg_extensions WHERE table_name = ?", (name,))
        if row[1] != "gpkg_rtree_index") if has_extensions else ()
    return UnreadTable(name, columns, rows, contents[0] if contents else (), geometry[0] if geometry else (),
                       extensions)


def _columns(database: sqlite3.Connection, table: str, known: tuple[str, ...]) -> Iterator[UnreadColumn]:
    strange = [(name, kind) for name, kind, key in _columns_of(database, table)
               if name not in known and name != "geom" and not key]
    if not strange:
        return
    keys = _key_of(table, known)
    wanted = ", ".join(_quoted(name) for name in (*keys, *(name for name, _ in strange)))
    order = "fid" if "fid" in [name for name, _, _ in _columns_of(database, table)] else "id"
    rows = list(database.execute(f"SELECT {wanted} FROM {_quoted(table)} ORDER BY {order}"))
    places = list(_places(tuple(row[:len(keys)]) for row in rows))
    for at, (name, kind) in enumerate(strange, start=len(keys)):
        yield UnreadColumn(table, name, kind, tuple((key, count, row[at]) for (key, count), row in
                                                    zip(places, rows, strict=True) if row[at] is not None))


def _make(database: sqlite3.Connection, table: UnreadTable) -> None:
    keys = [name for name, _, key in table.columns if key]
    parts = [f"{_quoted(name)} {_type(kind)}{' PRIMARY KEY' if key and len(keys) == 1 else ''}"
             for name, kind, key in table.columns]
    if len(keys) > 1:
        parts.append(f"PRIMARY KEY ({', '.join(map(_quoted, keys))})")
    database.execute(f"CREATE TABLE {_quoted(table.name)} ({', '.join(parts)})")
    slots = ", ".join("?" * len(table.columns))
    database.executemany(f"INSERT INTO {_quoted(table.name)} VALUES ({slots})", table.rows)
    if table.contents:
        database.execute("INSERT INTO gpkg_contents (table_name, data_type, identifier, description, min_x, min_y,"
                         " max_x, max_y, srs_id) VALUES (?,?,?,?,?,?,?,?,?)", (table.name, *table.contents))
    if table.geometry:
        database.execute("INSERT INTO gpkg_geometry_columns VALUES (?,?,?,?,?,?)", (table.name, *table.geometry))
    database.executemany("INSERT INTO gpkg_extensions VALUES (?,?,?,?,?)",
                         [(table.name, *row) for row in table.extensions])


def _add(database: sqlite3.Connection, column: UnreadColumn) -> None:
    there = list(_columns_of(database, column.table))
    database.execute(f"ALTER TABLE {_quoted(column.table)} ADD COLUMN {_quoted(column.name)} {_type(column.kind)}")
    names = [name for name, _, key in there if not key and name != "geom"]
    row_key = next(name for name, _, key in there if key)
    keys = _key_of(column.table, tuple(names))
    rows = list(database.execute(f"SELECT {', '.join(map(_quoted, (row_key, *keys)))} FROM {_quoted(column.table)}"
                                 f" ORDER BY {_quoted(row_key)}"))
    numbers = {place: row[0] for place, row in zip(_places(tuple(row[1:]) for row in rows), rows, strict=True)}
    database.executemany(
        f"UPDATE {_quoted(column.table)} SET {_quoted(column.name)} = ? WHERE {_quoted(row_key)} = ?",
        [(value, numbers[key, count]) for key, count, value in column.values if (key, count) in numbers])


def _places(keys: Iterable[Row]) -> Iterator[tuple[Row, int]]:
    seen: Counter[Row] = Counter()
    for key in keys:
        yield key, seen[key]
        seen[key] += 1


def _key_of(table: str, known: tuple[str, ...]) -> tuple[str, ...]:
    usual = ("line",) if table in ON_LINES and table != "lines" else known[:1]
    return _KEYS.get(table, usual)


def _columns_of(database: sqlite3.Connection, table: str) -> Iterator[tuple[str, str, int]]:
    return ((row[1], row[2], row[5]) for row in database.execute(f"PRAGMA table_xinfo({_quoted(table)})") if not row[6])


def _type(kind: str) -> str:
    return kind if set(kind) <= _TYPE_LETTERS and "CHECK" not in kind.upper() else "BLOB"


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'
