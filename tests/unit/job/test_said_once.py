"""What holds of several lines alike is said once."""

from __future__ import annotations

import pytest

from planner.files.sample_farm import sample_job
from planner.findings import Finding, Place
from planner.job.derive import _said_once, plan_job, waiver_place

ROUGH = "The levels are known to about 6 m only."


def rough(*names: str) -> list[Finding]:
    return [Finding("profile-11", "note", ROUGH, "Give levels.", Place(name)) for name in names]


def test_a_missing_breaking_load_is_said_once_for_the_job():
    plan = plan_job(sample_job())
    said = [f for f in plan.findings if f.rule == "loads-07"]
    of_lines = [f for line in plan.lines for f in line.findings if f.rule == "loads-07"]
    assert len({(f.message, f.remedy) for f in of_lines}) == len(said)
    assert all(f.place.line == "" for f in said if len(of_lines) > len(said))


@pytest.mark.parametrize(("names", "words"), [
    ("AB", f"{ROUGH} Lines: 'A', 'B'."),
    ("ABCD", f"{ROUGH} Lines: 'A', 'B', 'C' and 1 more."),
    ("ABCDE", ROUGH),  # every line of the job
])
def test_what_holds_of_some_lines_of_the_job_names_them_and_stays_waived(names, words):
    (said,) = _said_once(rough(*names), 5)
    assert (said.message, said.place) == (words, Place())
    assert waiver_place(said) == ROUGH


def test_what_is_said_of_one_line_or_of_a_place_stays_there():
    alone = rough("A")
    meets = [Finding("line-10", "note", "The line meets 'C'.", "Look.", Place(name, x=1.0, y=2.0)) for name in "AB"]
    assert _said_once(alone + meets, 5) == alone + meets
