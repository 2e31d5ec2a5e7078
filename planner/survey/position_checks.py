"""Position checks: numbers that cannot be where the source says they are. One sentence for each kind, said once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.findings import Finding, Place, Severity
from planner.geometry.arrays import Booleans, Floats, Integers
from planner.geometry.lines import leg_lengths
from planner.sources import COMMON_PRACTICE, Source
from planner.survey.coordinate_systems import CoordinateSystem, grid_name, is_web_mercator, system
from planner.survey.datum_shift import to_lonlat
from planner.survey.grid_choice import NORTH_LIMIT_DEG, SOUTH_LIMIT_DEG
from planner.units import Metre

RULES: dict[str, str] = {
    "survey-01": "A position is a finite number.",
    "survey-02": "East or longitude comes before north or latitude.",
    "survey-03": "A latitude lies between -90 and 90, a longitude between -360 and 360.",
    "survey-04": "A position of 0, 0 is a fix that failed.",
    "survey-05": "Longitudes and latitudes do not stand under a grid in metres.",
    "survey-06": "Positions lie where their coordinate system is used.",
    "survey-07": "Two successive corners are no more than 20 km apart.",
    "survey-08": "Nothing is measured in the grid of web maps.",
    "survey-09": "A position has a place on the earth.",
    "survey-10": "Positions lie between 80 south and 84 north.",
    "survey-11": "Grid metres do not stand under longitude and latitude.",
    "survey-20": "A line's corners all have a place in the working grid.",
    "survey-21": "A line has two different corners, a ring three.",
    "survey-22": "No corner stands within 1 mm of the corner before it.",
    "survey-23": "A point has a place in the working grid.",
    "survey-24": "All sources of a job stand on one datum.",
    "survey-25": "A datum operation has a known accuracy.",
    "survey-26": "A source says its datum.",
    "survey-27": "No two lines have the same name.",
    "survey-28": "Sources of one job lie within 100 km of each other.",
}
"""What each rule asks; survey-01 to survey-39 belong to positions and to bringing them into one grid."""

JUMP_M = 20_000.0
"""Longest distance between two successive corners that is believed. [m] Common practice."""

_MARGIN_DEG = 1.0
_EARTH_M = 6_371_000.0
_HUGE = 1e8
_AREAS = Source("EPSG Geodetic Parameter Dataset, IOGP, as shipped with PROJ", place="areas of use")
_BY_AREA = ("survey-02", "survey-05", "survey-06")
_RESTATE = "Mend the file's statement of its coordinate system, or take it away and say the right one with --crs."


@dataclass(frozen=True)
class Fault:
    """One kind of trouble with some positions.

    Attributes:
        rule: Rule id.
        severity: How bad.
        where: Which positions. Shape (n,).
        message: What was found, one sentence.
        remedy: What to do, one sentence.
        loses: What cannot be used: the line that the corner belongs to, the corner only, or nothing.
    """

    rule: str
    severity: Severity
    where: Booleans
    message: str
    remedy: str
    loses: Literal["line", "corner", "nothing"]


def check_positions(xy: Floats, *, crs: str, file: str) -> list[Finding]:
    """What is wrong with the positions of one line, each kind of trouble in one finding.

    Args:
        xy: East or longitude, then north or latitude, in the order of the line. [m] or [deg] Shape (n, 2).
        crs: Code or WKT of the system they are said to be in.
        file: File they were read from.

    Returns:
        Findings; a finding's row is the first position that it is about, counted from 1.

    Raises:
        GridTrouble: The coordinate system is unknown.
    """
    faults = position_faults(xy, crs)
    found = [as_finding(fault, file=file) for fault in faults]
    lost = np.zeros(len(xy), dtype=bool)
    for fault in faults:
        lost |= fault.where & (fault.loses != "nothing")
    jump = jump_of(np.where(lost[:, None], np.nan, xy[:, :2]), crs)
    if jump is not None:
        found.append(jump_finding(jump, Place(file=file, row=jump[0] + 2)))
    return found


def position_faults(xy: Floats, crs: str) -> list[Fault]:
    """Trouble with single positions; a position is named by one fault that loses it at most.

    Args:
        xy: East or longitude, then north or latitude. [m] or [deg] Shape (n, 2).
        crs: Code or WKT.

    Raises:
        GridTrouble: The coordinate system is unknown.
    """
    known = system(crs)
    name = grid_name(crs)
    count = len(xy)
    finite: Booleans = np.isfinite(xy[:, 0]) & np.isfinite(xy[:, 1])
    not_finite: Booleans = ~finite
    zero: Booleans = finite & (np.abs(xy[:, 0]) < 1e-6) & (np.abs(xy[:, 1]) < 1e-6)
    left: Booleans = finite & ~zero
    faults = [
        Fault("survey-01", "error", not_finite, f"{_of(not_finite, count)} no finite number.",
              "Give those corners their positions in the source.", "line"),
        Fault("survey-04", "warning", zero, f"{_of(zero, count)} 0, 0, which is what a fix that failed looks like.",
              "Those corners were left out; check the line there.", "corner"),
    ]
    faults += _lonlat_faults(xy, left, known, name) if known.is_lonlat else _grid_faults(xy, left, known, name, crs)
    return [fault for fault in faults if fault.where.any()]


def as_finding(fault: Fault, *, file: str, rows: Integers | None = None) -> Finding:
    """A fault as a finding, placed at its first position.

    Args:
        fault: The fault.
        file: File the positions were read from.
        rows: Row in the file of each position; None when they are rows of their own. Shape (n,).
    """
    first = int(np.argmax(fault.where))
    row = first + 1 if rows is None else int(rows[first])
    source = _AREAS if fault.rule in _BY_AREA else COMMON_PRACTICE
    return Finding(fault.rule, fault.severity, fault.message, fault.remedy, Place(file=file, row=row), source)


def jump_of(xy: Floats, crs: str) -> tuple[int, Metre] | None:
    """The longest leg, when it is longer than is believed: the index of its start, and its length. [m]

    Args:
        xy: Corners in order. [m] or [deg] Shape (n, 2).
        crs: Code or WKT.

    Returns:
        None when no leg is longer than ``JUMP_M``.
    """
    known = system(crs)
    told = np.where(np.isfinite(xy[:, :2]), xy[:, :2], np.nan)
    if known.is_lonlat:
        legs = _sphere_legs(told)
    else:
        legs = leg_lengths(told) * float(known.plain.axis_info[0].unit_conversion_factor)
    legs = np.where(np.isfinite(legs), legs, 0.0)
    if len(legs) == 0 or legs.max() <= JUMP_M:
        return None
    return int(np.argmax(legs)), float(legs.max())


def jump_finding(jump: tuple[int, Metre], place: Place) -> Finding:
    """The finding for a line that jumps.

    Args:
        jump: Index of the corner before the jump, and its length. [m]
        place: Where.
    """
    index, length = jump
    return Finding(
        "survey-07", "error", f"The line jumps {length / 1000:,.0f} km from corner {index + 1} to corner {index + 2}.",
        "Mend that corner in the source, or give the two parts as two lines.", place)


def looks_like(xy: Floats) -> str:
    """What bare numbers look like, to help a person say what they are; never used to decide.

    Args:
        xy: Positions of unknown kind. Shape (n, 2).

    Returns:
        A clause; empty when there is no number.
    """
    finite = xy[np.isfinite(xy[:, :2]).all(axis=1), :2]
    if len(finite) == 0:
        return ""
    x, y = np.abs(finite[:, 0]).max(), np.abs(finite[:, 1]).max()
    if x <= 180.0 and y <= 90.0:
        return "its numbers look like longitude and latitude"
    if x <= 90.0 and y <= 180.0:
        return "its numbers look like latitude and longitude, in that order"
    return "its numbers look like metres of a grid"


def _of(where: Booleans, count: int) -> str:
    some = int(where.sum())
    return f"{some} of {count} positions {'is' if some == 1 else 'are'}"


def _lonlat_faults(xy: Floats, left: Booleans, known: CoordinateSystem, name: str) -> list[Fault]:
    count = len(xy)
    x, y = (np.where(left, xy[:, i], 0.0) for i in (0, 1))
    metres = (np.maximum(np.abs(x), np.abs(y)) > 1000.0)
    swapped = ~metres & (np.abs(y) > 90.0) & (np.abs(x) <= 90.0) & (np.abs(y) <= 180.0)
    if not swapped.any() and known.area is not None:
        swapped = ~_inside(x, y, known.area) & _inside(y, x, known.area) & left
    if swapped.sum() * 2 <= left.sum():
        swapped = np.zeros(count, dtype=bool)
    out = ~metres & ~swapped & ((np.abs(y) > 90.0) | (np.abs(x) > 360.0))
    pole = ~metres & ~swapped & ~out & ((y > NORTH_LIMIT_DEG) | (y < SOUTH_LIMIT_DEG))
    outside = left & ~metres & ~swapped & ~out & ~pole & ~_inside(x, y, known.area)
    return [
        Fault("survey-11", "error", metres, f"{_of(metres, count)} in metres or the like, but the file says {name}.",
              _RESTATE, "line"),
        _swapped(swapped, xy, name),
        Fault("survey-03", "error", out, f"{_of(out, count)} off the globe, such as longitude {_first(out, xy, 0)}, "
              f"latitude {_first(out, xy, 1)}.", "Mend those corners in the source.", "line"),
        Fault("survey-10", "error", pole, f"{_of(pole, count)} beyond 84 north or 80 south, such as latitude "
              f"{_first(pole, xy, 1)}, where no plane grid is true.",
              "Mend them if they are slips; near a pole no fence can be planned.", "line"),
        _outside(outside, count, name),
    ]


def _grid_faults(xy: Floats, left: Booleans, known: CoordinateSystem, name: str, crs: str) -> list[Fault]:
    count = len(xy)
    safe = np.where(left[:, None] & (np.abs(xy[:, :2]) < _HUGE), xy[:, :2], np.nan)
    x, y = np.abs(safe[:, 0]), np.abs(safe[:, 1])
    lonlat, turned = to_lonlat(safe, crs), to_lonlat(safe[:, ::-1], crs)
    inside = _inside(lonlat[:, 0], lonlat[:, 1], known.area)
    degrees = (np.maximum(x, y) <= 180.0) & (np.minimum(x, y) <= 90.0) & (is_web_mercator(known) | ~inside)
    swapped = left & ~degrees & ~inside & _inside(turned[:, 0], turned[:, 1], known.area)
    nowhere = left & ~degrees & ~swapped & ~np.isfinite(lonlat).all(axis=1)
    outside = left & ~degrees & ~swapped & ~nowhere & ~inside
    web = left & ~degrees & np.full(count, is_web_mercator(known))
    return [
        Fault("survey-05", "error", degrees, f"{_of(degrees, count)} in degrees by the look of "
              f"{_first(degrees, xy, 0)}, {_first(degrees, xy, 1)}, but the file says {name}.",
              _RESTATE, "line"),
        _swapped(swapped, xy, name),
        Fault("survey-09", "error", nowhere, f"{_of(nowhere, count)} nowhere on the earth in {name}, such as "
              f"{_first(nowhere, xy, 0)}, {_first(nowhere, xy, 1)}.", "Mend those corners in the source.", "line"),
        _outside(outside, count, name),
        Fault("survey-08", "note", web, f"The positions stand in the grid of web maps, where a metre reads as "
              f"{_stretch(lonlat[web, 1]):.3f} m here.",
              "Lengths and areas were taken in the working grid; do not compare them with lengths from a web map.",
              "nothing"),
    ]


def _swapped(where: Booleans, xy: Floats, name: str) -> Fault:
    return Fault("survey-02", "error", where, f"Axes swapped? {_of(where, len(xy))} where {name} is used only with the "
                 f"two columns exchanged, such as {_first(where, xy, 0)}, {_first(where, xy, 1)}.",
                 "Exchange the two columns of the source, east or longitude first, and read it again.", "line")


def _outside(where: Booleans, count: int, name: str) -> Fault:
    return Fault("survey-06", "warning", where, f"{_of(where, count)} outside the area where {name} is used.",
                 f"Check the zone; if the statement is wrong: {_RESTATE[0].lower()}{_RESTATE[1:]}", "nothing")


def _first(where: Booleans, xy: Floats, axis: int) -> str:
    return f"{xy[int(np.argmax(where)), axis]:.10g}" if where.any() else ""


def _stretch(latitude: Floats) -> float:
    return float(1.0 / np.cos(np.radians(np.median(latitude)))) if len(latitude) else 1.0


def _inside(longitude: Floats, latitude: Floats, area: tuple[float, float, float, float] | None) -> Booleans:
    """Which positions lie in an area of use, a degree beyond its edge included; positions without a place do not."""
    finite = np.isfinite(longitude) & np.isfinite(latitude)
    if area is None:
        return finite
    west, south, east, north = area
    width = float(np.remainder(east - west, 360.0)) or 360.0
    along = np.remainder(np.where(finite, longitude, 0.0) - west + _MARGIN_DEG, 360.0)
    level = np.where(finite, latitude, np.inf)
    return finite & (along <= width + 2 * _MARGIN_DEG) & (level >= south - _MARGIN_DEG) & (level <= north + _MARGIN_DEG)


def _sphere_legs(lonlat: Floats) -> Floats:
    """Length of each leg on a sphere, the shorter way round; good to 0.5 per cent, enough to see a jump. [m]"""
    lon, lat = np.radians(lonlat[:, 0]), np.radians(lonlat[:, 1])
    half = (np.sin(np.diff(lat) / 2) ** 2
            + np.cos(lat[:-1]) * np.cos(lat[1:]) * np.sin(np.diff(lon) / 2) ** 2)
    return np.asarray(2.0 * _EARTH_M * np.arcsin(np.sqrt(np.clip(half, 0.0, 1.0))), dtype=float)
