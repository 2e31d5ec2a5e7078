"""The traverse: bearings and distances run into corners, with what it fails to close by and which leg may be wrong.

Source:
    Latitudes, departures, linear misclose and the compass rule (Bowditch): J. Mahun, open-access surveying text (Open
    Access Surveying Library), traverse computations. Checked in tests/validation/test_mahun_traverses.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats, SameByValue, frozen
from planner.geometry.bearings import bearing_of, bearings_of, step_along
from planner.survey.traverse_legs import Leg
from planner.survey.traverse_suspects import GROSS_ACCURACY, Suspect, suspects_of
from planner.units import Degree, Metre, Radian, SquareMetre

CloseOn: TypeAlias = Literal["start"] | tuple[Metre, Metre] | None
NEARLY_CLOSED = 0.1
"""Share of the perimeter below which the gap between end and start is taken as a misclose. Common practice."""


@dataclass(frozen=True, eq=False)
class TraverseResult(SameByValue):
    """A traverse, run.

    Attributes:
        legs: Its legs, each with a bearing.
        corners: Corners of the line, arcs as chords. [m] Shape (k, 2).
        stations: Start of the first leg and end of every leg. [m] Shape (n + 1, 2).
        departures_m: Step east of each leg, adjusted when that was asked for. [m] Shape (n,).
        latitudes_m: Step north of each leg, adjusted when that was asked for. [m] Shape (n,).
        perimeter_m: Length of all legs, arcs along the arc. [m]
        misclose_e_m: How far east of where it should close it ends, before any adjustment. [m] None when open.
        misclose_n_m: How far north. [m] None when open.
        area_m2: Area enclosed, arcs exact. [m2] None when it does not close on its start.
        adjusted: True when the misclose was shared out by the compass rule.
        arc_departure_m: Greatest departure of the chords from the arcs; 0 without arcs. [m]
        suspects: Legs that would explain a gross misclose, likeliest first.
    """

    legs: tuple[Leg, ...]
    corners: Floats
    stations: Floats
    departures_m: Floats
    latitudes_m: Floats
    perimeter_m: Metre
    misclose_e_m: Metre | None
    misclose_n_m: Metre | None
    area_m2: SquareMetre | None
    adjusted: bool
    arc_departure_m: Metre
    suspects: tuple[Suspect, ...]

    @property
    def misclose_m(self) -> Metre | None:
        """Length of the misclose. [m] None when open."""
        if self.misclose_e_m is None or self.misclose_n_m is None:
            return None
        return float(np.hypot(self.misclose_e_m, self.misclose_n_m))

    @property
    def misclose_bearing_deg(self) -> Degree | None:
        """Bearing from where it should close to where it ends. [deg] None when open or without misclose."""
        if not self.misclose_m or self.misclose_e_m is None or self.misclose_n_m is None:
            return None
        return bearing_of(self.misclose_e_m, self.misclose_n_m)

    @property
    def accuracy(self) -> float | None:
        """The n of a relative accuracy of 1:n; infinite without misclose, None when open."""
        if self.misclose_m is None:
            return None
        return self.perimeter_m / self.misclose_m if self.misclose_m else float("inf")

    @property
    def hidden(self) -> str:
        """What is said when a gross misclose was shared out; empty when none was."""
        if not self.adjusted or self.accuracy is None or self.accuracy >= GROSS_ACCURACY:
            return ""
        return (f"A misclose worse than 1:{GROSS_ACCURACY:,.0f} is a wrong leg or poor measuring, and sharing it out "
                "hides it: find it or measure again before the line is used.")

    @property
    def bearings_deg(self) -> Floats:
        """Bearing of each leg, of an arc's chord, adjusted when that was asked for. [deg] Shape (n,)."""
        steps = np.column_stack((self.departures_m, self.latitudes_m))
        return bearings_of(np.vstack(([0.0, 0.0], np.cumsum(steps, axis=0))))


def traverse(legs: Sequence[Leg], *, start: tuple[Metre, Metre], close_on: CloseOn = "start", adjust: bool = False,
             arc_within_m: Metre = 0.05, arc_step_m: Metre | None = None) -> TraverseResult:
    """Runs a traverse from its start.

    Bearings are taken as grid bearings and distances as grid distances. A gross misclose is looked into: it may lie
    along one leg's bearing, or be explained by swapped digits, a leg run backwards or a wrong quadrant.

    Args:
        legs: Legs, in order.
        start: East and north of the start. [m]
        close_on: Where it should end: its start, a known place, or nowhere.
        adjust: True to share the misclose out among the legs by their length.
        arc_within_m: How far chords may leave an arc. [m]
        arc_step_m: Longest stretch of arc under one chord, such as the distance of posts; None for no such limit. [m]

    Raises:
        OutOfRange: There is no leg, an arc has nothing to run on from, a limit is not above zero, or an adjustment is
            asked of a traverse that does not close.

    Example:
        >>> square = [Leg(bearing, 100.0) for bearing in (0.0, 90.0, 180.0, 270.0)]
        >>> result = traverse(square, start=(500.0, 1000.0))
        >>> round(result.misclose_m, 9), round(result.area_m2, 6)
        (0.0, 10000.0)
    """
    if not legs:
        raise OutOfRange("a traverse has no leg", remedy="give at least one bearing and distance")
    if adjust and close_on is None:
        raise OutOfRange("an open traverse cannot be adjusted", remedy="say where it closes")
    known = _with_bearings(legs)
    steps = np.array([step_along(leg.bearing_deg or 0.0, leg.chord_m) for leg in known])
    lengths = np.array([leg.distance_m for leg in known])
    origin = np.array(start, dtype=float)
    misclose = None
    if close_on is not None:
        misclose = steps.sum(axis=0) - (0.0 if close_on == "start" else np.array(close_on) - origin)
    suspects = () if misclose is None else suspects_of(known, steps, misclose)
    run = steps
    if adjust and misclose is not None:
        run = steps - misclose * (lengths / lengths.sum())[:, None]
    stations = origin + np.vstack(([0.0, 0.0], np.cumsum(run, axis=0)))
    if adjust and close_on is not None:
        stations[-1] = stations[0] if close_on == "start" else close_on
    corners, departure = _corners(known, steps, stations, arc_within_m, arc_step_m)
    area = _area(known, stations) if close_on == "start" else None
    east, north = (None, None) if misclose is None else (float(misclose[0]), float(misclose[1]))
    return TraverseResult(tuple(known), frozen(corners), frozen(stations), frozen(run[:, 0]), frozen(run[:, 1]),
                          float(lengths.sum()), east, north, area, adjust, departure, suspects)


