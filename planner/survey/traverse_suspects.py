"""Which leg of a traverse may be wrong: errors of reading and writing that would explain a gross misclose.

Source:
    Plane geometry: a wrong distance moves the end along that leg's bearing. Looking for it there is common practice,
    no source, as are the limits. Checked in tests/validation/test_curved_frontage.py.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats
from planner.geometry.bearings import format_bearing, parse_bearing, step_along
from planner.survey.traverse_legs import UNITS, Leg, parse_distance
from planner.units import Degree, Metre

Kind = Literal["swapped digits in the distance", "swapped digits in the bearing", "wrong quadrant", "run backwards",
               "distance"]
GROSS_ACCURACY = 2000.0
"""A misclose worse than 1 in this is looked into. Common practice, no source."""
FITTING_ACCURACY = 5000.0
"""A misclose better than 1 in this is explained. Common practice, no source."""
AGREES_DEG: Degree = 3.0
"""How near a misclose's bearing must come to a leg's. [deg] Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """A leg that would explain a misclose.

    Attributes:
        leg: Its number, from 1.
        row: Its row in the table; 0 when it has none.
        kind: What may be wrong with it.
        written: The figure as it stands.
        instead: The figure that would explain the misclose.
        left_m: Misclose that would be left. [m]
        message: The suspicion as one sentence.
    """

    leg: int
    row: int
    kind: Kind
    written: str
    instead: str
    left_m: Metre
    message: str


def suspects_of(legs: Sequence[Leg], steps: Floats, misclose: Floats) -> tuple[Suspect, ...]:
    """Legs that would explain a gross misclose, likeliest first; none when the misclose is not gross.

    Args:
        legs: Legs, each with a bearing.
        steps: Step east and north of each. [m] Shape (n, 2).
        misclose: Step from where it should close to where it ends. [m] Shape (2,).
    """
    gap = float(np.hypot(*misclose))
    perimeter = sum(leg.distance_m for leg in legs)
    if gap * GROSS_ACCURACY <= perimeter:
        return ()
    fits = max(perimeter / FITTING_ACCURACY, 0.01 * gap)
    found: list[tuple[int, float, Suspect]] = []
    for number, (leg, step) in enumerate(zip(legs, steps, strict=True), 1):
        for kind, written, instead, other in _slips(leg, step):
            left = float(np.hypot(*(misclose - step + other)))
            if left <= fits:
                found.append((0, left, _suspect(number, leg, kind, written, instead, left, misclose)))
        better = _distance(leg, step, misclose)
        if better is not None and better[1] <= fits:
            unit = UNITS[leg.unit]
            metres, left = better
            found.append((1, left, _suspect(number, leg, "distance", _written(leg), f"{metres / unit:.2f}", left,
                                            misclose)))
    return tuple(suspect for _, _, suspect in sorted(found, key=lambda item: (item[0], item[1], item[2].leg)))


def _slips(leg: Leg, step: Floats) -> Iterator[tuple[Kind, str, str, Floats]]:
    """Slips of reading that may have happened to a leg: what it is, as written, as it should be, and the step then."""
    bearing = leg.bearing_text or format_bearing(leg.bearing_deg or 0.0)
    yield "run backwards", bearing, format_bearing((leg.bearing_deg or 0.0) + 180.0), -step
    if leg.radius_m:
        return
    for text in _swapped(_written(leg)):
        try:
            yield ("swapped digits in the distance", _written(leg), text,
                   step / leg.distance_m * parse_distance(text, unit=leg.unit))
        except OutOfRange:
            continue
    for kind, texts in (("swapped digits in the bearing", _swapped(bearing)), ("wrong quadrant", _quadrants(bearing))):
        for text in texts:
            try:
                other = np.array(step_along(parse_bearing(text), leg.distance_m))
            except OutOfRange:
                continue
            yield kind, bearing, text, other  # type: ignore[misc]


def _written(leg: Leg) -> str:
    return leg.distance_text or f"{leg.distance_m / UNITS[leg.unit]:.2f}"


def _swapped(text: str) -> Iterator[str]:
    """A text with each pair of neighbouring digits swapped, marks between them left where they are."""
    digits = [i for i, sign in enumerate(text) if sign.isdigit()]
    for i, j in pairwise(digits):
        if text[i] != text[j]:
            yield text[:i] + text[j] + text[i + 1:j] + text[i] + text[j + 1:]


def _quadrants(text: str) -> Iterator[str]:
    """A quadrant bearing in the quadrants beside it."""
    upper = text.strip().upper()
    if len(upper) > 2 and upper[0] in "NS" and upper[-1] in "EW":
        yield ("S" if upper[0] == "N" else "N") + upper[1:]
        yield upper[:-1] + ("W" if upper[-1] == "E" else "E")


def _distance(leg: Leg, step: Floats, misclose: Floats) -> tuple[Metre, Metre] | None:
    """The distance that would explain the misclose, and what it would leave; None when the bearings do not agree."""
    ahead = step / max(float(np.hypot(*step)), 1e-12)
    along = float(misclose @ ahead)
    across = abs(float(misclose[0] * ahead[1] - misclose[1] * ahead[0]))
    metres = leg.distance_m - along
    if leg.radius_m or metres <= 0.0 or across > np.tan(np.radians(AGREES_DEG)) * abs(along):
        return None
    return metres, across


def _suspect(number: int, leg: Leg, kind: Kind, written: str, instead: str, left: Metre, misclose: Floats) -> Suspect:
    named = f"leg {number}" + (f" (row {leg.row})" if leg.row else "")
    gap, towards = float(np.hypot(*misclose)), format_bearing(float(np.degrees(np.arctan2(*misclose))))
    why = {"distance": "lies along its bearing, and a distance of {1} instead of {0}",
           "run backwards": "would go if it ran backwards, on {1} instead of {0}, which",
           "wrong quadrant": "would go if its quadrant were another, {1} instead of {0}, which",
           }.get(kind, "would go if two digits were swapped, {1} instead of {0}, which")
    return Suspect(number, leg.row, kind, written, instead, left,
                   f"Suspect {named}: the misclose of {gap:.3f} m on {towards} {why.format(written, instead)} would "
                   f"leave {left:.3f} m.")
