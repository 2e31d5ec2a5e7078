"""Paddocks without gate, way or water: each fires, does not, and is told once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.job.derive import plan_job
from planner.job.job import Job
from tests.paddock_jobs import fence, job_of, lane_job, mark, ring
from tests.waiving import check_waiver, of_rule

SHUT = ring("Shut", gates=())


def errors(job: Job) -> list[str]:
    return [f.message for rule in ("paddock-01", "paddock-02") for f in of_rule(job, rule) if f.severity == "error"]


def without(job: Job, *meanings: str) -> Job:
    return replace(job, features=tuple(f for f in job.features if f.meaning not in meanings))


@pytest.mark.rules(silent="paddock-01 paddock-02 paddock-03 paddock-04 paddock-05")
@pytest.mark.parametrize("stands", [True, False])
def test_all_is_well_where_everything_is_reached(stands: bool):
    job = lane_job(stands=stands)
    for rule in ("paddock-01", "paddock-02", "paddock-03", "paddock-04", "paddock-05"):
        assert of_rule(job, rule) == []


@pytest.mark.rules(fires="paddock-01")
@pytest.mark.parametrize("gate", ["N1", "N2", "N3", "N4", "S1", "S2", "S3"])
@pytest.mark.parametrize("stands", [True, False])
def test_one_gate_taken_away_is_one_error(gate: str, stands: bool):
    (message,) = errors(lane_job(without=gate, stands=stands))
    assert message.startswith(f"'{'North' if gate[0] == 'N' else 'South'} {gate[1]}': no gate leads into it; it has")


def test_the_lane_has_another_end():
    assert errors(lane_job(without="Lane west")) == []


@pytest.mark.rules(limit="paddock-01 paddock-03")
@pytest.mark.parametrize(("use", "rule"), [("stock", "paddock-01"), ("shut off", "paddock-03")])
def test_one_gate_is_enough_and_none_is_not(use: str, rule: str):
    lot = mark("paddock", "Lot", (10, 10), use=use)
    told = [[f.rule for f in plan_job(job_of(ring(gates=gates), features=[lot])).findings
             if f.rule in ("paddock-01", "paddock-03")] for gates in ((), (("G", 100.0, 0.0),))]
    assert told == [[rule], []]


@pytest.mark.rules(fires="paddock-02", limit="paddock-02")
def test_one_way_out_is_enough_and_none_is_not():
    job = lane_job(stands=False)
    told = [of_rule(replace(job, lines=(*job.lines[:-1], replace(job.lines[-1], gates=job.lines[-1].gates[:ways]))),
                    "paddock-02") for ways in (0, 1)]
    assert [len(found) for found in told] == [1, 0]


@pytest.mark.rules(fires="paddock-02")
def test_what_gates_join_but_nothing_leads_out_of_is_told_once():
    job = lane_job(stands=False)
    block = replace(job.lines[-1], gates=())
    (message,) = errors(replace(job, lines=(*job.lines[:-1], block)))
    assert message == "'South 1', 'South 2', 'South 3' and 5 more: no way through gates leads from them to the yards."


@pytest.mark.rules(fires="paddock-01 paddock-02")
def test_gates_in_fences_that_stand_may_not_be_marked():
    job = without(lane_job(without="N2"), "gate")
    (finding,) = of_rule(job, "paddock-01")
    assert (finding.severity, finding.message) == (
        "warning", "'North 2': no gate leads into it, as far as gates in the fences that stand are marked; it has "
        "5.04 ha.")
    assert [f.severity for f in of_rule(job, "paddock-02")] == ["warning"]


@pytest.mark.parametrize(("side_m", "marked", "severity"), [
    (31.6, False, "note"), (31.63, False, "error"), (31.6, True, "error"), (200.0, False, "error")])
def test_a_sliver_that_is_marked_as_nothing_is_a_note(side_m: float, marked: bool, severity: str):
    """0.1 ha is 31.623 m square."""
    job = job_of(ring("Guard", size=side_m, gates=()),
                 features=[mark("paddock", "Yard", (5, 5), use="stock")] if marked else [])
    assert [f.severity for f in of_rule(job, "paddock-01")] == [severity]


@pytest.mark.parametrize(("side_m", "rules"), [(31.6, ["line-03"]), (31.63, ["line-03", "paddock-01"])])
def test_a_loop_of_a_walk_that_crosses_itself_is_told_once(side_m: float, rules: list[str]):
    """The walk runs past the loop's first corner; 0.1 ha is 31.623 m square."""
    walk = fence("Walk", (-200, 0), (side_m, 0), (side_m, side_m), (0, side_m), (0, -200))
    job = job_of(walk)
    assert [f.rule for rule in ("line-03", "paddock-01") for f in of_rule(job, rule)] == rules


