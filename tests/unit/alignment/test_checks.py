import numpy as np
import pytest
from unit.sections.ground_of import ground_of, line_of

from planner.alignment.checks import RULES, check_line
from planner.alignment.line import FenceLine, Gate
from planner.findings import Finding
from planner.settings import Settings


def check(line: FenceLine, **settings: float) -> list[Finding]:
    return check_line(line, ground_of(line), Settings().changed(settings))


def rules(found: list[Finding]) -> list[str]:
    assert all(f.rule in RULES for f in found)
    return [f.rule for f in found]


@pytest.mark.rules(silent="line-01 line-02 line-03 line-04 line-05 line-06 line-07 line-08 line-09 line-13")
def test_a_good_line_has_nothing_to_say() -> None:
    gates = (Gate("g", 90.0, 0.5, 4.2), Gate("h", 250.0, 130.0, 4.2))
    assert check(line_of((0, 0), (100, 0), (200, 20), (300, 60), (200, 200), gates=gates)) == []


@pytest.mark.rules(fires="line-01")
def test_kinks_are_gathered_in_one_note() -> None:
    (found,) = check(line_of(*((20.0 * k, 0.4 * (k % 2)) for k in range(9))))
    assert found.rule == "line-01"
    assert found.message.startswith("7 turns below 3 deg")
    assert found.place.chainage_m == pytest.approx(20.0, abs=0.01)


@pytest.mark.rules(silent="line-01")
@pytest.mark.parametrize("leg", [30.0, 40.0])
def test_long_legs_have_no_kinks(leg: float) -> None:
    assert check(line_of(*((leg * k, 0.4 * (k % 2)) for k in range(9)))) == []


@pytest.mark.rules(limit="line-01")
@pytest.mark.parametrize(("turn_deg", "rule"), [(2.99, "line-01"), (3.0, ""), (3.01, "")])
def test_kinks_are_turns_below_three_degrees(turn_deg: float, rule: str) -> None:
    ends = [20.0 * np.array([np.cos(a), np.sin(a)]) for a in np.radians([turn_deg, 0.0])]
    found = check(line_of((0, 0), (20, 0), *map(tuple, np.cumsum([(20.0, 0.0), *ends], axis=0)[1:].tolist())))
    assert rules(found) == [rule] * bool(rule)


def test_a_curve_is_no_kink() -> None:
    angle = np.radians(1.25 * np.arange(25))
    assert check(line_of(*zip(180 * np.sin(angle), 180 * (1 - np.cos(angle)), strict=True))) == []


@pytest.mark.rules(fires="line-02")
def test_corners_in_one_place() -> None:
    assert rules(check(line_of((0, 0), (50, 0), (50.3, 0.3), (50.3, 50)))) == ["line-02"]


@pytest.mark.rules(limit="line-02")
@pytest.mark.parametrize(("apart", "rule"), [(0.5, "line-02"), (0.51, "")])
def test_corners_within_half_a_metre_are_in_one_place(apart: float, rule: str) -> None:
    assert rules(check(line_of((0, 0), (50, 0), (50, apart), (0, 50)))).count("line-02") == bool(rule)


@pytest.mark.rules(limit="line-03")
@pytest.mark.parametrize(("west", "rule"), [(49.99, "line-03"), (50.0, "line-03"), (50.01, "")])
def test_a_line_that_just_touches_itself(west: float, rule: str) -> None:
    found = check(line_of((50, -80), (50, 50), (120, 50), (120, 0), (west, 0)))
    assert rules(found).count("line-03") == bool(rule)


@pytest.mark.rules(fires="line-03")
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


@pytest.mark.rules(silent="line-03")
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


