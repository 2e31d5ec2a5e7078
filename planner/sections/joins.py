"""Mid-run joins: the fewest places to strain both ways from, so that every sub-run keeps every limit."""

from __future__ import annotations

from dataclasses import dataclass

from planner.units import Degree, Metre


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
