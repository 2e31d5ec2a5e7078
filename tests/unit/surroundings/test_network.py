"""Nodes of the network, each once, with the pulls that meet; light ends that hold heavy fences; gaps to old fences."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from planner.alignment.line import Crossing
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.surroundings.network import Node
from tests.paddock_jobs import EAST, NORTH, fence, job_of, lane_job, mark, ring
from tests.waiving import check_waiver, of_rule

LONG, TEE = fence("Long", (0, 0), (400, 0)), fence("Tee", (200, 0), (200, 150))


def nodes(job: Job) -> tuple[Node, ...]:
    return plan_job(job).nodes


def kinds(job: Job) -> Counter[str]:
    return Counter(node.kind for node in nodes(job))


def test_the_block_with_a_lane_has_fourteen_tees():
    found = kinds(lane_job(stands=False))
    assert (found["tee"], found["corner"], found["gate side"], found["end"]) == (14, 4, 18, 0)


def test_every_place_where_strains_end_is_one_node_with_an_assembly():
    for job in (lane_job(), lane_job(stands=False), job_of(LONG, TEE), job_of(ring())):
        plan = plan_job(job)
        spots = {(round(n.x, 2), round(n.y, 2)) for n in plan.nodes}
        ends = {tuple(round(float(v), 2) for v in line.ground.place_at(at)) for line in plan.lines
                for s in line.sections for at in (s.from_m, s.to_m)}
        assert spots == ends
        assert all(node.assembly in plan.catalogue.assemblies for node in plan.nodes)


def test_directions_of_pull_are_those_that_the_assembly_is_counted_with():
    plan = plan_job(lane_job(stands=False))
    by_place = {(line.line.name, round(end.chainage_m, 2)): end.directions for line in plan.lines
                for s in line.sections for end in (s.start, s.end) if not s.is_gate and not end.counted_with}
    met = [node for node in plan.nodes if len(node.lines) > 1]
    assert met
    assert all(by_place[node.lines[0], round(node.chainage_m, 2)] == len(node.arms) for node in met)


def test_what_is_left_of_the_pulls():
    tee = next(node for node in nodes(job_of(LONG, TEE)) if node.kind == "tee")
    pull = plan_job(job_of(LONG)).lines[0].fence.pull_n
    assert sorted(round(arm.bearing_deg) for arm in tee.arms) == [0, 90, 270]
    assert (tee.resultant_n, tee.resultant_deg) == (pytest.approx(pull), pytest.approx(0.0, abs=1e-6))
    cross = next(node for node in nodes(job_of(LONG, fence("Over", (200, -99), (200, 99)))) if node.kind == "cross")
    assert cross.resultant_n == pytest.approx(0.0, abs=1e-6)


def test_a_closed_line_and_two_lines_end_to_end():
    assert kinds(job_of(ring())) == {"corner": 4, "gate side": 2}
    assert kinds(job_of(LONG, fence("On", (400, 0), (800, 0))))["strainer"] >= 1
    assert kinds(job_of(LONG, fence("Up", (400, 0), (400, 300))))["corner"] == 1


def test_a_crossing_has_its_sides():
    crossed = replace(LONG, crossings=(Crossing("C", EAST + 200, NORTH, 20.0),))
    found = nodes(job_of(crossed))
    assert Counter(n.kind for n in found) == {"end": 2, "crossing side": 2}
    assert [len(n.arms) for n in found if n.kind == "crossing side"] == [1, 1]


LIGHT = fence("Light", (0, 0), (400, 0), kind="electric-3")
HEAVY = fence("Heavy", (200, 0), (200, 150), kind="exclusion-mesh")


@pytest.mark.rules(fires="network-01")
def test_a_heavy_fence_that_ends_on_a_light_one():
    (finding,) = of_rule(job_of(LIGHT, HEAVY), "network-01")
    assert finding.message.startswith("'Heavy' pulls with ")
    assert "counted with 'Light'" in finding.message
    assert finding.place.line == "Light"


@pytest.mark.rules(silent="network-01")
@pytest.mark.parametrize("lines", [(HEAVY, LIGHT), (LIGHT,), (LONG, TEE), (LONG, replace(LIGHT, xy=TEE.xy))])
def test_an_end_as_strong_as_the_heaviest_asks_for(lines):
    assert of_rule(job_of(*lines), "network-01") == []


@pytest.mark.rules(fires="network-01", limit="network-01")
@pytest.mark.parametrize(("first", "others"), [
    ("electric-2", {"sheep-mesh": 0, "cattle-barbed-5": 1}),  # a stay of one span; of one span; a box of two
    ("wildlife-friendly-4", {"cattle-barbed-5": 0, "lamb-and-goat-mesh": 1})])  # a box of one; of two, for 6 kN each
def test_as_many_braced_spans_or_no_more_pull_is_no_heavier_fence(first: str, others: dict[str, int]):
    held = fence("Held", (0, 0), (400, 0), kind=first)
    told = {kind: len(of_rule(job_of(held, fence("On", (200, 0), (200, 150), kind=kind)), "network-01"))
            for kind in others}
    assert told == others


@pytest.mark.rules(fires="network-02", limit="network-02")
def test_an_end_short_of_a_fence_that_stands():
    stand = [mark("existing fence", "Old", (400 + gap, -50), (400 + gap, 50)) for gap in (0.0, 0.5, 0.51, 5.0, 5.01)]
    assert [len(of_rule(job_of(LONG, features=[old]), "network-02")) for old in stand] == [0, 0, 1, 1, 0]


@pytest.mark.rules(silent="network-02")
def test_an_end_that_meets_another_line_is_not_short():
    old = mark("existing fence", "Old", (402, -50), (402, 50))
    assert of_rule(job_of(LONG, fence("Up", (400, 0), (400, 300)), features=[old]), "network-02") == []
    gone = mark("existing fence", "Old", (402, -50), (402, 50), fate="is pulled out")
    assert of_rule(job_of(LONG, features=[gone]), "network-02") == []


@pytest.mark.rules(aside="network-01 network-02")
@pytest.mark.parametrize(("job", "rule"), [
    (job_of(LIGHT, HEAVY), "network-01"),
    (job_of(LONG, features=[mark("existing fence", "Old", (402, -50), (402, 50))]), "network-02")])
def test_it_can_be_waived(job: Job, rule: str):
    check_waiver(job, rule)
