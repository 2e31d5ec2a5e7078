"""Forces on posts where the wires turn, in plan and in profile, and what holds the post down. Advisory."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Booleans, Floats, SameByValue
from planner.sections.posts import Post
from planner.sections.strains import Section
from planner.sources import COMMON_PRACTICE, Source
from planner.spec.fence_type import FenceType
from planner.spec.ground_classes import GroundClass
from planner.units import KGF_N, Metre, Newton

HoldDown = Literal["none", "longer post", "footed post", "second post at 45 deg", "buried log or stone",
                   "separate section", "bridge the dip and infill"]

_LIFT_TESTS = Source("BTCV Fencing handbook, NZ tests", place="force to lift a post")
DUG_UPLIFT_N: Newton = 90.0 * KGF_N
DRIVEN_UPLIFT_N: Newton = 900.0 * KGF_N
ENDS = frozenset({"end", "corner", "gate", "junction", "crossing"})
_NOT_AT_ENDS: frozenset[HoldDown] = frozenset({"second post at 45 deg", "separate section"})
_SAME_PLACE_M: Metre = 0.01

_Force = TypeVar("_Force", float, Floats)


@dataclass(frozen=True, slots=True)
class PostLoad:
    """Forces on one post. Advisory.

    Attributes:
        side_n: Force across the line where the wires turn in plan. [N]
        uplift_n: Force along the post where they turn in profile; positive lifts. [N]
        hold_down: Rung of the hold-down ladder that is enough.
        deviation_class: Class of a deviation post by its side force: light, heavy or stayed; empty for other posts.
    """

    side_n: Newton
    uplift_n: Newton
    hold_down: HoldDown
    deviation_class: str = ""


@dataclass(frozen=True, eq=False)
class Wires(SameByValue):
    """The strained wires before and after each post of a line. Shape (n,) each.

    Attributes:
        before: There are wires before it.
        after: There are wires after it.
        grade_before_deg: Grade of those before, uphill positive. [deg]
        grade_after_deg: Grade of those after. [deg]
    """

    before: Booleans
    after: Booleans
    grade_before_deg: Floats
    grade_after_deg: Floats

    @property
    def lift_before(self) -> Floats:
        """Share of the pull by which the wires before each post lift it; negative presses, 0 where there are none."""
        return np.where(self.before, -np.sin(np.radians(self.grade_before_deg)), 0.0)

    @property
    def lift_after(self) -> Floats:
        """Share of the pull by which the wires after each post lift it; negative presses, 0 where there are none."""
        return np.where(self.after, np.sin(np.radians(self.grade_after_deg)), 0.0)

    @property
    def one_side_lift(self) -> Floats:
        """The greater of both shares, as while one side is strained and the other not; at an end, its only one."""
        lift: Floats = np.where(self.before & self.after, np.maximum(self.lift_before, self.lift_after),
                                self.lift_before + self.lift_after)
        return lift


@dataclass(frozen=True, slots=True)
class Rung:
    """One rung of the hold-down ladder.

    Attributes:
        hold_down: What is done.
        share: What it then holds, as a multiple of what a plain post holds in the same ground.
        source: Where the multiple comes from.
    """

    hold_down: HoldDown
    share: float
    source: Source


LADDER: tuple[Rung, ...] = (
    Rung("none", 1.0, _LIFT_TESTS),
    Rung("longer post", 1.5, COMMON_PRACTICE),
    Rung("footed post", 3.0, COMMON_PRACTICE),
    Rung("second post at 45 deg", 4.0, COMMON_PRACTICE),
    Rung("buried log or stone", 8.0, COMMON_PRACTICE),
    Rung("separate section", 16.0, COMMON_PRACTICE),
    Rung("bridge the dip and infill", math.inf, COMMON_PRACTICE),
)


def side_force(pull_n: _Force, turn_deg: _Force) -> _Force:
    """Force across the line on a post where the wires turn in plan.

    Args:
        pull_n: Pull of all the wires. [N] A number, or one for each post.
        turn_deg: Plan turn, either sign. [deg] As many as pulls.

    Returns:
        Force along the bisector of the turn, towards the inside. [N]

    Source:
        2 T sin(turn / 2). Checked in tests/validation/test_mechanics_turns.py.

    Example:
        >>> print(f"{side_force(1.0, 20.0):.3f}")
        0.347
    """
    force: _Force = 2.0 * pull_n * np.sin(np.radians(np.abs(turn_deg)) / 2.0)
    return force


def uplift(pull_n: _Force, *, grade_before_deg: _Force, grade_after_deg: _Force) -> _Force:
    """Vertical force on a post where the wires turn in profile.

    Args:
        pull_n: Pull of all the wires. [N] A number, or one for each post.
        grade_before_deg: Grade of the wires before the post, uphill positive. [deg]
        grade_after_deg: Grade of the wires after it. [deg]

    Returns:
        Force; positive lifts, so a dip lifts and a crest presses down. [N]

    Source:
        T (sin a2 - sin a1), statics. Checked in tests/validation/test_btcv_uplift.py.

    Example:
        >>> round(uplift(12_000.0, grade_before_deg=-5.7106, grade_after_deg=5.7106))
        2388
    """
    force: _Force = pull_n * (np.sin(np.radians(grade_after_deg)) - np.sin(np.radians(grade_before_deg)))
    return force


def hold_down(
    uplift_n: Newton, *, post_capacity_n: Newton, section_ends_here: bool = False, ladder: Sequence[Rung] = LADDER,
) -> HoldDown:
    """The first rung of the hold-down ladder that holds a post against being lifted.

    Only what a plain post holds is published (dug and rammed 90 kgf, driven through a pilot hole 900 kgf); what the
    other rungs hold is common practice, as multiples of it, to be edited. The published forces are those that lifted
    the post: no margin is in them, and none is added here.

    Args:
        uplift_n: Force that lifts; zero or less needs nothing. [N]
        post_capacity_n: What a plain post holds in this ground. [N] Zero or more; at zero only the last rung helps.
        section_ends_here: True at the post of an end assembly, where ending the strain, or a second post beside the
            strainer, is no help.
        ladder: Rungs, weakest first; the last holds everything.

    Returns:
        The rung. A capacity reached exactly is held.

    Raises:
        OutOfRange: The capacity is below zero, or the ladder ends before the load does.

    Source:
        BTCV Fencing handbook, NZ tests; the multiples: common practice, no source. Checked in
        tests/validation/test_btcv_uplift.py.

    Example:
        >>> hold_down(4020.0, post_capacity_n=90 * 9.80665)
        'buried log or stone'
        >>> hold_down(4020.0, post_capacity_n=900 * 9.80665)
        'none'
    """
    if post_capacity_n < 0.0:
        raise OutOfRange("a post cannot hold less than nothing",
                         remedy="give the ground class the force that lifts a plain post")
    for rung in ladder:
        is_help = not (section_ends_here and rung.hold_down in _NOT_AT_ENDS)
        holds_n = math.inf if math.isinf(rung.share) else rung.share * post_capacity_n
        if is_help and uplift_n <= holds_n:
            return rung.hold_down
    raise OutOfRange(f"no rung of the ladder holds {uplift_n:.0f} N", remedy="end the ladder with one that does")


def post_loads(
    posts: Sequence[Post], *, fence: FenceType, grounds: Mapping[str, GroundClass], sections: Sequence[Section] = (),
) -> tuple[PostLoad, ...]:
    """Forces on every post of one line under the full pull of the fence. Advisory.

    Where wires run past or are tied off on both sides of a post, both pulls count: it does not matter for the post
    whether a section ends there. Where they are tied off on one side only (a line's end, the sides of a gate or of a
    crossing) only that pull's vertical part counts: it lifts on ground that rises away from the post. What the bracing
    of an end lifts besides is in ``end_assembly``. Not counted: wires of another line at a junction, and the span of a
    crossing, which hangs on anchors of its own.

    Args:
        posts: Posts of the line, in order of chainage.
        fence: Its fence type.
        grounds: Ground classes by key.
        sections: Sections of the line, from which the wired sides of its posts are read; see ``wires_at``.

    Returns:
        One load a post, in the same order.

    Raises:
        OutOfRange: A post stands in a ground class that is not in the list.

    Source:
        As ``side_force``, ``uplift`` and ``hold_down``. Checked in tests/validation/test_btcv_uplift.py.
    """
    if not posts:
        return ()
    wires = wires_at(posts, sections)
    both = np.where(wires.before & wires.after, fence.pull_n, 0.0)
    sides = side_force(both, np.array([post.turn_deg for post in posts]))
    lifts = fence.pull_n * (wires.lift_before + wires.lift_after)
    return tuple(PostLoad(side, lift, _rung(post, lift, grounds), _deviation_class(post, side, fence))
                 for post, side, lift in zip(posts, sides.tolist(), lifts.tolist(), strict=True))


def ground_of(post: Post, grounds: Mapping[str, GroundClass]) -> GroundClass:
    """The ground class a post stands in.

    Args:
        post: The post.
        grounds: Ground classes by key.

    Raises:
        OutOfRange: The post's ground class is not in the list.
    """
    ground = grounds.get(post.ground)
    if ground is None:
        raise OutOfRange(f"there is no ground class '{post.ground}'", where=f"post at {post.chainage_m:.1f} m",
                         remedy=f"use one of {', '.join(grounds)}")
    return ground


def _rung(post: Post, lift_n: Newton, grounds: Mapping[str, GroundClass]) -> HoldDown:
    capacity = ground_of(post, grounds).uplift_n
    if lift_n <= 0.0:
        return "none"
    return hold_down(lift_n, post_capacity_n=capacity, section_ends_here=post.kind in ENDS)


def _deviation_class(post: Post, side_n: Newton, fence: FenceType) -> str:
    if post.kind != "deviation":
        return ""
    if side_n <= fence.posts.side_light_n:
        return "light"
    return "heavy" if side_n <= fence.posts.side_heavy_n else "stayed"


def wires_at(posts: Sequence[Post], sections: Sequence[Section] = ()) -> Wires:
    """For each post of a line, whether there are strained wires before it and after it, and at what grade.

    The anchors of a crossing carry the span alone, which does not follow the ground, and count as having none. The
    first post of a closed line has before it the wires that come home past the last.

    Args:
        posts: Posts of the line, in order of chainage; at least one.
        sections: Its sections. Without them the line is taken as open, unless its wires turn at the first post, gate
            posts as pairs about an opening, and the posts beside the anchors of a crossing as ends of runs.

    Returns:
        The wires at each post.
    """
    before, after = _sides(posts, sections) if sections else _guessed_sides(posts)
    grade_before = np.array([post.grade_before_deg for post in posts])
    grade_after = np.array([post.grade_after_deg for post in posts])
    anchors = np.array([post.kind == "crossing" for post in posts])
    if before[0]:
        grade_before[0] = grade_after[-1]
    return Wires(before & ~anchors, after & ~anchors, grade_before, grade_after)


def _sides(posts: Sequence[Post], sections: Sequence[Section]) -> tuple[Booleans, Booleans]:
    runs = [s for s in sections if not (s.is_gate or s.is_crossing)]
    starts, stops = np.sort([s.from_m for s in runs]), np.sort([s.to_m for s in runs])
    chainages = np.array([post.chainage_m for post in posts])
    near, far = chainages - _SAME_PLACE_M, chainages + _SAME_PLACE_M
    # wires stand at a place when more runs have started before it than stopped
    before = np.searchsorted(starts, near) > np.searchsorted(stops, near)
    after = np.searchsorted(starts, far) > np.searchsorted(stops, far)
    # an open line has a post at its end; a closed one shares the post at its start
    last = sections[-1]
    before[0] |= not (last.is_gate or last.is_crossing) and chainages[-1] < last.to_m - _SAME_PLACE_M
    return before, after


def _guessed_sides(posts: Sequence[Post]) -> tuple[Booleans, Booleans]:
    before, after = np.ones(len(posts), dtype=bool), np.ones(len(posts), dtype=bool)
    before[0] = posts[0].turn_deg != 0.0
    after[-1] = before[0]
    gates = [i for i, post in enumerate(posts) if post.kind == "gate"]
    after[gates[0::2]] = False
    before[gates[1::2]] = False
    for i, post in enumerate(posts):
        if post.kind != "crossing" and i + 1 < len(posts) and posts[i + 1].kind == "crossing":
            after[i] = False
        if post.kind != "crossing" and i > 0 and posts[i - 1].kind == "crossing":
            before[i] = False
    return before, after
