"""Levels in metres, whatever unit a file has them in: what it says of them, what a person says, what is in doubt."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from planner.errors import FileTrouble
from planner.files.readers.rules import Troubles
from planner.findings import Finding
from planner.geometry.arrays import frozen
from planner.survey.fixes import Reading
from planner.units import FOOT_M, US_SURVEY_FOOT_M

LEVEL_UNITS_M: dict[str, float] = {
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1.0),
    **dict.fromkeys(("ft", "foot", "feet", "international foot"), FOOT_M),
    **dict.fromkeys(("us-ft", "ftus", "us survey foot", "us survey feet", "us_survey_foot", "foot_us"),
                    US_SURVEY_FOOT_M),
    "cm": 0.01, "mm": 0.001,
}
"""What units of level are called, to metres."""
_SAID = ("m", "ft", "us-ft")
_BRACKETS = re.compile(r"[(\[]\s*([^()\[\]]*?)\s*[)\]]\s*$")
_ENDING = re.compile(r"(?<![a-z])(?:rl|z|elev|elevation|level|height|h|alt|altitude|ele)[ _.-]?(ft|feet)$")
_METRES = 1e-9


def unit_in_heading(heading: str) -> str:
    """The unit that the heading of a column of levels ends with: in brackets, or ``ft`` behind its name; else empty.

    What else stands in brackets, such as a height datum, is no unit.

    Args:
        heading: The heading's text.

    Example:
        >>> unit_in_heading("Elevation (ft)"), unit_in_heading("elev_ft"), unit_in_heading("RL")
        ('ft', 'ft', '')
    """
    said = heading.strip().lower()
    brackets = _BRACKETS.search(said)
    if brackets:
        word = brackets.group(1).strip(".")
        return word if word in LEVEL_UNITS_M else ""
    ending = _ENDING.search(said)
    return ending.group(1) if ending else ""


def levels_in_metres(reading: Reading, choices: Mapping[str, str], *, named: str = "", crs: object = "") -> Reading:
    """The reading with its levels in metres.

    What a person says goes before what the file says: the heading of its column, or the height part of its coordinate
    system. A file that counts east and north in feet and says nothing of its levels is taken at metres, with a warning.

    Args:
        reading: What a file gave.
        choices: What a person chose; ``level-unit`` is the unit of the levels.
        named: The unit that the file names beside its levels; empty when it names none.
        crs: Coordinate system as the file states it, with its height part; empty when it states none.

    Raises:
        FileTrouble: The chosen unit is none that is known.
    """
    said = choices.get("level-unit", "")
    if said and said not in _SAID:
        raise FileTrouble(f"levels cannot be in '{said}'", where=reading.file, remedy=f"use one of {', '.join(_SAID)}")
    if not _has_levels(reading):
        return reading
    troubles = Troubles(reading.file)
    if said:
        factor, why = LEVEL_UNITS_M[said], "as you said"
    elif named:
        factor, why = LEVEL_UNITS_M[named], f"as its heading says ({named})"
    else:
        across, up = _units_of(crs)
        factor, why = up or 1.0, "as its coordinate system says"
        if not up and abs(across - FOOT_M) < 0.001:
            troubles.add("survey-70", "it counts east and north in feet and does not say in what its levels are; "
                         "taken as metres.", severity="warning")
    if abs(factor - 1.0) > _METRES:
        troubles.add("survey-70", f"its levels are not in metres, {why}, and were turned into metres.")
        reading = _scaled(reading, factor)
    return _with(reading, troubles.findings())


def _units_of(crs: object) -> tuple[float, float]:
    """Metres in a unit east or north, 0.0 for degrees, and in a unit of level, 0.0 when nothing is said of levels."""
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    if not crs:
        return 0.0, 0.0
    try:
        known = CRS.from_user_input(crs)
    except CRSError:  # said where the coordinate system itself is looked at
        return 0.0, 0.0
    units = {axis.direction.lower(): float(axis.unit_conversion_factor) for axis in known.axis_info}
    return 0.0 if known.is_geographic else units.get("east", 0.0), units.get("up", 0.0)


def _has_levels(reading: Reading) -> bool:
    return (any(line.level_m is not None and np.isfinite(line.level_m).any() for line in reading.lines)
            or any(point.level_m is not None for point in reading.points))


def _scaled(reading: Reading, factor: float) -> Reading:
    return replace(
        reading,
        lines=tuple(line if line.level_m is None else replace(line, level_m=frozen(line.level_m * factor))
                    for line in reading.lines),
        points=tuple(point if point.level_m is None else replace(point, level_m=point.level_m * factor)
                     for point in reading.points))


def _with(reading: Reading, found: tuple[Finding, ...]) -> Reading:
    return replace(reading, troubles=reading.troubles + found) if found else reading