def closes_on_start(result: TraverseResult) -> bool:
    """Whether a traverse that was run to its start seems meant to close there.

    Args:
        result: A traverse closed on its start.
    """
    gap = result.misclose_m
    return gap is not None and (gap <= NEARLY_CLOSED * result.perimeter_m or bool(result.suspects))


def arc_departure(radius_m: Metre, angle_rad: Radian, chords: int) -> Metre:
    """How far equal chords leave an arc at most. [m]

    Args:
        radius_m: Radius. [m]
        angle_rad: Angle of the whole arc. [rad]
        chords: Number of chords.

    Example:
        >>> round(arc_departure(180.0, 94.25 / 180.0, 4), 3)
        0.385
    """
    return float(radius_m * (1.0 - np.cos(angle_rad / (2.0 * chords))))


def chords_of_arc(leg: Leg, *, within_m: Metre, step_m: Metre | None = None) -> int:
    """Fewest equal chords for an arc.

    Args:
        leg: An arc.
        within_m: How far they may leave it. [m]
        step_m: Longest stretch of arc under one chord; None for no such limit. [m]

    Raises:
        OutOfRange: A limit is not above zero.
    """
    if not within_m > 0.0 or (step_m is not None and not step_m > 0.0):
        raise OutOfRange("chords of an arc need a departure and a step above zero", remedy="give larger ones")
    half = float(np.arccos(max(-1.0, 1.0 - within_m / leg.radius_m)))
    fewest = int(np.ceil(leg.angle_rad / (2.0 * half) - 1e-9))
    return max(fewest, 1, 0 if step_m is None else int(np.ceil(leg.distance_m / step_m - 1e-9)))


def _with_bearings(legs: Sequence[Leg]) -> list[Leg]:
    """The legs with the bearing of every chord: an arc without one runs on from the leg before it."""
    known: list[Leg] = []
    for number, leg in enumerate(legs, 1):
        if leg.bearing_deg is None:
            if not known or not leg.radius_m:
                raise OutOfRange("there is no bearing to run on from", where=f"leg {number}", remedy="give its bearing")
            half = float(np.degrees(leg.angle_rad)) / 2.0
            leg = replace(leg, bearing_deg=(_leaving(known[-1]) + (half if leg.right else -half)) % 360.0)
        known.append(leg)
    return known


def _leaving(leg: Leg) -> Degree:
    half = float(np.degrees(leg.angle_rad)) / 2.0
    return (leg.bearing_deg or 0.0) + (half if leg.right else -half)


def _corners(legs: Sequence[Leg], steps: Floats, stations: Floats, within_m: Metre,
             step_m: Metre | None) -> tuple[Floats, Metre]:
    """Corners with arcs as chords, each arc turned and stretched to its adjusted ends, and the greatest departure."""
    corners, departure = [stations[:1]], 0.0
    for leg, step, first, last in zip(legs, steps, stations[:-1], stations[1:], strict=True):
        if leg.radius_m:
            chords = chords_of_arc(leg, within_m=within_m, step_m=step_m)
            departure = max(departure, arc_departure(leg.radius_m, leg.angle_rad, chords))
            half = np.arange(1, chords) * leg.angle_rad / chords / 2.0
            turn = (half - leg.angle_rad / 2.0) * (1.0 if leg.right else -1.0)
            ahead = 2.0 * leg.radius_m * np.sin(half) / leg.chord_m * np.exp(-1j * turn)
            on = ahead * complex(*(last - first)) if np.hypot(*step) else ahead * 0.0
            corners.append(first + np.column_stack((on.real, on.imag)))
        corners.append(last[None])
    return np.concatenate(corners), departure


def _area(legs: Sequence[Leg], stations: Floats) -> SquareMetre:
    """Area within the legs: the stations' polygon, and the segments between arcs and their chords."""
    x, y = (stations[:-1] - stations[0]).T
    whole = float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0
    for leg in legs:
        segment = leg.radius_m**2 / 2.0 * (leg.angle_rad - np.sin(leg.angle_rad))
        whole += -segment if leg.right else segment
    return abs(float(whole))