@pytest.mark.rules(fires="line-04 line-05 line-06 line-13", limit="line-04 line-05 line-06 line-13")
@pytest.mark.parametrize(("gates", "rule"), [
    ((Gate("g", 50.0, 5.0, 4.0),), ""), ((Gate("g", 50.0, 5.01, 4.0),), "line-04"),
    ((Gate("g", 98.0, 0.0, 4.0),), ""), ((Gate("g", 98.5, 0.0, 4.0),), ""),
    ((Gate("g", 98.51, 0.0, 4.0),), "line-05"),
    ((Gate("g", 50.0, 0.0, 4.0), Gate("h", 54.0, 0.0, 4.0)), ""),
    ((Gate("g", 50.0, 0.0, 4.0), Gate("h", 53.5, 0.0, 4.0)), ""),
    ((Gate("g", 50.0, 0.0, 4.0), Gate("h", 53.49, 0.0, 4.0)), "line-06"),
    ((Gate("g", 50.0, 0.0, 0.5),), "line-13"), ((Gate("g", 50.0, 0.0, 0.51),), "")])
def test_gates_that_only_just_stand(gates: tuple[Gate, ...], rule: str) -> None:
    assert rules(check(line_of((0, 0), (100, 0), gates=gates))) == [rule] * bool(rule)


@pytest.mark.rules(limit="line-07")
@pytest.mark.parametrize(("at", "rule"), [(48.0, ""), (48.5, ""), (48.51, "line-07")])
def test_a_gate_up_to_half_a_metre_past_a_corner_is_on_a_straight(at: float, rule: str) -> None:
    assert rules(check(line_of((0, 0), (50, 0), (50, 50), gates=(Gate("g", at, 0.0, 4.0),)))) == [rule] * bool(rule)


@pytest.mark.rules(fires="line-07")
def test_a_gate_round_a_corner() -> None:
    found = check(line_of((0, 0), (50, 0), (50, 50), gates=(Gate("g", 50.0, 0.0, 4.0),)))
    assert rules(found) == ["line-07"]
    assert "turns by 90.0 deg" in found[0].message


@pytest.mark.rules(limit="line-08")
@pytest.mark.parametrize(("inner", "rule"), [(59.99, "line-08"), (60.0, ""), (60.01, "")])
def test_pockets(inner: float, rule: str) -> None:
    angle = np.radians(180.0 - inner)
    found = check(line_of((0, 0), (100, 0), (100 + 90 * np.cos(angle), 90 * np.sin(angle))))
    assert rules(found) == [rule] * bool(rule)


@pytest.mark.rules(fires="line-08")
def test_pockets_of_a_line_are_told_together() -> None:
    zigzag = [(100.0 * (k % 2), 10.0 * k) for k in range(10)]
    (found,) = [f for f in check(line_of(*zigzag)) if f.rule == "line-08"]
    assert found.message.startswith("8 corners leave less than 60 deg, the sharpest 11, at 100.5 m, 201.0 m")
    assert "and 2 more: on their inner sides stock jam" in found.message
    assert found.remedy.startswith("Cut each off")


@pytest.mark.rules(fires="line-09", limit="line-09")
@pytest.mark.parametrize(("apart", "rule"), [(4.99, "line-09"), (5.0, "line-09"), (5.01, "")])
def test_a_corner_drawn_as_two_bends(apart: float, rule: str) -> None:
    """Two turns of 16.26 degrees."""
    found = check(line_of((0, 0), (48, -14), (48 + apart, -14), (96 + apart, 0)))
    assert rules(found) == [rule] * bool(rule)


@pytest.mark.rules(limit="line-09")
@pytest.mark.parametrize(("second_deg", "rule"), [(7.9, ""), (8.0, ""), (8.1, "line-09")])
def test_two_bends_that_add_up_to_the_corner_limit_are_none(second_deg: float, rule: str) -> None:
    """12 degrees and then some: a strain ends above 20."""
    a, b = np.radians([12.0, 12.0 + second_deg])
    first = np.array([50.0, 0.0]) + 4.0 * np.array([np.cos(a), np.sin(a)])
    found = check(line_of((0, 0), (50, 0), tuple(first), tuple(first + 50 * np.array([np.cos(b), np.sin(b)]))))
    assert rules(found) == [rule] * bool(rule)


def test_every_rule_is_in_order() -> None:
    assert list(RULES) == sorted(RULES) == [f"line-{k:02d}" for k in range(1, len(RULES) + 1)]
