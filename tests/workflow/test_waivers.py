"""Whatever a whole job is told can be set aside with a reason, alone, and counts again when that is taken back."""

from __future__ import annotations

from datetime import date

import pytest

from planner.files.sample_farm import sample_job
from planner.findings import Finding
from planner.job.derive import plan_job, waiver_place
from planner.job.edits import TakeBackWaiver, Waive
from planner.job.job import Job, Waiver
from tests.bad_plan import bad_plan
from tests.bad_sample import bad_sample
from tests.odd_jobs import odd_job
from tests.plain_jobs import straight_job

DAY = date(2026, 11, 2)
JOBS: dict[str, Job] = {"bad plan": bad_plan(), "sample farm": sample_job(), "plain": straight_job(),
                        "bad sample": bad_sample(), "odd": odd_job()}
PLANS = {name: plan_job(job, today=DAY) for name, job in JOBS.items()}


def _first_of_each_rule() -> dict[str, tuple[str, Finding]]:
    seen: dict[str, tuple[str, Finding]] = {}
    for name, plan in PLANS.items():
        for finding in plan.findings:
            seen.setdefault(finding.rule, (name, finding))
    return seen


TOLD = _first_of_each_rule()


@pytest.mark.rules(aside="before-01 boundary-01 built-05 clearing-01 clearing-02 electric-01 electric-04 gate-01 "
                         "gate-02 haul-01 haul-02 line-01 line-02 line-04 line-05 line-06 line-07 line-08 line-09 "
                         "line-10 line-11 line-12 line-13 loads-01 loads-02 loads-03 loads-07 materials-01 "
                         "materials-02 materials-03 materials-04 materials-05 materials-06 materials-07 materials-09 "
                         "oldfence-01 option-01 option-02 paddock-01 paddock-04 paddock-11 paddock-12 profile-01 "
                         "profile-02 profile-03 profile-05 profile-07 profile-08 profile-09 profile-10 profile-12 "
                         "register-01 sections-01 sections-02 sections-04 sections-05 service-01 service-02 stage-01 "
                         "stage-02 stage-03 tree-01 tree-03 water-01 water-03 water-10 water-12 water-13")
@pytest.mark.parametrize("rule", sorted(TOLD))
def test_it_is_set_aside_alone_and_taken_back(rule: str):
    name, finding = TOLD[rule]
    job, plan = JOBS[name], PLANS[name]
    waiver = Waiver(finding.rule, finding.place.line, waiver_place(finding), "it is meant so")
    aside = [f for f in plan_job(Waive(waiver).apply(job), today=DAY, previous=plan).findings if f.waived]
    assert aside
    assert all((f.rule, f.place.line, waiver_place(f)) == (waiver.rule, waiver.line, waiver.where) for f in aside)
    assert all(f.waived == "it is meant so" for f in aside)
    again = TakeBackWaiver(waiver).apply(Waive(waiver).apply(job))
    assert not any(f.waived for f in plan_job(again, today=DAY, previous=plan).findings)


def test_what_is_set_aside_above_is_what_the_jobs_are_told():
    mark = next(m for m in test_it_is_set_aside_alone_and_taken_back.pytestmark if m.name == "rules")
    assert sorted(mark.kwargs["aside"].split()) == sorted(TOLD)


def test_the_odd_job_is_told_of_what_is_odd_in_it():
    """So that what is set aside above stays as much as it is."""
    told = {finding.rule for finding in PLANS["odd"].findings}
    lines, profiles = (f"line-{n:02}" for n in (2, 5, 6, 7, 9, 10, 13)), (2, 3, 5, 7, 8, 9, 10, 12)
    assert told >= {*lines, *(f"profile-{n:02}" for n in profiles), "materials-02", "materials-06", "materials-09",
                    "option-01", "option-02", "sections-02", "sections-05", "stage-02", "stage-03"}
