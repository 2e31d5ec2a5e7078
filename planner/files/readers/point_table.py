"""Tables of points: CSV and its kin, with or without headings, with any of the usual separators and commas.

A table states no coordinate system; only longitude and latitude in degrees are taken as WGS 84, and a note says so.
"""

from __future__ import annotations

import csv
import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import numpy as np

from planner.errors import FileTrouble
from planner.files.readers import attributes
from planner.files.readers.angles import ENOUGH_ROWS, from_packed, from_text, may_be_packed
from planner.files.readers.clean_lines import lines_of
from planner.files.readers.gathering import uniquely_named
from planner.files.readers.grids import Grid
from planner.files.readers.level_units import levels_in_metres, unit_in_heading
from planner.files.readers.markup import decoded, seconds
from planner.files.readers.parts import Label, parts_of
from planner.files.readers.rules import Troubles
from planner.files.readers.shapes import points_of
from planner.files.readers.table_columns import Columns, columns_of
from planner.findings import worst_first
from planner.geometry.arrays import Floats
from planner.progress import Progress
from planner.survey.fixes import MeasuredLine, MeasuredPoint, Reading

SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "blank": " "}
_SAMPLE = 200
_FIELDS = ("name", "code", "width", "accuracy")


@dataclass(frozen=True, slots=True)
class _Row:
    number: int
    x: float
    y: float
    level: float
    time: float
    line: str
    fields: dict[str, str]
    said: tuple[tuple[str, str], ...]


def read_point_table(path: Path, choices: Mapping[str, str], progress: Progress) -> Reading:
    """Points of a table; rows with a line's name become that line's corners, in the order of the rows.

    Args:
        path: File.
        choices: ``x``, ``y``, ``lon``, ``lat``, ``level``, ``name``, ``code``, ``width``, ``line``, ``time``,
            ``accuracy`` = a heading, or a column's number from 1; ``angles`` = ``packed-dms`` or ``decimal``;
            ``separator`` = ``comma``, ``semicolon``, ``tab``, ``bar`` or ``blank``; ``axes`` = ``swapped``.
        progress: Who waits.

    Raises:
        FileTrouble: It is no table, or its coordinates cannot be told.
    """
    troubles = Troubles(str(path))
    text = decoded(path.read_bytes(), troubles, str(path))
    numbered = _cells(text, choices, troubles)
    if not numbered:
        raise FileTrouble("has no rows", where=str(path), remedy="check that it is the right file")
    progress.stop_if_cancelled()
    columns = columns_of([cells for _, cells in numbered], choices, troubles)
    if columns.headed and len(numbered) == 1:
        raise FileTrouble("has headings and no rows", where=str(path), remedy="export it again")
    angle = _angles(numbered, columns, choices, troubles)
    heads = numbered[0][1] if columns.headed else []
    rows = _parsed(numbered[1:] if columns.headed else numbered, columns, heads, angle, progress, troubles)
    grid = Grid(
        "EPSG:4326" if columns.degrees else "", geographic=columns.degrees, swapped=choices.get("axes") == "swapped"
    )
    lines, points = _lines(rows, path.stem, grid, troubles), _points(rows, grid, troubles)
    if not lines and not points:
        raise _nothing(rows, columns, troubles)
    reading = Reading(str(path), grid.crs, tuple(lines), tuple(points), troubles.findings(), _notes(columns, rows))
    named = unit_in_heading(heads[columns.at["level"]]) if heads and "level" in columns.at else ""
    return levels_in_metres(reading, choices, named=named)


def _nothing(rows: Sequence[_Row], columns: Columns, troubles: Troubles) -> FileTrouble:
    """Why no row of a table gives a position."""
    if columns.degrees and rows and all(abs(r.y) > 90.0 >= abs(r.x) for r in rows):
        return FileTrouble(
            f"has latitudes such as {rows[0].y:g}: are longitude and latitude swapped?", where=troubles.file,
            remedy="say --columns axes=swapped")
    worst = [f.message.rstrip(".") for f in worst_first(list(troubles.findings()))[:1]]
    return FileTrouble(
        ": ".join(["has no row that gives a position", *worst]), where=troubles.file,
        remedy="check its columns and its separator")


