"""Electric fences as circuits: which live lines are joined, what feeds them, how far it is to the far end. Advisory."""

from __future__ import annotations

import heapq
import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

import numpy as np
import shapely

from planner.geometry.lines import chainages, nearest_on
from planner.surroundings.situation import Planned, Situation
from planner.survey.feature_meanings import number_of
from planner.survey.features import Feature
from planner.units import Metre

LIVE = ("hot", "poly")
LEAD_SPARE_M: Metre = 2.0
"""Insulated lead beyond the width of a gate: down one post, below the ground, up the other. [m] Common practice."""
_SAME_M: Metre = 0.5
Place: TypeAlias = tuple[str, str, float]
"""A node, an end or a feed by which ways along the fences go."""


@dataclass(frozen=True, slots=True)
class Circuit:
    """Live lines that are joined, and what feeds them. Advisory.

    Attributes:
        lines: Names of the lines, in the order of the job.
        energisers: Names of the energisers that feed it.
        joules: What those give together. [J] None when none stands there or none says.
        fence_m: Live fence along the ground. [m]
        conductor_m: Live wire in it: each live wire of each line, gate openings left out. [m]
        joints: Joints of live wire to live wire: at both ends of each line, where lines meet, and one for each feed.
        gates: Gate openings in it, each with its buried lead.
        lead_m: Insulated lead below them: one for the live wires, one more where an earth wire has to go on. [m]
        joules_needed: Least output by the length of the fence. [J]
        rods_needed: Earth rods of the length in the settings.
        rods: Earth rods that its energisers say they have; None when none says.
        rods_m: Length of those together. [m] None when not said.
        far_end_m: Way along the fence from the nearest energiser to the farthest place. [m] None without one.
        far_end: Name of the line on which that place lies; empty without one.
    """

    lines: tuple[str, ...]
    energisers: tuple[str, ...]
    joules: float | None
    fence_m: Metre
    conductor_m: Metre
    joints: int
    gates: int
    lead_m: Metre
    joules_needed: float
    rods_needed: int
    rods: int | None
    rods_m: Metre | None
    far_end_m: Metre | None
    far_end: str


def is_live(planned: Planned) -> bool:
    """Whether a line carries a live wire.

    Args:
        planned: The line.
    """
    return any(strand.kind in LIVE for strand in planned.fence.strands)


def circuits(situation: Situation) -> tuple[Circuit, ...]:
    """The circuits of a job, in the order of their first lines.

    An energiser feeds the circuit of the nearest live line within ``feed_reach_m``.

    Args:
        situation: The situation.

    Source:
        Least output and earths: ``settings.ELECTRIC``. Leads below gates in both directions, joints at both ends of a
        line: common practice, no source. Voltage at the far end depends on growth, soil and joints: it is measured.
    """
    live = {planned.line.name: planned for planned in situation.lines if is_live(planned)}
    feeds = _feeds(situation, live)
    return tuple(_circuit(situation, [live[name] for name in names], feeds) for names in _joined(situation, live))


def _joined(situation: Situation, live: Mapping[str, Planned]) -> list[list[str]]:
    """Names of live lines that meet, group by group."""
    group = {name: name for name in live}

    def root(name: str) -> str:
        while group[name] != name:
            group[name] = group[group[name]]
            name = group[name]
        return name

    for name in live:
        for junction in situation.junctions.get(name, ()):
            for other in junction.others:
                if other in live:
                    group[root(other)] = root(name)
    found: dict[str, list[str]] = {}
    for name in live:
        found.setdefault(root(name), []).append(name)
    return list(found.values())


def _feeds(situation: Situation, live: Mapping[str, Planned]) -> dict[str, list[tuple[Feature, Metre]]]:
    """Line name to the energisers that feed it, each with its grid place along the line."""
    found: dict[str, list[tuple[Feature, Metre]]] = defaultdict(list)
    courses = {name: shapely.LineString(planned.line.xy[:, :2]) for name, planned in live.items()}
    for feature, shape in situation.around.of("energiser"):
        spot = shapely.centroid(shape)
        away = {name: float(shapely.distance(course, spot)) for name, course in courses.items()}
        nearest = min(away, key=lambda name: away[name], default="")
        if nearest and away[nearest] <= situation.settings.feed_reach_m:
            found[nearest].append((feature, float(shapely.line_locate_point(courses[nearest], spot))))
    return found


