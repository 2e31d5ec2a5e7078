"""Legs of a line as a table of bearings and distances, and the edits that typing over them makes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, TypeVar

import numpy as np

from planner.alignment.corners import Role, openings
from planner.alignment.line import Crossing, Gate
from planner.errors import OutOfRange
from planner.job.edits import ChangeCrossing, ChangeGate, MoveCorner
from planner.units import Degree, Metre

if TYPE_CHECKING:
    from planner.job.plan import LinePlan

Thing = TypeVar("Thing", Gate, Crossing)
GATE_LEAST_M, OPENING_MOST_M, DEPTH_MOST_M = 0.5, 500.0, 50.0


@dataclass(frozen=True, slots=True)
class Leg:
    """A corner, and the leg from it to the next.

    Attributes:
        number: Number of the corner, from 0.
        role: What stands there.
        turn_deg: Turn of the line there, left positive. [deg]
        chainage_m: Ground plan distance. [m]
        has_next: False at the last corner.
        bearing_deg: Grid bearing to the next corner. [deg]
        ground_m: Ground distance to it. [m]
        scale: Grid distance over ground distance of the leg.
    """

    number: int
    role: Role
    turn_deg: Degree
    chainage_m: Metre
    has_next: bool
    bearing_deg: Degree = 0.0
    ground_m: Metre = 0.0
    scale: float = 1.0


@dataclass(frozen=True, slots=True)
class Opening:
    """A gate or a crossing.

    Attributes:
        kind: gate or crossing.
        name: Its name.
        chainage_m: Chainage of its middle. [m]
        width_m: Width or span as it was given. [m]
        section: Id of its section; empty where it opens nothing.
        depth_m: Typed depth of the bed of a crossing. [m] None where it is to come from the profile, and for gates.
    """

    kind: Literal["gate", "crossing"]
    name: str
    chainage_m: Metre
    width_m: Metre
    section: str
    depth_m: Metre | None = None


def legs_of(plan: LinePlan) -> tuple[Leg, ...]:
    """The corners of a line with the legs between them.

    Args:
        plan: Plan of the line.
    """
    xy, ground = plan.line.xy, plan.ground
    step = np.diff(xy, axis=0)
    bearing = np.degrees(np.arctan2(step[:, 0], step[:, 1])) % 360.0
    lengths = np.diff(ground.chainage_m[ground.vertices])
    rows = [Leg(k, c.role, c.turn_deg, c.chainage_m, True, float(bearing[k]), float(lengths[k]), float(ground.scale[k]))
            for k, c in enumerate(plan.corners[:-1])]
    last = plan.corners[-1]
    if not plan.line.closed:
        rows.append(Leg(len(rows), last.role, last.turn_deg, last.chainage_m, False))
    return tuple(rows)


def moved_corner(plan: LinePlan, leg: Leg, *, bearing_deg: Degree, ground_m: Metre) -> MoveCorner:
    """The edit that gives a leg another bearing or another length: the corner at its end moves.

    Args:
        plan: Plan of the line.
        leg: The leg.
        bearing_deg: Grid bearing. [deg]
        ground_m: Ground distance. [m]

    Raises:
        OutOfRange: The leg would have no length.
    """
    if not ground_m >= 0.01:
        raise OutOfRange(f"a leg of {ground_m:g} m is none", remedy="give a distance above zero, or delete the corner")
    if ground_m > 1_000_000.0:
        raise OutOfRange(f"a leg of {ground_m / 1000:g} km leaves the grid", remedy="give a shorter distance")
    x, y = plan.line.xy[leg.number].tolist()
    grid, angle = ground_m * leg.scale, math.radians(bearing_deg)
    return MoveCorner(plan.line.name, leg.number + 1, x + grid * math.sin(angle), y + grid * math.cos(angle))


def openings_of(plan: LinePlan) -> tuple[Opening, ...]:
    """Gates and crossings of a line, along it.

    Args:
        plan: Plan of the line.
    """
    width = {gate.name: gate.width_m for gate in plan.line.gates}
    width |= {crossing.name: crossing.span_m for crossing in plan.line.crossings}
    depth = {crossing.name: crossing.depth_m for crossing in plan.line.crossings}
    rows = []
    for gap in openings(plan.line, plan.ground):
        middle = (gap.from_m + gap.to_m) / 2
        section = next((s.id for s in plan.sections
                        if (s.is_gate or s.is_crossing) and s.from_m <= middle <= s.to_m), "")
        rows.append(Opening(gap.kind, gap.name, middle, width[gap.name], section, depth.get(gap.name)))
    shown = {row.name for row in rows}
    rows += [Opening("gate", gate.name, _nearest(plan, gate.x, gate.y), gate.width_m, "")
             for gate in plan.line.gates if gate.name not in shown]
    rows += [Opening("crossing", crossing.name, _nearest(plan, crossing.x, crossing.y), crossing.span_m, "",
                     crossing.depth_m)
             for crossing in plan.line.crossings if crossing.name not in shown]
    return tuple(sorted(rows, key=lambda row: row.chainage_m))


def moved_opening(plan: LinePlan, row: Opening, *, name: str | None = None, chainage_m: Metre | None = None,
                  width_m: Metre | None = None) -> ChangeGate | ChangeCrossing:
    """The edit that renames a gate or crossing, moves it along its line or gives it another width.

    Args:
        plan: Plan of the line.
        row: The gate or crossing.
        name: Another name.
        chainage_m: Another chainage of its middle. [m]
        width_m: Another width or span. [m]

    Raises:
        OutOfRange: The chainage is not on the line, or the width is none.
    """
    length = float(plan.ground.chainage_m[-1])
    if chainage_m is not None and not 0.0 <= chainage_m <= length:
        raise OutOfRange(f"{chainage_m:.1f} m is not on the line", remedy=f"give a chainage from 0 to {length:.1f} m")
    if width_m is not None and not GATE_LEAST_M <= width_m <= OPENING_MOST_M:
        raise OutOfRange(f"{width_m:g} m is no width of a {row.kind}",
                         remedy=f"give one from {GATE_LEAST_M:g} to {OPENING_MOST_M:g} m")
    place = None if chainage_m is None else tuple(float(v) for v in plan.ground.place_at(chainage_m))
    if row.kind == "gate":
        gate = next(gate for gate in plan.line.gates if gate.name == row.name)
        # a gate of another width is chosen anew
        gate = gate if width_m is None else replace(gate, width_m=width_m, item="")
        return ChangeGate(plan.line.name, row.name, _put(gate, name, place))
    crossing = next(crossing for crossing in plan.line.crossings if crossing.name == row.name)
    crossing = crossing if width_m is None else replace(crossing, span_m=width_m)
    return ChangeCrossing(plan.line.name, row.name, _put(crossing, name, place))


def deepened(plan: LinePlan, row: Opening, depth_m: Metre | None) -> ChangeCrossing:
    """The edit that gives a crossing another depth.

    Args:
        plan: Plan of the line.
        row: The crossing.
        depth_m: Depth of the bed below the straight between its anchors. [m] None to take it from the profile.

    Raises:
        OutOfRange: It is a gate, or the depth is none.
    """
    if row.kind == "gate":
        raise OutOfRange("a gate has no depth", remedy="give one to a crossing")
    if depth_m is not None and not 0.0 <= depth_m <= DEPTH_MOST_M:
        raise OutOfRange(f"{depth_m:g} m is no depth of a crossing", remedy=f"give one from 0 to {DEPTH_MOST_M:g} m")
    crossing = next(crossing for crossing in plan.line.crossings if crossing.name == row.name)
    return ChangeCrossing(plan.line.name, row.name, replace(crossing, depth_m=depth_m))


def _put(thing: Thing, name: str | None, place: tuple[float, ...] | None) -> Thing:
    thing = thing if name is None else replace(thing, name=name)
    return thing if place is None else replace(thing, x=place[0], y=place[1])


def _nearest(plan: LinePlan, x: Metre, y: Metre) -> Metre:
    off = np.hypot(plan.ground.x - x, plan.ground.y - y)
    return float(plan.ground.chainage_m[int(np.argmin(off))])