def _notes(columns: Columns, rows: Sequence[_Row]) -> tuple[str, ...]:
    if columns.degrees:
        return (
            "The table has longitude and latitude and states no datum; taken as WGS 84, good to 2 or 3 m: "
            "say the datum if it is known.",
        )
    small = all(abs(r.x) <= 180 and abs(r.y) <= 90 for r in rows)
    note = "A table of points states no coordinate system: its numbers are taken in the one that is said."
    return (note, "All its numbers are small enough to be degrees.") if small else (note,)


def _cells(text: str, choices: Mapping[str, str], troubles: Troubles) -> list[tuple[int, list[str]]]:
    """Line number and cells of each row that is neither blank nor a remark."""
    separator = _separator(text, choices, troubles)
    if separator == " ":
        return [
            (i, line.split())
            for i, line in enumerate(text.splitlines(), start=1)
            if line.strip() and not line.lstrip().startswith("#")
        ]
    reader = csv.reader(StringIO(text, newline=""), delimiter=separator, skipinitialspace=True)
    rows: list[tuple[int, list[str]]] = []
    while True:
        start = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return rows
        except csv.Error as error:
            troubles.add("survey-55", f"line {start} cannot be read ({error}).", row=start)
            continue
        if any(c.strip() for c in cells) and not cells[0].lstrip().startswith("#"):
            rows.append((start, [c.strip() for c in cells]))


def _separator(text: str, choices: Mapping[str, str], troubles: Troubles) -> str:
    """The sign that parts the first rows into the same number of cells, two or more; the most cells win."""
    if "separator" in choices:
        if choices["separator"] not in SEPARATORS:
            raise FileTrouble(
                f"there is no separator '{choices['separator']}'",
                where=troubles.file,
                remedy=f"use one of {', '.join(SEPARATORS)}",
            )
        return SEPARATORS[choices["separator"]]
    lines = [line for line in text.splitlines()[:_SAMPLE] if line.strip() and not line.lstrip().startswith("#")]
    for sign in ("\t", ";", "|"):
        if lines and 2 * sum(sign in line for line in lines) > len(lines):
            return sign
    counts = Counter(len(line.split()) for line in lines)
    blank, count = counts.most_common(1)[0] if counts else (1, 0)
    if (
        blank >= 3
        and count > len(lines) / 2
        and sum(", " in line for line in lines) * 2 < len(lines)
        and not _parts_by_comma(lines)
    ):
        return " "
    return ","


def _parts_by_comma(lines: Sequence[str]) -> bool:
    return 2 * sum(sum(attributes.number_in(c) is not None for c in line.split(",")) >= 2 for line in lines) > len(
        lines
    )


def _angles(
    numbered: Sequence[tuple[int, list[str]]], columns: Columns, choices: Mapping[str, str], troubles: Troubles
) -> Callable[[str], float | None]:
    if choices.get("angles", "decimal") not in ("decimal", "packed-dms"):
        raise FileTrouble(
            f"there are no angles '{choices['angles']}'", where=troubles.file, remedy="use decimal or packed-dms"
        )
    if choices.get("angles") == "packed-dms":
        return from_packed
    if columns.degrees and "angles" not in choices:
        body = numbered[1:] if columns.headed else numbered
        both = [[cells[columns.at[key]] for _, cells in body if columns.at[key] < len(cells)] for key in ("lat", "lon")]
        if all(may_be_packed([t for t in texts if t]) for texts in both):
            troubles.add(
                "survey-63",
                "the latitudes and longitudes read as decimal degrees, but all their minute and second digits are "
                "below 60: they may be degrees, minutes and seconds written together, up to 40 km away.",
                severity="warning" if len(body) >= ENOUGH_ROWS else "note",
            )
    return from_text


