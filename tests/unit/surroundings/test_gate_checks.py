"""Gates too narrow for the widest machine, on slopes, in the wet."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.job.derive import plan_job
from planner.job.job import Job
from planner.survey.ground import RecordedLevels
from tests.paddock_jobs import fence, job_of, mark, ring
from tests.waiving import check_waiver, of_rule


@pytest.mark.rules(fires="gate-01", limit="gate-01")
def test_the_widest_machine_gets_in():
    told = [len(of_rule(job_of(ring(), widest_machine_m=machine), "gate-01")) for machine in (0.0, 4.1, 4.2, 4.21)]
    assert told == [0, 0, 0, 1]


@pytest.mark.rules(silent="gate-01 gate-02 gate-03")
def test_a_wide_gate_on_level_dry_ground_is_no_trouble():
    job = replace(sloped(1.0), features=(mark("water", "Drain", (-50, -9), (300, -9)),))
    job = replace(job, settings=job.settings.changed({"widest_machine_m": 4.0}))
    assert [f for rule in ("gate-01", "gate-02", "gate-03") for f in of_rule(job, rule)] == []


def test_a_foot_gate_beside_a_wide_one_is_no_trouble():
    both = replace(ring(), gates=(*ring().gates, *fence("x", (0, 0), (1, 1), gates=[("F", 150, 0)], width=1.2).gates))
    assert of_rule(job_of(both, widest_machine_m=4.0), "gate-01") == []
    assert len(of_rule(job_of(both, widest_machine_m=5.0), "gate-01")) == 1


def test_a_machine_goes_round_by_other_gates_but_not_through_a_narrow_one():
    inner = fence("Across", (100, 0), (100, 200), gates=[("X", 100, 100)], width=3.6)
    outer = ring(gates=[("G", 50, 0)])
    (finding,) = of_rule(job_of(outer, inner, widest_machine_m=4.0), "gate-01")
    assert finding.message == (
        "Gate 'X' lets no more than 3.60 m through; the widest machine takes 4 m, and no wider gate lets it into "
        "'Paddock B'.")
    assert of_rule(job_of(ring(gates=[("G", 50, 0), ("H", 150, 0)]), inner, widest_machine_m=4.0), "gate-01") == []


def test_every_paddock_that_the_machine_gets_into_by_none_of_the_gates_is_named():
    inner = fence("Across", (100, 0), (100, 200), gates=[("X", 100, 100)])
    job = job_of(ring(gates=[("G", 50, 0)]), inner, features=[mark("paddock", "Hill Flat", (20, 20))],
                 widest_machine_m=5.0)
    said = {f.place.line: f.message.rpartition("lets it ")[2] for f in of_rule(job, "gate-01")}
    assert said == {"Ring": "into 'Hill Flat'.", "Across": "into 'Hill Flat' and 'Paddock A'."}


def test_the_only_gate_of_an_open_fence():
    line = fence("Open", (0, 0), (300, 0), gates=[("G", 100, 0)], width=3.6)
    (finding,) = of_rule(job_of(line, widest_machine_m=4.0), "gate-01")
    assert finding.message.endswith("and no wider gate lets it in there.")
    foot = [fence("Open", (0, 0), (300, 0), gates=[("G", 100, 0)], width=width) for width in (1.2, 1.79, 1.8)]
    assert [len(of_rule(job_of(one, widest_machine_m=4.0), "gate-01")) for one in foot] == [0, 0, 1]


def sloped(degrees: float) -> Job:
    line = fence("Hill", (0, 0), (300, 0), gates=[("G", 100, 0), ("H", 200, 0)])
    at = np.array([0.0, 300.0])
    level = at / 0.9996 * np.tan(np.radians(degrees))
    levels = RecordedLevels(line.xy, at, level, np.full(2, 0.05), np.full(2, 3, dtype=np.int64), 0.05, ("survey",))
    job = job_of(line)
    return replace(job, levels={"Hill": levels})


@pytest.mark.rules(fires="gate-02")
def test_a_gate_on_a_slope():
    told = []
    for degrees in (0.0, 5.9, -5.9, 6.1, -9.0):
        found = of_rule(sloped(degrees), "gate-02")
        rise = 4.2 * np.tan(np.radians(abs(degrees)))
        assert all(f"{abs(degrees):.1f} deg, {rise:.2f} m from post to post" in f.message for f in found)
        told.append(len(found))
    assert told == [0, 0, 0, 1, 1]


@pytest.mark.rules(fires="gate-02", limit="gate-02")
def test_a_slope_of_the_limit_itself_is_level_enough():
    slope = abs(next(iter(plan_slopes(sloped(6.0)))))
    job = sloped(6.0)
    assert of_rule(replace(job, settings=job.settings.changed({"gate_slope_deg": slope})), "gate-02") == []
    assert len(of_rule(replace(job, settings=job.settings.changed({"gate_slope_deg": slope - 0.01})), "gate-02")) == 1


def plan_slopes(job: Job) -> list[float]:
    plan = plan_job(job)
    gates = [s for s in plan.lines[0].sections if s.is_gate]
    ground = plan.lines[0].ground
    return [float(np.degrees(np.arctan2(ground.level_at(s.to_m) - ground.level_at(s.from_m), s.plan_length_m)))
            for s in gates]


FLOOD = [(50, -50), (150, -50), (150, 50), (50, 50)]


@pytest.mark.rules(fires="gate-03", limit="gate-03")
def test_a_gate_in_the_wet():
    told = {"flood": [], "water": []}
    for west in (100.01, 100.0, 50.0):
        flat = mark("flood", "Flat", (west, -50), (150, -50), (150, 50), (west, 50), area=True)
        told["flood"].append(len(of_rule(job_of(ring(), features=[flat]), "gate-03")))
    for south in (3.01, 3.0):
        drain = mark("water", "Drain", (-50, -south), (300, -south))
        told["water"].append(len(of_rule(job_of(ring(), features=[drain]), "gate-03")))
    assert told == {"flood": [0, 1, 1], "water": [0, 1]}


@pytest.mark.rules(silent="gate-03")
def test_where_floods_seldom_come_a_gate_may_stand():
    rare = mark("flood", "Flat", *FLOOD, area=True, risk="low")
    assert of_rule(job_of(ring(), features=[rare]), "gate-03") == []


@pytest.mark.rules(aside="gate-01 gate-02 gate-03")
@pytest.mark.parametrize(("job", "rule"), [
    (job_of(ring(), widest_machine_m=5.0), "gate-01"), (sloped(9.0), "gate-02"),
    (job_of(ring(), features=[mark("flood", "Flat", *FLOOD, area=True)]), "gate-03")])
def test_it_can_be_waived(job: Job, rule: str):
    check_waiver(job, rule)
