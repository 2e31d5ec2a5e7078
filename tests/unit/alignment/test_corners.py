import numpy as np
import pytest
from unit.sections.ground_of import ground_of, line_of

from planner.alignment.corners import Opening, corners, misplaced_openings, openings
from planner.alignment.line import Crossing, FenceLine, Gate
from planner.settings import Settings


def bent(*turns_deg: float, leg: float = 50.0) -> FenceLine:
    """A line of equal legs that turns by the given angles."""
    heading = np.radians(np.concatenate(([0.0], np.cumsum(turns_deg))))
    steps = leg * np.column_stack((np.cos(heading), np.sin(heading)))
    return line_of(*map(tuple, np.concatenate(([[0.0, 0.0]], np.cumsum(steps, axis=0)))))


def roles(line: FenceLine, **settings: float) -> list[str]:
    return [c.role for c in corners(line, ground_of(line), Settings().changed(settings))]


def test_roles_and_turns_of_single_bends() -> None:
    line = bent(30.0, -10.0, 0.5)
    found = corners(line, ground_of(line), Settings())
    assert [c.role for c in found] == ["end", "corner", "deviation", "straight", "end"]
    assert [round(c.turn_deg, 6) for c in found] == [0.0, 30.0, -10.0, 0.5, 0.0]
    assert [round(c.chainage_m, 6) for c in found] == [0.0, 50.0, 100.0, 150.0, 200.0]


@pytest.mark.parametrize(("turn", "role"), [
    (20.0, "deviation"), (20.001, "corner"), (1.0, "straight"), (1.001, "deviation")])
def test_the_limit_itself_is_not_above_it(turn: float, role: str) -> None:
    assert roles(bent(turn))[1] == role
    assert roles(bent(-turn))[1] == role


def test_a_curve_of_small_turns_keeps_deviation_posts() -> None:
    assert roles(bent(*[5.0] * 20, leg=4.0))[1:-1] == ["deviation"] * 20


def test_turns_too_small_for_a_post_add_up_until_one_stands() -> None:
    line = bent(*[0.4] * 6, leg=4.0)
    found = corners(line, ground_of(line), Settings())
    assert [c.role for c in found[1:-1]] == ["straight", "straight", "deviation"] * 2
    assert [round(c.carried_deg, 6) for c in found[1:-1]] == [0.0, 0.0, 1.2] * 2


def test_kinks_that_undo_each_other_add_up_to_nothing() -> None:
    assert roles(bent(*[0.9, -0.9] * 5))[1:-1] == ["straight"] * 10


def test_corners_within_half_a_metre_are_one() -> None:
    line = line_of((0, 0), (50, 0), (50.3, 0.3), (50.3, 50))
    found = corners(line, ground_of(line), Settings())
    assert [c.role for c in found] == ["end", "corner", "straight", "end"]
    assert found[1].carried_deg == pytest.approx(90.0)


def test_a_corner_cut_off_in_two_bends_farther_apart_stays_two() -> None:
    assert roles(bent(15.0, 15.0, leg=2.0)) == ["end", "deviation", "deviation", "end"]


def test_closed_lines_show_their_start_as_the_corner_it_is() -> None:
    line = line_of((0, 0), (100, 0), (100, 100), (0, 100), (0, 0), closed=True)
    found = corners(line, ground_of(line), Settings())
    assert [c.role for c in found] == ["corner"] * 5
    assert found[0].turn_deg == found[-1].turn_deg == pytest.approx(90.0)
    started_in_a_side = line_of((50, 0), (100, 0), (100, 100), (0, 100), (0, 0), (50, 0), closed=True)
    assert roles(started_in_a_side) == ["end", "corner", "corner", "corner", "corner", "end"]


def test_any_change_of_direction_can_be_a_corner_but_rounding_is_none() -> None:
    line = line_of((0, 0), (0.1, 0.3), (0.2, 0.6), (10.0, 30.0), (20.0, 30.5))
    assert roles(line, corner_deg=0.0) == ["end", "straight", "straight", "corner", "end"]


def test_openings_lie_along_the_line_in_ground_metres() -> None:
    line = line_of((0, 0), (50, 0), (50, 150), gates=(Gate("g", 50.0, 80.0, 4.2),),
                   crossings=(Crossing("c", 20.0, 1.0, 10.0),))
    assert openings(line, ground_of(line)) == (
        Opening("crossing", "c", 15.0, 25.0), Opening("gate", "g", pytest.approx(127.9), pytest.approx(132.1)))
    shrunk = openings(line, ground_of(line, scale=0.5))
    assert shrunk[1][2:] == (pytest.approx(257.9), pytest.approx(262.1))
    assert misplaced_openings(line, ground_of(line)) == ()


@pytest.mark.parametrize(("off", "kept"), [(5.0, 1), (5.001, 0)])
def test_a_gate_far_from_its_line_is_left_out(off: float, kept: int) -> None:
    line = line_of((0, 0), (100, 0), gates=(Gate("g", 50.0, off, 4.0),))
    assert len(openings(line, ground_of(line))) == kept
    assert [m.trouble for m in misplaced_openings(line, ground_of(line))] == ["far from the line"] * (1 - kept)


def test_a_gate_over_the_end_is_cut_and_one_beyond_it_left_out() -> None:
    line = line_of((0, 0), (100, 0), gates=(Gate("over", 99.0, 0.0, 4.0), Gate("beyond", -1.9, 0.0, 4.0)))
    assert openings(line, ground_of(line)) == (Opening("gate", "over", 97.0, 100.0),)
    assert {(m.name, m.trouble, round(m.amount_m, 6)) for m in misplaced_openings(line, ground_of(line))} == {
        ("over", "clipped", 1.0), ("beyond", "beyond the end", 3.9)}


def test_a_gate_that_all_but_touches_the_end_stands_against_it() -> None:
    line = line_of((0, 0), (100, 0), gates=(Gate("a", 2.3, 0.0, 4.0), Gate("b", 98.2, 0.0, 4.0)))
    assert openings(line, ground_of(line)) == (Opening("gate", "a", 0.0, 4.0), Opening("gate", "b", 96.0, 100.0))


def test_overlapping_gates_keep_the_first_and_touching_ones_both() -> None:
    line = line_of((0, 0), (100, 0), gates=(
        Gate("a", 50.0, 0.0, 4.0), Gate("b", 52.0, 0.0, 4.0), Gate("c", 54.3, 0.0, 4.0)))
    assert openings(line, ground_of(line)) == (
        Opening("gate", "a", 48.0, 52.0), Opening("gate", "c", 52.0, pytest.approx(56.0)))
    (wrong,) = misplaced_openings(line, ground_of(line))
    assert (wrong.name, wrong.trouble, wrong.other, wrong.amount_m) == ("b", "overlap", "a", pytest.approx(2.0))


def test_a_gate_without_width_is_left_out() -> None:
    line = line_of((0, 0), (100, 0), gates=(Gate("g", 50.0, 0.0, 0.0),))
    assert openings(line, ground_of(line)) == ()
    assert [m.trouble for m in misplaced_openings(line, ground_of(line))] == ["too narrow"]
