"""Gates: wide enough for the machines, on ground that lets them hang, and out of the wet."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np
import shapely

from planner.findings import Finding, Place
from planner.sources import COMMON_PRACTICE
from planner.surroundings.faces import OUTSIDE
from planner.surroundings.gateways import Gateway
from planner.surroundings.paddock_checks import names_of
from planner.surroundings.paddocks import Land, land_of
from planner.surroundings.reach import ways_to
from planner.surroundings.situation import Situation
from planner.survey.feature_meanings import choice_of
from planner.units import Metre
from planner.wording import few_of

RULES = {
    "gate-01": "the widest machine gets through gates into every paddock",
    "gate-02": "the ground along a gate opening is level enough for a gate to hang and swing",
    "gate-03": "a gate stands out of the wet",
}
FOOT_GATE_M: Metre = 1.8
"""A gate narrower than this is meant for people on foot. [m] Common practice, no source."""
WET_M: Metre = 3.0
"""A gate nearer to water than this stands in the wet. [m] Common practice, no source."""
_SLACK = 1e-6


def check_gates(situation: Situation) -> list[Finding]:
    """What about the gates of a job is worth a look, told once for each line.

    Args:
        situation: The situation.

    Source:
        Common practice, no source.
    """
    if not any(planned.line.gates for planned in situation.lines):
        return []
    land = land_of(situation)
    return [*_narrow(land, situation), *_sloping(land, situation), *_wet(land, situation)]


def _told(rule: str, gates: Sequence[Gateway], words: str, remedy: str) -> Finding:
    first = gates[0]
    names = few_of([f"'{gate.name}'" for gate in gates])
    return Finding(rule, "warning", f"{'Gate' if len(gates) == 1 else 'Gates'} {names} {words}", remedy,
                   Place(first.line, chainage_m=round(first.chainage_m, 2), x=round(first.x, 2), y=round(first.y, 2)),
                   COMMON_PRACTICE)


def _by_line(gates: Sequence[Gateway]) -> Iterator[list[Gateway]]:
    for name in dict.fromkeys(gate.line for gate in gates):
        yield [gate for gate in gates if gate.line == name]


def _narrow(land: Land, situation: Situation) -> Iterator[Finding]:
    """Gates too narrow for the widest machine that leave land which it reaches through no other gate."""
    widest = situation.settings.widest_machine_m
    if widest <= 0.0:
        return
    passed = [gate for gate in land.gates if gate.width_m is None or gate.width_m >= widest - _SLACK]
    reached = ways_to({OUTSIDE}, passed)
    found = [gate for gate in land.gates if gate.line and gate not in passed and _keeps_out(gate, reached, passed)]
    for gates in _by_line(found):
        least = min(gate.width_m or 0.0 for gate in gates)
        yield _told("gate-01", gates, f"{'lets' if len(gates) == 1 else 'let'} no more than {least:.2f} m through; the "
                    f"widest machine takes {widest:g} m, and no wider gate lets it {_into(gates, reached, land)}.",
                    "Make the opening wider than the machine, with room to turn in, or give the land another gate.")


def _keeps_out(gate: Gateway, reached: Collection[int], passed: Sequence[Gateway]) -> bool:
    if gate.sides[0] == gate.sides[1]:
        return (gate.width_m or 0.0) >= FOOT_GATE_M and not any(other.line == gate.line for other in passed)
    return any(side not in reached for side in gate.sides)


def _into(gates: Sequence[Gateway], reached: Collection[int], land: Land) -> str:
    """The paddocks beyond gates that no way leads into."""
    beyond = {side for gate in gates if gate.sides[0] != gate.sides[1] for side in gate.sides if side not in reached}
    paddocks = [paddock for paddock in land.paddocks if paddock.face in beyond]
    return f"into {names_of(paddocks)}" if paddocks else "in there"


def _sloping(land: Land, situation: Situation) -> Iterator[Finding]:
    limit = situation.settings.gate_slope_deg
    found = [gate for gate in land.gates if gate.line and abs(gate.slope_deg) > limit + _SLACK]
    for gates in _by_line(found):
        worst = max(gates, key=lambda gate: abs(gate.slope_deg))
        rise = abs(np.tan(np.radians(worst.slope_deg))) * (worst.width_m or 0.0)
        steepest = "" if len(gates) == 1 else f", '{worst.name}' most"
        yield _told("gate-02", [worst, *(gate for gate in gates if gate is not worst)],
                    f"{'stands' if len(gates) == 1 else 'stand'} on a slope{steepest}: {abs(worst.slope_deg):.1f} deg, "
                    f"{rise:.2f} m from post to post, over {limit:g} deg.",
                    "Move the gate to a level place, cut the ground level, or hang it to swing uphill and close "
                    "the gap below.")


def _wet(land: Land, situation: Situation) -> Iterator[Finding]:
    gates = [gate for gate in land.gates if gate.line]
    spots = shapely.points(np.array([(gate.x, gate.y) for gate in gates]).reshape(-1, 2))
    wet: dict[int, str] = {}
    for number, feature, _ in situation.around.near(spots, "water", within_m=WET_M):
        wet.setdefault(number, f"at the water '{feature.name}'" if feature.name else "at water")
    for number, feature, _ in situation.around.near(spots, "flood", within_m=0.0):
        if choice_of(feature, "risk") != "low":
            wet.setdefault(number, f"in the flood extent '{feature.name}'" if feature.name else "in a flood extent")
    for several in _by_line([gates[number] for number in sorted(wet)]):
        where = wet[gates.index(several[0])]
        yield _told("gate-03", several, f"{'stands' if len(several) == 1 else 'stand'} {where}: ground there is cut up "
                    "by stock and wheels, and a flood takes the gate.",
                    "Move it to higher ground, or hang it so that a flood can swing it free, and make the ground firm.")
