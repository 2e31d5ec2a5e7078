"""The job file: ``NAME.job.gpkg``, an OGC GeoPackage that holds one job and shows what was derived from it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import shapely

from planner import __version__
from planner.errors import BadSetting, FileTrouble, JobTrouble
from planner.files import geopackage
from planner.files.atomic_save import whole_file
from planner.files.geopackage import Layer
from planner.files.job_check import check_features, check_levels, check_lines, check_table
from planner.files.job_tables import (
    CROSSINGS,
    DEFINITION,
    EXTENSION,
    FEATURES,
    FORMAT,
    GATES,
    LINES,
    POINTS,
    SINCE_1_1,
    SINCE_1_2,
    TABLES,
    feature_rows,
    job_of,
    table_rows,
)
from planner.files.lock import refuse_when_held
from planner.files.sqlite_guard import opened_safely, refuse_programs
from planner.job.job import Job
from planner.survey.datum import usable_as_grid

DerivedLayer = tuple[Layer, list[tuple[Any, ...]], list[shapely.Geometry]]
_LAYERS = (LINES, GATES, CROSSINGS, FEATURES, POINTS)


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
                database.commit()
        except sqlite3.Error as trouble:
            raise FileTrouble(f"the job cannot be written ({trouble})", where=str(path),
                              remedy="save it elsewhere") from trouble
        if was is not None and state_of(path) != was:
            raise JobTrouble("another program has saved this job in the meantime, and its work was not overwritten",
                             where=str(path), remedy="do this again")


def read_job(path: Path) -> Job:
    """Opens a job file.

    Args:
        path: The file.

    Raises:
        FileTrouble: There is no such file.
        JobTrouble: It is not a job, is damaged, or was written by a newer major version.
    """
    if not path.is_file():
        raise FileTrouble("there is no such job", where=str(path), remedy="check the name, or make it with 'plan'")
    try:
        with opened_safely(path) as database:
            refuse_programs(database, path)
            _refuse_strangers(database, path)
            features = {layer.name: _feature_rows(database, layer) for layer in _LAYERS}
            there = {row[0] for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            tables = {name: [] if name in (*SINCE_1_1, *SINCE_1_2) and name not in there else
                      _rows(database, name, [field for field, _ in fields]) for name, (fields, _) in TABLES.items()}
        return _checked_job(features, tables)
    except (sqlite3.Error, ValueError, KeyError, TypeError, AttributeError, ArithmeticError, BadSetting,
            RecursionError) as trouble:
        what = trouble.what if isinstance(trouble, BadSetting) else " ".join(str(trouble).split())
        raise JobTrouble(f"the job is damaged ({what})", where=str(path),
                         remedy="open an earlier copy of it") from trouble


def _checked_job(features: dict[str, list[tuple[Any, ...]]], tables: dict[str, list[tuple[Any, ...]]]) -> Job:
    for layer in _LAYERS:
        check_features(layer, features[layer.name])
    for name, (fields, _) in TABLES.items():
        check_table(name, fields, tables[name])
    check_lines(features["lines"], [
        *((f"the gate '{row[1]}'", row[2]) for row in features["gates"]),
        *((f"the crossing '{row[1]}'", row[2]) for row in features["crossings"]),
        *(("a ground class", row[0]) for row in tables["strainwright_stretches"]),
        *(("how well corners are known", row[0]) for row in tables["strainwright_corners"])])
    job = job_of(features, tables)
    for name, levels in job.levels.items():
        check_levels(name, levels)
    if job.crs and (why_not := usable_as_grid(job.crs)):
        raise ValueError(why_not)
    return job


def _refuse_strangers(database: sqlite3.Connection, path: Path) -> None:
    names = {row[0] for row in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if "strainwright_job" not in names:
        raise JobTrouble("it is a GeoPackage, but not a job of this program", where=str(path),
                         remedy="give it to 'plan' as a source of lines instead")
    found = dict(_rows(database, "strainwright_job", ["name", "value"])).get("format", "")
    major = found.partition(".")[0]
    if not major.isdigit() or int(major) > int(FORMAT.partition(".")[0]):
        raise JobTrouble(f"it was written in job format {found or 'of no number'}, newer than the {FORMAT} "
                         "that this version reads", where=str(path), remedy="open it with a newer version")


def _feature_rows(database: sqlite3.Connection, layer: Layer) -> list[tuple[Any, ...]]:
    rows = _rows(database, layer.name, ["geom", *(name for name, _ in layer.fields)])
    return [(geopackage.decode(row[0]), *row[1:]) for row in rows]


def _rows(database: sqlite3.Connection, table: str, columns: list[str]) -> list[tuple[Any, ...]]:
    key = "id" if table in TABLES else "fid"
    names = ", ".join(f'"{column}"' for column in columns)
    return list(database.execute(f'SELECT {names} FROM "{table}" ORDER BY {key}'))
