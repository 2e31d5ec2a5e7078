"""Which column of a table is what: by a person's choice, by its heading, or, without headings, by its numbers.

Without headings a table is taken as a survey file: an optional point number, two coordinates, an optional level, an
optional code. Which coordinate is the northing is told by size where one is three times the other (a northing counts
from the equator, or from far south of it); where sizes do not tell, the northing stands first, as survey files write
it. Either way a finding says what was taken.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from planner.errors import FileTrouble
from planner.files.readers.angles import from_text
from planner.files.readers.attributes import number_in, plain
from planner.files.readers.rules import Troubles
from planner.geometry.arrays import Floats

HEADINGS: dict[str, tuple[str, ...]] = {
    "x": ("easting", "eastings", "east", "e", "x", "xcoord", "xcoordinate", "coordx", "pointx", "mgaeast", "eastm"),
    "y": (
        "northing",
        "northings",
        "north",
        "n",
        "y",
        "ycoord",
        "ycoordinate",
        "coordy",
        "pointy",
        "mganorth",
        "northm",
    ),
    "lon": ("longitude", "lon", "long", "lng", "londeg", "longdeg", "longitudedeg"),
    "lat": ("latitude", "lat", "latdeg", "latitudedeg"),
    "level": (
        "rl",
        "z",
        "elev",
        "elevation",
        "level",
        "height",
        "h",
        "alt",
        "altitude",
        "ele",
        "ahd",
        "rlm",
        "zm",
        "elevm",
        "elevationm",
        "rlft",
        "zft",
        "elevft",
        "elevationft",
        "heightft",
        "altft",
        "altitudeft",
    ),
    "name": (
        "id",
        "point",
        "pointid",
        "pointname",
        "pointno",
        "pt",
        "ptid",
        "ptno",
        "p",
        "name",
        "no",
        "number",
        "label",
        "station",
    ),
    "code": ("code", "fcode", "featurecode", "desc", "description", "type", "kind", "feature", "class"),
    "width": ("width", "widthm", "span", "spanm", "gatewidth", "opening"),
    "line": ("line", "lineid", "linename", "linenumber", "string", "stringid", "fence", "fenceline"),
    "time": ("time", "utc", "timestamp", "datetime", "timeutc"),
    "accuracy": ("accuracy", "accuracyclass", "quality"),
}
_TELLS_APART = 3.0
_UNIT = re.compile(r"\s*[(\[][^()\[\]]*[)\]]$")


@dataclass(frozen=True, slots=True)
class Columns:
    """Where each thing stands in a row.

    Attributes:
        at: Index of the column by what it holds: the keys of `HEADINGS`.
        headed: True when the first row names the columns.
        heads: The first row's texts when it names the columns.
        degrees: True when the coordinates are longitude and latitude.
    """

    at: Mapping[str, int]
    headed: bool
    heads: Sequence[str] = field(default=())
    degrees: bool = False


def columns_of(rows: Sequence[Sequence[str]], choices: Mapping[str, str], troubles: Troubles) -> Columns:
    """The columns of a table.

    Args:
        rows: Cells of each row that is not blank, the first perhaps headings.
        choices: Column by what it holds, as a heading or as a number counted from 1; may leave out most.
        troubles: Where what was taken without being told is noted.

    Raises:
        FileTrouble: A chosen column is not there, or no pair of coordinates is found.
    """
    headed = _is_heading(rows[0], rows[1:2])
    heads = list(rows[0]) if headed else []
    chosen = {key: _chosen(key, choices[key], heads, rows, troubles) for key in HEADINGS if key in choices}
    at = dict(chosen)
    if headed:
        for key, index in _by_heading(heads).items():
            if index not in chosen.values():
                at.setdefault(key, index)
    elif not ({"x", "y"} <= at.keys() or {"lon", "lat"} <= at.keys()):
        at = {**_by_numbers(rows, troubles), **chosen}
    if not {"x", "y"} <= at.keys() and not {"lon", "lat"} <= at.keys():
        seen = " ".join(", ".join(heads).split())[:200] if headed else "none of its rows has two numbers side by side"
        raise FileTrouble(
            f"the columns of the coordinates cannot be told ({seen})",
            where=troubles.file,
            remedy='say which they are, such as x = "3" and y = "2", counted from 1',
        )
    wanted = ("lon", "lat") if {"lon", "lat"} <= chosen.keys() or not {"x", "y"} <= at.keys() else ("x", "y")
    _say_unread(at, heads, wanted, troubles)
    return Columns(at, headed, heads, wanted[0] == "lon")


def _is_heading(first: Sequence[str], then: Sequence[Sequence[str]]) -> bool:
    if (
        any(number_in(cell) is not None and plain(cell) not in ("",) for cell in first)
        and sum(_is_known(c) for c in first) < 2
    ):
        return False
    if sum(_is_known(cell) for cell in first) >= 2:
        return True
    numbers = sum(from_text(c) is not None for row in then for c in row)
    return not any(from_text(cell) is not None for cell in first if cell.strip()) and numbers >= 2


def _is_known(cell: str) -> bool:
    return any(_heading(cell) in names for names in HEADINGS.values())


def _heading(cell: str) -> str:
    """A heading's letters and digits without a unit in brackets behind it."""
    return plain(_UNIT.sub("", cell.strip()))


