from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from job_samples import EAST, NORTH, corners, full_job, levels_of

from planner.alignment.line import FenceLine
from planner.errors import JobTrouble
from planner.job.edits import AddLine, ChangeLine, DeleteCorner, InsertCorner, MoveCorner, MoveStretch, RemoveLine
from planner.job.job import Job

OPEN = FenceLine("Open", "general-mesh", corners((0, 0), (100, 0), (200, 50)))
RING = FenceLine("Ring", "general-mesh", corners((0, 0), (100, 0), (100, 80), (0, 80), (0, 0)), closed=True)


@pytest.fixture
def job() -> Job:
    return Job("J", "EPSG:7855", lines=(OPEN, RING), levels={"Open": levels_of(OPEN), "Ring": levels_of(RING)})


def line(job: Job, name: str) -> FenceLine:
    return next(n for n in job.lines if n.name == name)


def off(it: FenceLine) -> list[list[float]]:
    return (it.xy - np.array([EAST, NORTH])).tolist()


def test_a_drawn_line_is_added_last_and_named_apart(job: Job):
    once = AddLine(OPEN).apply(job)
    twice = AddLine(OPEN).apply(once)
    assert [n.name for n in twice.lines] == ["Open", "Ring", "Open (2)", "Open (3)"]
    assert job.lines == (OPEN, RING)


def test_a_removed_line_takes_its_levels_along(job: Job):
    left = RemoveLine("Open").apply(job)
    assert [n.name for n in left.lines] == ["Ring"]
    assert set(left.levels) == {"Ring"}
    assert left.lines[0] is RING


def test_a_line_changes_name_fence_and_accuracy_and_keeps_its_levels(job: Job):
    changed = ChangeLine("Open", new_name="North", fence="sheep-mesh", accuracy="rtk").apply(job)
    north = line(changed, "North")
    assert (north.fence, north.accuracy) == ("sheep-mesh", "rtk")
    assert changed.levels["North"] is job.levels["Open"]
    assert "Open" not in changed.levels


@pytest.mark.parametrize("edit", [ChangeLine("Open"), ChangeLine("Open", fence="general-mesh"),
                                  MoveCorner("Open", 1, EAST + 100, NORTH), MoveStretch("Open", 0, 2, 0.0, 0.0)])
def test_an_edit_that_changes_nothing_gives_the_very_same_job(job: Job, edit):
    assert edit.apply(job) is job


def test_a_name_that_is_taken_is_refused(job: Job):
    with pytest.raises(JobTrouble, match="there is already a line 'Ring'"):
        ChangeLine("Open", new_name="Ring").apply(job)


def test_a_corner_moves(job: Job):
    moved = MoveCorner("Open", 1, EAST + 100, NORTH + 20).apply(job)
    assert off(line(moved, "Open")) == [[0, 0], [100, 20], [200, 50]]
    assert line(moved, "Ring") is RING


@pytest.mark.parametrize("corner", [0, 4])
def test_the_first_and_last_corner_of_a_ring_are_one(job: Job, corner: int):
    moved = MoveCorner("Ring", corner, EAST - 10, NORTH - 10).apply(job)
    assert off(line(moved, "Ring")) == [[-10, -10], [100, 0], [100, 80], [0, 80], [-10, -10]]


def test_a_corner_moved_onto_its_neighbour_becomes_one_with_it(job: Job):
    moved = MoveCorner("Open", 1, EAST, NORTH).apply(job)
    assert off(line(moved, "Open")) == [[0, 0], [200, 50]]


def test_a_corner_is_inserted_and_deleted(job: Job):
    more = InsertCorner("Open", 0, EAST + 50, NORTH + 5).apply(job)
    assert off(line(more, "Open")) == [[0, 0], [50, 5], [100, 0], [200, 50]]
    assert DeleteCorner("Open", 1).apply(more).lines[0] == OPEN


def test_deleting_the_start_of_a_ring_closes_it_at_the_next_corner(job: Job):
    less = DeleteCorner("Ring", 0).apply(job)
    assert off(line(less, "Ring")) == [[100, 0], [100, 80], [0, 80], [100, 0]]
    assert line(less, "Ring").closed


def test_a_stretch_moves_together(job: Job):
    moved = MoveStretch("Ring", 3, 4, -5.0, 2.0).apply(job)
    assert off(line(moved, "Ring")) == [[-5, 2], [100, 0], [100, 80], [-5, 82], [-5, 2]]


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        (RemoveLine("Gone"), "there is no line 'Gone'"),
        (ChangeLine("Gone", fence="x"), "there is no line 'Gone'"),
        (MoveCorner("Open", 3, 0, 0), "'Open' has no corner 4"),
        (MoveCorner("Open", -1, 0, 0), "'Open' has no corner 0"),
        (MoveCorner("Open", 0, float("nan"), 0), "would have no position"),
        (InsertCorner("Open", 9, 0, 0), "'Open' has no corner 10"),
        (MoveStretch("Open", 0, 3, 1, 1), "'Open' has no corner 4"),
    ],
)
def test_what_cannot_be_is_refused(job: Job, edit, told: str):
    with pytest.raises(JobTrouble, match=told):
        edit.apply(job)


def test_a_line_keeps_two_corners_and_a_ring_three(job: Job):
    two = DeleteCorner("Open", 1).apply(job)
    with pytest.raises(JobTrouble, match="too few corners"):
        DeleteCorner("Open", 0).apply(two)
    three = DeleteCorner("Ring", 1).apply(job)
    with pytest.raises(JobTrouble, match="too few corners"):
        DeleteCorner("Ring", 1).apply(three)


def test_every_edit_has_a_label():
    edits = [AddLine(OPEN), RemoveLine("A"), ChangeLine("A"), ChangeLine("A", fence="x"), MoveCorner("A", 0, 0, 0),
             InsertCorner("A", 0, 0, 0), DeleteCorner("A", 0), MoveStretch("A", 0, 1, 0, 0)]
    assert all(edit.label and edit.label == edit.label.strip() for edit in edits)
    assert full_job().lines[1].name in MoveCorner("Creek", 0, 0, 0).label


def test_moved_corners_keep_what_the_fit_says_and_a_person_s_word_replaces_it(job: Job):
    job = replace(job, lines=(replace(job.lines[0], corner_sd_m=np.full(len(job.lines[0].xy), 2.5)), *job.lines[1:]))
    name, at = job.lines[0].name, job.lines[0].xy[1]
    moved = MoveCorner(name, 1, at[0] + 5.0, at[1]).apply(job).lines[0]
    assert moved.corner_sd_m is not None
    assert InsertCorner(name, 0, at[0] - 5.0, at[1] + 1.0).apply(job).lines[0].corner_sd_m is None
    assert ChangeLine(name, new_name="Other").apply(job).lines[0].corner_sd_m is not None
    assert ChangeLine(name, accuracy="rtk").apply(job).lines[0].corner_sd_m is None
