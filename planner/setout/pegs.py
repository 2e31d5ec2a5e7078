"""Pegs: what is driven before the first post, so that ends, bends, rises, dips and joins are found on the ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from planner.geometry.arrays import Floats, frozen
from planner.profile.ground_line import GroundLine
from planner.sections.joins import MidRunJoin
from planner.sections.posts import Post, PostKind
from planner.sections.strains import Section
from planner.setout.numbering import peg_names, post_names
from planner.units import Metre

PegKind: TypeAlias = PostKind | Literal["join", "sight"]
SAME_PLACE_M = 0.001


@dataclass(frozen=True, slots=True)
class Peg:
    """One peg.

    Attributes:
        name: Short name, at most 10 characters, unique in the job.
        kind: What it marks: a kind of post (never a plain line post), a mid-run join, or nothing but sight.
        line: Name of the fence line.
        section: Id of the section it stands in (the later one at a shared end); empty when no section is there.
        chainage_m: Ground plan distance from the line's start. [m]
        x: East in the working grid. [m]
        y: North in the working grid. [m]
        level_m: Ground level. [m]
        note: What to know at the peg: which post stands here, why a join, what it is seen from.
    """

    name: str
    kind: PegKind
    line: str
    section: str
    chainage_m: Metre
    x: Metre
    y: Metre
    level_m: Metre
    note: str


def pegs_of(
    line: str,
    code: str,
    *,
    ground: GroundLine,
    posts: Sequence[Post],
    sections: Sequence[Section],
    joins: Sequence[MidRunJoin] = (),
    sights_m: Floats | Sequence[Metre] = (),
) -> tuple[Peg, ...]:
    """The pegs of one line, in order of chainage, numbered along it.

    A peg at every end, corner, gate side, crossing bank, junction, deviation, rise and dip post, at every mid-run
    join and at every sight peg; plain line posts need none, they are measured in between. A sight peg within a
    millimetre of another peg is that peg, and its note says so.

    Args:
        line: Name of the line.
        code: Letters of the line, from ``numbering.line_code``.
        ground: Profile of the line; gives place and level.
        posts: Posts of the line in order; the ids in the notes are those of ``numbering.post_names``.
        sections: Sections of the line in order.
        joins: Mid-run joins of the line.
        sights_m: Chainages of sight pegs. [m]

    Raises:
        OutOfRange: More posts or pegs than short names can count.
    """
    marks: list[tuple[Metre, PegKind, str, str]] = [
        (post.chainage_m, post.kind, post.section, f"post {name}")
        for name, post in zip(post_names(code, len(posts)), posts, strict=True) if post.kind != "line"]
    marks += [(join.chainage_m, "join", section_at(sections, join.chainage_m),
               "; ".join(("strain both ways from here", *join.reasons))) for join in joins]
    marked = frozen([mark[0] for mark in marks])
    for chainage in map(float, sights_m):
        on = int(np.abs(marked - chainage).argmin()) if len(marked) else -1
        if on < 0 or abs(marked[on] - chainage) > SAME_PLACE_M:
            marks.append((chainage, "sight", section_at(sections, chainage), "for sight only"))
        else:
            marks[on] = (*marks[on][:3], f"{marks[on][3]}; for sight as well")
    marks.sort(key=lambda mark: mark[0])
    places = frozen([mark[0] for mark in marks])
    x, y = ground.place_at(places)
    level = ground.level_at(places)
    names = peg_names(code, len(marks))
    return tuple(Peg(names[i], kind, line, section, chainage, float(x[i]), float(y[i]), float(level[i]), note)
                 for i, (chainage, kind, section, note) in enumerate(marks))


def section_at(sections: Sequence[Section], chainage: Metre) -> str:
    """Id of the section that a chainage lies in, the later one at a shared end; empty when none does.

    Args:
        sections: Sections of a line in order.
        chainage: Ground plan distance. [m]
    """
    inside = [s for s in sections if s.from_m <= chainage <= s.to_m]
    return inside[-1].id if inside else ""
