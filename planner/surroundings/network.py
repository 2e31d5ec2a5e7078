"""The fences of a job as one network: where strains end and lines meet, what pulls there, what holds it. Advisory."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple, cast

import numpy as np

from planner.geometry.bearings import whole_circle
from planner.sections.strains import Section, SectionEnd
from planner.surroundings.situation import Planned, Situation
from planner.units import Degree, Metre, Newton

NodeKind = Literal["end", "corner", "tee", "cross", "gate side", "crossing side", "strainer"]
_SAME_M: Metre = 0.5
_REACH_M: Metre = 0.5
_LOOSE_N: Newton = 1.0


@dataclass(frozen=True, slots=True)
class Arm:
    """One pull that meets at a node. Advisory.

    Attributes:
        line: Line whose wires pull.
        bearing_deg: Grid bearing towards which they pull. [deg]
        pull_n: Pull of all its wires. [N]
    """

    line: str
    bearing_deg: Degree
    pull_n: Newton


@dataclass(frozen=True, slots=True)
class Node:
    """A place where strains end: one end assembly, whatever meets at it. Loads are advisory.

    Attributes:
        x: East in the working grid. [m]
        y: North of it. [m]
        kind: What it is: tee and cross count the pulls that meet, three or more than three.
        lines: Lines that meet, the one whose materials hold the assembly first.
        chainage_m: Ground plan distance along that line. [m]
        assembly: Key of the assembly there.
        wanted: Line to the assembly that its own fence asks for there.
        arms: Pulls that meet.
        resultant_n: What is left of them in plan when all are strained. [N]
        resultant_deg: Grid bearing towards which that pulls. [deg] 0 where nothing is left.
    """

    x: Metre
    y: Metre
    kind: NodeKind
    lines: tuple[str, ...]
    chainage_m: Metre
    assembly: str
    wanted: tuple[tuple[str, str], ...]
    arms: tuple[Arm, ...]
    resultant_n: Newton
    resultant_deg: Degree


class _Stop(NamedTuple):
    """One place along one line where a section ends."""

    planned: Planned
    x: Metre
    y: Metre
    end: SectionEnd
    arms: tuple[Arm, ...]


def nodes_of(situation: Situation) -> tuple[Node, ...]:
    """The nodes of a job, each once, in the order of its lines and along them.

    Where lines meet, every line lists the place; they are one node, held by the assembly of the first.

    Args:
        situation: The situation.

    Source:
        The resultant is the sum of the pulls as vectors (statics). Checked in
        tests/validation/test_network_of_paddocks.py.
    """
    if "nodes" not in situation.worked_out:
        situation.worked_out["nodes"] = tuple(_nodes(situation))
    return cast("tuple[Node, ...]", situation.worked_out["nodes"])


def _nodes(situation: Situation) -> Iterator[Node]:
    shared: dict[tuple[float, float], list[_Stop]] = {}
    order: list[list[_Stop]] = []
    for planned in situation.lines:
        met = situation.junctions.get(planned.line.name, ())
        spots = np.array([(j.x, j.y) for j in met]).reshape(-1, 2)
        for stop in _stops(planned):
            near = np.hypot(*(spots - (stop.x, stop.y)).T) if len(spots) else np.zeros(0)
            k = int(np.argmin(near)) if len(near) else -1
            if k < 0 or near[k] > 2.0 * _SAME_M:
                order.append([stop])
                continue
            key = (met[k].x, met[k].y)
            if key not in shared:
                shared[key] = []
                order.append(shared[key])
            shared[key].append(stop)
    for stops in order:
        yield _node(stops)


def _node(stops: Sequence[_Stop]) -> Node:
    holder = next((stop for stop in stops if not stop.end.counted_with), stops[0])
    arms = tuple(arm for stop in stops for arm in stop.arms)
    east = sum(arm.pull_n * np.sin(np.radians(arm.bearing_deg)) for arm in arms)
    north = sum(arm.pull_n * np.cos(np.radians(arm.bearing_deg)) for arm in arms)
    left = float(np.hypot(east, north))
    names = dict.fromkeys([holder.planned.line.name, *(stop.planned.line.name for stop in stops)])
    return Node(holder.x, holder.y, _kind(stops, arms), tuple(names), holder.end.chainage_m, holder.end.assembly,
                tuple((stop.planned.line.name, stop.end.assembly) for stop in stops), arms, left,
                whole_circle(float(np.degrees(np.arctan2(east, north)))) if left > _LOOSE_N else 0.0)


def _kind(stops: Sequence[_Stop], arms: Sequence[Arm]) -> NodeKind:
    causes = {cause for stop in stops for cause in stop.end.causes}
    if len(arms) > 2:
        return "tee" if len(arms) == 3 else "cross"
    if "gate" in causes:
        return "gate side"
    if "crossing" in causes:
        return "crossing side"
    if len(arms) < 2:
        return "end"
    bend = abs((arms[0].bearing_deg - arms[1].bearing_deg) % 360.0 - 180.0)
    return "corner" if "corner" in causes or (len(stops) > 1 and bend > 1.0) else "strainer"


def _stops(planned: Planned) -> Iterator[_Stop]:
    """Every place of a line where a section ends, once, with the pulls of the line's own wires on both sides."""
    sections = planned.sections
    if not sections:
        return
    at = np.array([sections[0].from_m, *(section.to_m for section in sections)])
    reach = np.minimum(_REACH_M, np.diff(at) / 2.0)
    east, north = planned.ground.place_at(np.concatenate((at, at[1:] - reach, at[:-1] + reach)))
    xy = np.column_stack((east, north))
    here, before, after = np.split(xy, [len(at), len(at) + len(sections)])
    last = len(sections)
    for k in range(last if planned.line.closed else last + 1):
        arms = []
        if k > 0 or planned.line.closed:
            arms += _arm(planned, sections[k - 1], before[k - 1] - (here[k] if k > 0 else here[-1]))
        if k < last:
            arms += _arm(planned, sections[k], after[k] - here[k])
        end = sections[k].start if k < last else sections[-1].end
        other = sections[k - 1].end if k > 0 or planned.line.closed else end
        if sections[k - 1].is_gate is False and k < last and sections[k].is_gate:
            end = other  # the run beside a gate holds its post
        yield _Stop(planned, float(here[k, 0]), float(here[k, 1]), end, tuple(arms))


def _arm(planned: Planned, section: Section, towards: np.ndarray[tuple[int], np.dtype[np.float64]]) -> list[Arm]:
    if section.is_gate or section.is_crossing:
        return []
    return [Arm(planned.line.name, whole_circle(float(np.degrees(np.arctan2(towards[0], towards[1])))),
                planned.fence.pull_n)]
