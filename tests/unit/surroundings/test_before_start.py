"""What has to be settled before the first post, why, and how it stands."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from planner.job.derive import plan_job
from planner.job.edits import Waive
from planner.job.job import Job, Waiver
from planner.job.plan import JobPlan
from planner.surroundings.before_start import BESIDE_BOUNDARY_M, ISSUED, OVERHEAD_M, SOON_DAYS, held_back_by
from planner.surroundings.clearances import Clearance
from planner.survey.features import Feature
from tests.plain_jobs import straight_job

DAY = date(2026, 11, 2)


def planned(*features: Feature, clearances: tuple[Clearance, ...] = (), today: date = DAY) -> JobPlan:
    return plan_job(replace(straight_job(), features=features, clearances=clearances), today=today)


def needs(plan: JobPlan) -> list[tuple[str, str]]:
    return [(item.kind, item.about) for item in plan.before_start]


def along(off: float, meaning: str, *facts: tuple[str, str], name: str = "it") -> Feature:
    """A line beside the whole fence of the job, which runs from (500000, 6000000) 400 m east."""
    return Feature(name, meaning, f"LINESTRING (500000 {6000000 + off}, 500400 {6000000 + off})", facts)


def test_every_job_asks_for_services_and_nothing_else_where_nothing_is_known():
    assert needs(planned()) == [("services", "")]


def test_a_job_without_lines_has_no_list():
    assert plan_job(Job("J", "EPSG:7855")).before_start == ()


@pytest.mark.parametrize(("off", "asked"), [(OVERHEAD_M, True), (OVERHEAD_M + 0.001, False)])
def test_what_hangs_above_is_asked_about_up_to_its_distance(off: float, asked: bool):
    plan = planned(along(off, "service", ("lies", "above ground"), name="33 kV"))
    assert (("overhead", "33 kV") in needs(plan)) is asked


def test_what_lies_below_is_the_services_enquiry():
    assert needs(planned(along(0.0, "service"))) == [("services", "")]


@pytest.mark.parametrize(("off", "asked"), [(BESIDE_BOUNDARY_M - 0.001, True), (BESIDE_BOUNDARY_M + 0.1, False)])
def test_a_fence_on_a_boundary_needs_the_neighbour_and_the_survey(off: float, asked: bool):
    found = needs(planned(along(off, "boundary", ("neighbour", "T. Marrow"), name="North")))
    assert (("neighbour", "T. Marrow") in found) is asked
    assert (("boundary", "North") in found) is asked


def test_a_surveyed_boundary_needs_the_neighbour_alone():
    found = needs(planned(along(0.0, "boundary", ("neighbour", "T. Marrow"), ("accuracy", "survey"))))
    assert found == [("services", ""), ("neighbour", "T. Marrow")]


def test_a_boundary_that_is_only_crossed_asks_for_nothing():
    across = Feature("North", "boundary", "LINESTRING (500200 5999000, 500200 6001000)")
    assert needs(planned(across)) == [("services", "")]


@pytest.mark.parametrize(("meaning", "kind"), [("water", "waterway"), ("vegetation", "clearing")])
def test_what_is_met_is_asked_for_once_a_job(meaning: str, kind: str):
    one = Feature("One", meaning, "POLYGON ((500100 5999990, 500120 5999990, 500120 6000010, 500100 6000010, "
                  "500100 5999990))")
    two = Feature("Two", meaning, "POLYGON ((500200 5999990, 500220 5999990, 500220 6000010, 500200 6000010, "
                  "500200 5999990))")
    plan = planned(one, two)
    assert needs(plan) == [("services", ""), (kind, "")]
    assert "One and Two" in plan.before_start[1].why


@pytest.mark.parametrize(("meaning", "kind"), [("road reserve", "road"), ("protected", "protected")])
def test_what_has_an_owner_is_asked_of_each(meaning: str, kind: str):
    assert needs(planned(along(1.0, meaning, name="A"), along(-1.0, meaning, name="B"))) == [
        ("services", ""), (kind, "A"), (kind, "B")]


@pytest.mark.parametrize(("clearance", "state"), [
    (Clearance("services"), "open"),
    (Clearance("services", settled=DAY), "settled"),
    (Clearance("services", settled=DAY + timedelta(1)), "open"),
    (Clearance("services", settled=DAY, expires=DAY + timedelta(SOON_DAYS)), "settled"),
    (Clearance("services", settled=DAY, expires=DAY + timedelta(SOON_DAYS - 1)), "runs out soon"),
    (Clearance("services", settled=DAY, expires=DAY), "runs out soon"),
    (Clearance("services", settled=DAY - timedelta(9), expires=DAY - timedelta(1)), "run out"),
    (Clearance("services", not_needed="nothing is dug"), "not needed")])
def test_how_it_stands(clearance: Clearance, state: str):
    assert planned(clearances=(clearance,)).before_start[0].state == state


def test_what_was_written_down_without_the_surroundings_asking_is_kept():
    plan = planned(clearances=(Clearance("funding"), Clearance("shearers gone")))
    assert needs(plan) == [("services", ""), ("funding", ""), ("shearers gone", "")]


ASKED = Clearance("services", settled=DAY, expires=DAY + timedelta(30))
SAID = Clearance(ISSUED, settled=DAY, reference="J. Doe")


def test_a_job_is_issued_once_everything_holds_and_somebody_says_so():
    assert planned(clearances=(ASKED,)).issued is None
    assert planned(clearances=(SAID,)).issued is None
    assert planned(clearances=(ASKED, SAID)).issued == SAID


@pytest.mark.rules(fires="before-01", limit="before-01")
def test_it_is_withdrawn_by_itself_when_something_runs_out():
    last = ASKED.expires
    assert last is not None
    held = planned(clearances=(ASKED, SAID), today=last)
    assert held.issued == SAID
    assert not [f for f in held.findings if f.rule == "before-01"]
    after = planned(clearances=(ASKED, SAID), today=last + timedelta(1))
    assert after.issued is None
    told = [f for f in after.findings if f.rule == "before-01"]
    assert [f.severity for f in told] == ["error"]
    assert "has run out" in told[0].message


def test_nothing_is_said_of_work_that_was_not_issued():
    assert not [f for f in planned().findings if f.rule.startswith("before-")]


def test_an_error_holds_it_back():
    job = straight_job()
    crossed = replace(job, lines=(replace(job.lines[0], xy=np.array([(500000.0, 6000000.0), (500400, 6000000),
                                                 (500400, 6000100), (500200, 5999900)])),),
                      clearances=(ASKED, SAID))
    plan = plan_job(crossed, today=DAY)
    assert any(f.rule == "line-03" for f in plan.findings)
    assert plan.issued is None
    assert any("to mend or to waive" in words for words in held_back_by(plan.before_start, plan.findings))


@pytest.mark.rules(silent="before-01 before-02")
def test_nothing_is_said_of_work_that_was_issued_while_everything_holds():
    assert not [f for f in planned(clearances=(ASKED, SAID)).findings if f.rule.startswith("before-")]


@pytest.mark.rules(fires="before-02", limit="before-02")
def test_an_enquiry_is_asked_for_its_last_day_from_the_day_that_it_was_answered_on():
    told = [[f.rule for f in planned(clearances=(Clearance("services", settled=on),)).findings
             if f.rule.startswith("before-")] for on in (DAY + timedelta(1), DAY)]
    assert told == [[], ["before-02"]]


@pytest.mark.rules(fires="before-02")
def test_an_enquiry_that_does_not_say_when_it_runs_out_is_told():
    plan = planned(clearances=(Clearance("services", settled=DAY),))
    assert [f.severity for f in plan.findings if f.rule == "before-02"] == ["note"]
    assert not [f for f in planned(clearances=(ASKED,)).findings if f.rule == "before-02"]


@pytest.mark.rules(aside="before-01 before-02")
@pytest.mark.parametrize(("rule", "clearances"), [
    ("before-01", (SAID,)), ("before-02", (Clearance("services", settled=DAY),))])
def test_they_can_be_set_aside_with_a_reason(rule: str, clearances: tuple[Clearance, ...]):
    from planner.job.derive import waiver_place

    job = replace(straight_job(), clearances=clearances)
    finding = next(f for f in plan_job(job, today=DAY).findings if f.rule == rule)
    after = plan_job(Waive(Waiver(rule, finding.place.line, waiver_place(finding), "known")).apply(job), today=DAY)
    assert [f.waived for f in after.findings if f.rule == rule] == ["known"]
