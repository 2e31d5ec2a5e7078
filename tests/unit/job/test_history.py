from __future__ import annotations

import pytest

from planner.errors import JobTrouble
from planner.job.edits import RemoveLine, RenameJob
from planner.job.history import History
from planner.job.job import Job


@pytest.fixture
def history() -> History:
    return History(Job("A", "EPSG:7855"))


def test_a_new_history_has_nothing_to_undo(history: History):
    start = history.job
    assert (history.can_undo, history.can_redo, history.is_saved) == ("", "", True)
    assert history.undo() is start
    assert history.redo() is start


def test_undo_and_redo_walk_the_very_jobs_that_were(history: History):
    jobs = [history.job, *(history.do(RenameJob(name)) for name in "BCD")]
    assert history.can_undo == "rename the job"
    assert [history.undo() for _ in range(3)] == jobs[2::-1]
    assert history.job is jobs[0]
    assert [history.redo() for _ in range(3)] == jobs[1:]
    assert history.can_redo == ""


def test_a_new_edit_forgets_what_had_been_undone(history: History):
    history.do(RenameJob("B"))
    history.undo()
    history.do(RenameJob("C"))
    assert history.can_redo == ""
    assert history.undo().name == "A"
    assert history.redo().name == "C"


def test_an_edit_that_changes_nothing_adds_no_step_and_keeps_what_can_be_redone(history: History):
    history.do(RenameJob("B"))
    history.undo()
    history.do(RenameJob("A"))
    assert (history.can_undo, history.can_redo) == ("", "rename the job")


def test_an_edit_that_cannot_be_applied_leaves_the_history_as_it_was(history: History):
    history.do(RenameJob("B"))
    with pytest.raises(JobTrouble, match="no line"):
        history.do(RemoveLine("Gone"))
    assert history.job.name == "B"
    assert history.can_undo == "rename the job"


def test_saved_is_the_job_that_was_saved_whichever_way_one_comes_back_to_it(history: History):
    first = history.job
    history.do(RenameJob("B"))
    assert not history.is_saved
    history.undo()
    assert history.is_saved
    history.redo()
    history.mark_saved(history.job)
    assert history.is_saved
    history.undo()
    assert not history.is_saved
    assert history.job is first


def test_a_job_never_saved():
    assert not History(Job("A", "EPSG:7855"), saved=False).is_saved
