"""Pegs of one line: which there are, where they stand, what they are called."""

from __future__ import annotations

import numpy as np
import pytest

from planner.geometry.arrays import frozen
from planner.profile.ground_line import GroundLine
from planner.sections.joins import MidRunJoin
from planner.sections.posts import Post, PostKind
from planner.sections.strains import Section, SectionEnd
from planner.setout.pegs import pegs_of, section_at

GROUND = GroundLine(
    chainage_m=frozen([0, 100, 200]), x=frozen([0, 100, 100]), y=frozen([0, 0, 100]), level_m=frozen([10, 20, 0]),
    sd_m=frozen([0.1] * 3), source=frozen([2] * 3, np.int64), slope_m=frozen([0, 100.5, 202.5]),
    vertices=frozen([0, 1, 2], np.int64), scale=frozen([1.0, 1.0]), noise_m=0.0)


def post(kind: PostKind, chainage: float, section: str = "B1") -> Post:
    return Post(section, kind, "timber", chainage, 0, 0, 0, 0, 1.8, "soil")


def section(name: str, start: float, end: float) -> Section:
    ends = [SectionEnd(at, ("line end",), "box", 1, 0, 0) for at in (start, end)]
    return Section(name, start, end, *ends, end - start, end - start, 0.1, 0, 0)


SECTIONS = (section("B1", 0, 100), section("B2", 100, 200))
POSTS = (post("end", 0), post("line", 10), post("rise", 50), post("line", 75), post("corner", 100, "B2"),
         post("dip", 150, "B2"), post("end", 200, "B2"))


def test_every_marked_post_join_and_sight_gets_a_peg_and_no_line_post_does() -> None:
    pegs = pegs_of("Creek", "B", ground=GROUND, posts=POSTS, sections=SECTIONS,
                   joins=(MidRunJoin(120.0, ("take-up 1.7 m is more than 1.5 m",), 0.1),), sights_m=[80.0])
    assert [(p.name, p.kind, p.chainage_m, p.section) for p in pegs] == [
        ("B001", "end", 0, "B1"), ("B002", "rise", 50, "B1"), ("B003", "sight", 80, "B1"),
        ("B004", "corner", 100, "B2"), ("B005", "join", 120, "B2"), ("B006", "dip", 150, "B2"),
        ("B007", "end", 200, "B2")]
    assert {p.line for p in pegs} == {"Creek"}
    assert pegs[1].note == "post B-0003"
    assert pegs[4].note == "strain both ways from here; take-up 1.7 m is more than 1.5 m"


def test_pegs_stand_on_the_line_and_on_the_ground() -> None:
    peg = pegs_of("Creek", "B", ground=GROUND, posts=POSTS, sections=SECTIONS)[3]
    assert (peg.kind, peg.x, peg.y, peg.level_m) == ("dip", 100.0, pytest.approx(50.0), pytest.approx(10.0))


def test_a_sight_peg_on_another_peg_is_that_peg() -> None:
    pegs = pegs_of("Creek", "B", ground=GROUND, posts=POSTS, sections=SECTIONS, sights_m=frozen([50.0005]))
    assert [p.kind for p in pegs] == ["end", "rise", "corner", "dip", "end"]
    assert pegs[1].note == "post B-0003; for sight as well"


def test_no_posts_no_pegs() -> None:
    assert pegs_of("Creek", "B", ground=GROUND, posts=(), sections=()) == ()


@pytest.mark.parametrize(("chainage", "name"), [(0, "B1"), (99.9, "B1"), (100, "B2"), (200, "B2"), (201, "")])
def test_a_shared_end_belongs_to_the_later_section(chainage: float, name: str) -> None:
    assert section_at(SECTIONS, chainage) == name
