"""Where the lines of a job meet: crossings, stretches drawn twice, and ends that stop short."""

import numpy as np
import pytest
from unit.sections.ground_of import line_of

from planner.alignment.checks import RULES, check_network
from planner.alignment.line import FenceLine
from planner.findings import Finding


def rules(found: list[Finding]) -> list[str]:
    assert all(f.rule in RULES for f in found)
    return [f.rule for f in found]


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("past", "rule"), [(0.0, ""), (0.5, ""), (0.51, "line-12"), (1.0, "line-12"), (2.0, "line-10"),
                                            (9.0, "line-10")])
def test_a_line_that_runs_past_another_leaves_a_stub_or_crosses_it(past: float, rule: str, turned: bool) -> None:
    b = line_of(*[(30, -past), (30, 50)][::-1 if turned else 1], name="B")
    found = check_network([line_of((0, 0), (100, 0), name="A"), b])
    assert rules(found) == [rule] * bool(rule)
    if rule == "line-12":
        assert found[0].message.startswith(f"The line ends {past:.1f} m past 'A'")


@pytest.mark.rules(limit="line-12")
@pytest.mark.parametrize(("gap", "rule"), [(0.5, ""), (0.51, "line-12"), (5.0, "line-12"), (5.01, "")])
def test_a_line_stops_short_from_half_a_metre_to_five(gap: float, rule: str) -> None:
    found = check_network([line_of((0, 0), (100, 0), name="A"), line_of((30, gap), (30, 50), name="B")])
    assert rules(found) == [rule] * bool(rule)


@pytest.mark.rules(limit="line-10")
@pytest.mark.parametrize(("off", "rule"), [(0.0, "line-10"), (0.5, "line-10"), (0.51, "")])
def test_a_corner_within_half_a_metre_of_another_line_meets_it(off: float, rule: str) -> None:
    b = line_of((30, 50), (50, off), (70, 50), name="B")
    assert rules(check_network([line_of((0, 0), (100, 0), name="A"), b])) == [rule] * bool(rule)


@pytest.mark.rules(fires="line-10 line-11 line-12")
def test_lines_that_cross_or_run_together_or_stop_short() -> None:
    a = line_of((0, 0), (100, 0), name="A")
    crossing = check_network([a, line_of((30, -50), (30, 50), name="B")])
    assert [(f.rule, f.severity, f.place.line) for f in crossing] == [("line-10", "note", "A")]
    assert "takes 4 pulls" in crossing[0].message
    twice = check_network([a, line_of((20, 0), (60, 0), (60, 50), name="B")])
    assert [(f.rule, f.severity) for f in twice] == [("line-10", "note"), ("line-11", "error")]  # they part at 60, 0
    assert "40.0 m" in twice[1].message
    short = check_network([a, line_of((30, 2.0), (30, 50), name="B")])
    assert [(f.rule, f.place.line) for f in short] == [("line-12", "B")]
    assert "stops 2.0 m short of 'A'" in short[0].message
    assert check_network([a, line_of((30, 0.2), (30, 50), name="B")]) == []
    assert check_network([a, line_of((30, 5.1), (30, 50), name="B")]) == []
    assert check_network([a]) == []


def test_an_end_short_of_several_lines_is_told_of_the_nearest_and_of_equals_the_first() -> None:
    a, far, near = (line_of((0, y), (60, y), name=name) for name, y in (("A", 0), ("Far", 104.0), ("Near", 103.0)))
    b = line_of((30, 2.0), (30, 100.0), name="B")
    assert [f.message[:30] for f in check_network([far, near, a, b])] == [
        "The line stops 2.0 m short of ", "The line stops 3.0 m short of "]
    assert ["'Near'" in f.message for f in check_network([far, near, a, b])] == [False, True]
    same = line_of((0, 103.0), (60, 103.0), name="Same")
    for lines, told in (([near, same, a, b], "'Near'"), ([same, near, a, b], "'Same'")):
        assert told in [f.message for f in check_network(lines) if f.rule == "line-12"][1]


def ring_of(west: float, *, every: float, name: str, wobble: float = 0.0) -> FenceLine:
    """A square of 100 m drawn with a corner every so many metres; its east side swings out and back."""
    side = np.arange(0.0, 100.0, every)
    zero = np.zeros(len(side))
    out = wobble * (np.arange(len(side)) % 4 == 2)
    corners = np.vstack((np.column_stack((side, zero)), np.column_stack((100.0 + out, side)),
                         np.column_stack((100.0 - side, zero + 100.0)), np.column_stack((zero, 100.0 - side))))
    ring = np.vstack((corners, corners[:1])) + np.array([west, 0.0])
    return line_of(*map(tuple, ring.tolist()), name=name, closed=True)


