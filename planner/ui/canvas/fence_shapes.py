"""A plan as arrays that can be drawn: segments of each section, posts and joins with their places and symbols."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from planner.geometry.arrays import Booleans, Floats, Integers
from planner.render.symbols import SYMBOL_OF_JOIN, SYMBOL_OF_POST

if TYPE_CHECKING:  # the records of a plan bring half the program with them; the map is on the start path
    from planner.job.plan import JobPlan, LinePlan
    from planner.profile.ground_line import GroundLine
    from planner.sections.strains import Section

PRIORITY = ("gate", "junction", "corner", "end", "crossing", "mid-run join", "mid-run join at a roll end",
            "sight peg", "dip", "rise", "deviation", "roll join")
"""Which symbol stays when two would lie on each other, the weightiest first."""


@dataclass(frozen=True)
class SectionShape:
    """One section on the map.

    Attributes:
        id: Its id.
        line: Name of its line.
        text: What its label says.
        kind: run, gate or crossing.
        tone: Which of the tones it takes.
        first: Its first segment.
        stop: One past its last segment.
        middle: East and north half way along. [m]
        direction: Unit vector along it there.
    """

    id: str
    line: str
    text: str
    kind: str
    tone: int
    first: int
    stop: int
    middle: tuple[float, float]
    direction: tuple[float, float]


class Mark(NamedTuple):
    """A post, join or peg on the map.

    Attributes:
        what: post, join or peg.
        id: Name of the post or peg; section id of a join.
        line: Name of its line.
        section: Id of its section.
        chainage_m: Ground plan distance. [m]
        symbol: Its symbol.
        kind: Its kind.
    """

    what: str
    id: str
    line: str
    section: str
    chainage_m: float
    symbol: str
    kind: str


@dataclass(frozen=True, eq=False)
class FenceShapes:
    """Everything of a plan that is drawn.

    Attributes:
        segments: East, north, east, north of each segment of each section. [m] Shape (n, 4).
        section_of: Index of the section of each segment. Shape (n,).
        sections: Sections.
        marks: Posts other than line posts, joins and sight pegs, the weightiest first.
        mark_xy: Their places. [m] Shape (k, 2).
        line_posts: Line posts.
        line_post_xy: Their places. [m] Shape (m, 2).
        spacing_m: Median distance between neighbouring line posts. [m]
        swings: Gate openings: hinge and latch of each. [m] Shape (g, 4).
        grounds: Profile of each line, by name.
    """

    segments: Floats
    section_of: Integers
    sections: tuple[SectionShape, ...]
    marks: tuple[Mark, ...]
    mark_xy: Floats
    line_posts: tuple[Mark, ...]
    line_post_xy: Floats
    spacing_m: float
    swings: Floats
    grounds: dict[str, GroundLine]

    @property
    def bounds(self) -> tuple[float, float, float, float] | None:
        """West, south, east, north. [m] None when there is nothing."""
        if not len(self.segments):
            return None
        ends = self.segments.reshape(-1, 2)
        (west, south), (east, north) = ends.min(axis=0).tolist(), ends.max(axis=0).tolist()
        return west, south, east, north

    def place_of_mark(self, what: str, name: str, chainage_m: float) -> tuple[float, float] | None:
        """East and north of a post, join or peg. [m] None where there is none at that chainage."""
        for marks, xy in ((self.marks, self.mark_xy), (self.line_posts, self.line_post_xy)):
            for mark, (x, y) in zip(marks, xy.tolist(), strict=True):
                if (mark.what, mark.id) == (what, name) and abs(mark.chainage_m - chainage_m) < 0.01:
                    return x, y
        return None

    def mask_of_kind(self, kind: str) -> Booleans:
        """Which segments belong to sections of a kind. Shape (n,)."""
        return np.array([s.kind == kind for s in self.sections] or [False], dtype=np.bool_)[self.section_of]


def places_at(ground: GroundLine, chainage: Floats) -> Floats:
    """East and north at some chainages: straight between the line's corners, which is all the plane needs. [m]

    Args:
        ground: Profile of the line.
        chainage: Ground plan distances. [m] Shape (n,).

    Returns:
        Shape (n, 2).
    """
    at = ground.vertices
    corners = ground.chainage_m[at]
    return np.column_stack((np.interp(chainage, corners, ground.x[at]), np.interp(chainage, corners, ground.y[at])))


def section_polyline(ground: GroundLine, section: Section) -> Floats:
    """Corners of a section in the plane, its ends included. [m] Shape (n, 2).

    Args:
        ground: Profile of its line.
        section: The section.
    """
    at = ground.chainage_m[ground.vertices]
    inside = (at > section.from_m + 1e-6) & (at < section.to_m - 1e-6)
    chainage = np.concatenate(([section.from_m], at[inside], [section.to_m]))
    return places_at(ground, chainage)


def fence_shapes(plan: JobPlan) -> FenceShapes:
    """A plan as arrays.

    Args:
        plan: The plan.
    """
    one_line = len(plan.lines) == 1
    segments: list[Floats] = [np.empty((0, 4))]
    sections: list[SectionShape] = []
    count = 0
    for line in plan.lines:
        for number, section in enumerate(line.sections):
            xy = section_polyline(line.ground, section)
            part = np.concatenate((xy[:-1], xy[1:]), axis=1)
            segments.append(part)
            sections.append(_section_shape(line, section, number, xy, count, count + len(part), one_line))
            count += len(part)
    marks, places = _marks(plan)
    posts, post_places = _line_posts(plan)
    gaps = np.hypot(*np.diff(post_places, axis=0).T) if len(posts) > 1 else np.zeros(0)
    swings = [part.reshape(-1)[[0, 1, -2, -1]] for part, s in zip(segments[1:], sections, strict=True)
              if s.kind == "gate"]
    return FenceShapes(
        np.concatenate(segments), np.repeat(np.arange(len(sections)), [s.stop - s.first for s in sections]),
        tuple(sections), marks, places, posts, post_places, float(np.median(gaps)) if len(gaps) else 0.0,
        np.array(swings).reshape(-1, 4), {line.line.name: line.ground for line in plan.lines})


def _section_shape(line: LinePlan, section: Section, number: int, xy: Floats, first: int, stop: int,
                   one_line: bool) -> SectionShape:
    half = (section.from_m + section.to_m) / 2.0
    x, y = places_at(line.ground, np.array([half, max(half - 1.0, section.from_m), min(half + 1.0, section.to_m)])).T
    step = np.array([x[2] - x[1], y[2] - y[1]])
    step = step / max(float(np.hypot(*step)), 1e-9)
    kind = "gate" if section.is_gate else "crossing" if section.is_crossing else "run"
    name = section.id.removeprefix(line.code) if one_line else section.id
    return SectionShape(section.id, line.line.name, name, kind, number, first, stop, (float(x[0]), float(y[0])),
                        (float(step[0]), float(step[1])))


def _marks(plan: JobPlan) -> tuple[tuple[Mark, ...], Floats]:
    from planner.job.roll_joins import section_joins

    rolls = section_joins(plan.lines, plan.roll_plans)
    marks: list[Mark] = []
    places: list[Floats] = [np.empty((0, 2))]
    for line in plan.lines:
        name = line.line.name
        own = [Mark("post", post_name, name, post.section, post.chainage_m, SYMBOL_OF_POST[post.kind], post.kind)
               for post_name, post in zip(line.post_names, line.posts, strict=True) if post.kind != "line"]
        own += [Mark("join", section.id, name, section.id, join.chainage_m, SYMBOL_OF_JOIN[join.kind], join.kind)
                for section in line.sections for join in rolls.get(section.id, ())]
        own += [Mark("peg", peg.name, name, peg.section, peg.chainage_m, "sight peg", "sight")
                for peg in line.pegs if peg.kind == "sight"]
        marks += own
        places.append(places_at(line.ground, np.array([mark.chainage_m for mark in own])))
    order = sorted(range(len(marks)), key=lambda i: PRIORITY.index(marks[i].symbol))
    return tuple(marks[i] for i in order), np.concatenate(places)[order]


def _line_posts(plan: JobPlan) -> tuple[tuple[Mark, ...], Floats]:
    marks: list[Mark] = []
    places: list[Floats] = [np.empty((0, 2))]
    for line in plan.lines:
        own = [Mark("post", name, line.line.name, post.section, post.chainage_m, "line post", "line")
               for name, post in zip(line.post_names, line.posts, strict=True) if post.kind == "line"]
        marks += own
        places.append(places_at(line.ground, np.array([mark.chainage_m for mark in own])))
    return tuple(marks), np.concatenate(places)


def apart(xy: Floats, least: float) -> Integers:
    """Which of some places to keep so that none lies nearer to one before it than a distance; the first come first.

    Args:
        xy: Places, the weightiest first. Shape (n, 2).
        least: Least distance, in the same unit.
    """
    if not len(xy):
        return np.zeros(0, dtype=np.int64)
    cells: dict[tuple[int, int], list[tuple[float, float]]] = {}
    kept: list[int] = []
    grid = np.floor(xy / least).astype(np.int64).tolist()
    for i, ((cx, cy), (x, y)) in enumerate(zip(grid, xy.tolist(), strict=True)):
        near = (place for dx in (-1, 0, 1) for dy in (-1, 0, 1) for place in cells.get((cx + dx, cy + dy), ()))
        if all((x - px) ** 2 + (y - py) ** 2 >= least * least for px, py in near):
            cells.setdefault((cx, cy), []).append((x, y))
            kept.append(i)
    return np.array(kept, dtype=np.int64)
