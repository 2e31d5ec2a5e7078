"""Joins of each section, mid-run joins and roll joins together: what the crew meets along the fence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from planner.job.plan import LinePlan
from planner.materials.roll_plan import RollPlan
from planner.units import Metre

_SAME_PLACE_M = 0.05


@dataclass(frozen=True, slots=True)
class SectionJoin:
    """One join of the mesh, or of the wires where there is no mesh.

    Attributes:
        chainage_m: Ground plan distance. [m]
        kind: ``mid-run`` (strained both ways from here), ``roll`` (one roll ends and the next begins) or ``both``.
        reasons: Why, one sentence each.
        top_bottom_allowance_m: Difference between top and bottom line wire. [m]
    """

    chainage_m: Metre
    kind: Literal["mid-run", "roll", "both"]
    reasons: tuple[str, ...]
    top_bottom_allowance_m: Metre


def section_joins(lines: Sequence[LinePlan], rolls: Mapping[str, RollPlan]) -> dict[str, tuple[SectionJoin, ...]]:
    """Joins by section id, in order of chainage.

    Roll joins are those of the mesh; joins of single wires stand in the roll plan alone.

    Args:
        lines: Plans of the fence lines.
        rolls: Item key to roll plan.
    """
    mesh_of = {section.id: plan.fence.mesh.item for plan in lines if plan.fence.mesh for section in plan.sections}
    pieces = _pieces(rolls, mesh_of)
    joins: dict[str, tuple[SectionJoin, ...]] = {}
    for plan in lines:
        for section_id, run in plan.joins.items():
            between = _between_pieces(pieces.get(section_id, []))
            found = [SectionJoin(j.chainage_m, _kind(j.chainage_m, between), j.reasons, j.top_bottom_allowance_m)
                     for j in run.joins]
            found += [SectionJoin(at, "roll", ("a roll of the mesh ends here",), 0.0)
                      for at, changes in between
                      if changes and all(abs(at - m.chainage_m) > _SAME_PLACE_M for m in run.joins)]
            if found:
                joins[section_id] = tuple(sorted(found, key=lambda j: j.chainage_m))
    return joins


def _pieces(rolls: Mapping[str, RollPlan], mesh_of: Mapping[str, str]) -> dict[str, list[tuple[Metre, Metre, int]]]:
    """Mesh pieces of each section: from, to, number of the roll."""
    pieces: dict[str, list[tuple[Metre, Metre, int]]] = {}
    for item, plan in rolls.items():
        for roll in plan.rolls:
            for cut in roll.cuts:
                if mesh_of.get(cut.section) == item:
                    pieces.setdefault(cut.section, []).append((cut.from_m, cut.to_m, roll.stock))
    return pieces


def _between_pieces(pieces: list[tuple[Metre, Metre, int]]) -> list[tuple[Metre, bool]]:
    """Chainages at which one piece ends and the next begins, and whether the next comes from another roll."""
    ordered = sorted(pieces)
    return [(a[1], a[2] != b[2]) for a, b in pairwise(ordered)]


def _kind(chainage: Metre, between: list[tuple[Metre, bool]]) -> Literal["mid-run", "both"]:
    return "both" if any(changes and abs(at - chainage) <= _SAME_PLACE_M for at, changes in between) else "mid-run"
