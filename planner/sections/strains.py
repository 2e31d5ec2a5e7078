"""Strains: where each straining section starts and ends, and why."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple, get_args

import numpy as np

from planner.alignment.corner_accuracy import corner_sd
from planner.alignment.corners import ANGLE_SLACK_DEG, SAME_PLACE_M, Corner, Opening, OpeningKind, corners, openings
from planner.alignment.junctions import Junction
from planner.alignment.line import FenceLine
from planner.errors import BadFenceType
from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages, nearest_on
from planner.profile.grade_breaks import GradeChain
from planner.profile.ground_line import GroundLine
from planner.profile.length_uncertainty import slope_length_sd
from planner.sections.cuts import equal_cuts
from planner.sections.lean import grade_range
from planner.settings import Settings
from planner.spec.end_assemblies import EndAssembly
from planner.spec.fence_type import FenceType
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
        counted_with: Name of the line whose materials hold this assembly, at a junction of two lines; empty when it is
            counted with this one.
    """

    chainage_m: Metre
    causes: tuple[Cause, ...]
    assembly: str
    directions: int
    turn_deg: Degree
    break_deg: Degree
    counted_with: str = ""


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


class EndPlace(NamedTuple):
    """One end assembly of a line, and the section it is charged to.

    Attributes:
        section: Index of the section among those of its line.
        at: start or end of that section.
        end: The end itself.
    """

    section: int
    at: Literal["start", "end"]
    end: SectionEnd


@dataclass
class _Place:
    """A place at which a section ends, while the reasons for it are gathered."""

    chainage_m: Metre
    causes: set[Cause] = field(default_factory=set)
    junctions: list[Junction] = field(default_factory=list)


def divide(
    line: FenceLine, ground: GroundLine, chain: GradeChain, fence: FenceType, settings: Settings, *,
    code: str, junctions: Sequence[Junction] = (), assemblies: Mapping[str, EndAssembly],
) -> tuple[Section, ...]:
    """The straining sections of a line, gate openings and crossing spans among them, in order.

    A section ends at a line's end, a corner, both sides of a gate or a crossing, a junction, a grade break above
    ``break_end_deg``, and wherever a run would be longer than the fence type's longest strain on even ground; such a
    run is cut into the fewest equal parts by slope length, each cut moved to a grade break near it where no part then
    becomes too long. Ends within half a metre are one. What lies inside an opening ends nothing.

    Args:
        line: Fence line.
        ground: Its profile.
        chain: Its grades.
        fence: Its fence type.
        settings: Limits.
        code: Letters that start its section ids, such as ``A``.
        junctions: Where other lines meet it.
        assemblies: End assemblies by key.

    Returns:
        Sections that tile the line: each starts at the very chainage at which the one before ends.

    Raises:
        BadFenceType: The fence type asks for an end assembly that does not exist.

    Source:
        Strainers at corners, gateways, crests of hills and bottoms of gullies: a rural retailer's fencing handbook;
        England FG2; limits are common practice. Checked in tests/validation/test_strainer_distance.py and
        test_worked_lines.py.
    """
    _know_assemblies(fence, assemblies)
    gaps = openings(line, ground)
    bends = corners(line, ground, settings)
    places = _add_cuts(_gather(line, ground, chain, bends, gaps, junctions, settings), gaps, ground, chain, fence,
                       settings)
    return _sections(line, ground, chain, fence, settings, code, places, bends, gaps)


def end_places(sections: Sequence[Section], *, closed: bool) -> tuple[EndPlace, ...]:
    """Every end assembly of a line exactly once, in order of chainage.

    Two runs share the assembly between them, charged to the later one. At a crossing the run and the span have one
    each. At a gate the run beside it holds the gate post; a gate without a run beside it has its own.

    Args:
        sections: Sections of one line, in order.
        closed: True when the line returns to its start, so that the last section shares its end with the first.
    """
    found: list[EndPlace] = []
    last = len(sections) - 1
    for i, section in enumerate(sections):
        before = sections[i - 1] if i > 0 or closed else None
        after = sections[i + 1] if i < last else (sections[0] if closed else None)
        if _owns_start(section, before):
            found.append(EndPlace(i, "start", section.start))
        if _owns_end(section, after):
            found.append(EndPlace(i, "end", section.end))
    return tuple(found)


