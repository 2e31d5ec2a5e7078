from __future__ import annotations

import pytest
from job_samples import OWN_FENCE, full_job

from planner.errors import BadSetting, JobTrouble
from planner.job.edits import (
    AddFeature,
    ChangePrices,
    ChangeSettings,
    KeepOwnFence,
    RemoveFeature,
    RenameJob,
    TakeBackWaiver,
    TakeIn,
    Waive,
)
from planner.job.job import Job, Waiver
from planner.materials.prices import PriceList
from planner.survey.features import Feature


def test_name_settings_and_prices():
    job = full_job()
    assert RenameJob("South").apply(job).name == "South"
    assert ChangeSettings((("corner_deg", "25"), ("friction_mu", 0.3))).apply(job).settings.corner_deg == 25.0
    assert ChangePrices(PriceList()).apply(job).prices == PriceList()


@pytest.mark.parametrize("edit", [
    RenameJob(full_job().name), ChangeSettings((("corner_deg", 17.5),)), ChangePrices(full_job().prices),
    KeepOwnFence("ours", OWN_FENCE), KeepOwnFence("other", ""),
    TakeBackWaiver(Waiver("line-99", "", "", "")),
])
def test_what_changes_nothing_gives_the_very_same_job(edit):
    job = full_job()
    assert edit.apply(job) is job


def test_a_setting_beyond_its_limits_is_refused():
    with pytest.raises(BadSetting, match="from 0 to 30 deg"):
        ChangeSettings((("corner_deg", 31),)).apply(full_job())


def test_an_own_fence_type_is_kept_and_dropped():
    job = KeepOwnFence("mine", "x = 1").apply(full_job())
    assert dict(job.own_fences) == {"ours": OWN_FENCE, "mine": "x = 1"}
    assert dict(KeepOwnFence("ours", "").apply(job).own_fences) == {"mine": "x = 1"}


def test_a_waiver_takes_the_place_of_an_earlier_one_of_the_same_finding():
    job = full_job()
    first = job.waivers[0]
    again = Waive(Waiver(first.rule, first.line, first.where, "a better reason")).apply(job)
    assert [w.reason for w in again.waivers] == ["later", "a better reason"]
    assert TakeBackWaiver(first).apply(again).waivers == (job.waivers[1],)


def test_features_come_and_go():
    rock = Feature("Rock", "rock", "POINT (500001 6000001)")
    job = AddFeature(rock).apply(full_job())
    assert job.features[-1] is rock
    assert RemoveFeature(rock).apply(job) == full_job()
    with pytest.raises(JobTrouble, match="'Rock' is not marked"):
        RemoveFeature(rock).apply(full_job())


def test_what_an_import_made_stands_in_the_jobs_place():
    made = Job("M", "EPSG:7855")
    assert TakeIn(made, "boundary.shp").apply(full_job()) is made
    assert TakeIn(made, "boundary.shp").label == "import boundary.shp"


def test_every_edit_has_a_label():
    waiver = Waiver("line-03", "", "", "x")
    edits = [RenameJob("x"), ChangeSettings((("corner_deg", 1),)), ChangePrices(PriceList()), KeepOwnFence("a", "b"),
             KeepOwnFence("a", ""), Waive(waiver), TakeBackWaiver(waiver), AddFeature(Feature("", "water", "")),
             RemoveFeature(Feature("Creek", "water", ""))]
    assert all(edit.label and edit.label == edit.label.strip() for edit in edits)
