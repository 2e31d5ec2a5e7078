"""Readings of layers and members brought together into the one reading of their file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

from planner.files.readers.grids import same_grid
from planner.files.readers.rules import Troubles
from planner.survey.fixes import MeasuredLine, MeasuredPoint, Reading

_Named = TypeVar("_Named", MeasuredLine, MeasuredPoint)


def gathered(
    file: str, readings: Sequence[tuple[str, Reading]], troubles: Troubles, notes: Sequence[str] = ()
) -> Reading:
    """One reading of several, in the coordinate system of the first that states one.

    A layer in another coordinate system, or in none where others state one, is left out with a finding: one reading
    has one grid, and bringing a layer into another grid is a decision with an accuracy of its own.

    Args:
        file: Path as given.
        readings: Name of the layer or member and what it gave.
        troubles: Where a layer left out is noted.
        notes: Sentences on the coordinate system that hold for the whole file.
    """
    filled = [(name, r) for name, r in readings if r.lines or r.points]
    crs = next((r.crs for _, r in filled if r.crs), next((r.crs for _, r in readings if r.crs), ""))
    lines: list[MeasuredLine] = []
    points: list[MeasuredPoint] = []
    for name, reading in filled:
        if not same_grid(reading.crs, crs):
            stated = f"is in {' '.join(reading.crs.split())[:60]}" if reading.crs else "states no coordinate system"
            troubles.add(
                "survey-59",
                f"{name} {stated} while the rest is in {' '.join(crs.split())[:60]}; its "
                f"{len(reading.lines)} lines and {len(reading.points)} points are left out.",
                severity="error",
                remedy="Give that layer as a file of its own.",
            )
            continue
        several = len(filled) > 1
        lines += [_in_layer(line, name) for line in reading.lines] if several else reading.lines
        points += [_in_layer(point, name) for point in reading.points] if several else reading.points
    found = tuple(f for _, r in readings for f in r.troubles) + troubles.findings()
    said = dict.fromkeys([*notes, *(note for _, r in readings for note in r.notes)])
    return Reading(file, crs, tuple(uniquely_named(lines)), tuple(points), found, tuple(said))


def _in_layer(one: _Named, name: str) -> _Named:
    return replace(one, attributes=(("layer", name), *one.attributes))


def uniquely_named(lines: Sequence[MeasuredLine]) -> list[MeasuredLine]:
    """The same lines, a number in brackets behind each name that stood before.

    Args:
        lines: Lines of one reading.
    """
    taken: set[str] = set()
    count: dict[str, int] = {}
    result = []
    for line in lines:
        name = line.name
        while name in taken:
            count[line.name] = count.get(line.name, 1) + 1
            name = f"{line.name} ({count[line.name]})"
        taken.add(name)
        result.append(line if name == line.name else replace(line, name=name))
    return result