def assemblies_of(sections: Sequence[Section], *, closed: bool) -> Mapping[str, tuple[SectionEnd, ...]]:
    """End assemblies to build for each section of a line, every one exactly once.

    An assembly at a junction that is counted with another line is left out here.

    Args:
        sections: Sections of one line, in order.
        closed: True when the line returns to its start.

    Returns:
        Section id to the assemblies charged to it; every section is in it.
    """
    charged: dict[str, tuple[SectionEnd, ...]] = {section.id: () for section in sections}
    for place in end_places(sections, closed=closed):
        if not place.end.counted_with:
            charged[sections[place.section].id] += (place.end,)
    return charged


def chainage_of_junction(line: FenceLine, ground: GroundLine, junction: Junction) -> Metre:
    """Where along a line a junction stands. [m] Ground plan distance.

    Args:
        line: Fence line.
        ground: Its profile.
        junction: One of its junctions.
    """
    along, _ = nearest_on(line.xy, (junction.x, junction.y))
    return float(np.interp(along, chainages(line.xy), ground.chainage_m[ground.vertices]))


def _owns_start(section: Section, before: Section | None) -> bool:
    return not section.is_gate or before is None or before.is_gate


def _owns_end(section: Section, after: Section | None) -> bool:
    if after is None or section.is_crossing:
        return True
    return not section.is_gate and (after.is_gate or after.is_crossing)


def _know_assemblies(fence: FenceType, assemblies: Mapping[str, EndAssembly]) -> None:
    for key in (fence.ends.single, fence.ends.double, fence.ends.gate):
        if key not in assemblies:
            raise BadFenceType(f"there is no end assembly '{key}'", where=f"fence type '{fence.key}'",
                               remedy=f"use one of {', '.join(sorted(assemblies)) or 'your own'}")


def _gather(
    line: FenceLine, ground: GroundLine, chain: GradeChain, bends: Sequence[Corner], gaps: Sequence[Opening],
    junctions: Sequence[Junction], settings: Settings,
) -> list[_Place]:
    """Places that end a section, longest strains apart; the firmest reason fixes where."""
    length = float(ground.chainage_m[-1])
    places = [_Place(0.0, {"line end"}), _Place(length, {"line end"})]
    for gap in gaps:
        for at in (gap.from_m, gap.to_m):
            place = next((p for p in places if p.chainage_m == at), None)
            if place is None:
                place = _Place(at)
                places.append(place)
            place.causes.add(gap.kind)
    places.sort(key=lambda p: p.chainage_m)
    for bend in bends:
        if bend.role == "corner":
            _note(places, gaps, bend.chainage_m, "corner")
    for junction in junctions:
        _note(places, gaps, chainage_of_junction(line, ground, junction), "junction", junction)
    for at, angle in zip(chain.chainage_m.tolist(), chain.break_deg.tolist(), strict=True):
        if abs(angle) > settings.break_end_deg + ANGLE_SLACK_DEG:
            _note(places, gaps, at, "grade break")
    return places


def _note(
    places: list[_Place], gaps: Sequence[Opening], at: Metre, cause: Cause, junction: Junction | None = None,
) -> None:
    """Adds a cause to the place that stands there already, or else a new place outside every opening."""
    k = bisect_left(places, at, key=lambda p: p.chainage_m)
    near = min(places[max(k - 1, 0):k + 1], key=lambda p: abs(p.chainage_m - at))
    if abs(near.chainage_m - at) > SAME_PLACE_M:
        if any(gap.from_m < at < gap.to_m for gap in gaps):
            return
        near = _Place(at)
        places.insert(k, near)
    near.causes.add(cause)
    if junction is not None:
        near.junctions.append(junction)


