"""Loads of the posts of a line, and the ladder."""

import math
from dataclasses import replace

import pytest
from unit.loads.fence_of import GROUNDS, plain_fence, post_of, section_of

from planner.errors import OutOfRange
from planner.loads.turns_and_uplift import LADDER, Rung, hold_down, post_loads, wires_at
from planner.sections.strains import Section
from planner.sources import COMMON_PRACTICE

FENCE = plain_fence(5, 1200.0)


def test_no_posts_no_loads() -> None:
    assert post_loads([], fence=FENCE, grounds=GROUNDS) == ()


def test_dip_lifts_crest_presses_and_a_straight_does_neither() -> None:
    posts = [post_of("end", 0), post_of("dip", 10, before_deg=-5, after_deg=5),
             post_of("line", 20, before_deg=5, after_deg=5), post_of("rise", 30, before_deg=5, after_deg=-5),
             post_of("end", 40)]
    loads = post_loads(posts, fence=FENCE, grounds=GROUNDS)
    assert loads[1].uplift_n == pytest.approx(6000 * 2 * math.sin(math.radians(5)))
    assert loads[2].uplift_n == 0
    assert loads[3].uplift_n == pytest.approx(-loads[1].uplift_n)
    assert [load.hold_down for load in loads] == ["none"] * 5


def test_line_ends_are_pulled_from_one_side_only() -> None:
    posts = [post_of("end", 0, before_deg=6, after_deg=6), post_of("end", 100, before_deg=6, after_deg=6)]
    first, last = post_loads(posts, fence=FENCE, grounds=GROUNDS)
    assert first.uplift_n == pytest.approx(6000 * math.sin(math.radians(6)))  # the wires rise away from it
    assert last.uplift_n == pytest.approx(-first.uplift_n)
    assert first.side_n == last.side_n == 0


def test_gate_posts_are_pulled_from_outside_the_opening_with_sections_and_without() -> None:
    posts = [post_of("end", 0), post_of("gate", 50, before_deg=-4, after_deg=-4),
             post_of("gate", 54.2, before_deg=-4, after_deg=-4), post_of("end", 100)]
    sections = [section_of("A1", 0, 50), section_of("A2", 50, 54.2, is_gate=True), section_of("A3", 54.2, 100)]
    for given in (sections, ()):
        loads = post_loads(posts, fence=FENCE, grounds=GROUNDS, sections=given)
        assert loads[1].uplift_n == pytest.approx(6000 * math.sin(math.radians(4)))
        assert loads[2].uplift_n == pytest.approx(-loads[1].uplift_n)


def test_gates_that_share_a_post_need_the_sections() -> None:
    posts = [post_of("end", 0), post_of("gate", 50), post_of("gate", 54), post_of("gate", 58), post_of("end", 100)]
    sections = [section_of("A1", 0, 50), section_of("A2", 50, 54, is_gate=True), section_of("A3", 54, 58, is_gate=True),
                section_of("A4", 58, 100)]
    wires = wires_at(posts, sections)
    assert wires.before.tolist() == [False, True, False, False, True]
    assert wires.after.tolist() == [True, False, False, True, False]


def test_the_anchors_of_a_crossing_carry_no_fence_and_the_runs_end_beside_them() -> None:
    posts = [post_of("end", 0), post_of("end", 50, section="A1"), post_of("crossing", 50, section="A2"),
             post_of("crossing", 80, section="A2"), post_of("end", 80, section="A3"), post_of("end", 100, section="A3")]
    span = replace(section_of("A2", 50, 80), is_crossing=True)
    for given in ([section_of("A1", 0, 50), span, section_of("A3", 80, 100)], ()):
        wires = wires_at(posts, given)
        assert wires.before.tolist() == [False, True, False, False, False, True]
        assert wires.after.tolist() == [True, False, False, False, True, False]


def test_where_two_sections_meet_both_pull() -> None:
    posts = [post_of("end", 0), post_of("corner", 50, turn_deg=90), post_of("end", 100)]
    sections = [section_of("A1", 0, 50), section_of("A2", 50, 100)]
    for given in (sections, ()):
        assert post_loads(posts, fence=FENCE, grounds=GROUNDS, sections=given)[1].side_n == pytest.approx(
            6000 * math.sqrt(2))


CLOSED = [post_of("corner", 0, turn_deg=90, before_deg=3, after_deg=3), post_of("corner", 50, turn_deg=90),
          post_of("corner", 100, turn_deg=90, before_deg=0, after_deg=-4)]


@pytest.mark.parametrize("sections", [
    (section_of("A1", 0, 50), section_of("A2", 50, 100), section_of("A3", 100, 150)), ()])
