"""Edits of what is settled and of what is written down."""

from dataclasses import replace
from datetime import date

import pytest

from planner.errors import JobTrouble
from planner.job.edits import ChangeFeature, ChangeLine, ChangeRecords, DropClearance, KeepClearance
from planner.job.job import Job
from planner.surroundings.clearances import Clearance
from planner.survey.features import Feature
from planner.upkeep.records import Built, Records
from tests.job_samples import full_job

DAY = date(2026, 11, 2)
OPEN = Clearance("neighbour", "Home block")
SETTLED = replace(OPEN, settled=DAY)


def test_a_clearance_takes_the_place_of_the_one_of_its_matter():
    job = KeepClearance(Clearance("neighbour", "Creek")).apply(KeepClearance(OPEN).apply(Job("J", "")))
    after = KeepClearance(SETTLED).apply(job)
    assert after.clearances == (SETTLED, Clearance("neighbour", "Creek"))
    assert KeepClearance(SETTLED).apply(after) is after


def test_a_clearance_without_a_kind_is_refused():
    with pytest.raises(JobTrouble, match="has no kind"):
        KeepClearance(Clearance(" ")).apply(Job("J", ""))


def test_a_clearance_is_dropped():
    assert DropClearance("neighbour", "Home block").apply(KeepClearance(OPEN).apply(Job("J", ""))).clearances == ()
    with pytest.raises(JobTrouble, match="nothing is written down of neighbour"):
        DropClearance("neighbour").apply(Job("J", ""))


def test_records_are_changed():
    records = Records(built=(Built("Creek", DAY),))
    after = ChangeRecords(records).apply(Job("J", ""))
    assert after.records == records
    assert ChangeRecords(records).apply(after) is after


def test_a_feature_is_changed_in_its_place():
    old, new = Feature("a", "water", "POINT (0 0)"), Feature("a", "trees", "POINT (0 0)")
    job = Job("J", "", features=(old, Feature("b", "yard", "POINT (1 1)")))
    assert ChangeFeature(old, new).apply(job).features == (new, job.features[1])
    assert ChangeFeature(old, old).apply(job) is job
    with pytest.raises(JobTrouble, match="is not marked"):
        ChangeFeature(new, old).apply(job)


def test_a_renamed_line_keeps_its_records_its_clearances_and_the_side_of_its_wires():
    job = replace(full_job(), clearances=(Clearance("neighbour", "Creek"),),
                  records=Records(built=(Built("Creek", DAY),)))
    after = ChangeLine("Creek", new_name="River").apply(ChangeLine("Creek", wires_on="left").apply(job))
    assert after.clearances[0].about == after.records.built[0].line == "River"
    assert next(line for line in after.lines if line.name == "River").wires_on == "left"
