"""Legs of a traverse: bearings and distances as plans write them, straight or along an arc.

Source:
    Chains, links and perches by the international foot (International yard and pound agreement 1959). A curve on a plan
    is given by radius, hand, and arc length or chord, with the bearing of its chord. Checked in
    tests/validation/test_mahun_traverses.py and tests/validation/test_curved_frontage.py.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.errors import OutOfRange
from planner.findings import Finding, Place
from planner.geometry.bearings import from_packed, parse_bearing, whole_circle
from planner.survey.leg_doubts import comma_doubt, packed_doubt
from planner.units import CHAIN_M, FOOT_M, INCH_M, LINK_M, Degree, Metre, Radian

LengthUnit = Literal["m", "ft", "chain"]
UNITS: dict[LengthUnit, Metre] = {"m": 1.0, "ft": FOOT_M, "chain": CHAIN_M}
RULES = {
    "traverse-01": "a row of a leg table can be read",
    "traverse-02": "a column of a leg table is known",
    "traverse-03": "bearings with decimals are not packed degrees, minutes and seconds",
    "traverse-04": "arc length and chord of a curve agree",
    "traverse-05": "a comma in a length can be read in one way only",
}
_WORDS: dict[str, Metre] = {
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1.0),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′", "’"), FOOT_M),
    **dict.fromkeys(("in", "inch", "inches", '"', "″", "”"), INCH_M),
    **dict.fromkeys(("c", "ch", "chain", "chains"), CHAIN_M),
    **dict.fromkeys(("l", "lk", "lks", "li", "link", "links"), LINK_M),
    **dict.fromkeys(("p", "perch", "perches", "rod", "rods", "pole", "poles"), CHAIN_M / 4.0),
}
_UNIT_OF: dict[Metre, LengthUnit] = {1.0: "m", FOOT_M: "ft", CHAIN_M: "chain"}
_LENGTH = re.compile(r"(\d+(?:[.,]\d+)?|[.,]\d+)\s*([^\W\d_]+|['′’\"″”])?\s*")
_HEADINGS = {
    "bearing": ("bearing", "brg", "azimuth", "az", "direction", "chord bearing", "chordbearing", "bearing of chord"),
    "distance": ("distance", "dist", "length", "horizontal distance"),
    "radius": ("radius", "r", "rad"),
    "hand": ("hand", "turn", "curve", "curves to"),
    "arc": ("arc", "arc length", "arclength", "arc distance"),
    "chord": ("chord", "chord length", "chordlength", "chord distance"),
    "name": ("name", "leg", "to", "corner", "point", "note", "remark", "remarks", "no", "number"),
}
_HANDS = {"r": True, "right": True, "l": False, "left": False}
_LENGTHS = ("distance", "radius", "arc", "chord")
_CHORD_TOLERANCE_M = 0.02


@dataclass(frozen=True, slots=True)
class Leg:
    """One leg of a traverse.

    Attributes:
        bearing_deg: Bearing of the leg, of an arc's chord. [deg] None for an arc that runs on along the leg before it.
        distance_m: Length of the leg, of an arc along the arc. [m]
        radius_m: Radius of an arc; 0 for a straight leg. [m]
        right: True when an arc curves to the right.
        row: Row in its table, counted from 1; 0 when it has none.
        bearing_text: Its bearing as written.
        distance_text: Its distance as written.
        unit: Unit of a distance that states none.
    """

    bearing_deg: Degree | None
    distance_m: Metre
    radius_m: Metre = 0.0
    right: bool = True
    row: int = 0
    bearing_text: str = ""
    distance_text: str = ""
    unit: LengthUnit = "m"

    @property
    def angle_rad(self) -> Radian:
        """Angle that an arc turns through; 0 for a straight leg. [rad]"""
        return self.distance_m / self.radius_m if self.radius_m else 0.0

    @property
    def chord_m(self) -> Metre:
        """Straight distance from end to end. [m]"""
        return float(2.0 * self.radius_m * np.sin(self.angle_rad / 2.0)) if self.radius_m else self.distance_m


@dataclass(frozen=True)
class LegTable:
    """What a table of legs gave.

    Attributes:
        legs: Legs in order; those whose row cannot be read are missing, so a traverse needs them all.
        findings: What was wrong with which row (errors), and what was assumed.
    """

    legs: tuple[Leg, ...]
    findings: tuple[Finding, ...] = ()


def parse_distance(text: str, *, unit: LengthUnit = "m") -> Metre:
    """A distance as plans write it: ``412.36``, ``12.34 ch``, ``12c 34l``, ``660 ft``, ``12' 6"``. [m]

    Args:
        text: The distance. Units that stand in it go before ``unit``; a decimal comma is taken.
        unit: Unit of a number without one; 12.34 chains are 12 chains and 34 links.

    Raises:
        OutOfRange: It is no distance, or is not above zero.

    Example:
        >>> round(parse_distance("12c 34l"), 6) == round(parse_distance("12.34", unit="chain"), 6)
        True
        >>> parse_distance("100 ft")
        30.48
    """
    plain, at = text.strip().lower(), 0
    parts: list[tuple[float, Metre]] = []
    while at < len(plain):
        found = _LENGTH.match(plain, at)
        word = found[2] or "" if found else ""
        if found is None or (word and word not in _WORDS) or (not word and (parts or found.end() < len(plain))):
            raise OutOfRange("this is no distance", where=f"'{text}'", remedy="write it like 412.36, 12c 34l or 660 ft")
        factor = _WORDS[word] if word else UNITS[unit]
        if parts and factor >= parts[-1][1]:
            raise OutOfRange("the larger unit stands first in a distance", where=f"'{text}'",
                             remedy="write it like 12c 34l")
        parts.append((float(found[1].replace(",", ".")), factor))
        at = found.end()
    value = sum(number * factor for number, factor in parts)
    if not value > 0.0:
        raise OutOfRange("a distance is above zero", where=f"'{text}'", remedy="check the figures")
    return value


def arc_leg(bearing_deg: Degree | None, *, radius_m: Metre, right: bool, length_m: Metre | None = None,
            chord_m: Metre | None = None) -> Leg:
    """A leg along an arc, from its length or from its chord.

    Args:
        bearing_deg: Bearing of its chord; None when it runs on along the leg before it. [deg]
        radius_m: Radius. [m]
        right: True when it curves to the right.
        length_m: Length along the arc. [m]
        chord_m: Straight distance from end to end; the shorter way round is meant. [m]

    Raises:
        OutOfRange: The radius is not above zero, neither length nor chord is given, the chord is longer than the
            diameter, or the arc goes more than once round.
    """
    if not radius_m > 0.0:
        raise OutOfRange("a radius is above zero", where=f"{radius_m:g} m", remedy="check the figures")
    if length_m is None:
        if chord_m is None:
            raise OutOfRange("a curve has a length or a chord", remedy="give one of them")
        if chord_m > 2.0 * radius_m:
            raise OutOfRange(f"a chord of {chord_m:g} m is longer than the diameter of {2.0 * radius_m:g} m",
                             remedy="check chord and radius")
        length_m = float(2.0 * radius_m * np.arcsin(chord_m / (2.0 * radius_m)))
    if length_m >= 2.0 * np.pi * radius_m:
        raise OutOfRange(f"an arc of {length_m:g} m goes more than once round a radius of {radius_m:g} m",
                         remedy="check length and radius")
    return Leg(bearing_deg, length_m, radius_m, right)


def parse_legs(text: str, *, unit: LengthUnit = "m", packed: bool = False, file: str = "") -> LegTable:
    """Legs from a table in text: bearing and distance; for an arc its radius, its hand, and arc length or chord.

    Columns are told by their headings: bearing, distance, radius, hand, arc, chord, name; a heading may name its unit,
    as ``distance (ft)``. Without headings they stand in the order bearing, distance, radius, hand. A row with a radius
    is an arc: its bearing is that of the chord, or is left out where the arc runs on along the leg before it; its
    length stands under arc, chord, or distance, which then is the arc's. Empty rows and rows that start with ``#`` are
    passed over.

    Args:
        text: The table, parts separated by comma, semicolon or tab.
        unit: Unit of distances that state none.
        packed: True when 92.1420 means 92°14'20".
        file: Name of the file, for the findings.
    """
    lines = [(number, line) for number, line in enumerate(text.lstrip("\ufeff").splitlines(), 1)
             if line.strip(" ,;\t") and not line.lstrip().startswith("#")]
    if not lines:
        return LegTable((), (_row_finding("the table is empty", file, None),))
    mark = next((m for m in ("\t", ";") if m in lines[0][1]), ",")
    rows = [(number, [c.strip() for c in next(csv.reader(io.StringIO(line), delimiter=mark, quoting=_quoting(line)))])
            for number, line in lines]
    findings: list[Finding] = []
    columns, units = _columns(rows[0][1], unit)
    heads = rows[0][1] if columns else []
    if columns:
        findings += [Finding("traverse-02", "note", f"The column '{head}' is not read.", "Nothing needs to be done.",
                             Place(file=file, row=rows[0][0]))
                     for i, head in enumerate(rows[0][1]) if head and i not in columns.values()]
        rows = rows[1:]
    else:
        columns, units = {"bearing": 0, "distance": 1, "radius": 2, "hand": 3}, {}
        findings += [Finding("traverse-02", "note", "What stands after the fourth part of a row is not read.",
                             "Nothing needs to be done.", Place(file=file, row=number))
                     for number, cells in rows if any(cells[4:])][:1]
    legs: list[Leg] = []
    for number, cells in rows:
        if heads and any(cells[len(heads):]):
            findings.append(_row_finding(
                f"There are {len(cells)} parts under {len(heads)} headings; put a number with a decimal comma between "
                "quote marks, or part the table with semicolons", file, number))
            continue
        said = {key: cells[i] for key, i in columns.items() if i < len(cells) and cells[i]}
        try:
            legs.append(_leg(said, {k: units.get(k, unit) for k in columns}, number, packed, findings, file))
        except OutOfRange as trouble:
            findings.append(_row_finding(str(trouble).rstrip("."), file, number))
    if not packed:
        findings += packed_doubt([(leg.row, leg.bearing_text) for leg in legs], file)
    at = {key: [(number, cells[i]) for number, cells in rows if i < len(cells)] for key, i in columns.items()}
    lengths = [cell for key in _LENGTHS for cell in at.get(key, ())]
    findings += comma_doubt(at.get("bearing", ()), lengths, file)
    return LegTable(tuple(legs), tuple(findings))


def _quoting(line: str) -> Literal[0, 3]:
    """Seconds are written with a quote mark too: quotes hold a cell together only where they come in front of it."""
    return csv.QUOTE_MINIMAL if re.search(r'(?:^|[,;\t])\s*"', line) else csv.QUOTE_NONE


def _columns(heads: list[str], unit: LengthUnit) -> tuple[dict[str, int], dict[str, LengthUnit]]:
    """Which column holds what, and its unit where the heading says one; nothing when there are no headings."""
    columns: dict[str, int] = {}
    units: dict[str, LengthUnit] = {}
    for i, head in enumerate(heads):
        plain = " ".join(re.sub(r"[^\w\s]|_", " ", head.lower()).split())
        words = plain.split()
        found_unit: LengthUnit = unit
        if len(words) > 1 and words[-1] in _WORDS:
            plain = " ".join(words[:-1])
            found_unit = _UNIT_OF.get(_WORDS[words[-1]], unit)
        key = next((k for k, names in _HEADINGS.items() if plain in names), None)
        if key and key not in columns:
            columns[key], units[key] = i, found_unit
    return (columns, units) if {"bearing", "radius"} & set(columns) else ({}, {})


def _leg(said: dict[str, str], units: dict[str, LengthUnit], row: int, packed: bool, findings: list[Finding],
         file: str) -> Leg:
    bearing = None if "bearing" not in said else _bearing(said["bearing"], packed)
    length = {k: parse_distance(said[k], unit=units[k]) for k in _LENGTHS if k in said}
    written = said.get("arc") or said.get("distance") or said.get("chord") or ""
    unit = units.get("distance", "m")
    if "radius" not in said:
        if {"hand", "arc", "chord"} & set(said):
            raise OutOfRange("a curve without a radius", remedy="give its radius")
        if bearing is None or "distance" not in length:
            raise OutOfRange(f"there is no {'bearing' if bearing is None else 'distance'}",
                             remedy="a straight leg has a bearing and a distance")
        return Leg(bearing, length["distance"], row=row, bearing_text=said["bearing"], distance_text=written, unit=unit)
    hand = _HANDS.get(said.get("hand", "").lower())
    if hand is None:
        raise OutOfRange(f"'{said.get('hand', '')}' is no hand", remedy="say left or right for a curve")
    along = length.get("arc", length.get("distance"))
    arc = arc_leg(bearing, radius_m=length["radius"], right=hand, length_m=along, chord_m=length.get("chord"))
    if along is not None and "chord" in length and abs(arc.chord_m - length["chord"]) > _CHORD_TOLERANCE_M:
        findings.append(Finding(
            "traverse-04", "warning", f"The curve of radius {length['radius']:.3f} m and arc {along:.3f} m has a chord "
            f"of {arc.chord_m:.3f} m, not {length['chord']:.3f} m; the arc was taken.", "Check the three on the plan.",
            Place(file=file, row=row)))
    return Leg(bearing, arc.distance_m, arc.radius_m, hand, row, said.get("bearing", ""), written, unit)


def _bearing(text: str, packed: bool) -> Degree:
    plain = text.strip().replace(",", ".")
    if packed and re.fullmatch(r"\d+\.\d+", plain):
        return whole_circle(float(from_packed(np.array([float(plain)]))[0]))
    return parse_bearing(text)


def _row_finding(what: str, file: str, row: int | None) -> Finding:
    return Finding("traverse-01", "error", f"{what[:1].upper()}{what[1:]}.", "Mend the row; a leg that is missing "
                   "moves all that follow.", Place(file=file, row=row))
