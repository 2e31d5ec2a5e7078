"""Posts along a line: where each stands, of what kind, and what it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.units import Degree, Metre

PostKind = Literal["end", "corner", "gate", "junction", "crossing", "deviation", "rise", "dip", "line"]


@dataclass(frozen=True, slots=True)
class Post:
    """One post, before its loads are known.

    Attributes:
        section: Id of the section it stands in (the later one at a shared end).
        kind: What it is there for.
        item: Item key; for ends the strainer of the assembly.
        chainage_m: Ground plan distance. [m]
        turn_deg: Plan turn of the wires here. [deg]
        break_deg: Vertical turn of the wires here; dip positive. [deg]
        grade_before_deg: Grade of the wires before it, uphill positive. [deg]
        grade_after_deg: Grade of the wires after it. [deg]
        required_length_m: Height plus embedment that the post must have. [m]
        ground: Ground class key.
    """

    section: str
    kind: PostKind
    item: str
    chainage_m: Metre
    turn_deg: Degree
    break_deg: Degree
    grade_before_deg: Degree
    grade_after_deg: Degree
    required_length_m: Metre
    ground: str
