"""The figures of a set-back line, for the owner and the funder."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from planner.alignment.setback_band import Stretch
from planner.alignment.setback_costs import Costs, beyond_m2
from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages, nearest_on, points_along, turns
from planner.units import HECTARE_M2, Metre, SquareMetre

_EVERY_M = 1.0


@dataclass(frozen=True, slots=True)
class SetbackFigures:
    """What a line comes to.

    Attributes:
        corners: Turns that need a corner assembly; the start of a closed line is one.
        slight_turns: Turns that need a deviation post only.
        length_m: Plan length. [m]
        excluded_m2: All that lies between the line and the stem of a stream, or the shore between a start and an end,
            or all inside a line around, water included. [m2]
        given_up_m2: The same without the water or vegetation itself. [m2]
        least_setback_m: Least distance from the baseline. [m]
        mean_setback_m: Mean distance from it along the line. [m]
        greatest_setback_m: Greatest distance from it. [m]
        cost: Corners, metres and land given up.
    """

    corners: int
    slight_turns: int
    length_m: Metre
    excluded_m2: SquareMetre
    given_up_m2: SquareMetre
    least_setback_m: Metre
    mean_setback_m: Metre
    greatest_setback_m: Metre
    cost: float


@dataclass(frozen=True, slots=True)
class Opening:
    """Where a crossing or a gate asked for by its distance along the stream comes to stand on a line.

    Attributes:
        asked_m: Distance along the stream, or along the shape's own edge. [m]
        x: East on the line. [m]
        y: North on the line. [m]
        chainage_m: Distance along the line. [m]
        off_m: Distance from the stream. [m]
    """

    asked_m: Metre
    x: Metre
    y: Metre
    chainage_m: Metre
    off_m: Metre


def figures_of(stretch: Stretch, costs: Costs, xy: Floats, *, half_width_m: Metre) -> SetbackFigures:
    """The figures of one line.

    Args:
        stretch: The stretch it runs along.
        costs: What a line costs.
        xy: Corners. [m] Shape (n, 2).
        half_width_m: Distance of the baseline from the drawn feature. [m]
    """
    turned = np.degrees(np.abs(turns(xy, closed=stretch.closed)))[:-1 if stretch.closed else None]
    corner = turned > costs.turn.corner_deg
    if stretch.closed:
        corner[0] = True
    slight = (turned > costs.turn.slight_deg) & ~corner
    length = float(chainages(xy)[-1])
    beyond = beyond_m2(stretch, xy)
    excluded = beyond + stretch.inside.area
    own = shapely.buffer(stretch.baseline, half_width_m, quad_segs=32) if half_width_m else stretch.baseline
    water = shapely.intersection(stretch.inside, own).area
    line = shapely.LineString(xy)
    away = shapely.distance(
        stretch.baseline, shapely.points(points_along(xy, np.linspace(0.0, length, int(length / _EVERY_M) + 2))))
    fence = (int(corner.sum()) * costs.turn.corner + int(slight.sum()) * costs.turn.slight
             + length * costs.metre_cost)
    return SetbackFigures(
        int(corner.sum()), int(slight.sum()), length, float(excluded), float(excluded - water),
        float(shapely.distance(line, stretch.baseline)) - half_width_m, float(away.mean()) - half_width_m,
        float(away.max()) - half_width_m, fence + costs.land_per_m2 * float(excluded - water))


def opening_on(xy: Floats, stem: Any, asked_m: Metre) -> Opening:
    """Where an opening asked for at a distance along a stream comes to stand: straight across, or else nearest.

    Args:
        xy: Corners of the line. [m] Shape (n, 2).
        stem: The stream, or a shape's edge.
        asked_m: Distance along it. [m]
    """
    at = stem.interpolate(asked_m)
    place = (float(at.x), float(at.y))
    chainage, off = nearest_on(xy, place)
    x, y = points_along(xy, np.array([chainage]))[0]
    return Opening(asked_m, float(x), float(y), chainage, off)


def table_of(rows: list[tuple[str, SetbackFigures]]) -> str:
    """Lines side by side, as a table of text.

    Args:
        rows: Name and figures of each.
    """
    head = ("line", "corners", "slight turns", "metres", "ha excluded", "ha given up", "least m", "mean m", "cost")
    body = [(name, str(f.corners), str(f.slight_turns), f"{f.length_m:.1f}", f"{f.excluded_m2 / HECTARE_M2:.2f}",
             f"{f.given_up_m2 / HECTARE_M2:.2f}", f"{f.least_setback_m:.2f}", f"{f.mean_setback_m:.2f}",
             f"{f.cost:,.0f}") for name, f in rows]
    wide = [max(len(row[k]) for row in (head, *body)) for k in range(len(head))]
    return "\n".join("  ".join(cell.ljust(w) if k == 0 else cell.rjust(w)
                               for k, (cell, w) in enumerate(zip(row, wide, strict=True))) for row in (head, *body))
