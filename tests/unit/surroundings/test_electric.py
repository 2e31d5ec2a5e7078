"""Electric circuits: lengths counted by hand, ways along the fence against networks solved by scipy."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from planner.alignment.line import FenceLine, Gate
from planner.job.derive import plan_job, waiver_place
from planner.job.edits import Waive
from planner.job.job import Job, Waiver
from planner.job.plan import JobPlan
from planner.settings import Settings
from planner.survey.features import Feature
from tests.plain_jobs import EAST, NORTH

DAY = date(2026, 11, 2)


def line(name: str, *corners: tuple[float, float], fence: str = "electric-3") -> FenceLine:
    return FenceLine(name, fence, np.add(corners, [EAST, NORTH]))


def energiser(x: float, y: float, **facts: str) -> Feature:
    return Feature("Shed", "energiser", f"POINT ({EAST + x} {NORTH + y})",
                   tuple((key.replace("_", " "), value) for key, value in facts.items()))


def planned(*lines: FenceLine, features: tuple[Feature, ...] = (), **settings: float) -> JobPlan:
    return plan_job(Job("J", "EPSG:7855", lines, features=features, settings=Settings().changed(settings)), today=DAY)


def rules(plan: JobPlan) -> list[str]:
    return [f.rule for f in plan.findings if f.rule.startswith("electric-")]


LONG = line("Long", (0, 0), (1000, 0))
TEE = line("Tee", (400, 0), (400, 300))


def test_a_line_without_live_wire_is_no_circuit():
    plan = planned(line("Mesh", (0, 0), (100, 0), fence="general-mesh"))
    assert plan.electric == ()
    assert rules(plan) == []


def test_wire_joints_and_output_counted_by_hand():
    """Two live wires; joined to each other at both ends of a line, and the tee to the line that it meets."""
    (circuit,) = planned(LONG, TEE).electric
    ground = 1300.0 / 0.9996  # grid metres on the central meridian, where the scale factor is 0.9996
    assert circuit.lines == ("Long", "Tee")
    assert circuit.fence_m == pytest.approx(ground, rel=1e-6)
    assert circuit.conductor_m == pytest.approx(2 * ground, rel=1e-6)
    assert circuit.joints == 2 + 2 + 1
    assert circuit.joules_needed == pytest.approx(0.62 * ground / 1000)
    assert circuit.rods_needed == 3


def test_lines_that_do_not_meet_are_two_circuits():
    assert [c.lines for c in planned(LONG, line("Far", (0, 50), (1000, 50))).electric] == [("Long",), ("Far",)]


def test_a_gate_takes_a_lead_for_the_live_wires_and_one_for_the_earth():
    gated = replace(LONG, gates=(Gate("G", EAST + 500, NORTH, 4.2),))
    (circuit,) = planned(gated).electric
    assert circuit.gates == 1
    assert circuit.lead_m == pytest.approx(2 * (4.2 + 2.0), rel=1e-9)
    assert circuit.conductor_m == pytest.approx(2 * (1000.0 / 0.9996 - 4.2), rel=1e-6)


@pytest.mark.rules(fires="electric-01", limit="electric-01")
def test_an_energiser_feeds_the_nearest_live_line_within_reach():
    plans = [planned(LONG, features=(energiser(300, -off, joules="6"),)) for off in (50.0, 50.1)]
    assert [circuit.energisers for plan in plans for circuit in plan.electric] == [("Shed",), ()]
    assert [rules(plan) for plan in plans] == [[], ["electric-01"]]


def test_the_far_end_of_a_line_fed_in_the_middle_is_the_longer_half():
    (circuit,) = planned(LONG, features=(energiser(300, 0, joules="6"),)).electric
    assert circuit.far_end_m == pytest.approx(700.0 / 0.9996, rel=1e-6)


def test_on_a_ring_the_far_place_is_half_way_round():
    ring = FenceLine("Ring", "electric-1", np.add([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)], [EAST, NORTH]),
                     closed=True)
    (circuit,) = planned(ring, features=(energiser(30, 0, joules="1"),)).electric
    assert circuit.far_end_m == pytest.approx(200.0 / 0.9996, rel=1e-6)


def test_the_far_end_of_a_network_is_what_scipy_finds():
    """A ladder of lines, its nodes 100 m apart, fed at one corner; scipy's Dijkstra on the same graph."""
    rails = [line(f"R{k}", (0, 100.0 * k), (500, 100.0 * k)) for k in range(3)]
    rungs = [line(f"S{k}", (100.0 * k, 0), (100.0 * k, 200)) for k in range(6)]
    (circuit,) = planned(*rails, *rungs, features=(energiser(0, 0, joules="9"),)).electric
    number = {(x, y): 3 * x + y for x in range(6) for y in range(3)}
    steps = [(number[x, y], number[x + dx, y + dy]) for x, y in number for dx, dy in ((1, 0), (0, 1))
             if (x + dx, y + dy) in number]
    graph = coo_array((np.full(len(steps), 100.0 / 0.9996), np.array(steps).T), shape=(18, 18))
    away = dijkstra(graph, directed=False, indices=number[0, 0])
    assert circuit.far_end_m == pytest.approx(away.max(), rel=1e-5)


