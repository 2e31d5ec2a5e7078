"""Strains: where each straining section starts and ends, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.units import Degree, Metre

Cause = Literal["line end", "corner", "gate", "crossing", "junction", "grade break", "longest strain"]


@dataclass(frozen=True, slots=True)
class SectionEnd:
    """One end of a section.

    Attributes:
        chainage_m: Ground plan distance. [m]
        causes: Every reason for an end here, in the order of ``Cause``.
        assembly: Key of the end assembly; empty where the section opens on nothing (never in a finished plan).
        directions: Number of directions of pull that the assembly takes: 1 at an end, 2 between two sections, more at
            a junction.
        turn_deg: Plan turn here; positive turns left. [deg]
        break_deg: Grade break here; dip positive. [deg]
    """

    chainage_m: Metre
    causes: tuple[Cause, ...]
    assembly: str
    directions: int
    turn_deg: Degree
    break_deg: Degree


@dataclass(frozen=True, slots=True)
class Section:
    """One straining section.

    Attributes:
        id: Short id, unique in the job, such as ``A3``.
        from_m: Ground plan distance where it starts. [m]
        to_m: Ground plan distance where it ends. [m]
        start: Its start.
        end: Its end.
        plan_length_m: Ground plan length. [m]
        slope_length_m: Length along the ground. [m]
        length_sd_m: Standard deviation of the slope length. [m]
        grade_min_deg: Least smoothed grade along it, uphill positive. [deg]
        grade_max_deg: Greatest. [deg]
        is_crossing: True for the independent span across water.
        is_gate: True for a gate opening: it tiles the line but carries no wire, no posts and no joins.
    """

    id: str
    from_m: Metre
    to_m: Metre
    start: SectionEnd
    end: SectionEnd
    plan_length_m: Metre
    slope_length_m: Metre
    length_sd_m: Metre
    grade_min_deg: Degree
    grade_max_deg: Degree
    is_crossing: bool = False
    is_gate: bool = False