def _circuit(situation: Situation, lines: Sequence[Planned],
             feeds: Mapping[str, list[tuple[Feature, Metre]]]) -> Circuit:
    settings = situation.settings
    mine = [feature for planned in lines for feature, _ in feeds.get(planned.line.name, ())]
    fence = sum(float(planned.ground.slope_m[-1]) for planned in lines)
    needed = settings.joules_per_km * fence / 1000.0
    joules, rods, rods_m = _said(mine)
    earth_m = (joules or needed) * settings.earth_rod_m_per_joule
    least_rods = max(settings.earth_rods_least, math.ceil(earth_m / settings.earth_rod_length_m - 1e-9))
    far, where = _far_end(situation, lines, feeds)
    gates = [(planned, gate) for planned in lines for gate in planned.sections if gate.is_gate]
    return Circuit(
        lines=tuple(planned.line.name for planned in lines), energisers=tuple(feature.name for feature in mine),
        joules=joules, fence_m=fence,
        conductor_m=sum(_live_wires(planned) * section.slope_length_m for planned in lines
                        for section in planned.sections if not section.is_gate),
        joints=_joints(situation, lines) + len(mine), gates=len(gates),
        lead_m=sum((gate.plan_length_m + LEAD_SPARE_M) * (2 if _has_earth(planned) else 1) for planned, gate in gates),
        joules_needed=needed, rods_needed=least_rods, rods=rods, rods_m=rods_m, far_end_m=far, far_end=where)


def _said(energisers: Sequence[Feature]) -> tuple[float | None, int | None, Metre | None]:
    joules = [j for feature in energisers if (j := number_of(feature, "joules")) is not None]
    rods = [(n, number_of(feature, "rod length")) for feature in energisers
            if (n := number_of(feature, "earth rods")) is not None]
    lengths = [n * each for n, each in rods if each is not None]
    return (sum(joules) if joules else None, int(sum(n for n, _ in rods)) if rods else None,
            sum(lengths) if lengths and len(lengths) == len(rods) else None)


def _live_wires(planned: Planned) -> int:
    return sum(strand.kind in LIVE for strand in planned.fence.strands)


def _has_earth(planned: Planned) -> bool:
    return any(strand.kind == "earth" for strand in planned.fence.strands)


def _joints(situation: Situation, lines: Sequence[Planned]) -> int:
    """Live wires of a line are joined to each other at both of its ends, and lines to each other where they meet."""
    names = {planned.line.name for planned in lines}
    bridges = sum((_live_wires(planned) - 1) * (1 if planned.line.closed else 2) for planned in lines)
    meetings = sum(len([other for other in junction.others if other in names])
                   for planned in lines for junction in situation.junctions.get(planned.line.name, ()))
    return bridges + meetings // 2


def _far_end(situation: Situation, lines: Sequence[Planned],
             feeds: Mapping[str, list[tuple[Feature, Metre]]]) -> tuple[Metre | None, str]:
    """The longest of the shortest ways along the fences from an energiser, to an end or to a place between two stops
    that both ways reach alike, and the line on which it lies.
    """
    steps = [step for planned in lines for step in _steps(situation, planned, feeds)]
    starts = [("feed", planned.line.name, at) for planned in lines for _, at in feeds.get(planned.line.name, ())]
    if not starts:
        return None, ""
    ways: dict[Place, list[tuple[Place, Metre]]] = defaultdict(list)
    for one, other, length, _ in steps:
        ways[one].append((other, length))
        ways[other].append((one, length))
    away = _shortest(ways, starts)
    farthest, where = 0.0, ""
    for one, other, length, name in steps:
        if one in away and other in away and (away[one] + away[other] + length) / 2.0 > farthest:
            farthest, where = (away[one] + away[other] + length) / 2.0, name
    return farthest, where


def _shortest(ways: Mapping[Place, Sequence[tuple[Place, Metre]]], starts: Sequence[Place]) -> dict[Place, Metre]:
    """Shortest way to each place. Source: E. W. Dijkstra, Numerische Mathematik 1 (1959), problem 2."""
    away: dict[Place, Metre] = {}
    heap: list[tuple[Metre, Place]] = [(0.0, start) for start in starts]
    while heap:
        so_far, place = heapq.heappop(heap)
        if place in away:
            continue
        away[place] = so_far
        for other, length in ways.get(place, ()):
            if other not in away:
                heapq.heappush(heap, (so_far + length, other))
    return away


def _steps(situation: Situation, planned: Planned,
           feeds: Mapping[str, list[tuple[Feature, Metre]]]) -> list[tuple[Place, Place, Metre, str]]:
    """Stretches of a line between its ends, its junctions and its feeds, with their lengths along the ground."""
    line, ground = planned.line, planned.ground
    grid = chainages(line.xy)
    last = float(grid[-1])
    stops: list[tuple[Metre, Place]] = [
        (nearest_on(line.xy, (j.x, j.y))[0], ("node", f"{j.x:.3f}", float(f"{j.y:.3f}")))
        for j in situation.junctions.get(line.name, ())]
    for at in (0.0, last):
        near = next((place for where, place in stops if abs(where - at) <= _SAME_M), None)
        stops.append((at, near or ("end", line.name, 0.0 if line.closed else at)))
    stops += [(at, ("feed", line.name, at)) for _, at in feeds.get(line.name, ())]
    stops.sort()
    slope = ground.slope_at(np.interp([at for at, _ in stops], grid, ground.chainage_m[ground.vertices]))
    return [(one, other, max(float(slope[k + 1] - slope[k]), 0.0), line.name)
            for k, ((_, one), (_, other)) in enumerate(pairwise(stops))]
