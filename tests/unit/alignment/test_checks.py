import numpy as np
import pytest
from unit.sections.ground_of import ground_of, line_of

from planner.alignment.checks import RULES, check_line, check_network
from planner.alignment.line import FenceLine, Gate
from planner.findings import Finding
from planner.settings import Settings


def check(line: FenceLine, **settings: float) -> list[Finding]:
    return check_line(line, ground_of(line), Settings().changed(settings))


def rules(found: list[Finding]) -> list[str]:
    assert all(f.rule in RULES for f in found)
    return [f.rule for f in found]


def test_a_good_line_has_nothing_to_say() -> None:
    assert check(line_of((0, 0), (200, 0), (200, 200), gates=(Gate("g", 90.0, 0.5, 4.2),))) == []


def test_kinks_are_gathered_in_one_note() -> None:
    (found,) = check(line_of(*((20.0 * k, 0.4 * (k % 2)) for k in range(9))))
    assert found.rule == "line-01"
    assert found.message.startswith("7 turns below 3 deg")
    assert found.place.chainage_m == pytest.approx(20.0, abs=0.01)


@pytest.mark.parametrize("leg", [30.0, 40.0])
def test_long_legs_have_no_kinks(leg: float) -> None:
    assert check(line_of(*((leg * k, 0.4 * (k % 2)) for k in range(9)))) == []


@pytest.mark.parametrize(("turn_deg", "told"), [(2.99, 1), (3.0, 0), (3.01, 0)])
def test_kinks_are_turns_below_three_degrees(turn_deg: float, told: int) -> None:
    ends = [20.0 * np.array([np.cos(a), np.sin(a)]) for a in np.radians([turn_deg, 0.0])]
    found = check(line_of((0, 0), (20, 0), *map(tuple, np.cumsum([(20.0, 0.0), *ends], axis=0)[1:].tolist())))
    assert rules(found) == ["line-01"] * told


def test_a_curve_is_no_kink() -> None:
    angle = np.radians(1.25 * np.arange(25))
    assert check(line_of(*zip(180 * np.sin(angle), 180 * (1 - np.cos(angle)), strict=True))) == []


def test_corners_in_one_place() -> None:
    assert rules(check(line_of((0, 0), (50, 0), (50.3, 0.3), (50.3, 50)))) == ["line-02"]


@pytest.mark.parametrize(("apart", "told"), [(0.5, 1), (0.51, 0)])
def test_corners_within_half_a_metre_are_in_one_place(apart: float, told: int) -> None:
    assert rules(check(line_of((0, 0), (50, 0), (50, apart), (0, 50)))).count("line-02") == told


@pytest.mark.parametrize(("west", "told"), [(49.99, 1), (50.0, 1), (50.01, 0)])
def test_a_line_that_just_touches_itself(west: float, told: int) -> None:
    found = check(line_of((50, -80), (50, 50), (120, 50), (120, 0), (west, 0)))
    assert rules(found).count("line-03") == told


@pytest.mark.parametrize("corners", [
    ((0, 0), (100, 0), (100, 50), (50, 50), (50, -50)),
    ((0, 0), (100, 0), (100, 50), (50, 50), (50, 0)),
    ((0, 0), (100, 0), (60, 0)),
])
def test_a_line_over_itself(corners: tuple[tuple[float, float], ...]) -> None:
    found = [f for f in check(line_of(*corners)) if f.rule == "line-03"]
    assert len(found) == 1
    assert "in 1 place," in found[0].message
    assert found[0].place.y == 0.0


def test_a_closed_line_does_not_touch_itself_at_its_start() -> None:
    assert check(line_of((0, 0), (100, 0), (100, 100), (0, 100), (0, 0), closed=True)) == []


@pytest.mark.parametrize(("gates", "expected"), [
    ((Gate("g", 50.0, 8.0, 4.0),), [("line-04", "error", "8.0 m off the line")]),
    ((Gate("g", 99.0, 0.0, 4.0),), [("line-05", "warning", "hangs 1.0 m over")]),
    ((Gate("g", 104.0, 0.0, 4.0),), [("line-05", "error", "beyond the line's end")]),
    ((Gate("g", 50.0, 0.0, 4.0), Gate("h", 52.0, 0.0, 4.0)), [("line-06", "error", "overlaps 'g' by 2.0 m")]),
    ((Gate("g", 50.0, 0.0, 0.0),), [("line-13", "error", "0 m wide")]),
])
def test_gates_that_cannot_stand(gates: tuple[Gate, ...], expected: list[tuple[str, str, str]]) -> None:
    found = check(line_of((0, 0), (100, 0), gates=gates))
    assert [(f.rule, f.severity) for f in found] == [e[:2] for e in expected]
    assert all(e[2] in f.message for e, f in zip(expected, found, strict=True))