@pytest.mark.rules(fires="line-11")
def test_the_edge_that_two_rings_share_is_told_of_once() -> None:
    found = [f for f in check_network([ring_of(0, every=10, name="A"), ring_of(100, every=5, name="B")])
             if f.rule == "line-11"]
    assert [f.message for f in found] == ["The line runs along 'B' for 100.0 m: this fence would be counted twice."]


def test_an_edge_shared_in_several_places_is_one_finding_with_its_whole_length() -> None:
    found = [f for f in check_network([ring_of(0, every=10, name="A", wobble=3.0), ring_of(100, every=10, name="B")])
             if f.rule == "line-11"]
    assert len(found) == 1
    assert "for 60.0 m in 3 places, the longest 30.0 m" in found[0].message


@pytest.mark.parametrize(("off", "gap"), [(0.0, ""), (0.0009, ""), (0.02, "0.1"), (0.3, "0.4"), (0.34, "0.4"),
                                          (0.5, "0.6")])
def test_the_remedy_names_the_gap_that_would_make_one_line_of_two(off: float, gap: str) -> None:
    (found,) = (f for f in check_network([line_of((0, 0), (100, 0), name="A"), line_of((20, off), (60, off), name="B")])
                if f.rule == "line-11")
    assert ("--close-gaps" in found.remedy) == bool(gap)
    assert gap in found.remedy


@pytest.mark.rules(limit="line-11")
@pytest.mark.parametrize(("off", "rule"), [(0.5, "line-11"), (0.51, "")])
def test_lines_beside_each_other_are_one_fence_within_half_a_metre(off: float, rule: str) -> None:
    found = check_network([line_of((0, 0), (100, 0), name="A"), line_of((20, off), (60, off), name="B")])
    assert ("line-11" in rules(found)) == bool(rule)


@pytest.mark.rules(silent="line-10 line-11 line-12")
def test_an_end_that_meets_one_line_is_not_short_of_another() -> None:
    a, b = line_of((0, 0), (100, 0), name="A"), line_of((0, 3), (100, 3), name="B")
    assert rules(check_network([a, b, line_of((50, 3), (50, 50), name="C")])) == []


@pytest.mark.parametrize(("angle_deg", "told"), [(0.0, 0), (14.0, 0), (15.0, 1), (90.0, 1)])
def test_a_line_beside_another_does_not_stop_short_of_it(angle_deg: float, told: int) -> None:
    """Nearer by a quarter of the way is 14.5 deg."""
    dx, dy = 60.0 * np.cos(np.radians(angle_deg)), 60.0 * np.sin(np.radians(angle_deg))
    other = line_of((50, 2), (50 + dx, 2 + dy), name="B")
    assert rules(check_network([line_of((0, 0), (200, 0), name="A"), other])) == ["line-12"] * told


@pytest.mark.parametrize(("start", "told"), [(60.0, 1), (99.0, 1), (99.5, 0), (100.0, 0)])
def test_straights_that_overlap_in_part_are_drawn_twice(start: float, told: int) -> None:
    """The end of each lies on the other; within half a metre they meet end to end."""
    found = check_network([line_of((0, 0), (100, 0), name="A"), line_of((start, 0), (200, 0), name="B")])
    assert rules(found) == ["line-11"] * told
    assert all(f"for {100.0 - start:.1f} m" in finding.message for finding in found)


@pytest.mark.parametrize(("pairs", "told"), [(6, 6), (7, 1)])
def test_many_pairs_of_lines_drawn_twice_are_told_together(pairs: int, told: int) -> None:
    lines = [line_of((0, 20 * k), (100 + k, 20 * k), name=f"{side}{k}") for k in range(pairs) for side in "AB"]
    found = [f for f in check_network(lines) if f.rule == "line-11"]
    assert [f.severity for f in found] == ["error"] * told
    if told == 1:
        assert found[0].message == ("7 pairs of lines run along each other, 721 m in all, 'A6' along 'B6' for 106.0 m,"
                                    " 'A5' along 'B5' for 105.0 m, 'A4' along 'B4' for 104.0 m and 4 more: these fences"
                                    " would be counted twice.")


def test_lines_that_touch_twice_but_run_apart_between_are_not_drawn_twice() -> None:
    found = check_network([line_of((0, 0), (100, 0), (200, 0), name="A"),
                           line_of((50, 0), (50, 80), (200, 80), (200, 0), name="B")])
    assert "line-11" not in rules(found)
