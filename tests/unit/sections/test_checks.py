import pytest
from unit.sections.ground_of import ASSEMBLIES, chain_of, fence_of, ground_of, line_of

from planner.alignment.junctions import Junction
from planner.alignment.line import Crossing, Gate
from planner.sections.checks import RULES, check_sections
from planner.sections.joins import JoinPlan
from planner.sections.strains import divide
from planner.settings import Settings

NO_JOINS = JoinPlan((), ())


def found_in(line, *, fence=None, plan=NO_JOINS, junctions=(), assemblies=ASSEMBLIES, known=ASSEMBLIES):  # type: ignore[no-untyped-def]
    fence = fence or fence_of()
    ground = ground_of(line)
    sections = divide(line, ground, chain_of(ground, []), fence, Settings(), code="A", junctions=junctions,
                      assemblies=assemblies)
    found = check_sections(line, ground, sections, [plan] * len(sections), fence, known, junctions=junctions)
    assert all(f.rule in RULES for f in found)
    return found


@pytest.mark.rules(silent="sections-01 sections-02 sections-03 sections-04 sections-05")
def test_a_good_line_has_nothing_to_say() -> None:
    gates, spans = (Gate("g", 90.0, 0.0, 4.2),), (Crossing("c", 200.0, 90.0, 20.0),)
    meets = (Junction(40.0, 0.0, ("B",), 1),)
    assert found_in(line_of((0, 0), (200, 0), (200, 200), gates=gates, crossings=spans), junctions=meets) == []


@pytest.mark.rules(fires="sections-01")
def test_limits_that_no_join_keeps() -> None:
    (found,) = found_in(line_of((0, 0), (100, 0)), plan=JoinPlan((), (), ("the grade ranges over 20 deg",)))
    assert (found.rule, found.severity, found.place.section) == ("sections-01", "warning", "A1")
    assert "the grade ranges over 20 deg" in found.message


@pytest.mark.rules(fires="sections-02", limit="sections-02")
@pytest.mark.parametrize(("length", "rule"), [(9.9, "sections-02"), (10.0, "")])
def test_short_runs_are_gathered(length: float, rule: str) -> None:
    found = found_in(line_of((0, 0), (length, 0), (length, 80)))
    assert [f.rule for f in found] == [rule] * bool(rule)
    if rule:
        assert "1 run is shorter than two panels (10 m): A1 9.9 m" in found[0].message


@pytest.mark.rules(fires="sections-03")
def test_an_end_without_an_assembly() -> None:
    known = {"gate-box": ASSEMBLIES["gate-box"]}
    found = found_in(line_of((0, 0), (100, 0), gates=(Gate("g", 50.0, 0.0, 4.0),)), known=known)
    assert [(f.rule, f.severity, f.place.chainage_m) for f in found] == [
        ("sections-03", "error", 0.0), ("sections-03", "error", 100.0)]
    assert "'single-box', which is unknown" in found[0].message


@pytest.mark.rules(fires="sections-04", limit="sections-04")
@pytest.mark.parametrize(("span", "rule"), [(40.0, ""), (40.01, "sections-04")])
def test_a_span_too_long_to_hang(span: float, rule: str) -> None:
    line = line_of((0, 0), (200, 0), crossings=(Crossing("c", 100.0, 0.0, span),))
    found = found_in(line, fence=fence_of(max_strain_undulating_m=40.0))
    assert [f.rule for f in found] == [rule] * bool(rule)


@pytest.mark.rules(fires="sections-05", limit="sections-05")
@pytest.mark.parametrize(("x", "rule"), [(50.0, "sections-05"), (48.51, "sections-05"), (48.5, ""), (30.0, "")])
def test_a_junction_inside_a_gate(x: float, rule: str) -> None:
    line = line_of((0, 0), (100, 0), gates=(Gate("g", 50.0, 0.0, 4.0),))
    found = found_in(line, junctions=(Junction(x, 0.0, ("B",), 1),))
    assert [f.rule for f in found] == [rule] * bool(rule)
    if rule:
        assert found[0].message == "'B' meets this line inside a gate opening, where no strainer can stand."


def test_every_rule_is_in_order() -> None:
    assert list(RULES) == [f"sections-{k:02d}" for k in range(1, len(RULES) + 1)]
