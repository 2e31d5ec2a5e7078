"""Databases from strangers, looked over before their tables are read: what in them could reach for something else.

A SQLite file can hold views and triggers, which are programs, and virtual tables, which may stand for other files.
The spatial indexes of a GeoPackage are such things too; they are known by the names that the standard gives them.

Source:
    OGC 12-128r18 GeoPackage Encoding Standard 1.3.1, annex F.3 (RTree spatial indexes). SQLite, "Defense Against The
    Dark Arts", sqlite.org/security.html. Checked in tests/files/test_hostile_files.py.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from planner.errors import FileTrouble, JobTrouble
from planner.survey.coordinate_systems import file_wanted

_INDEX_MODULES = ("rtree", "rtree_i32", "fts3", "fts4", "fts5")
_INDEX_TRIGGER = re.compile(r"(rtree_.+_(insert|update\d?|delete))|((trigger_)?(insert|delete)_feature_count_.+)|"
                            r"(gpkg_.+|.+_zoom_(insert|update)|.+_tile_.+)", re.IGNORECASE)
_VIRTUAL = re.compile(r"\s*CREATE\s+VIRTUAL\s+TABLE\b.*?\bUSING\s+\"?([\w.]+)", re.IGNORECASE | re.DOTALL)
_UNKNOWN = re.compile(r"no such function: (\w+)", re.IGNORECASE)
_HARMLESS = frozenset((
    "abs", "avg", "cast", "ceil", "char", "coalesce", "count", "date", "datetime", "floor", "format",
    "group_concat", "hex", "ifnull", "iif", "instr", "julianday", "length", "like", "lower", "ltrim", "max", "min",
    "nullif", "printf", "rank", "replace", "round", "row_number", "rtrim", "sign", "strftime", "substr",
    "substring", "sum", "time", "total", "trim", "typeof", "unicode", "upper",
))
_PERMITTED = (sqlite3.SQLITE_SELECT, sqlite3.SQLITE_READ, sqlite3.SQLITE_RECURSIVE)
_ASKED = ("table_xinfo", "trusted_schema")


@contextmanager
def opened_safely(path: Path, *, functions: bool = False) -> Iterator[sqlite3.Connection]:
    """A database opened for reading only, in which nothing but reading is permitted.

    Args:
        path: The file.
        functions: True to permit the harmless functions that a view may call.

    Raises:
        sqlite3.Error: It is no database, or asks for what is not permitted.
    """
    def permit(action: int, first: str | None, second: str | None, *_: str | None) -> int:
        fine = (action in _PERMITTED or (action == sqlite3.SQLITE_PRAGMA and first in _ASKED)
                or (action == sqlite3.SQLITE_FUNCTION and functions and _is_harmless(second or "")))
        return sqlite3.SQLITE_OK if fine else sqlite3.SQLITE_DENY

    with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as database:
        database.execute("PRAGMA trusted_schema = OFF")
        database.execute("PRAGMA cell_size_check = ON")
        database.set_authorizer(permit)
        yield database


_WHAT_IS_IN_IT = "SELECT CAST(type AS TEXT), CAST(name AS TEXT), CAST(sql AS TEXT) FROM sqlite_master"
"""As texts: a spoilt or a cunning file may hold them as bytes, which SQLite itself reads as text."""


def refuse_programs(database: sqlite3.Connection, path: Path) -> None:
    """Refuses a job with triggers, views, virtual tables or computed columns; spatial indexes are left alone.

    Args:
        database: The job, opened safely.
        path: Its file, for the message.

    Raises:
        JobTrouble: It holds one, which is named.
        sqlite3.Error: It is no database.
    """
    for kind, name, sql in database.execute(_WHAT_IS_IN_IT):
        found = ""
        if kind in ("trigger", "view") and not (kind == "trigger" and _INDEX_TRIGGER.fullmatch(name)):
            found = f"the {kind} '{name}'"
        elif (module := _VIRTUAL.match(sql or "")) and module[1].lower() not in _INDEX_MODULES:
            found = f"the virtual table '{name}'"
        elif kind == "table" and not module and (columns := _computed(database, name)):
            found = f"the computed column '{columns[0]}' of {name}"
        if found:
            raise JobTrouble(f"it holds {found}, which is a program and no part of a job", where=str(path),
                             remedy="ask whoever sent it for a job saved by this program")


def look_over(opened: Path, path: Path) -> None:
    """Refuses a GeoPackage of a stranger in which a table or a view would reach for something else.

    Triggers are left alone: they run only when a file is written to, and this one is not.

    Args:
        opened: Path under which it is opened.
        path: Path as given, for the message.

    Raises:
        FileTrouble: It holds such a thing, which is named, or cannot be looked over.
    """
    try:
        with opened_safely(opened, functions=True) as database:
            for kind, name, sql in list(database.execute(_WHAT_IS_IN_IT)):
                module = _VIRTUAL.match(sql or "")
                if kind == "table" and module and module[1].lower() not in _INDEX_MODULES:
                    raise _reaches(f"virtual table '{name}' ({module[1]})", path)
                if name == "gpkg_spatial_ref_sys" and kind == "table" and (wanted := _file_of_a_system(database)):
                    raise _reaches(f"coordinate system ({wanted[:80]})", path)
                if kind == "view" and (call := _call_of(database, name)):
                    raise _reaches(f"view '{name}' ({call})", path)
    except (sqlite3.Error, UnicodeDecodeError) as trouble:
        raise FileTrouble(f"cannot be read: {' '.join(str(trouble).split())}", where=str(path),
                          remedy="export it again, or check that it is the right file") from None


def _reaches(what: str, path: Path) -> FileTrouble:
    return FileTrouble(f"its {what} reaches for what is not in the file", where=str(path),
                       remedy="export the layers that are wanted into a new file")


def _call_of(database: sqlite3.Connection, view: str) -> str:
    """What a view calls that is not harmless; empty when it calls nothing of the kind."""
    quoted = view.replace('"', '""')
    for _ in range(100):
        try:
            database.execute(f'SELECT * FROM "{quoted}" LIMIT 0')
        except sqlite3.Error as trouble:
            unknown = _UNKNOWN.search(str(trouble))
            if unknown is None or not unknown[1].lower().startswith("st_"):
                return unknown[1] if unknown else " ".join(str(trouble).split())
            database.create_function(unknown[1], -1, lambda *_: None)  # measures of shapes, which readers bring along
        else:
            return ""
    return "too many functions"


def _file_of_a_system(database: sqlite3.Connection) -> str:
    """A file that a coordinate system of a GeoPackage would make a library open; empty when there is none."""
    texts = (str(value) for row in database.execute("SELECT * FROM gpkg_spatial_ref_sys") for value in row)
    return next((wanted for text in texts if (wanted := file_wanted(text))), "")


def _is_harmless(name: str) -> bool:
    return name.lower() in _HARMLESS or name.lower().startswith("st_")


def _computed(database: sqlite3.Connection, table: str) -> list[str]:
    quoted = table.replace('"', '""')
    return [row[1] for row in database.execute(f'PRAGMA table_xinfo("{quoted}")') if row[6] in (2, 3)]
