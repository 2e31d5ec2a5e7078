"""Gates as ways from one piece of land into another: those to be hung, and those that hang already."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from planner.surroundings.faces import Faces
from planner.surroundings.situation import Planned, Situation
from planner.survey.feature_meanings import number_of
from planner.units import Degree, Metre

HANGS_WITHIN_M: Metre = 5.0
"""A gate that hangs already belongs to the fence that it is marked as near to as this. [m] Common practice."""


@dataclass(frozen=True, slots=True)
class Gateway:
    """A gate and the land on its two sides.

    Attributes:
        name: Its name.
        line: Line of the job that it is in; empty for one that hangs already.
        chainage_m: Ground plan distance of its middle along that line. [m]
        x: East of its middle. [m]
        y: North of its middle. [m]
        width_m: Clear width. [m] None where it is not said.
        slope_deg: Grade of the ground from post to post, uphill positive. [deg]
        sides: Numbers of the faces on its two sides, ``faces.OUTSIDE`` for land that no fence encloses.
    """

    name: str
    line: str
    chainage_m: Metre
    x: Metre
    y: Metre
    width_m: Metre | None
    slope_deg: Degree
    sides: tuple[int, int]


def gateways_of(situation: Situation, faces: Faces) -> tuple[Gateway, ...]:
    """The gates of a job in the order of its lines, then those that hang already.

    Args:
        situation: The situation.
        faces: The faces of its fences.
    """
    found: list[Gateway] = []
    along: list[tuple[float, float]] = []
    for gate, way in (*_planned_gates(situation.lines), *_hanging_gates(situation, faces)):
        found.append(gate)
        along.append(way)
    if not found:
        return ()
    one, other = faces.on_sides(np.array([(gate.x, gate.y) for gate in found]), np.array(along))
    return tuple(replace(gate, sides=(a, b)) for gate, a, b in zip(found, one.tolist(), other.tolist(), strict=True))


def _planned_gates(lines: Sequence[Planned]) -> Iterator[tuple[Gateway, tuple[float, float]]]:
    for planned in lines:
        if not planned.line.gates:
            continue
        gates = [section for section in planned.sections if section.is_gate]
        if not gates:
            continue
        at = np.array([(section.from_m, section.to_m) for section in gates])
        east, north = planned.ground.place_at(at)
        level = planned.ground.level_at(at)
        for k, section in enumerate(gates):
            x, y = float(east[k].mean()), float(north[k].mean())
            name = min(planned.line.gates, key=lambda gate: (gate.x - x) ** 2 + (gate.y - y) ** 2).name
            step = np.array([east[k, 1] - east[k, 0], north[k, 1] - north[k, 0]])
            step = step / max(float(np.hypot(*step)), 1e-9)
            slope = float(np.degrees(np.arctan2(level[k, 1] - level[k, 0], section.plan_length_m)))
            yield Gateway(name, planned.line.name, (section.from_m + section.to_m) / 2.0, x, y, section.plan_length_m,
                          slope if np.isfinite(slope) else 0.0, (0, 0)), (float(step[0]), float(step[1]))


def _hanging_gates(situation: Situation, faces: Faces) -> Iterator[tuple[Gateway, tuple[float, float]]]:
    marked = situation.around.of("gate")
    if not marked or not len(faces.legs.shapes):
        return
    spots = shapely.centroid(np.array([shape for _, shape in marked], dtype=object))
    which, leg = shapely.STRtree(faces.legs.shapes).query_nearest(spots, max_distance=HANGS_WITHIN_M,
                                                                  all_matches=False)
    for k, fence in zip(which.tolist(), faces.legs.shapes[leg], strict=True):
        foot = shapely.get_coordinates(shapely.line_interpolate_point(fence, shapely.line_locate_point(
            fence, spots[k])))[0]
        step = np.diff(shapely.get_coordinates(fence), axis=0)[0]
        step = step / np.hypot(*step)
        yield Gateway(marked[k][0].name, "", 0.0, float(foot[0]), float(foot[1]), number_of(marked[k][0], "width"),
                      0.0, (0, 0)), (float(step[0]), float(step[1]))