def _add_cuts(
    places: list[_Place], gaps: Sequence[Opening], ground: GroundLine, chain: GradeChain, fence: FenceType,
    settings: Settings,
) -> list[_Place]:
    """The same places with those runs cut that are longer than the longest strain on even ground."""
    open_from = {gap.from_m for gap in gaps}
    slope = ground.slope_at(np.array([p.chainage_m for p in places]))
    breaks = ground.slope_at(chain.chainage_m)
    found: list[_Place] = []
    for k, place in enumerate(places):
        found.append(place)
        if k == len(places) - 1 or place.chainage_m in open_from:
            continue
        inside = breaks[(breaks > slope[k] + SAME_PLACE_M) & (breaks < slope[k + 1] - SAME_PLACE_M)] - slope[k]
        cuts = equal_cuts(float(slope[k + 1] - slope[k]), longest=fence.max_strain_flat_m, breaks=inside,
                          move_share=settings.cut_move_share)
        found += [_Place(at, {"longest strain"}) for at in ground.chainage_at_slope(cuts + slope[k]).tolist()]
    return found


def _sections(
    line: FenceLine, ground: GroundLine, chain: GradeChain, fence: FenceType, settings: Settings, code: str,
    places: Sequence[_Place], bends: Sequence[Corner], gaps: Sequence[Opening],
) -> tuple[Section, ...]:
    at = np.array([p.chainage_m for p in places])
    kinds: dict[Metre, OpeningKind] = {gap.from_m: gap.kind for gap in gaps}
    what = [kinds.get(p.chainage_m, "run") for p in places[:-1]]
    turn = _sum_near(at, [b.chainage_m for b in bends], [b.carried_deg for b in bends])
    bend = _sum_near(at, chain.chainage_m, chain.break_deg)
    slope = np.diff(ground.slope_at(at))
    sd = slope_length_sd(ground, corner_sd_m=corner_sd(line, settings), from_m=at[:-1], to_m=at[1:])

    def end(place: int, of: int, beyond: int) -> SectionEnd:
        return _end(places[place], what[of], what[beyond % len(what)] if line.closed or 0 <= beyond < len(what) else "",
                    fence, turn_deg=float(turn[place]), break_deg=float(bend[place]))

    found = []
    for k, kind in enumerate(what):
        low, high = grade_range(ground, from_m=places[k].chainage_m, to_m=places[k + 1].chainage_m,
                                window_m=settings.lean_window_m)
        found.append(Section(
            f"{code}{k + 1}", places[k].chainage_m, places[k + 1].chainage_m, end(k, k, k - 1), end(k + 1, k, k + 1),
            float(at[k + 1] - at[k]), float(slope[k]), float(sd[k]), low, high,
            is_crossing=kind == "crossing", is_gate=kind == "gate"))
    return tuple(found)


def _end(
    place: _Place, of: str, beyond: str, fence: FenceType, *, turn_deg: Degree, break_deg: Degree,
) -> SectionEnd:
    """The end of a section (run, gate or crossing) beside another one, or beside nothing."""
    own = 2 if of == beyond == "run" else 1
    joined = () if of == "crossing" and beyond == "run" else place.junctions
    elsewhere = [j.counted_with for j in joined if j.counted_with]
    return SectionEnd(
        place.chainage_m, tuple(c for c in get_args(Cause) if c in place.causes),
        _assembly(fence, "gate" in place.causes), own + sum(j.directions for j in joined), turn_deg, break_deg,
        elsewhere[0] if elsewhere else "")


def _assembly(fence: FenceType, at_gate: bool) -> str:
    if at_gate:
        return fence.ends.gate
    return fence.ends.double if fence.pull_n > fence.ends.double_above_n else fence.ends.single


def _sum_near(at: Floats, where: Sequence[float] | Floats, angle: Sequence[float] | Floats) -> Floats:
    """Sum of the angles that stand within half a metre of each place. Shape of ``at``."""
    total = np.concatenate(([0.0], np.cumsum(angle)))
    low = np.searchsorted(where, at - SAME_PLACE_M, side="left")
    high = np.searchsorted(where, at + SAME_PLACE_M, side="right")
    return np.asarray(total[high] - total[low])
