"""Checks of electric fences: fed at all, fed enough, earthed enough, and kept off barbed wire. Advisory."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from planner.findings import Finding, Place
from planner.settings import ELECTRIC
from planner.sources import COMMON_PRACTICE
from planner.surroundings.electric import Circuit, circuits, is_live
from planner.surroundings.situation import Planned, Situation
from planner.units import Metre

RULES = {
    "electric-01": "every live fence is fed",
    "electric-02": "an energiser gives enough for its fence",
    "electric-03": "an energiser has earth enough",
    "electric-04": "live wires keep clear of barbed wire",
}
CLEAR_OF_BARB_M: Metre = 2.0
"""Live wire nearer than this beside a barbed fence, along it, is live wire on a barbed fence. [m] Common practice."""
_ALONG_M: Metre = 10.0


def check_electric(situation: Situation) -> list[Finding]:
    """What about electric fences is worth a look.

    Args:
        situation: The situation.

    Source:
        Output and earths: ``settings.ELECTRIC``. Barbed wire is never live: common practice, no source.
    """
    if not any(is_live(planned) for planned in situation.lines):
        return []
    found: list[Finding] = []
    for circuit in circuits(situation):
        found += [*_feed(circuit, bool(situation.around.of("energiser"))), *_earth(circuit, situation)]
    return [*found, *_barbed(situation)]


def _named(lines: Sequence[str]) -> str:
    return lines[0] if len(lines) == 1 else f"{lines[0]} and {len(lines) - 1} more that it meets"


def _feed(circuit: Circuit, any_energiser: bool) -> Iterator[Finding]:
    km = circuit.fence_m / 1000.0
    if not circuit.energisers:
        yield Finding(
            "electric-01", "warning" if any_energiser else "note",
            f"{km:.2f} km of live fence, {_named(circuit.lines)}, with no energiser marked within reach; it takes at "
            f"least {circuit.joules_needed:.1f} J.",
            "Mark where it is fed, near the middle of the fence, and what the energiser gives.",
            Place(line=circuit.lines[0]), ELECTRIC)
    elif circuit.joules is not None and circuit.joules < circuit.joules_needed:
        yield Finding(
            "electric-02", "warning", f"{circuit.joules:g} J for {km:.2f} km of live fence, {_named(circuit.lines)}, "
            f"are less than the {circuit.joules_needed:.1f} J that its length takes.",
            "Take a stronger energiser, or feed part of the fence from another one; measure at the far end.",
            Place(line=circuit.lines[0]), ELECTRIC)


def _earth(circuit: Circuit, situation: Situation) -> Iterator[Finding]:
    if circuit.rods is None:
        return
    settings = situation.settings
    wanted_m = max((circuit.joules or circuit.joules_needed) * settings.earth_rod_m_per_joule, 0.0)
    has_m = circuit.rods_m if circuit.rods_m is not None else circuit.rods * settings.earth_rod_length_m
    if circuit.rods >= settings.earth_rods_least and has_m >= wanted_m - 1e-9:
        return
    yield Finding(
        "electric-03", "warning", f"{_named(circuit.lines)}: {circuit.rods} earth "
        f"{'rod' if circuit.rods == 1 else 'rods'}, {has_m:.1f} m in all; {circuit.rods_needed} of "
        f"{settings.earth_rod_length_m:g} m are wanted.",
        "Drive more, each at least 3 m from the next, in ground that stays damp and well away from other earths.",
        Place(line=circuit.lines[0]), ELECTRIC)


def _barbed(situation: Situation) -> Iterator[Finding]:
    barbed = [k for k, planned in enumerate(situation.lines) if _has_barb(planned)]
    live = [k for k, planned in enumerate(situation.lines) if is_live(planned)]
    if not live:
        return
    if barbed:
        tree = shapely.STRtree(situation.shapes[barbed])
        asked, met = tree.query(situation.shapes[live], predicate="dwithin", distance=CLEAR_OF_BARB_M)
        for k, other in sorted((live[a], barbed[m]) for a, m in zip(asked.tolist(), met.tolist(), strict=True)):
            if (along := _beside(situation.shapes[k], situation.shapes[other])) > _ALONG_M:
                yield _too_near(situation.lines[k], f"'{situation.lines[other].line.name}'", along)
    courses = situation.shapes[live]
    for number, feature, shape in situation.around.near(courses, "existing fence", within_m=CLEAR_OF_BARB_M):
        if "barb" in feature.fact("type").lower() and feature.fact("fate") != "is pulled out":
            along = _beside(courses[number], shape)
            if along > _ALONG_M:
                yield _too_near(situation.lines[live[number]], f"the standing fence '{feature.name}'", along)


def _too_near(planned: Planned, other: str, metres: Metre) -> Finding:
    x, y = planned.line.xy[0, :2].tolist()
    return Finding(
        "electric-04", "error", f"Live wire runs within {CLEAR_OF_BARB_M:g} m of barbed wire of {other} for "
        f"{metres:.0f} m: whoever is caught on the barbs cannot get off.",
        "Take the barbs off, or set the live fence well clear of them; barbed wire is never made live.",
        Place(planned.line.name, x=x, y=y), COMMON_PRACTICE)


def _has_barb(planned: Planned) -> bool:
    return any(strand.kind == "barbed" for strand in planned.fence.strands)


def _beside(course: shapely.Geometry, other: shapely.Geometry) -> Metre:
    if not shapely.dwithin(course, other, CLEAR_OF_BARB_M):
        return 0.0
    return float(shapely.length(shapely.intersection(course, shapely.buffer(other, CLEAR_OF_BARB_M))))
