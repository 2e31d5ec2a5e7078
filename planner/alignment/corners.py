"""Corners: where the line turns and by how much, and where gates and crossings open it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple, Protocol

import numpy as np

from planner.alignment.line import FenceLine
from planner.geometry.arrays import Floats, Integers
from planner.geometry.lines import chainages, nearest_on, turns
from planner.settings import Settings
from planner.units import Degree, Metre

Role = Literal["end", "corner", "deviation", "straight"]
OpeningKind = Literal["gate", "crossing"]
OpeningTrouble = Literal["far from the line", "beyond the end", "clipped", "overlap", "too narrow"]

SAME_PLACE_M = 0.5
"""Things on a line nearer to each other than this share one post: strainers cannot stand closer. Common practice."""
ANGLE_SLACK_DEG = 1e-6
"""An angle must be this much above a limit to count as above it, so that rounding makes no boundary value a corner."""
FAR_FROM_LINE_M = 5.0
"""A gate or crossing placed farther than this from its line is taken for a mistake. Common practice."""


class Measured(Protocol):
    """A line measured in ground plan distance, such as ``profile.ground_line.GroundLine``."""

    @property
    def chainage_m(self) -> Floats:
        """Ground plan distance of each point, rising from 0. [m] Shape (n,)."""

    @property
    def vertices(self) -> Integers:
        """Index of each of the line's corners among the points. Shape (m,)."""


@dataclass(frozen=True, slots=True)
class Corner:
    """One corner of a line as drawn, and what stands there.

    Attributes:
        chainage_m: Ground plan distance. [m]
        x: East in the working grid. [m]
        y: North in the working grid. [m]
        turn_deg: Plan turn of the line here; positive turns left. [deg]
        role: end, corner (a strain ends), deviation (a post stands) or straight (nothing stands).
        carried_deg: Plan turn that a post here takes: its own turn, those of corners that stand too near for a post
            of their own, and those too small for one since the last post that turns. 0 for straight ones. [deg]
    """

    chainage_m: Metre
    x: Metre
    y: Metre
    turn_deg: Degree
    role: Role
    carried_deg: Degree


class Opening(NamedTuple):
    """A gate opening or a crossing span, along the line.

    Attributes:
        kind: gate or crossing.
        name: Its name.
        from_m: Ground plan distance where it starts. [m]
        to_m: Ground plan distance where it ends. [m]
    """

    kind: OpeningKind
    name: str
    from_m: Metre
    to_m: Metre


class MisplacedOpening(NamedTuple):
    """A gate or crossing that cannot stand where it was put.

    Attributes:
        kind: gate or crossing.
        name: Its name.
        trouble: far from the line, beyond the end, clipped (kept, with its width cut at the line's end), overlap or
            too narrow.
        amount_m: How far off the line, how much of its width is cut off or overlapped, or its width. [m]
        chainage_m: Ground plan distance of its middle. [m]
        other: Name of the opening that it overlaps; empty otherwise.
    """

    kind: OpeningKind
    name: str
    trouble: OpeningTrouble
    amount_m: Metre
    chainage_m: Metre
    other: str = ""


def corners(line: FenceLine, ground: Measured, settings: Settings) -> tuple[Corner, ...]:
    """Every corner of a line with its turn and its role, in order of chainage.

    A turn above ``corner_deg`` ends a strain, one above ``deviation_deg`` takes a deviation post; the limits
    themselves do not. Corners within half a metre count as one, at the one that turns most. A curve drawn with many
    small turns keeps deviation posts and never adds up to a corner: where single turns are below ``deviation_deg``,
    a post stands as soon as their sum is above it.

    Args:
        line: Fence line.
        ground: The same line in ground plan distance.
        settings: ``corner_deg`` and ``deviation_deg``.

    Returns:
        One for each row of ``line.xy``. At the start of a closed line the role is corner when it turns enough there
        and end otherwise; its last corner is the same place again.

    Source:
        Common practice, no source, but for the corner limit: England FG2 any change, an NRCS-type text 20 deg, an
        Irish grant job 30 deg. Checked in tests/validation/test_corner_rules.py.
    """
    turn = np.degrees(turns(line.xy, closed=line.closed))
    along = ground.chainage_m[ground.vertices]
    at, each = along.tolist(), turn.tolist()
    carried = [0.0] * len(each)
    roles: list[Role] = ["straight"] * len(each)
    for k in (0, -1):
        carried[k] = each[k]
        roles[k] = "corner" if _above(each[k], settings.corner_deg) else "end"
    pending = 0.0
    for first, after in _near_groups(at):
        total, leader = each[first], first
        if after - first > 1:
            group = turn[first:after]
            total, leader = float(group.sum()), first + int(np.argmax(np.abs(group)))
        pending += total
        if _above(total, settings.corner_deg):
            roles[leader] = "corner"
        elif _above(pending, settings.deviation_deg):
            roles[leader] = "deviation"
        else:
            continue
        carried[leader], pending = pending, 0.0
    east, north = line.xy[:, 0].tolist(), line.xy[:, 1].tolist()
    return tuple(map(Corner, at, east, north, each, roles, carried))


