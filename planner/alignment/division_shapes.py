"""The parts of a divided paddock: size, shape, water, gates, and what is worth a look about them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from planner.alignment.division_fences import Land
from planner.findings import Finding, Place, Severity
from planner.sources import Source
from planner.units import HECTARE_M2, Degree, Metre, SquareMetre

RULES = {
    "division-01": "a part is one piece of land",
    "division-02": "a part is not long and thin",
    "division-03": "a part has no pocket that stock jam in",
    "division-04": "a part reaches water",
    "division-05": "a part is reached through gates",
}
LONGEST_RATIO = 4.0
ACUTE_DEG: Degree = 60.0
REACH_M: Metre = 1.0
_WOBBLE_M: Metre = 0.5
_THUMB = Source("common practice for paddock shape, no source")


@dataclass(frozen=True)
class Part:
    """One part of a divided paddock.

    Attributes:
        number: From 1, in the order of the division.
        land: Its outline in the working grid; several pieces where the paddock is indented. [m]
        area_m2: Its area, on the grid. [m2]
        wanted_m2: The area it should have. [m2]
        perimeter_m: Length of all its edges, old fence and new, holes included. [m]
        ratio: Length to width of the smallest rectangle round it, at least 1.
        acute_corners: Corners inside it of less than 60 degrees.
        waters: Names of the water points in it or on its edge.
        gates: Names of the gates on its edge.
    """

    number: int
    land: Land
    area_m2: SquareMetre
    wanted_m2: SquareMetre
    perimeter_m: Metre
    ratio: float
    acute_corners: int
    waters: tuple[str, ...] = ()
    gates: tuple[str, ...] = ()

    @property
    def pieces(self) -> int:
        """In how many pieces it lies."""
        return int(shapely.get_num_geometries(self.land))


def part_of(number: int, land: Land, wanted_m2: SquareMetre, waters: Mapping[str, tuple[Metre, Metre]],
            gates: Mapping[str, tuple[Metre, Metre]]) -> Part:
    """The facts of one part.

    Args:
        number: From 1.
        land: Its outline. [m]
        wanted_m2: The area it should have. [m2]
        waters: Name to position of water points and troughs. [m]
        gates: Name to position of gates. [m]
    """
    return Part(number, land, float(land.area), wanted_m2, float(land.length), length_to_width(land),
                acute_corners(land), _touching(land, waters), _touching(shapely.boundary(land), gates))


def length_to_width(land: Land) -> float:
    """Length to width of the smallest rectangle round some land, at least 1.

    Args:
        land: Its outline.

    Example:
        >>> round(length_to_width(shapely.box(0.0, 0.0, 240.0, 60.0)), 6)
        4.0
    """
    ring = shapely.get_coordinates(shapely.minimum_rotated_rectangle(land))
    sides = np.sort(np.hypot(*np.diff(ring[:3], axis=0).T))
    return float(sides[1] / sides[0]) if len(sides) == 2 and sides[0] > 0.0 else np.inf


def acute_corners(land: Land, *, below: Degree = ACUTE_DEG) -> int:
    """Corners of some land that close to less than an angle, wobbles of half a metre in its outline left out.

    Args:
        land: Its outline; corners of holes are those of the land outside the hole.
        below: The angle. [deg]

    Example:
        >>> acute_corners(shapely.Polygon([(0, 0), (100, 0), (0, 100)]))
        2
    """
    found = 0
    smooth = shapely.orient_polygons(shapely.simplify(land, _WOBBLE_M))
    for ring in shapely.get_parts(shapely.get_rings(shapely.get_parts(smooth))):
        xy = shapely.get_coordinates(ring)[:-1]
        into, out = np.roll(xy, 1, axis=0) - xy, np.roll(xy, -1, axis=0) - xy
        cross = out[:, 0] * into[:, 1] - out[:, 1] * into[:, 0]
        inside = np.degrees(np.arctan2(cross, (out * into).sum(axis=1))) % 360.0
        found += int((inside < below - 1e-6).sum())
    return found


def check_parts(parts: Sequence[Part], *, lane: Land | None, waters: Mapping[str, tuple[Metre, Metre]],
                gates: Mapping[str, tuple[Metre, Metre]]) -> list[Finding]:
    """What is worth a look about the parts of a paddock; water and gates only where any are known.

    Args:
        parts: The parts.
        lane: The lane between them; None without one.
        waters: Name to position of water points and troughs. [m]
        gates: Name to position of gates: one on two parts, or on a part and the lane, joins them; one on a single
            part, or on the lane alone, leads outside. [m]
    """
    found = [finding for part in parts for finding in _shape_findings(part)]
    if waters:
        found += [_finding("division-04", "warning", part, "has no water in it or on its edge",
                           "Put a trough on its edge, or divide so that it reaches water.")
                  for part in parts if not part.waters]
    if gates:
        cut_off = _not_reached(parts, lane, gates)
        found += [_finding("division-05", "error", part, "cannot be reached through gates from outside",
                           "Put a gate into its edge.") for part in cut_off]
    return found


def _shape_findings(part: Part) -> list[Finding]:
    found = []
    if part.pieces > 1:
        found.append(_finding("division-01", "warning", part, f"lies in {part.pieces} pieces, because the paddock is "
                              "indented there", "Try another bearing, or join the pieces by a gateway or a lane."))
    if part.ratio > LONGEST_RATIO:
        found.append(_finding("division-02", "warning", part, f"is {part.ratio:.1f} times as long as wide; "
                              f"{LONGEST_RATIO:g} is the most that stock graze evenly", "Try another bearing."))
    if part.acute_corners:
        many = "corner" if part.acute_corners == 1 else "corners"
        found.append(_finding("division-03", "note", part, f"has {part.acute_corners} {many} below {ACUTE_DEG:g}°, "
                              "where stock jam", "Blunt them with a short fence, or try another bearing."))
    return found


def _finding(rule: str, severity: Severity, part: Part, what: str, remedy: str) -> Finding:
    spot = shapely.point_on_surface(part.land)
    return Finding(rule, severity, f"Part {part.number} of {part.area_m2 / HECTARE_M2:.2f} ha {what}.",
                   remedy, Place(x=float(spot.x), y=float(spot.y)), _THUMB)


def _touching(shape: shapely.Geometry, places: Mapping[str, tuple[Metre, Metre]]) -> tuple[str, ...]:
    if not places:
        return ()
    near = shapely.dwithin(shape, shapely.points(list(places.values())), REACH_M)
    return tuple(name for name, is_near in zip(places, near, strict=True) if is_near)


def _not_reached(parts: Sequence[Part], lane: Land | None,
                 gates: Mapping[str, tuple[Metre, Metre]]) -> list[Part]:
    on_lane = set(_touching(shapely.boundary(lane), gates)) if lane is not None else set()
    lands = [set(part.gates) for part in parts] + [on_lane]
    outside = {name for name in gates if sum(name in names for names in lands) == 1}
    reached = [bool(names & outside) for names in lands]
    passed = {name for names, is_reached in zip(lands, reached, strict=True) if is_reached for name in names}
    while True:
        more = [is_reached or bool(names & passed) for names, is_reached in zip(lands, reached, strict=True)]
        if more == reached:
            return [part for part, is_reached in zip(parts, reached, strict=False) if not is_reached]
        reached = more
        passed |= {name for names, is_reached in zip(lands, reached, strict=True) if is_reached for name in names}