@pytest.mark.rules(fires="electric-02", limit="electric-02")
def test_an_energiser_that_gives_the_least_output_is_enough():
    """A kilometre on the ground asks for half a joule, in a job of no grid."""
    settings = Settings().changed({"joules_per_km": 0.5})
    plans = [plan_job(Job("J", "", (LONG,), features=(energiser(500, 0, joules=joules),), settings=settings), today=DAY)
             for joules in ("0.5", "0.4999")]
    assert plans[0].electric[0].fence_m == 1000.0
    assert [rules(plan) for plan in plans] == [[], ["electric-02"]]


def test_an_energiser_that_does_not_say_what_it_gives_is_not_judged():
    assert rules(planned(LONG, features=(energiser(500, 0),))) == []


@pytest.mark.rules(fires="electric-01")
@pytest.mark.parametrize(("features", "severity"), [((), "note"), ((energiser(5000, 0),), "warning")])
def test_a_fence_that_nothing_feeds_is_told(features: tuple[Feature, ...], severity: str):
    plan = planned(LONG, features=features)
    assert [f.severity for f in plan.findings if f.rule == "electric-01"] == [severity]


@pytest.mark.rules(fires="electric-03", limit="electric-03")
def test_earth_by_number_and_by_length():
    """6 J ask for 18 ft of rod, 5.484 m; three rods of 6 ft are enough (the source's own example)."""
    told = []
    for rods, length in (("3", "1.83"), ("3", "1.828"), ("3", "1.827"), ("2", "3"), ("", "")):
        plan = planned(LONG, features=(energiser(500, 0, joules="6", earth_rods=rods, rod_length=length),))
        told.append("electric-03" in rules(plan))
    assert told == [False, False, True, True, False]


@pytest.mark.rules(silent="electric-01 electric-02 electric-03 electric-04")
def test_a_fence_fed_and_earthed_enough_and_clear_of_barbs_is_no_trouble():
    plan = planned(LONG, line("Barb", (0, 3), (1000, 3), fence="cattle-barbed-4"),
                   features=(energiser(500, 0, joules="6", earth_rods="3", rod_length="2"),))
    assert rules(plan) == []


@pytest.mark.rules(fires="electric-04", limit="electric-04")
def test_live_wire_along_barbed_wire_is_an_error():
    plans = [planned(LONG, line("Barb", (0, off), (1000, off), fence="cattle-barbed-4")) for off in (2.01, 2.0)]
    assert [[f.severity for f in plan.findings if f.rule == "electric-04"] for plan in plans] == [[], ["error"]]


@pytest.mark.rules(fires="electric-04", limit="electric-04")
def test_live_wire_beside_barbs_for_ten_metres_only_passes_them():
    """A metre off, 2 m from the end of the barbs is another 1.73 m on."""
    told = ["electric-04" in rules(planned(LONG, line("Barb", (-99, 1), (end, 1), fence="cattle-barbed-4")))
            for end in (8.25, 8.29)]
    assert told == [False, True]


@pytest.mark.rules(silent="electric-04")
def test_live_wire_that_only_meets_a_barbed_fence_is_no_trouble():
    assert "electric-04" not in rules(planned(LONG, line("Barb", (500, 0), (500, 400), fence="cattle-barbed-4")))


@pytest.mark.parametrize(("kind", "fate", "told"), [
    ("4 barb", "stays", True), ("Barbed wire", "is reused", True), ("4 barb", "is pulled out", False),
    ("plain wire", "stays", False)])
def test_a_standing_barbed_fence_counts_while_it_stands(kind: str, fate: str, told: bool):
    old = Feature("Old", "existing fence", f"LINESTRING ({EAST} {NORTH + 1}, {EAST + 900} {NORTH + 1})",
                  (("type", kind), ("fate", fate)))
    assert ("electric-04" in rules(planned(LONG, features=(old,)))) is told


@pytest.mark.rules(aside="electric-01 electric-02 electric-03 electric-04")
@pytest.mark.parametrize(("rule", "features", "lines"), [
    ("electric-01", (), (LONG,)), ("electric-02", (energiser(500, 0, joules="0.1"),), (LONG,)),
    ("electric-03", (energiser(500, 0, joules="6", earth_rods="1"),), (LONG,)),
    ("electric-04", (energiser(500, 0),), (LONG, line("Barb", (0, 1), (1000, 1), fence="cattle-barbed-4")))])
def test_each_can_be_set_aside_with_a_reason(rule: str, features: tuple[Feature, ...], lines: tuple[FenceLine, ...]):
    job = Job("J", "EPSG:7855", lines, features=features)
    finding = next(f for f in plan_job(job, today=DAY).findings if f.rule == rule)
    after = plan_job(Waive(Waiver(rule, finding.place.line, waiver_place(finding), "known")).apply(job), today=DAY)
    assert [f.waived for f in after.findings if f.rule == rule] == ["known"]