def _parsed(
    numbered: Sequence[tuple[int, list[str]]],
    columns: Columns,
    heads: Sequence[str],
    angle: Callable[[str], float | None],
    progress: Progress,
    troubles: Troubles,
) -> list[_Row]:
    keys = ("lon", "lat") if columns.degrees else ("x", "y")
    places = {columns.at[key] for key in (*keys, "level") if key in columns.at}
    facts = [(at, head.strip()) for at, head in enumerate(heads) if head.strip() and at not in places]
    rows, commas = [], 0
    for i, (number, cells) in enumerate(numbered):
        if i % 10_000 == 0:
            progress.stop_if_cancelled()
            progress.report(i / len(numbered), "reading rows")
        told = {key: cells[at] for key, at in columns.at.items() if at < len(cells)}
        place = [(angle if columns.degrees else _value)(told.get(key, "")) for key in keys]
        if place[0] is None or place[1] is None:
            wrong = next(key for key, value in zip(keys, place, strict=True) if value is None)
            stands = repr(told[wrong]) if told.get(wrong, "").strip() else "nothing"
            troubles.add("survey-55", f"line {number} has {stands} for its {wrong}; left out.", row=number)
            continue
        commas += sum("," in told.get(key, "") for key in (*keys, "level"))
        level = _level(told.get("level", ""), number, troubles)
        time = seconds(told["time"]) if told.get("time") else math.nan
        if told.get("time") and math.isnan(time):
            troubles.add(
                "survey-66",
                f"the time {told['time']!r} in line {number} cannot be read; taken as not given.",
                row=number,
            )
        rows.append(
            _Row(
                number,
                place[0],
                place[1],
                level,
                time,
                told.get("line", ""),
                {k: told[k] for k in _FIELDS if told.get(k)},
                tuple((head, cells[at].strip()) for at, head in facts if at < len(cells) and cells[at].strip()),
            )
        )
    if commas:
        troubles.add("survey-61", f"{commas} numbers are written with a decimal comma and read so.", severity="note")
    return rows


def _value(text: str) -> float | None:
    found = attributes.number_in(text)
    return None if found is None else found[0]


def _level(text: str, number: int, troubles: Troubles) -> float:
    value = _value(text)
    if value is None and text:
        troubles.add("survey-46", f"the level {text!r} in line {number} is no number; taken as not given.", row=number)
    return math.nan if value is None else value


def _lines(rows: Sequence[_Row], stem: str, grid: Grid, troubles: Troubles) -> list[MeasuredLine]:
    strings: dict[str, list[_Row]] = {}
    for row in rows:
        if row.line:
            strings.setdefault(row.line, []).append(row)
    corners: list[tuple[Label, Floats, Floats | None, Floats | None]] = []
    for name, mine in strings.items():
        xy = np.array([(r.x, r.y) for r in mine])
        accuracy = attributes.accuracy_in(mine[0].fields, "unknown")
        label = Label(
            mine[0].number, name if not name.isdigit() else f"{stem} {name}", "polyline", accuracy, (("line", name),)
        )
        corners.append((label, xy, np.array([r.level for r in mine]), np.array([r.time for r in mine])))
    return uniquely_named(lines_of(parts_of(corners), grid, troubles))


def _points(rows: Sequence[_Row], grid: Grid, troubles: Troubles) -> list[MeasuredPoint]:
    """Points of their own, and those corners of lines that a code makes a gate or a crossing."""
    own = [r for r in rows if not r.line or attributes.code_in(r.fields) in ("gate", "crossing")]
    xyz = np.array([(r.x, r.y, r.level) for r in own], dtype=np.float64).reshape(-1, 3)
    names = [r.fields.get("name", "") or str(r.number) for r in own]
    return points_of(xyz, [r.number for r in own], names, [r.fields for r in own], "unknown", grid, troubles,
                     [r.said or tuple(r.fields.items()) for r in own])