def _chosen(key: str, wanted: str, heads: Sequence[str], rows: Sequence[Sequence[str]], troubles: Troubles) -> int:
    matches = [i for i, head in enumerate(heads) if head.strip().casefold() == wanted.strip().casefold()]
    if matches:
        return matches[0]
    width = max(len(row) for row in rows)
    if wanted.strip().isdigit() and 1 <= int(wanted) <= width:
        return int(wanted) - 1
    have = ", ".join(heads) if heads else f"columns 1 to {width}"
    raise FileTrouble(f"has no column '{wanted}' for {key}", where=troubles.file, remedy=f"choose among {have}")


def _by_heading(heads: Sequence[str]) -> dict[str, int]:
    known = [_heading(head) for head in heads]
    found: dict[str, int] = {}
    for key, names in HEADINGS.items():
        best = (
            min((names.index(name), i) for i, name in enumerate(known) if name in names)
            if any(n in names for n in known)
            else None
        )
        if best is not None:
            found[key] = best[1]
    return found


def _say_unread(at: Mapping[str, int], heads: Sequence[str], wanted: tuple[str, str], troubles: Troubles) -> None:
    other = {"x", "y", "lon", "lat"} - set(wanted)
    used = {index for key, index in at.items() if key not in other}
    unread = [head for i, head in enumerate(heads) if i not in used and head.strip()]
    if unread:
        troubles.add(
            "survey-60",
            f"the columns {', '.join(unread)} are kept as facts of features only.",
            remedy="Name a column if it holds a position, a level, a name or a code.",
        )


def _by_numbers(rows: Sequence[Sequence[str]], troubles: Troubles) -> dict[str, int]:
    width = max(len(row) for row in rows)
    cells = [[row[i].strip() if i < len(row) else "" for row in rows] for i in range(width)]
    filled = [[c for c in column if c] for column in cells]
    numeric = [
        i
        for i, column in enumerate(filled)
        if column and 2 * sum(from_text(c) is not None for c in column) > len(column)
    ]
    name = 0 if 0 not in numeric or (len(numeric) > 2 and _counts(filled[0])) else None
    coordinates = _without_zone([i for i in numeric if i != name], filled, troubles)
    if len(coordinates) < 2:
        return {}
    first, second = coordinates[:2]
    at: dict[str, int] = {} if name is None else {"name": name}
    if len(coordinates) > 2 and coordinates[2] == second + 1:
        at["level"] = coordinates[2]
    text = next((i for i in range(second + 1, width) if i not in numeric and filled[i]), None)
    if text is not None:
        at["code"] = text
    at.update(_north_and_east(first, second, filled, troubles))
    return at


def _without_zone(numeric: Sequence[int], filled: Sequence[Sequence[str]], troubles: Troubles) -> list[int]:
    """The columns without one of zone numbers, 1 to 60, that stands before two columns of large numbers."""
    if len(numeric) < 3:
        return list(numeric)
    zone, *rest = numeric
    numbers = filled[zone]
    small = all(c.isdigit() and 1 <= int(c) <= 60 for c in numbers)
    large = all(np.median([abs(v) for c in filled[i] if (v := from_text(c)) is not None]) > 1000 for i in rest[:2])
    if not (small and large):
        return list(numeric)
    zones = sorted({int(c) for c in numbers})
    told = str(zones[0]) if len(zones) == 1 else f"{zones[0]} to {zones[-1]}"
    troubles.add(
        "survey-62",
        f"column {zone + 1} reads like zone numbers ({told}) and is not read.",
        severity="warning" if len(zones) == 1 else "error",
        remedy="Give the points of each zone as a file of its own." if len(zones) > 1 else "Say the grid of that zone.",
    )
    return rest


def _counts(texts: Sequence[str]) -> bool:
    """True when the cells read like point numbers: whole, none twice, and too small or too regular for coordinates."""
    if not all(t.isdigit() for t in texts) or len(set(texts)) < len(texts):
        return False
    return max(len(t) for t in texts) <= 5


def _north_and_east(first: int, second: int, filled: Sequence[Sequence[str]], troubles: Troubles) -> dict[str, int]:
    a, b = (np.array([v for c in filled[i] if (v := from_text(c)) is not None]) for i in (first, second))
    if _is_angle(a, filled[first]) and _is_angle(b, filled[second]) and min(np.abs(a).max(), np.abs(b).max()) <= 90:
        east_first = bool(np.abs(a).max() > 90)
        told = np.abs(a).max() > 90 or np.abs(b).max() > 90
        lon, lat = (first, second) if east_first else (second, first)
        how = (
            "because only one of them goes beyond 90"
            if told
            else "as survey files write them; their numbers do not tell"
        )
        troubles.add("survey-62", f"column {lat + 1} is taken as latitude and column {lon + 1} as longitude, {how}.")
        return {"lon": lon, "lat": lat}
    size_a, size_b = float(np.median(np.abs(a))), float(np.median(np.abs(b)))
    told = max(size_a, size_b) >= _TELLS_APART * min(size_a, size_b)
    north_first = size_a >= size_b if told else True
    x, y = (second, first) if north_first else (first, second)
    how = (
        f"because its numbers are {_TELLS_APART:.0f} times as large or more"
        if told
        else "as survey files write it; the numbers do not tell"
    )
    troubles.add(
        "survey-62",
        f"column {y + 1} is taken as northing and column {x + 1} as easting, {how}.",
        severity=None if told else "error",
        remedy=f'Say x = "{y + 1}" and y = "{x + 1}" if it is the other way round.',
    )
    return {"x": x, "y": y}


def _is_angle(values: Floats, texts: Sequence[str]) -> bool:
    fine = max((len(t.rstrip("0").replace(",", ".").partition(".")[2]) for t in texts), default=0) >= 4 or any(
        "°" in t for t in texts
    )
    return fine and bool((np.abs(values) <= 180).all())