@pytest.mark.parametrize(("gates", "told"), [
    ((Gate("g", 50.0, 5.0, 4.0),), []), ((Gate("g", 50.0, 5.01, 4.0),), ["line-04"]),
    ((Gate("g", 98.0, 0.0, 4.0),), []), ((Gate("g", 98.6, 0.0, 4.0),), ["line-05"]),
    ((Gate("g", 50.0, 0.0, 4.0), Gate("h", 54.0, 0.0, 4.0)), []),
    ((Gate("g", 50.0, 0.0, 4.0), Gate("h", 53.4, 0.0, 4.0)), ["line-06"]),
    ((Gate("g", 50.0, 0.0, 0.5),), ["line-13"]), ((Gate("g", 50.0, 0.0, 0.51),), [])])
def test_gates_that_only_just_stand(gates: tuple[Gate, ...], told: list[str]) -> None:
    assert rules(check(line_of((0, 0), (100, 0), gates=gates))) == told


@pytest.mark.parametrize(("at", "told"), [(48.0, []), (48.5, []), (48.52, ["line-07"])])
def test_a_gate_up_to_half_a_metre_past_a_corner_is_on_a_straight(at: float, told: list[str]) -> None:
    assert rules(check(line_of((0, 0), (50, 0), (50, 50), gates=(Gate("g", at, 0.0, 4.0),)))) == told


def test_a_gate_round_a_corner() -> None:
    found = check(line_of((0, 0), (50, 0), (50, 50), gates=(Gate("g", 50.0, 0.0, 4.0),)))
    assert rules(found) == ["line-07"]
    assert "turns by 90.0 deg" in found[0].message


@pytest.mark.parametrize(("inner", "told"), [(59.9, True), (60.0, False)])
def test_pockets(inner: float, told: bool) -> None:
    angle = np.radians(180.0 - inner)
    found = check(line_of((0, 0), (100, 0), (100 + 90 * np.cos(angle), 90 * np.sin(angle))))
    assert (rules(found) == ["line-08"]) is told


def test_pockets_of_a_line_are_told_together() -> None:
    zigzag = [(100.0 * (k % 2), 10.0 * k) for k in range(10)]
    (found,) = [f for f in check(line_of(*zigzag)) if f.rule == "line-08"]
    assert found.message.startswith("8 corners leave less than 60 deg, the sharpest 11, at 100.5 m, 201.0 m")
    assert "and 2 more: on their inner sides stock jam" in found.message
    assert found.remedy.startswith("Cut each off")


@pytest.mark.parametrize(("apart", "told"), [(4.99, True), (5.01, False)])
def test_a_corner_drawn_as_two_bends(apart: float, told: bool) -> None:
    a, b = np.radians([12.0, 24.0])
    first = np.array([50.0, 0.0]) + apart * np.array([np.cos(a), np.sin(a)])
    last = first + 50 * np.array([np.cos(b), np.sin(b)])
    found = check(line_of((0, 0), (50, 0), tuple(first), tuple(last)))
    assert (rules(found) == ["line-09"]) is told


@pytest.mark.parametrize(("second_deg", "told"), [(7.9, False), (8.0, False), (8.1, True)])
def test_two_bends_that_add_up_to_the_corner_limit_are_none(second_deg: float, told: bool) -> None:
    """12 degrees and then some: a strain ends above 20."""
    a, b = np.radians([12.0, 12.0 + second_deg])
    first = np.array([50.0, 0.0]) + 4.0 * np.array([np.cos(a), np.sin(a)])
    found = check(line_of((0, 0), (50, 0), tuple(first), tuple(first + 50 * np.array([np.cos(b), np.sin(b)]))))
    assert (rules(found) == ["line-09"]) is told


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("past", "rule"), [(0.0, ""), (0.5, ""), (0.51, "line-12"), (1.0, "line-12"), (2.0, "line-10"),
                                            (9.0, "line-10")])
def test_a_line_that_runs_past_another_leaves_a_stub_or_crosses_it(past: float, rule: str, turned: bool) -> None:
    b = line_of(*[(30, -past), (30, 50)][::-1 if turned else 1], name="B")
    found = check_network([line_of((0, 0), (100, 0), name="A"), b])
    assert rules(found) == [rule] * bool(rule)
    if rule == "line-12":
        assert found[0].message.startswith(f"The line ends {past:.1f} m past 'A'")


@pytest.mark.parametrize(("gap", "told"), [(0.5, 0), (0.51, 1), (5.0, 1), (5.01, 0)])
def test_a_line_stops_short_from_half_a_metre_to_five(gap: float, told: int) -> None:
    found = check_network([line_of((0, 0), (100, 0), name="A"), line_of((30, gap), (30, 50), name="B")])
    assert rules(found) == ["line-12"] * told


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


@pytest.mark.parametrize(("off", "told"), [(0.5, True), (0.51, False)])
def test_lines_beside_each_other_are_one_fence_within_half_a_metre(off: float, told: bool) -> None:
    found = check_network([line_of((0, 0), (100, 0), name="A"), line_of((20, off), (60, off), name="B")])
    assert ("line-11" in rules(found)) is told


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


def test_every_rule_is_in_order() -> None:
    assert list(RULES) == sorted(RULES) == [f"line-{k:02d}" for k in range(1, len(RULES) + 1)]
