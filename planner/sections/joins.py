"""Mid-run joins: the fewest places to strain both ways from, so that every sub-run keeps every limit."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.alignment.corners import SAME_PLACE_M, corners
from planner.alignment.line import FenceLine
from planner.geometry.arrays import Booleans, Floats, SameByValue
from planner.profile.grade_breaks import GradeChain
from planner.profile.ground_line import GroundLine
from planner.sections.friction import Turning, far_end_ratio, turning_along
from planner.sections.lean import best_setting, smoothed_grade, turning_points
from planner.sections.limits import Limits, Pieces, broken_limits, excess, limits_of
from planner.sections.posts import Post
from planner.sections.strains import Section
from planner.settings import Settings
from planner.spec.fence_type import FenceType
from planner.units import Degree, Metre

_SLACK = 1e-9
_COST_STEPS = 10_000
_FAR = np.int64(2) ** 60


@dataclass(frozen=True, slots=True)
class SubRun:
    """A piece of a section that is strained by itself.

    Attributes:
        from_m: Chainage. [m]
        to_m: Chainage. [m]
        slope_length_m: Length along the ground. [m]
        grade_ref_deg: Grade for which the mesh is set. [deg] 0 for fences without mesh.
        lean_max_deg: Greatest lean of a picket off plumb. [deg] 0 for fences without mesh.
        far_end_ratio: Tension at the far end over the pull.
        take_up_m: How far the wire comes in. [m]
        length_limit_m: The longest-strain limit that applied, flat or undulating. [m]
        turning_deg_per_100m: Vertical turning that decided it. [deg per 100 m]
    """

    from_m: Metre
    to_m: Metre
    slope_length_m: Metre
    grade_ref_deg: Degree
    lean_max_deg: Degree
    far_end_ratio: float
    take_up_m: Metre
    length_limit_m: Metre
    turning_deg_per_100m: float


@dataclass(frozen=True, slots=True)
class MidRunJoin:
    """A place to strain both ways from, and join.

    Attributes:
        chainage_m: Ground plan distance, at the middle of a panel. [m]
        reasons: Which limits forced it, one sentence each, with the figures.
        top_bottom_allowance_m: Difference between top and bottom line wire at the join. [m]
    """

    chainage_m: Metre
    reasons: tuple[str, ...]
    top_bottom_allowance_m: Metre


@dataclass(frozen=True, slots=True)
class JoinPlan:
    """The sub-runs and mid-run joins of one section.

    Attributes:
        sub_runs: They tile the section.
        joins: One between each two sub-runs.
        unmet: Limits that no allowed join could keep, one sentence each with the figures; empty when all are kept.
    """

    sub_runs: tuple[SubRun, ...]
    joins: tuple[MidRunJoin, ...]
    unmet: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Panels(SameByValue):
    """The posts of one section as fences hang on them, ends included.

    Attributes:
        chainage_m: Ground plan distance of each post, rising, the section's two ends first and last. [m] Shape (n,).
        join_free: Which panels lie at least one panel away from an end, gate, crossing, deviation or dip post.
            Shape (n - 1,).
    """

    chainage_m: Floats
    join_free: Booleans


def panels_of(sections: Sequence[Section], posts: Sequence[Post]) -> tuple[Panels, ...]:
    """The panels of each section of a line, in order.

    Args:
        sections: Sections of one line.
        posts: Posts of the same line, in order of chainage.
    """
    at = np.array([p.chainage_m for p in posts])
    barred = np.array([p.kind not in ("line", "rise") for p in posts])
    found = []
    for section in sections:
        inside = slice(np.searchsorted(at, section.from_m, "right"), np.searchsorted(at, section.to_m, "left"))
        stops = np.concatenate(([section.from_m], at[inside], [section.to_m]))
        no = np.concatenate(([True], barred[inside], [True]))
        found.append(Panels(stops, ~(no[:-1] | no[1:])))
    return tuple(found)


def plan_line_joins(
    line: FenceLine, ground: GroundLine, chain: GradeChain, sections: Sequence[Section], posts: Sequence[Post],
    fence: FenceType, settings: Settings, *, take_up_per_m: float, piece_cost: Callable[[Metre], float] | None = None,
) -> tuple[JoinPlan, ...]:
    """The join plan of every section of a line, in order.

    Args:
        line: Fence line.
        ground: Its profile.
        chain: Its grades.
        sections: Its sections.
        posts: Its posts, in order of chainage.
        fence: Its fence type.
        settings: Limits.
        take_up_per_m: Take-up of one metre of sub-run. [m/m]
        piece_cost: As in ``plan_joins``.
    """
    turning = turning_along(corners(line, ground, settings), chain)
    return tuple(
        plan_joins(section, ground, turning, panels, fence, settings, take_up_per_m=take_up_per_m,
                   piece_cost=piece_cost)
        for section, panels in zip(sections, panels_of(sections, posts), strict=True))


def plan_joins(
    section: Section, ground: GroundLine, turning: Turning, panels: Panels, fence: FenceType, settings: Settings, *,
    take_up_per_m: float, piece_cost: Callable[[Metre], float] | None = None,
) -> JoinPlan:
    """The fewest sub-runs that each keep every limit, and the joins between them. Exact.

    Joins stand at the middle of a panel, at least one panel from an end, gate, crossing, deviation or dip post. Among
    plans with as few sub-runs the one whose pieces cost least is taken, then the one with the most even lengths. Where
    no plan keeps every limit, the one that breaks them least is taken (the shares above the limits, counted in
    tenths), and what it breaks is said.

    Args:
        section: The section.
        ground: Profile of its line.
        turning: Turns of the wires along its line.
        panels: Its posts, ends included.
        fence: Its fence type.
        settings: Limits.
        take_up_per_m: Take-up of one metre of sub-run. [m/m]
        piece_cost: Cost of covering a sub-run of some slope length with rolls. Compared to a ten-thousandth. None
            when all cost the same.

    Returns:
        Sub-runs and joins; none for gate openings and crossing spans.

    Source:
        Limits: this program's own model of common practice; friction by the capstan equation. Straining from a join
        in the middle pulls both ways: Journal of Agriculture, Western Australia, 1952. Checked against every subset
        of the allowed places in tests/properties/test_joins.py.
    """
    if section.is_gate or section.is_crossing:
        return JoinPlan((), ())
    limits = limits_of(fence, settings)
    nodes = np.array([section.from_m, section.to_m])
    pieces = _measure(section, ground, turning, nodes, limits, settings, take_up_per_m)
    chosen = [0, 1]
    free = np.flatnonzero(panels.join_free)
    if len(free) and excess(pieces[0, 1], limits) > 0:
        slope = ground.slope_at(panels.chainage_m)
        middles = ground.chainage_at_slope((slope[free] + slope[free + 1]) / 2)
        nodes = np.concatenate((nodes[:1], middles, nodes[1:]))
        pieces = _measure(section, ground, turning, nodes, limits, settings, take_up_per_m)
        chosen = _best_path(pieces, limits, piece_cost)
    return _as_plan(chosen, nodes, pieces, limits, fence)


def _measure(
    section: Section, ground: GroundLine, turning: Turning, nodes: Floats, limits: Limits, settings: Settings,
    take_up_per_m: float,
) -> Pieces:
    """Measures of every piece between two nodes. Shape (n, n), meant where the row comes before the column."""
    slope = ground.slope_at(nodes)
    edges = nodes.copy()
    edges[0] += SAME_PLACE_M
    edges[-1] = max(edges[-1] - SAME_PLACE_M, edges[0])
    turned, vertical = turning.before(edges)
    lengths = _between(slope)
    low, high = np.zeros(lengths.shape), np.zeros(lengths.shape)
    if limits.lean_deg is not None:
        low, high = _grade_ranges(section, ground, nodes, settings.lean_window_m)
    return Pieces(np.where(lengths > 0, lengths, 1.0), _between(turned), _between(vertical), low, high,
                  lengths * take_up_per_m)


def _between(running: Floats) -> Floats:
    return running[None, :] - running[:, None]


def _grade_ranges(section: Section, ground: GroundLine, nodes: Floats, window_m: Metre) -> tuple[Floats, Floats]:
    """Least and greatest smoothed grade between every two nodes. [deg] Shape (n, n), 0 on and below the diagonal."""
    ends = {"from_m": section.from_m, "to_m": section.to_m, "window_m": window_m}
    at = np.union1d(turning_points(ground, **ends), nodes)
    grade = smoothed_grade(ground, at, **ends)
    first = np.searchsorted(at, nodes)
    extremes = []
    for ufunc, empty in ((np.minimum, np.inf), (np.maximum, -np.inf)):
        block = ufunc(ufunc.reduceat(grade, first[:-1]), grade[first[1:]])
        grid = np.where(np.tri(len(block), k=-1, dtype=bool), empty, block[None, :])
        whole = np.zeros((len(nodes), len(nodes)))
        whole[:-1, 1:] = np.where(np.tri(len(block), k=-1, dtype=bool), 0.0, ufunc.accumulate(grid, axis=1))
        extremes.append(whole)
    return extremes[0], extremes[1]


def _best_path(pieces: Pieces, limits: Limits, piece_cost: Callable[[Metre], float] | None) -> list[int]:
    """Nodes of the plan that breaks limits least, then has fewest sub-runs, then costs least, then is most even."""
    n = len(pieces.slope_m)
    tenths = np.ceil(excess(pieces, limits) * 10 - _SLACK).astype(np.int64)
    weight = np.where(np.tri(n, dtype=bool), _FAR, tenths * n + 1)
    from_start, to_end = np.full(n, _FAR), np.full(n, _FAR)
    from_start[0] = to_end[-1] = 0
    for k in range(1, n):
        from_start[k] = np.minimum.reduce(from_start[:k] + weight[:k, k])
        to_end[n - 1 - k] = np.minimum.reduce(to_end[n - k:] + weight[n - 1 - k, n - k:])
    useful = from_start[:, None] + weight + to_end[None, :] == from_start[-1]
    cost, uneven, origin = np.zeros(n, dtype=np.int64), np.zeros(n), np.zeros(n, dtype=np.int64)
    for k in np.flatnonzero(useful.any(axis=0)).tolist():
        before = np.flatnonzero(useful[:, k])
        length = pieces.slope_m[before, k]
        costs = cost[before] if piece_cost is None else cost[before] + np.array(
            [round(piece_cost(x) * _COST_STEPS) for x in length.tolist()], dtype=np.int64)
        evens = np.where(costs == costs.min(), uneven[before] + length**2, np.inf)
        best = int(np.argmin(evens))
        cost[k], uneven[k], origin[k] = costs[best], evens[best], before[best]
    path = [n - 1]
    while path[-1]:
        path.append(int(origin[path[-1]]))
    return path[::-1]


def _as_plan(chosen: Sequence[int], nodes: Floats, pieces: Pieces, limits: Limits, fence: FenceType) -> JoinPlan:
    thing = "this mesh" if fence.mesh else "this fence"
    at = nodes.tolist()
    spans = list(pairwise(chosen))
    sub_runs = tuple(_sub_run(pieces[i, j], limits, at[i], at[j]) for i, j in spans)
    unmet = tuple(text for i, j in spans
                  for text in broken_limits(pieces[i, j], limits, from_m=at[i], to_m=at[j], thing=thing))
    height = fence.mesh.height_m if fence.mesh else 0.0
    joins = []
    for (i, j), (_, k), one, other in zip(spans, spans[1:], sub_runs, sub_runs[1:], strict=False):
        step = abs(math.tan(math.radians(one.grade_ref_deg)) - math.tan(math.radians(other.grade_ref_deg)))
        reasons = broken_limits(pieces[i, k], limits, from_m=at[i], to_m=at[k], thing=thing)
        joins.append(MidRunJoin(at[j], reasons, height * step))
    return JoinPlan(sub_runs, tuple(joins), unmet)


def _sub_run(piece: Pieces, limits: Limits, from_m: Metre, to_m: Metre) -> SubRun:
    setting, lean = best_setting(float(piece.grade_min_deg), float(piece.grade_max_deg))
    return SubRun(from_m, to_m, float(piece.slope_m), setting, lean,
                  far_end_ratio(float(piece.turn_rad), limits.friction_mu), float(piece.take_up_m),
                  float(piece.longest_m(limits)), float(piece.turning_deg_per_100m()))
