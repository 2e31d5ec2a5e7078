"""What a file of the import is and holds: lines and points, terrain, prices. No widgets; for worker threads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from planner.errors import PlannerError
from planner.findings import Finding, Place
from planner.job.job import Job
from planner.progress import Progress
from planner.survey.fixes import Reading

if TYPE_CHECKING:
    from planner.materials.prices import PriceList

FileKind = Literal["lines and points", "terrain", "prices", "nothing"]
TABLES = (".csv", ".txt", ".tsv", ".dat", ".xyz", ".pts", ".pnt")
SAMPLE_ROWS = 8


@dataclass(frozen=True)
class FileRead:
    """What one file turned out to be.

    Attributes:
        path: The file.
        kind: What it is for the job.
        reading: Its lines and points; None where it has none.
        prices: Its prices; None where it is no price list.
        findings: What was wrong with which row.
        trouble: Why nothing of it can be used; None when something can.
        rows: First rows of a table, as cells.
        columns: What was said about its columns.
    """

    path: Path
    kind: FileKind
    reading: Reading | None = None
    prices: PriceList | None = None
    findings: tuple[Finding, ...] = ()
    trouble: PlannerError | None = None
    rows: tuple[tuple[str, ...], ...] = ()
    columns: Mapping[str, str] = field(default_factory=dict)

    @property
    def is_table(self) -> bool:
        """True for a table whose columns may be chosen."""
        return self.path.suffix.lower() in TABLES and self.kind != "prices" and bool(self.rows)


def read_file(path: Path, job: Job, columns: Mapping[str, str], progress: Progress) -> FileRead:
    """What a file is and holds; a file that cannot be used says why.

    Args:
        path: The file.
        job: The job, whose items a price list is read against.
        columns: What a person said about its columns.
        progress: Told how far it is.
    """
    from planner.files.read import read, readable_endings

    rows = first_rows(path)
    if _is_price_list(rows):
        return _prices(path, job, rows)
    if path.suffix.lower() not in readable_endings() and path.suffix.lower() not in TABLES:
        return FileRead(path, "terrain")
    try:
        reading = read(path, columns=dict(columns), progress=progress)
    except PlannerError as trouble:
        if "raster" in trouble.what:
            return FileRead(path, "terrain")
        return FileRead(path, "nothing", trouble=trouble, rows=rows, columns=columns)
    kind: FileKind = "lines and points" if reading.lines or reading.points else "nothing"
    return FileRead(path, kind, reading, findings=reading.troubles, rows=rows, columns=columns)


def first_rows(path: Path) -> tuple[tuple[str, ...], ...]:
    """The first rows of a table as cells; nothing for what is no table.

    Args:
        path: The file.
    """
    import csv

    if path.suffix.lower() not in TABLES:
        return ()
    try:
        with path.open("rb") as stream:
            text = stream.read(16_384).decode("utf-8-sig", errors="replace")
    except OSError:
        return ()
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")][:SAMPLE_ROWS + 1]
    if not lines or "\0" in text:
        return ()
    mark = max(",;\t|", key=lambda sign: min(line.count(sign) for line in lines))
    if min(line.count(mark) for line in lines) == 0:
        return tuple(tuple(line.split()) for line in lines)
    return tuple(tuple(cell.strip() for cell in row) for row in csv.reader(lines, delimiter=mark))


def _is_price_list(rows: Sequence[Sequence[str]]) -> bool:
    heads = {cell.lower() for cell in rows[0]} if rows else set()
    return {"item", "price"} <= heads


def _prices(path: Path, job: Job, rows: tuple[tuple[str, ...], ...]) -> FileRead:
    from planner.files.readers.price_list import read_price_list
    from planner.job.derive import catalogue_of

    try:
        prices, findings = read_price_list(path, catalogue_of(job).items)
    except PlannerError as trouble:
        return FileRead(path, "prices", trouble=trouble, rows=rows)
    return FileRead(path, "prices", prices=prices, findings=findings, rows=rows)


def row_words(finding: Finding) -> str:
    """Where a finding stands in its file.

    Args:
        finding: The finding.
    """
    where: Place = finding.place
    return f"row {where.row}" if where.row is not None else "whole file"
