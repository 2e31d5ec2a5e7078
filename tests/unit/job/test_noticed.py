from __future__ import annotations

from dataclasses import replace

from plain_jobs import straight_job

from planner.findings import Finding, Place
from planner.job.derive import plan_job, waiver_place
from planner.job.job import Waiver
from planner.job.noticed import note_of, other_notes, with_noticed

ROW = Finding("read-01", "error", "Line 3 has 'north' for its y; left out.", "Mend that row.",
              Place(file="points.csv", row=3))
GRID = Finding("read-02", "warning", "The grid was assumed.", "Say which it is.", Place(file="points.csv"))
FITTED = Finding("line-50", "note", "The walk was fitted.", "Compare the corners.", Place("Home"))


def test_what_wants_a_look_stands_among_the_findings_and_a_note_stays_a_note() -> None:
    job = with_noticed(replace(straight_job(), notes=("Working grid.",)), [ROW, GRID, FITTED])
    assert job.noticed == (ROW, GRID)
    assert job.notes == ("Working grid.", note_of(ROW), note_of(GRID), note_of(FITTED))
    assert other_notes(job) == ("Working grid.", note_of(FITTED))
    found = plan_job(job).findings
    assert [f for f in found if f.rule.startswith("read-")] == [ROW, GRID]


def test_a_file_that_is_read_again_is_told_once() -> None:
    job = with_noticed(straight_job(), [ROW])
    again = with_noticed(job, [ROW])
    assert again.noticed is job.noticed
    assert again.notes == job.notes


def test_it_is_set_aside_with_a_reason_and_the_others_stay() -> None:
    job = with_noticed(straight_job(), [ROW, GRID])
    job = replace(job, waivers=(Waiver(ROW.rule, "", waiver_place(ROW), "that row is the heading"),))
    found = {f.rule: f for f in plan_job(job).findings if f.rule.startswith("read-")}
    assert found["read-01"].waived == "that row is the heading"
    assert not found["read-02"].waived
