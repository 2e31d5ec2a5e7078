"""Which gate hangs in each gate opening of a line, and what is worth a look about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.alignment.corners import Opening, openings
from planner.alignment.line import FenceLine, Gate
from planner.errors import OutOfRange
from planner.findings import Finding, Place
from planner.profile.ground_line import GroundLine
from planner.sections.strains import Section
from planner.sources import COMMON_PRACTICE
from planner.spec.catalogue import Catalogue
from planner.spec.gates import choose_gate, gate_gap_m
from planner.spec.items import Item

RULES = {
    "line-55": "a gate goes into every gate opening",
    "line-56": "a gate fills its opening",
}
OPEN_M = 0.3
"""Widest gap beside a gate that is left without a word. [m] Common practice, no source."""
_CUT_SHARE = 0.99


@dataclass(frozen=True)
class GatesHung:
    """The gates of a line.

    Attributes:
        items: Section id of a gate opening to the key of the gate in it; openings that no gate goes into are not there.
        findings: Openings too narrow for any gate, or too wide for the widest.
    """

    items: dict[str, str]
    findings: tuple[Finding, ...]


def gates_hung(line: FenceLine, ground: GroundLine, sections: Sequence[Section], catalogue: Catalogue) -> GatesHung:
    """The gate in each gate opening: the one that was named, else the widest that goes in.

    Args:
        line: The fence line.
        ground: Its ground.
        sections: Its sections.
        catalogue: Items.

    Raises:
        BadFenceType: The item list holds no gate.
    """
    gates = {gate.name: gate for gate in line.gates}
    items: dict[str, str] = {}
    findings: list[Finding] = []
    for opening in openings(line, ground):
        if opening.kind != "gate":
            continue
        item = _item(line, gates[opening.name], opening, catalogue, findings)
        if item is not None:
            items |= {s.id: item.key for s in sections
                      if s.is_gate and opening.from_m <= (s.from_m + s.to_m) / 2 <= opening.to_m}
    return GatesHung(items, tuple(findings))


def _item(line: FenceLine, gate: Gate, opening: Opening, catalogue: Catalogue, findings: list[Finding]) -> Item | None:
    there = opening.to_m - opening.from_m
    width = gate.width_m if there >= _CUT_SHARE * gate.width_m else there  # cut at the end of its line
    place = Place(line.name, chainage_m=round(opening.from_m, 2), x=gate.x, y=gate.y)
    try:
        item = catalogue.items[gate.item] if gate.item in catalogue.items else choose_gate(width, catalogue.items)
    except OutOfRange:
        findings.append(Finding(
            "line-55", "error", f"No gate goes into the opening of '{gate.name}', {width:.2f} m wide; none is ordered.",
            "Widen the opening, or add a narrower gate to your items.toml.", place))
        return None
    gap = gate_gap_m(width, item)
    if gap > OPEN_M + 1e-9:
        findings.append(Finding(
            "line-56", "warning", f"In the opening of '{gate.name}', {width:.2f} m wide, {item.description} leaves "
            f"{gap:.2f} m open.", "Make the opening as wide as a gate, or close the gap with fence.", place,
            COMMON_PRACTICE))
    return item