def test_a_closed_line_is_wired_on_both_sides_of_its_start(sections: tuple[Section, ...]) -> None:
    wires = wires_at(CLOSED, sections)
    assert wires.before.all()
    assert wires.after.all()
    # home comes the run behind the last post, at -4 deg; away goes the first, at +3
    load = post_loads(CLOSED, fence=FENCE, grounds=GROUNDS, sections=sections)[0]
    assert load.uplift_n == pytest.approx(6000 * (math.sin(math.radians(3)) + math.sin(math.radians(4))))
    assert load.side_n == pytest.approx(6000 * math.sqrt(2))


def test_a_closed_line_that_ends_in_a_gate_is_wired_on_one_side_of_its_start() -> None:
    sections = [section_of("A1", 0, 50), section_of("A2", 50, 146), section_of("A3", 146, 150, is_gate=True)]
    posts = [replace(CLOSED[0], kind="gate"), CLOSED[1], post_of("gate", 146)]
    wires = wires_at(posts, sections)
    assert wires.before.tolist() == [False, True, True]
    assert wires.after.tolist() == [True, True, False]


@pytest.mark.parametrize(("side_n", "expected"), [
    (999.9, "light"), (1000.1, "heavy"), (2499.9, "heavy"), (2500.1, "stayed")])
def test_deviation_class_by_side_force(side_n: float, expected: str) -> None:
    turn = 2 * math.degrees(math.asin(side_n / 2 / 6000))
    posts = [post_of("end", 0), post_of("deviation", 50, turn_deg=-turn), post_of("end", 100)]
    load = post_loads(posts, fence=FENCE, grounds=GROUNDS)[1]
    assert load.side_n == pytest.approx(side_n)
    assert load.deviation_class == expected


def test_only_deviation_posts_have_a_class() -> None:
    posts = [post_of("end", 0), post_of("line", 50, turn_deg=0.5), post_of("end", 100)]
    assert [load.deviation_class for load in post_loads(posts, fence=FENCE, grounds=GROUNDS)] == ["", "", ""]


@pytest.mark.parametrize(("uplift_n", "rung"), [
    (-5000, "none"), (0, "none"), (1000, "none"), (1000.1, "longer post"), (1500, "longer post"),
    (1500.1, "footed post"), (3000.1, "second post at 45 deg"), (4000.1, "buried log or stone"),
    (8000.1, "separate section"), (16000.1, "bridge the dip and infill"), (1e9, "bridge the dip and infill")])
def test_every_rung_holds_up_to_its_own_capacity(uplift_n: float, rung: str) -> None:
    assert hold_down(uplift_n, post_capacity_n=1000.0) == rung


@pytest.mark.parametrize(("uplift_n", "rung"), [
    (3000, "footed post"), (3001, "buried log or stone"), (9000, "bridge the dip and infill")])
def test_a_second_post_or_another_section_is_no_help_at_an_end(uplift_n: float, rung: str) -> None:
    assert hold_down(uplift_n, post_capacity_n=1000.0, section_ends_here=True) == rung


def test_ground_that_holds_nothing_leaves_only_the_bridge() -> None:
    assert hold_down(1.0, post_capacity_n=0.0) == "bridge the dip and infill"
    assert hold_down(0.0, post_capacity_n=0.0) == "none"


def test_capacity_below_zero_is_refused() -> None:
    with pytest.raises(OutOfRange, match="hold less than nothing"):
        hold_down(1.0, post_capacity_n=-1.0)


def test_ladder_can_be_edited_and_must_reach_far_enough() -> None:
    short = (Rung("none", 1.0, COMMON_PRACTICE), Rung("footed post", 2.0, COMMON_PRACTICE))
    assert hold_down(1500, post_capacity_n=1000.0, ladder=short) == "footed post"
    with pytest.raises(OutOfRange, match="no rung of the ladder holds 2001 N"):
        hold_down(2001, post_capacity_n=1000.0, ladder=short)


def test_ladder_rises_and_says_what_is_published() -> None:
    shares = [rung.share for rung in LADDER]
    assert shares == sorted(set(shares))
    assert "NZ tests" in str(LADDER[0].source)
    assert all(rung.source is COMMON_PRACTICE for rung in LADDER[1:])


def test_unknown_ground_class_is_named_with_its_place() -> None:
    posts = [post_of("end", 0), post_of("dip", 12.5, ground="moon", before_deg=-3, after_deg=3), post_of("end", 100)]
    with pytest.raises(OutOfRange, match=r"post at 12.5 m: .*'moon'.*soil, stony"):
        post_loads(posts, fence=FENCE, grounds=GROUNDS)
