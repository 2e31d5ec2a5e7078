"""What about the sections of a line is worth a look before a post goes in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from planner.alignment.corners import SAME_PLACE_M
from planner.alignment.junctions import Junction
from planner.alignment.line import FenceLine
from planner.findings import Finding, Place
from planner.profile.ground_line import GroundLine
from planner.sections.joins import JoinPlan
from planner.sections.strains import Section, chainage_of_junction, end_places
from planner.sources import COMMON_PRACTICE, OWN_MODEL
from planner.spec.end_assemblies import EndAssembly
from planner.spec.fence_type import FenceType
from planner.units import Metre
from planner.wording import few_of

RULES = {
    "sections-01": "every sub-run keeps its limits, with mid-run joins where they are needed",
    "sections-02": "a run is at least two panels long",
    "sections-03": "every end has an end assembly that is in the catalogue",
    "sections-04": "a crossing span is no longer than the fence type may be strained",
    "sections-05": "no line meets another inside a gate opening or a crossing span",
}
_SHOWN = 5


def check_sections(
    line: FenceLine, ground: GroundLine, sections: Sequence[Section], joins: Sequence[JoinPlan], fence: FenceType,
    assemblies: Mapping[str, EndAssembly], *, junctions: Sequence[Junction] = (),
) -> list[Finding]:
    """What is worth a look in the sections of one line.

    Args:
        line: Fence line.
        ground: Its profile.
        sections: Its sections.
        joins: The join plan of each.
        fence: Its fence type.
        assemblies: End assemblies by key.
        junctions: Where other lines meet it.

    Returns:
        Findings, by rule; runs that are too short are gathered in one.

    Source:
        Common practice, no source, and this program's own model of mesh lean.
    """
    return [
        *_unmet(line, sections, joins), *_too_short(line, sections, fence),
        *_without_assembly(line, sections, assemblies), *_long_spans(line, sections, fence),
        *_blocked_junctions(line, ground, sections, junctions)]


def _unmet(line: FenceLine, sections: Sequence[Section], joins: Sequence[JoinPlan]) -> Iterator[Finding]:
    for section, plan in zip(sections, joins, strict=True):
        for text in plan.unmet:
            yield Finding(
                "sections-01", "warning", f"No mid-run join at an allowed place mends this: {text}.",
                "End the strain with a strainer there, knock off the hump or fill the hollow, or choose a fence type"
                " that follows the ground.", Place(line.name, section.id, section.from_m), OWN_MODEL)


def _too_short(line: FenceLine, sections: Sequence[Section], fence: FenceType) -> Iterator[Finding]:
    least = 2 * fence.posts.spacing_m
    short = sorted((s for s in sections if not (s.is_gate or s.is_crossing) and s.slope_length_m < least - 1e-9),
                   key=lambda s: s.slope_length_m)
    if not short:
        return
    named = few_of([f"{s.id} {s.slope_length_m:.1f} m" for s in short], most=_SHOWN)
    runs = "1 run is" if len(short) == 1 else f"{len(short)} runs are"
    yield Finding(
        "sections-02", "warning", f"{runs} shorter than two panels ({least:g} m): {named}; two strainers so close"
        " cost more than they hold.", "Move a corner, gate or junction so that one strainer serves, or ease the ground"
        " there.", Place(line.name, short[0].id, short[0].from_m), COMMON_PRACTICE)


def _without_assembly(
    line: FenceLine, sections: Sequence[Section], assemblies: Mapping[str, EndAssembly],
) -> Iterator[Finding]:
    for place in end_places(sections, closed=line.closed):
        if place.end.assembly not in assemblies:
            what = f"the end assembly '{place.end.assembly}', which is unknown" if place.end.assembly else "none"
            yield Finding(
                "sections-03", "error", f"The end at {place.end.chainage_m:.1f} m has {what}.",
                "Give the fence type an end assembly that is in the catalogue.",
                Place(line.name, sections[place.section].id, place.end.chainage_m), COMMON_PRACTICE)


def _long_spans(line: FenceLine, sections: Sequence[Section], fence: FenceType) -> Iterator[Finding]:
    longest: Metre = fence.max_strain_undulating_m
    for section in sections:
        if section.is_crossing and section.plan_length_m > longest:
            yield Finding(
                "sections-04", "warning", f"The crossing span is {section.plan_length_m:.1f} m, over the {longest:g} m"
                " this fence is strained in on uneven ground.",
                "Cross where the water is narrower, or stand an anchor in the middle.",
                Place(line.name, section.id, section.from_m), COMMON_PRACTICE)


def _blocked_junctions(
    line: FenceLine, ground: GroundLine, sections: Sequence[Section], junctions: Sequence[Junction],
) -> Iterator[Finding]:
    starts = np.array([s.from_m for s in sections])
    for junction in junctions:
        at = chainage_of_junction(line, ground, junction)
        section = sections[max(int(np.searchsorted(starts, at, side="right")) - 1, 0)]
        inside = section.from_m + SAME_PLACE_M < at < section.to_m - SAME_PLACE_M
        if inside and (section.is_gate or section.is_crossing):
            kind = "gate opening" if section.is_gate else "crossing span"
            yield Finding(
                "sections-05", "error", f"'{', '.join(junction.others)}' meets this line inside a {kind}, where no"
                " strainer can stand.", f"Move the {kind.split()[0]} or the other line's end.",
                Place(line.name, section.id, at, junction.x, junction.y), COMMON_PRACTICE)