def openings(line: FenceLine, ground: Measured) -> tuple[Opening, ...]:
    """Gate openings and crossing spans along a line, in order of chainage, none overlapping another.

    Those that cannot stand where they were put are clipped or left out; ``misplaced_openings`` says which.

    Args:
        line: Fence line with its gates and crossings.
        ground: The same line in ground plan distance.
    """
    return _settle(line, ground)[0]


def misplaced_openings(line: FenceLine, ground: Measured) -> tuple[MisplacedOpening, ...]:
    """Gates and crossings that ``openings`` clipped or left out, with the reason.

    Args:
        line: Fence line with its gates and crossings.
        ground: The same line in ground plan distance.
    """
    return _settle(line, ground)[1]


def _above(angle: Degree, limit: Degree) -> bool:
    return abs(angle) > limit + ANGLE_SLACK_DEG


def _near_groups(along: Sequence[Metre]) -> Iterator[tuple[int, int]]:
    """Inner corners in groups no longer than SAME_PLACE_M, in order: number of the first, and of the next after."""
    last = len(along) - 1
    i = 1
    while i < last:
        j = i + 1
        while j < last and along[j] - along[i] <= SAME_PLACE_M:
            j += 1
        yield i, j
        i = j


def _settle(line: FenceLine, ground: Measured) -> tuple[tuple[Opening, ...], tuple[MisplacedOpening, ...]]:
    drawn: list[tuple[OpeningKind, str, tuple[Metre, Metre], Metre]] = [
        *(("gate", g.name, (g.x, g.y), g.width_m) for g in line.gates),
        *(("crossing", c.name, (c.x, c.y), c.span_m) for c in line.crossings)]
    if not drawn:
        return (), ()
    grid, along = chainages(line.xy), ground.chainage_m[ground.vertices]
    length = float(along[-1])
    placed: list[Opening] = []
    troubles: list[MisplacedOpening] = []
    for kind, name, point, width in drawn:
        at, off = nearest_on(line.xy, point)
        middle = float(np.interp(at, grid, along)) + (0.0 if line.closed else _overshoot(line.xy, point))
        if width <= SAME_PLACE_M:
            troubles.append(MisplacedOpening(kind, name, "too narrow", width, middle))
            continue
        if off > FAR_FROM_LINE_M:
            troubles.append(MisplacedOpening(kind, name, "far from the line", off, middle))
            continue
        low, high = _against_the_ends(middle - width / 2, middle + width / 2, length)
        cut = max(-low, 0.0) + max(high - length, 0.0)
        low, high = max(low, 0.0), min(high, length)
        if cut > 0 and high - low <= SAME_PLACE_M:
            troubles.append(MisplacedOpening(kind, name, "beyond the end", cut, middle))
            continue
        if cut > 0:
            troubles.append(MisplacedOpening(kind, name, "clipped", cut, middle))
        placed.append(Opening(kind, name, low, high))
    return _apart(placed, troubles, length)


def _overshoot(xy: Floats, point: tuple[Metre, Metre]) -> Metre:
    """How far a point stands beyond an end that is the nearest place of its line: below 0 at the start. [m]"""
    at, _ = nearest_on(xy, point)
    if at <= 0.0:
        away, leg = np.asarray(point) - xy[0, :2], xy[1, :2] - xy[0, :2]
    elif at >= chainages(xy)[-1]:
        away, leg = np.asarray(point) - xy[-1, :2], xy[-1, :2] - xy[-2, :2]
    else:
        return 0.0
    return float(away @ leg / np.hypot(*leg))


def _against_the_ends(low: Metre, high: Metre, length: Metre) -> tuple[Metre, Metre]:
    """An opening that all but touches the line's end, or hangs over it by a hand, is moved to stand against it."""
    if abs(low) <= SAME_PLACE_M and high - low <= length:
        return 0.0, high - low
    if abs(high - length) <= SAME_PLACE_M and high - low <= length:
        return length - (high - low), length
    return low, high


def _apart(
    placed: list[Opening], troubles: list[MisplacedOpening], length: Metre,
) -> tuple[tuple[Opening, ...], tuple[MisplacedOpening, ...]]:
    """Openings without overlap; one that all but touches the one before is moved to stand against it."""
    kept: list[Opening] = []
    for opening in sorted(placed, key=lambda o: (o.from_m, o.to_m, o.name)):
        gap = opening.from_m - kept[-1].to_m if kept else np.inf
        width = opening.to_m - opening.from_m
        start = kept[-1].to_m if kept else 0.0
        moved = opening._replace(from_m=start, to_m=min(start + width, length))
        if gap > SAME_PLACE_M:
            kept.append(opening)
        elif gap < -SAME_PLACE_M or moved.to_m - moved.from_m <= SAME_PLACE_M:
            troubles.append(MisplacedOpening(opening.kind, opening.name, "overlap", abs(gap),
                                             (opening.from_m + opening.to_m) / 2, kept[-1].name))
        else:
            kept.append(moved)
    return tuple(kept), tuple(troubles)
