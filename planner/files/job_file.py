"""The job file: ``NAME.job.gpkg``, an OGC GeoPackage that holds one job and shows what was derived from it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import shapely

from planner import __version__
from planner.errors import BadSetting, FileTrouble, JobTrouble
from planner.files import geopackage
from planner.files.atomic_save import whole_file
from planner.files.geopackage import Layer
from planner.files.job_rows import LAYERS, checked_job, without_strange_names
from planner.files.job_tables import DEFINITION, EXTENSION, FORMAT, TABLES, feature_rows, table_rows
from planner.files.lock import refuse_when_held
from planner.files.migrations import Content, brought_up, to_1_1, to_1_2, to_1_3
from planner.files.sqlite_guard import opened_safely, refuse_programs
from planner.files.unread_parts import put_back, unread_of
from planner.job.job import Job
from planner.job.unread import Unread

DerivedLayer = tuple[Layer, list[tuple[Any, ...]], list[shapely.Geometry]]


def is_job_file(path: Path) -> bool:
    """Whether a path is named as a job file."""
    return path.name.lower().endswith(".job.gpkg")


@dataclass(frozen=True)
class FileState:
    """What tells one state of a file from the next.

    Attributes:
        marks: Number on its disk, length and time of the last change; empty where there is no file.
    """

    marks: tuple[int, ...]


def state_of(path: Path) -> FileState:
    """The state a file is in now, to be taken before it is read.

    Args:
        path: The file, which need not be there.
    """
    try:
        found = path.stat()
    except OSError:
        return FileState(())
    return FileState((found.st_ino, found.st_size, found.st_mtime_ns))


def write_job(path: Path, job: Job, derived: Iterable[DerivedLayer] = (), *, was: FileState | None = None) -> None:
    """Writes a job, whole or not at all.

    Args:
        path: Where it shall stand.
        job: The job.
        derived: Layers computed from it, for other programs to show; they are never read back.
        was: State of the file when the job was read; None to write whatever has happened to it since. When it is
            given, the file that stood there is kept beside the new one, as ``backup_of`` names it.

    Raises:
        FileTrouble: The folder does not exist, is full or cannot be written to.
        JobTrouble: Another living process holds the job, or the file is not as it was: somebody else has written to it.
    """
    refuse_when_held(path)
    with whole_file(path, keep_previous=was is not None) as draft:
        try:
            with closing(sqlite3.connect(draft)) as database:
                database.execute("PRAGMA journal_mode = OFF")  # the draft is thrown away when anything fails
                srs_id = geopackage.begin(database, job.crs)
                for layer, rows, shapes in (*feature_rows(job), *derived):
                    geopackage.add_layer(database, layer, srs_id, rows, shapes)
                for name, rows in table_rows(job, program_version=__version__).items():
                    fields, description = TABLES[name]
                    geopackage.add_table(database, name, fields, rows, description=description,
                                         extension=EXTENSION, definition=DEFINITION)
                put_back(database, job.unread)
                database.commit()
        except sqlite3.Error as trouble:
            raise FileTrouble(f"the job cannot be written ({trouble})", where=str(path),
                              remedy="save it elsewhere") from trouble
        if was is not None and state_of(path) != was:
            raise JobTrouble("another program has saved this job in the meantime, and its work was not overwritten",
                             where=str(path), remedy="do this again")


@dataclass(frozen=True)
class OpenedJob:
    """A job as it was opened.

    Attributes:
        job: The job.
        notes: What a person should know about its file: an older format that was brought up, or what is carried along
            unread; empty when there is nothing to say.
    """

    job: Job
    notes: tuple[str, ...] = ()


def read_job(path: Path) -> Job:
    """The job of a job file.

    Args:
        path: The file.

    Raises:
        FileTrouble: There is no such file.
        JobTrouble: It is not a job, is damaged, or was written by a newer major version.
    """
    return open_job(path).job


def open_job(path: Path) -> OpenedJob:
    """Opens a job file: one of an earlier format is brought up in memory, and what a newer minor version added is kept.

    Args:
        path: The file.

    Raises:
        FileTrouble: There is no such file.
        JobTrouble: It is not a job, is damaged, or was written by a newer major version.
    """
    if not path.is_file():
        raise FileTrouble("there is no such job", where=str(path), remedy="check the name, or make it with 'plan'")
    _refuse_other_kinds(path)
    try:
        with opened_safely(path) as database:
            refuse_programs(database, path)
            found = _refuse_strangers(database, path)
            there = {row[0] for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            content = Content(found, {layer.name: _feature_rows(database, layer) for layer in LAYERS},
                              {name: _rows(database, name, [field for field, _ in fields])
                               for name, (fields, _) in TABLES.items() if name in there or name not in _LATER})
            content, notes = brought_up(content)
            tables, strange = without_strange_names(content.tables) if _is_newer(found) else (content.tables, [])
            unread = unread_of(database, _KNOWN, newer=found if _is_newer(found) else "", rows=strange)
        job = checked_job(content.features, tables)
    except (sqlite3.Error, ValueError, KeyError, TypeError, AttributeError, ArithmeticError, BadSetting,
            RecursionError) as trouble:
        what = trouble.what if isinstance(trouble, BadSetting) else " ".join(str(trouble).split())
        raise JobTrouble(f"the job is damaged ({what})", where=str(path),
                         remedy="open an earlier copy of it") from trouble
    if not unread:
        return OpenedJob(job, notes)
    return OpenedJob(replace(job, unread=unread), (*notes, *_told(unread)))


_DATABASE_HEAD = b"SQLite format 3\0"
"""How every SQLite file begins; a cut-off or zeroed one is damaged. Source: SQLite, "Database File Format", 1.3."""
_LATER = (*to_1_1.TABLES, *to_1_2.TABLES, *to_1_3.TABLES)
_KNOWN = {**{name: tuple(field for field, _ in fields) for name, (fields, _) in TABLES.items()},
          **{layer.name: tuple(field for field, _ in layer.fields) for layer in LAYERS}}


def _told(unread: Unread) -> tuple[str, ...]:
    what = f"kept as found and written back when the job is saved: {unread.words}" if unread.words else ""
    if not unread.format:
        return (f"The job file holds what this version does not know; it is {what}",)
    return (f"The job was written in format {unread.format}, and this version knows {FORMAT}; "
            + (f"what is new in it is {what}" if what else "nothing in it is unknown here"),)


def _is_newer(found: str) -> bool:
    minor = found.partition(".")[2]
    return minor.isdigit() and int(minor) > int(FORMAT.partition(".")[2])


def _refuse_other_kinds(path: Path) -> None:
    """Refuses a file that is no database at all: text, a picture, a document under the name of a job."""
    try:
        with path.open("rb") as file:
            head = file.read(len(_DATABASE_HEAD))
    except OSError as trouble:
        raise FileTrouble("the job cannot be read", where=str(path), remedy="check who may read it") from trouble
    if head and not _DATABASE_HEAD.startswith(head) and head.strip(b"\0"):
        raise JobTrouble("it is not a job of this program", where=str(path),
                         remedy="choose a file NAME.job.gpkg; lines in other files are brought in with 'plan'")


def _refuse_strangers(database: sqlite3.Connection, path: Path) -> str:
    """The format of a job file that can be read; anything else is refused."""
    names = {row[0] for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if "strainwright_job" not in names:
        raise JobTrouble("it is a GeoPackage, but not a job of this program", where=str(path),
                         remedy="give it to 'plan' as a source of lines instead")
    found = str(dict(_rows(database, "strainwright_job", ["name", "value"])).get("format", ""))
    major = found.partition(".")[0]
    if not major.isdigit() or int(major) > int(FORMAT.partition(".")[0]):
        raise JobTrouble(f"it was written in job format {found or 'of no number'}, newer than the {FORMAT} "
                         "that this version reads", where=str(path),
                         remedy=f"open it with version {major or 'of that number'} of the program or a newer one"
                         if major.isdigit() else "open it with a newer version")
    return found


def _feature_rows(database: sqlite3.Connection, layer: Layer) -> list[tuple[Any, ...]]:
    rows = _rows(database, layer.name, ["geom", *(name for name, _ in layer.fields)])
    return [(geopackage.decode(row[0]), *row[1:]) for row in rows]


def _rows(database: sqlite3.Connection, table: str, columns: list[str]) -> list[tuple[Any, ...]]:
    key = "id" if table in TABLES else "fid"
    names = ", ".join(f'"{column}"' for column in columns)
    return list(database.execute(f'SELECT {names} FROM "{table}" ORDER BY {key}'))
