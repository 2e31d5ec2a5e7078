from __future__ import annotations

import pytest
from job_samples import EAST, NORTH, full_job

from planner.alignment.line import Crossing, Gate
from planner.errors import JobTrouble
from planner.job.edits import AddCrossing, AddGate, ChangeCrossing, ChangeGate, RemoveCrossing, RemoveGate

GATE = Gate("New", EAST + 10, NORTH + 500, 4.2)
SPAN = Crossing("Ford", EAST + 20, NORTH + 500, 20.0)


def names(job) -> dict[str, list[str]]:
    return {line.name: [g.name for g in line.gates] + [c.name for c in line.crossings] for line in job.lines}


def test_gates_and_crossings_come_change_and_go():
    job = AddCrossing("Creek", SPAN).apply(AddGate("Creek", GATE).apply(full_job()))
    assert names(job)["Creek"] == ["New", "Ford"]
    wider = ChangeGate("Creek", "New", Gate("Wide", GATE.x, GATE.y, 6.0)).apply(job)
    assert wider.lines[1].gates[0].width_m == 6.0
    longer = ChangeCrossing("Creek", "Ford", Crossing("Ford", SPAN.x, SPAN.y, 25.0, 1.5)).apply(wider)
    assert longer.lines[1].crossings[0].depth_m == 1.5
    bare = RemoveCrossing("Creek", "Ford").apply(RemoveGate("Creek", "Wide").apply(longer))
    assert bare == full_job()


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        (AddGate("Creek", Gate("G1", 0, 0, 4.2)), "already a gate or crossing 'G1'"),
        (AddGate("Creek", Gate("FG", 0, 0, 4.2)), "already a gate or crossing 'FG'"),
        (AddCrossing("Creek", Crossing("G1", 0, 0, 9)), "already a gate or crossing 'G1'"),
        (AddGate("Gone", GATE), "there is no line 'Gone'"),
        (ChangeGate("Creek", "G1", Gate("G1", 0, 0, 4.2)), "'Creek' has no 'G1'"),
        (RemoveGate("Creek", "G1"), "'Creek' has no 'G1'; it has none"),
        (RemoveCrossing("Creek", "FG"), "'Creek' has no 'FG'"),
        (ChangeCrossing("Creek", "FG", Crossing("FG", 0, 0, 9)), "'Creek' has no 'FG'"),
    ],
)
def test_what_cannot_be_is_refused(edit, told: str):
    with pytest.raises(JobTrouble, match=told):
        edit.apply(full_job())


def test_the_same_gate_again_changes_nothing():
    job = full_job()
    home = job.lines[0]
    assert ChangeGate(home.name, "G1", home.gates[0]).apply(job) is job