def test_many_without_any_gate_are_told_once():
    job = lane_job(stands=False)
    bare = replace(job, lines=tuple(replace(line, gates=()) for line in job.lines))
    (message,) = errors(bare)
    assert message.startswith("No gate: 8 paddocks are enclosed, 'South 1', 'South 2', 'South 3' and 5 more")


def test_yards_that_nothing_leads_to():
    inner = fence("Pens", (50, 50), (80, 50), (80, 80), (50, 80), (50, 50))
    job = job_of(ring(), inner, features=[mark("yard", "Yards", (60, 60))])
    assert [m.partition(":")[0] for m in errors(job)] == ["'Paddock B'", "'Paddock A'"]


@pytest.mark.rules(fires="paddock-01 paddock-03")
def test_land_that_is_shut_off_needs_a_gate_less():
    told = []
    for use in ("shut off", "stock", "lane"):
        job = job_of(SHUT, features=[mark("paddock", "Lot", (10, 10), use=use)])
        told.append([rule for rule in ("paddock-01", "paddock-02", "paddock-03") if of_rule(job, rule)])
    assert told == [["paddock-03"], ["paddock-01"], ["paddock-01"]]


@pytest.mark.rules(silent="paddock-03")
def test_a_gate_is_enough_for_land_that_is_shut_off():
    assert of_rule(job_of(ring(), features=[mark("paddock", "Lot", (10, 10), use="shut off")]), "paddock-03") == []


@pytest.mark.rules(fires="paddock-04", limit="paddock-04")
def test_water_in_it_or_on_its_edge():
    told = [[f.message for f in of_rule(job_of(ring(), features=[mark("trough", "T", (x, 100))]), "paddock-04")]
            for x in (200.0, 201.0, 201.01, 201.75)]
    said = "'Paddock A': no water in it, on its edge or through its lane; the nearest is 'T', {} m from it."
    assert told == [[], [], [said.format(1)], [said.format(2)]]


def test_nothing_is_said_of_water_where_none_is_marked():
    assert of_rule(without(lane_job(), "trough"), "paddock-04") == []


@pytest.mark.rules(fires="paddock-04")
def test_many_dry_paddocks_are_told_together():
    job = without(lane_job(), "trough")
    (finding,) = of_rule(replace(job, features=(*job.features, mark("trough", "T", (-300, 0)))), "paddock-04")
    assert finding.message.startswith("No water: 7 paddocks have none in them")


@pytest.mark.rules(fires="paddock-05", limit="paddock-05")
def test_the_farthest_corner_from_water():
    """300 m by 400 m, and the trough in a corner: 500 m to the corner across."""
    block = fence("Block", (0, 0), (400, 0), (400, 300), (0, 300), (0, 0), gates=[("G", 100, 0)])
    told = [len(of_rule(job_of(block, features=[mark("trough", "T", (0, 0))], walk_to_water_m=limit), "paddock-05"))
            for limit in (500.1, 500.0, 499.9)]
    assert told == [0, 0, 1]


@pytest.mark.rules(fires="paddock-05")
def test_a_second_trough_shortens_the_walk():
    troughs = [mark("trough", "T", (0, 0)), mark("trough", "U", (200, 200))]
    assert of_rule(job_of(ring(), features=troughs, walk_to_water_m=201.0), "paddock-05") == []
    (finding,) = of_rule(job_of(ring(), features=troughs, walk_to_water_m=199.0), "paddock-05")
    assert "200 m in a straight line" in finding.message


@pytest.mark.rules(aside="paddock-01 paddock-02 paddock-03 paddock-04 paddock-05")
@pytest.mark.parametrize(("job", "rule"), [
    (job_of(SHUT), "paddock-01"), (job_of(ring(), fence("In", (50, 50), (80, 50), (80, 80), (50, 80), (50, 50), gates=[
        ("I", 60, 50)]), features=[mark("yard", "Y", (60, 60))], ), "paddock-02"),
    (job_of(SHUT, features=[mark("paddock", "Lot", (10, 10), use="shut off")]), "paddock-03"),
    (job_of(ring(), features=[mark("trough", "T", (300, 100))]), "paddock-04"),
    (job_of(ring(), features=[mark("trough", "T", (0, 0))], walk_to_water_m=100.0), "paddock-05")])
def test_it_can_be_waived(job: Job, rule: str):
    if rule == "paddock-02":
        job = replace(job, lines=(replace(job.lines[0], gates=()), job.lines[1]), features=())
    check_waiver(job, rule)
