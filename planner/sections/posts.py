"""Posts along a line: where each stands, of what kind, and what it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from planner.alignment.corners import SAME_PLACE_M, corners
from planner.alignment.ground_cover import ground_at
from planner.alignment.line import FenceLine
from planner.errors import BadFenceType
from planner.geometry.arrays import Booleans, Floats, Integers
from planner.profile.grade_breaks import GradeChain
from planner.profile.ground_line import GroundLine
from planner.sections.friction import turning_along
from planner.sections.strains import Section, SectionEnd, end_places
from planner.settings import Settings
from planner.spec.choose_post import choose_post
from planner.spec.end_assemblies import EndAssembly
from planner.spec.fence_type import FenceType
from planner.spec.items import Item
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


RISE_DIP_DEG = 1.0
"""Grade break above which a rise or a dip post stands; smaller ones are carried by line posts. Common practice: at 1
degree the whole pull of a heavy fence (12 kN) lifts a post by 0.21 kN, a quarter of what a dug line post holds."""

_FIXED: tuple[PostKind, ...] = ("deviation", "rise", "dip", "line")
_DEVIATION, _RISE, _DIP, _LINE = range(4)
_SLACK = 1e-9


class _Between(NamedTuple):
    """Posts between strainers, in order of chainage."""

    at: Floats
    kind: Integers
    section: Integers
    turn: Floats


def place_posts(
    line: FenceLine, ground: GroundLine, chain: GradeChain, sections: Sequence[Section], fence: FenceType,
    settings: Settings, items: Mapping[str, Item], *, assemblies: Mapping[str, EndAssembly],
) -> tuple[Post, ...]:
    """Every post of a line in order of chainage.

    Strainers stand at section ends, one where two runs meet and one for the run beside each anchor of a crossing.
    Inside a run a deviation post stands at each deviation, a rise post at each crest and a dip post at each dip of
    the grades above 1 degree. Line posts part the ground between these into equal panels by slope distance, none
    longer than the type's spacing; a panel beside a deviation, rise or dip post, and every panel of a run on
    undulating ground, keeps the closer spacing. The pattern of line posts runs on along the line. No posts stand in
    gate openings and crossing spans.

    Args:
        line: Fence line.
        ground: Its profile.
        chain: Its grades.
        sections: Its sections.
        fence: Its fence type.
        settings: Limits.
        items: Items by key.
        assemblies: End assemblies by key.

    Returns:
        Posts; at a side of a crossing two stand at the same chainage. The post between two sections belongs to the
        later one, but at a gate to the run.

    Raises:
        BadFenceType: No post of a family is long enough, or an end assembly has no parts.

    Source:
        Posts in dips and rises first: NRCS Tennessee CS-382-3. Greatest panel: NRCS, Scotland FGS 2015, NZ Fencing
        Act 1978. Checked in tests/validation/test_post_spacing.py.
    """
    fixed = _fixed_between(line, ground, chain, sections, settings)
    between = _with_line_posts(fixed, ground, chain, sections, fence, settings)
    before, after = _grades(chain, between.at)
    bend = after - before
    names, lengths = _choose(between.kind, fence, items)
    grounds = ground_at(line.stretches, between.at)
    posts = [
        Post(sections[k].id, _FIXED[kind], name, at, turn, angle, low, high, length, soil)
        for k, kind, name, at, turn, angle, low, high, length, soil in zip(
            between.section.tolist(), between.kind.tolist(), names, between.at.tolist(), between.turn.tolist(),
            bend.tolist(), before.tolist(), after.tolist(), lengths, grounds, strict=True)]
    posts += _end_posts(line, chain, sections, fence, assemblies)
    return tuple(sorted(posts, key=lambda p: p.chainage_m))


def is_end_post(post: Post) -> bool:
    """Whether a post is the strainer of an end assembly, counted with the assembly and not by itself.

    Args:
        post: The post.
    """
    return post.kind not in _FIXED


def _fixed_between(
    line: FenceLine, ground: GroundLine, chain: GradeChain, sections: Sequence[Section], settings: Settings,
) -> _Between:
    """Deviation, rise and dip posts, none within half a metre of a section end or of each other."""
    bends = [c for c in corners(line, ground, settings) if c.role == "deviation"]
    at_bend = np.array([c.chainage_m for c in bends])
    steep = np.flatnonzero(np.abs(chain.break_deg) > RISE_DIP_DEG)
    at_break = chain.chainage_m[steep]
    alone = np.diff(at_break, prepend=-np.inf) > SAME_PLACE_M
    if len(bends):
        alone &= np.abs(at_break - at_bend[_nearest(at_bend, at_break)]) > SAME_PLACE_M
    at_break = at_break[alone]
    before, after = _grades(chain, at_break)
    at = np.concatenate((at_bend, at_break))
    kind = np.concatenate((np.full(len(bends), _DEVIATION), np.where(after > before, _DIP, _RISE)))
    turn = np.concatenate(([c.carried_deg for c in bends], np.zeros(len(at_break))))
    order = np.argsort(at, kind="stable")
    at, kind, turn = at[order], kind[order].astype(np.int64), turn[order]
    starts = np.array([s.from_m for s in sections])
    stops = np.array([s.to_m for s in sections])
    runs = np.array([not (s.is_gate or s.is_crossing) for s in sections])
    of = np.searchsorted(starts, at, side="right") - 1
    keep = runs[of] & (at > starts[of] + SAME_PLACE_M) & (at < stops[of] - SAME_PLACE_M)
    return _Between(at[keep], kind[keep], of[keep].astype(np.int64), turn[keep])


def _nearest(sorted_places: Floats, at: Floats) -> Integers:
    right = np.clip(np.searchsorted(sorted_places, at), 0, len(sorted_places) - 1)
    left = np.maximum(right - 1, 0)
    nearer = np.abs(sorted_places[left] - at) < np.abs(sorted_places[right] - at)
    return np.where(nearer, left, right)


def _with_line_posts(
    fixed: _Between, ground: GroundLine, chain: GradeChain, sections: Sequence[Section], fence: FenceType,
    settings: Settings,
) -> _Between:
    turning = turning_along((), chain)
    rules = fence.posts
    slopes: list[Floats] = []
    owners: list[Integers] = []
    for k, section in enumerate(sections):
        if section.is_gate or section.is_crossing or not rules.pattern:
            continue
        inside = fixed.at[np.searchsorted(fixed.section, k, "left"):np.searchsorted(fixed.section, k, "right")]
        stops = ground.slope_at(np.concatenate(([section.from_m], inside, [section.to_m])))
        (_, low), (_, high) = turning.before(section.from_m + SAME_PLACE_M), turning.before(
            section.to_m - SAME_PLACE_M)
        uneven = np.degrees(high - low) * 100 > settings.undulating_deg_per_100m * section.slope_length_m
        at_break = np.ones(len(stops), dtype=bool)
        at_break[[0, -1]] = False
        spacing = rules.spacing_uneven_m if uneven else rules.spacing_m
        slopes.append(line_post_places(stops, at_break, spacing_m=spacing,
                                       uneven_m=min(rules.spacing_uneven_m, spacing)))
        owners.append(np.full(len(slopes[-1]), k))
    if not slopes:
        return fixed
    posts = ground.chainage_at_slope(np.concatenate(slopes))
    at = np.concatenate((fixed.at, posts))
    order = np.argsort(at, kind="stable")
    return _Between(at[order], np.concatenate((fixed.kind, np.full(len(posts), _LINE)))[order],
                    np.concatenate((fixed.section, *owners))[order],
                    np.concatenate((fixed.turn, np.zeros(len(posts))))[order])


def line_post_places(stops: Floats, at_break: Booleans, *, spacing_m: Metre, uneven_m: Metre) -> Floats:
    """Where line posts stand between fixed posts. [m] Slope distance, rising.

    The first panel beside a fixed post at a break or a bend is at most ``uneven_m``; the rest of each gap is parted
    into the fewest equal panels of at most ``spacing_m``.

    Args:
        stops: Slope distance of the fixed posts, section ends included. [m] Shape (n,), rising.
        at_break: Which of them stand at a break or a bend. Shape (n,).
        spacing_m: Greatest panel. [m]
        uneven_m: Greatest panel beside a break or bend, no more than ``spacing_m``. [m]

    Example:
        >>> ends = np.array([False, False])
        >>> line_post_places(np.array([0.0, 11.0]), ends, spacing_m=4.0, uneven_m=3.0).round(2).tolist()
        [3.67, 7.33]
    """
    gap = np.diff(stops)
    left, right = at_break[:-1] * uneven_m, at_break[1:] * uneven_m
    panels = np.ceil(gap / spacing_m - _SLACK)
    close = left + right > 0
    fine = gap / panels <= uneven_m + _SLACK
    crowded = close & ~fine & (left + right >= gap)
    beside = close & ~fine & ~crowded
    left, right = left * beside, right * beside
    middle = gap - left - right
    panels = np.where(crowded, np.ceil(gap / uneven_m - _SLACK), np.where(
        beside, np.ceil(middle / spacing_m - _SLACK), panels))
    inner = (panels - 1).astype(np.int64)
    step = np.arange(inner.sum()) - np.repeat(np.cumsum(inner) - inner, inner) + 1
    spread = np.repeat(stops[:-1] + left, inner) + step * np.repeat(middle / panels, inner)
    return np.sort(np.concatenate((spread, (stops[:-1] + left)[left > 0], (stops[1:] - right)[right > 0])))


def _grades(chain: GradeChain, at: Floats) -> tuple[Floats, Floats]:
    """Grade of the wires before and after some chainages, of one and the same piece but at a grade break. [deg]"""
    grade = np.degrees(np.arctan2(np.diff(chain.level_m), np.diff(chain.chainage_m)))
    last = len(grade) - 1
    before = np.clip(np.searchsorted(chain.chainage_m, at - SAME_PLACE_M, side="right") - 1, 0, last)
    after = np.clip(np.searchsorted(chain.chainage_m, at + SAME_PLACE_M, side="right") - 1, 0, last)
    return grade[before], grade[after]


def _choose(kinds: Integers, fence: FenceType, items: Mapping[str, Item]) -> tuple[list[str], list[Metre]]:
    """Item and least length of each post between strainers."""
    rules = fence.posts
    plain = fence.height_m + rules.head_m + rules.embedment_m
    deep = plain + rules.deep_extra_m
    chosen: dict[tuple[str, Metre], str] = {}
    names: list[str] = []
    lengths: list[Metre] = []
    families = {_DEVIATION: rules.deviation_family, _RISE: rules.rise_family, _DIP: rules.dip_family}
    turn = 0
    for kind in kinds.tolist():
        if kind == _LINE:
            family, length = rules.pattern[turn % len(rules.pattern)], plain
            turn += 1
        else:
            family, length = families[kind], deep
        if (family, length) not in chosen:
            chosen[family, length] = choose_post(items, family=family, length_m=length)
        names.append(chosen[family, length])
        lengths.append(length)
    return names, lengths


def _end_posts(
    line: FenceLine, chain: GradeChain, sections: Sequence[Section], fence: FenceType,
    assemblies: Mapping[str, EndAssembly],
) -> list[Post]:
    places = end_places(sections, closed=line.closed)
    at = np.array([p.end.chainage_m for p in places])
    before, after = (g.tolist() for g in _grades(chain, at))
    grounds = ground_at(line.stretches, at)
    posts: list[Post] = []
    for place, low, high, ground in zip(places, before, after, grounds, strict=True):
        assembly = assemblies[place.end.assembly]
        if not assembly.parts:
            raise BadFenceType("it has no parts", where=f"end assembly '{assembly.key}'",
                               remedy="list its strainer post first among its parts")
        section = sections[place.section]
        posts.append(Post(
            section.id, _end_kind(place.end, section.is_crossing), assembly.parts[0][0], place.end.chainage_m,
            place.end.turn_deg, place.end.break_deg, low, high,
            fence.height_m + fence.posts.head_m + assembly.depth_m, ground))
    return posts


def _end_kind(end: SectionEnd, of_crossing: bool) -> PostKind:
    """What an end post is there for: the anchors of a crossing are the span's, the post beside one ends its run."""
    if "gate" in end.causes:
        return "gate"
    if of_crossing:
        return "crossing"
    if "junction" in end.causes:
        return "junction"
    return "corner" if "corner" in end.causes else "end"
