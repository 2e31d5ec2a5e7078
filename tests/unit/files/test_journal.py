"""The journal: every edit comes back; torn ends are passed over, damage is said; what it stands on is checked."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from job_samples import corners, empty_job, full_job, levels_of

from planner.alignment.line import FenceLine
from planner.errors import FileTrouble, JobTrouble
from planner.files.atomic_save import backup_of
from planner.files.job_file import read_job, state_of, write_job
from planner.files.journal import EMPTY, Journal, recovered
from planner.files.journal_parts import change_between, job_after
from planner.files.journal_records import LeftJournal, journal_of, look_at, text_of, value_of
from planner.files.journal_writer import JournalWriter, Standing
from planner.job import edits
from planner.job.job import Job
from planner.job.unread import Unread, UnreadColumn, UnreadTable
from planner.survey.features import Feature

FILE = "farm.job.gpkg"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    target = tmp_path / FILE
    write_job(target, full_job())
    return target


def some_edits(job: Job, count: int = 5) -> list[Job]:
    """Jobs that follow from one another."""
    jobs = [job]
    for k in range(count):
        jobs.append(edits.MoveCorner("Creek", 0, 500_001.0 + k, 6_000_000.0).apply(jobs[-1]))
    return jobs[1:]


def writer_on(path: Path, job: Job, folder: Path | None = None) -> JournalWriter:
    writer = JournalWriter(folder or path.parent / "state")
    writer.stand_on(Standing(job, path, state_of(path), may_stand_beside=True))
    return writer


def written(path: Path, jobs: list[Job]) -> LeftJournal:
    """A journal beside a job, with some edits."""
    writer = writer_on(path, read_job(path))
    for job in jobs:
        writer.add(job, "move a corner")
    assert writer.flush()
    left = look_at(journal_of(path))
    assert left is not None
    return left


# what changed


def _removed(job: Job) -> Job:
    return replace(job, lines=job.lines[1:], levels={})


def _unread(job: Job) -> Job:
    return replace(job, unread=Unread("1.9", (("strainwright_job", ("client", "Ann")),), (
        UnreadColumn("lines", "colour", "TEXT", ((("Creek",), 0, "green"),)),), (
        UnreadTable("odd", (("id", "INTEGER", 1), ("b", "BLOB", 0)), ((1, b"\x00\xff"), (2, None))),)))


@pytest.mark.parametrize("change", [
    lambda job: replace(job, name="new\nname"),
    lambda job: replace(job, lines=(), levels={}),
    lambda job: replace(job, lines=(*job.lines, replace(job.lines[1], name="Third"))),
    lambda job: replace(job, lines=tuple(reversed(job.lines))),
    lambda job: replace(job, levels={"Creek": levels_of(job.lines[1]), **job.levels}),
    lambda job: replace(job, features=(job.features[0], Feature("Bore", "bore", "POINT Z (500000 6000000 4)"))),
    lambda job: replace(job, points=job.points[:1]),
    lambda job: replace(job, settings=job.settings.changed({"corner_deg": 20.5})),
    lambda job: replace(job, clearances=(), records=type(job.records)(), terms=type(job.terms)(), option="A"),
    _removed, _unread,
    lambda job: replace(job, lines=(replace(job.lines[0], corner_sd_m=np.full(5, 0.02)), *job.lines[1:])),
])
def test_a_change_is_written_and_made_again(change) -> None:
    before = full_job()
    after = change(before)
    made = job_after(before, value_of(text_of(change_between(before, after))))
    assert made == after
    assert list(made.levels) == list(after.levels)


def test_the_whole_job_from_nothing() -> None:
    assert job_after(EMPTY, value_of(text_of(change_between(EMPTY, full_job())))) == full_job()


def test_only_what_changed_is_written() -> None:
    line = FenceLine("Long", "general-mesh", corners((0, 0), (900, 0)))
    before = replace(full_job(), features=tuple(Feature(f"F{k}", "rock", "POINT (1 2)") for k in range(2000)),
                     lines=(*full_job().lines, line))
    (after,) = some_edits(before, 1)
    assert len(text_of(change_between(before, after))) < 1000


@pytest.mark.parametrize("spoil", [
    {"splices": {"lines": [5, 9]}}, {"splices": {"name": [0, 0]}}, {"whole": ["lines"], "splices": 3},
    {"levels": ["nowhere"]}, {"features": {"lines": [[{"blob": "AAAA"}, "a", "b", 0, "survey", ""]]}},
    {"tables": {"strainwright_settings": [["corner_deg", "900"]]}}, {"unread": [["roof"]]}, {"tables": {}}])
def test_a_change_that_does_not_fit_is_refused(spoil: dict[str, object]) -> None:
    (after,) = some_edits(full_job(), 1)
    with pytest.raises(JobTrouble, match="does not fit the job"):
        job_after(full_job(), {**change_between(full_job(), after), **spoil})


# writing and bringing back


def test_every_edit_comes_back(path: Path) -> None:
    jobs = some_edits(read_job(path))
    left = written(path, jobs)
    assert (left.edits, left.last, left.job_path) == (5, "move a corner", path)
    assert "5 edits of 'Home “block”' after the last save, the last: 'move a corner', today at" in left.words
    found = recovered(left)
    assert found is not None
    assert found.job == jobs[-1]
    assert found.notes == ()


def test_what_was_written_is_told_after_it_is_on_the_disk(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    happened: list[str] = []
    forced = os.fsync
    monkeypatch.setattr(os, "fsync", lambda handle: (happened.append("forced"), forced(handle)))
    writer = JournalWriter(path.parent, written=lambda count, _: happened.append(f"told {count}"))
    job = read_job(path)
    writer.stand_on(Standing(job, path, state_of(path), may_stand_beside=True))
    writer.add(some_edits(job, 1)[0], "one")
    assert writer.flush()
    assert happened[-1] == "told 1"
    assert "forced" in happened


def test_saving_empties_it_and_edits_made_meanwhile_stay(path: Path) -> None:
    job = read_job(path)
    jobs = some_edits(job)
    writer = writer_on(path, job)
    for one in jobs:
        writer.add(one, "edit")
    assert writer.flush()
    write_job(path, jobs[2], was=state_of(path))
    writer.stand_on(Standing(jobs[2], path, state_of(path), may_stand_beside=True))
    assert writer.flush()
    left = look_at(journal_of(path))
    assert left is not None
    assert left.edits == 2
    found = recovered(left)
    assert found is not None
    assert found.job == jobs[-1]
    write_job(path, jobs[-1], was=state_of(path))
    writer.stand_on(Standing(jobs[-1], path, state_of(path), may_stand_beside=True))
    assert writer.flush()
    assert not journal_of(path).exists()
    assert writer.path is None or not writer.path.exists()


def test_a_stop_between_the_save_and_the_emptying_loses_nothing_and_offers_nothing(path: Path) -> None:
    jobs = some_edits(read_job(path))
    left = written(path, jobs)
    write_job(path, jobs[3], was=state_of(path))
    found = recovered(left)
    assert found is not None
    assert found.job == jobs[-1]
    write_job(path, jobs[-1], was=state_of(path))
    backup_of(path).write_bytes(b"")
    write_job(path, read_job(path), was=state_of(path))
    with pytest.raises(JobTrouble, match="not the one that these edits were made on"):
        recovered(left)


def test_nothing_is_offered_when_every_edit_is_in_the_file(path: Path) -> None:
    jobs = some_edits(read_job(path))
    left = written(path, jobs)
    write_job(path, jobs[-1], was=state_of(path))
    assert recovered(left) is None


def test_a_job_without_a_file_is_kept_whole(tmp_path: Path) -> None:
    writer = JournalWriter(tmp_path / "state")
    writer.stand_on(Standing(Job("new", "EPSG:7855")))
    writer.add(full_job(), "bring in")
    assert writer.flush()
    assert writer.path is not None
    left = look_at(writer.path)
    assert left is not None
    assert left.job_path is None
    assert "that were never saved" in left.words
    found = recovered(left)
    assert found is not None
    assert found.job == full_job()


def test_a_file_that_somebody_else_wrote_is_not_what_it_stands_on(path: Path) -> None:
    job, state = read_job(path), state_of(path)
    write_job(path, empty_job())
    writer = JournalWriter(path.parent)
    writer.stand_on(Standing(job, path, state, may_stand_beside=True))
    jobs = some_edits(job, 2)
    for one in jobs:
        writer.add(one, "edit")
    assert writer.flush()
    left = look_at(journal_of(path))
    assert left is not None
    found = recovered(left)
    assert found is not None
    assert found.job == jobs[-1], "the whole job was written down"


# where it stands


def test_without_the_lock_and_over_a_journal_of_an_earlier_run_it_stands_aside(path: Path) -> None:
    job = read_job(path)
    written(path, some_edits(job, 1))
    before = journal_of(path).read_bytes()
    for foreign, beside in ((True, True), (False, False)):
        writer = JournalWriter(path.parent / "state")
        if foreign:
            writer.leave_alone(journal_of(path))
        writer.stand_on(Standing(job, path, state_of(path), may_stand_beside=beside))
        writer.add(some_edits(job, 1)[0], "edit")
        assert writer.flush()
        assert writer.path is not None
        assert writer.path.parent == path.parent / "state"
        assert journal_of(path).read_bytes() == before
        left = look_at(writer.path)
        assert left is not None
        assert left.job_path == path


def test_a_folder_that_cannot_be_written_to(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import planner.files.journal_writer as module

    real = module.begun

    def refusing(target: Path, **how):
        if target.parent == path.parent:
            raise FileTrouble("it cannot be written (Read-only file system)", where=str(target))
        return real(target, **how)

    monkeypatch.setattr(module, "begun", refusing)
    writer = writer_on(path, read_job(path))
    writer.add(some_edits(read_job(path), 1)[0], "edit")
    assert writer.flush()
    assert writer.path is not None
    assert writer.path.parent == path.parent / "state"


def test_a_disk_that_fills_up_while_an_edit_is_written(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half of the record is written; then the journal goes on in the other folder, whole."""
    job = read_job(path)
    jobs = some_edits(job, 3)
    writer = writer_on(path, job)
    writer.add(jobs[0], "one")
    assert writer.flush()
    real, broken = Journal.add, []

    def failing(self: Journal, entries) -> None:
        if not broken:
            broken.append(1)
            os.write(self._handle, b"half a rec")
            raise OSError(28, "No space left on device")
        real(self, entries)

    monkeypatch.setattr(Journal, "add", failing)
    writer.add(jobs[1], "two")
    assert writer.flush()
    writer.add(jobs[2], "three")
    assert writer.flush()
    assert writer.path is not None
    assert writer.path.parent == path.parent / "state"
    left = look_at(writer.path)
    assert left is not None
    assert left.edits == 3
    found = recovered(left)
    assert found is not None
    assert found.job == jobs[-1]


def test_a_short_write_leaves_the_journal_as_it_was(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    jobs = some_edits(read_job(path), 2)
    writer = writer_on(path, read_job(path))
    writer.add(jobs[0], "one")
    assert writer.flush()
    before = journal_of(path).read_bytes()
    real = os.write
    calls: list[int] = []

    def failing(handle: int, content) -> int:
        calls.append(1)
        if len(calls) > 1:
            raise OSError(28, "No space left on device")
        return real(handle, bytes(content)[:20])

    monkeypatch.setattr(os, "write", failing)
    writer.add(jobs[1], "two")
    writer.flush()
    monkeypatch.undo()
    assert journal_of(path).read_bytes() in (before, b"") or not journal_of(path).exists()


def test_no_place_at_all_is_told_once_a_turn_and_made_good_later(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import planner.files.journal_writer as module

    told: list[Exception] = []
    writer = JournalWriter(path.parent / "state", failed=told.append)
    job = read_job(path)
    jobs = some_edits(job, 2)
    writer.stand_on(Standing(job, path, state_of(path), may_stand_beside=True))

    def refusing(target: Path, **_):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(module, "begun", refusing)
    writer.add(jobs[0], "one")
    assert not writer.flush()
    assert "edits cannot be written down (Read-only file system)" in str(told[0])
    monkeypatch.undo()
    writer.add(jobs[1], "two")
    assert writer.flush()
    assert writer.path is not None
    left = look_at(writer.path)
    assert left is not None
    assert left.edits == 2


def test_edits_kept_over_a_save_are_told_and_their_old_journal_stays_until_they_stand_in_the_new_one(
        path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import planner.files.journal_writer as module

    told: list[tuple[int, Job]] = []
    refused: list[Exception] = []
    writer = JournalWriter(path.parent / "state", written=lambda count, job: told.append((count, job)),
                           failed=refused.append)
    job = read_job(path)
    jobs = some_edits(job, 3)
    writer.stand_on(Standing(job, path, state_of(path), may_stand_beside=True))
    for one in jobs:
        writer.add(one, "edit")
    assert writer.flush()
    before = journal_of(path).read_bytes()

    def refusing(target: Path, **_):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(module, "begun", refusing)
    writer.stand_on(Standing(jobs[1], path, state_of(path), may_stand_beside=True))
    assert not writer.flush()
    assert "Read-only file system" in str(refused[0])
    assert journal_of(path).read_bytes() == before
    monkeypatch.undo()
    told.clear()
    writer.add(jobs[0], "one more")
    assert writer.flush()
    assert told == [(2, jobs[0])]
    assert journal_of(path).read_bytes() != before
    told.clear()
    writer.stand_on(Standing(jobs[2], path, state_of(path), may_stand_beside=True))
    assert writer.flush()
    assert told == [(1, jobs[0])]
    writer.close()


def test_closing_writes_what_waits_and_ends_the_thread(path: Path) -> None:
    writer = writer_on(path, read_job(path))
    thread = writer._thread
    for job in some_edits(read_job(path), 50):
        writer.add(job, "edit")
    writer.close()
    assert thread is not None
    assert not thread.is_alive()
    left = look_at(journal_of(path))
    assert left is not None
    assert left.edits == 50


# torn and damaged


@pytest.mark.parametrize("cut", [1, 7, 40])
def test_a_torn_last_record_is_as_if_it_had_not_been_written(path: Path, cut: int) -> None:
    jobs = some_edits(read_job(path))
    left = written(path, jobs)
    left.path.write_bytes(left.path.read_bytes()[:-cut])
    again = look_at(left.path)
    assert again is not None
    assert (again.edits, again.trouble) == (4, "")
    found = recovered(again)
    assert found is not None
    assert (found.job, found.notes) == (jobs[-2], ())


@pytest.mark.parametrize("place", ["body", "frame"])
def test_a_damaged_record_ends_the_reading_with_a_sentence(path: Path, place: str) -> None:
    jobs = some_edits(read_job(path))
    left = written(path, jobs)
    content = bytearray(left.path.read_bytes())
    third = [at for at in range(len(content)) if content.startswith(b'{"label"', at)][2]
    content[third + 5 if place == "body" else third - 10] ^= 0x20
    left.path.write_bytes(content)
    again = look_at(left.path)
    assert again is not None
    assert again.edits == 2
    found = recovered(again)
    assert found is not None
    assert found.job == jobs[1]
    (note,) = found.notes
    assert "damaged after edit 2" in note


@pytest.mark.parametrize("content", [b"", b"something", b"strainwright journal 1\n",
                                     b"strainwright journal 1\n" + b"\0" * 99])
def test_what_is_no_journal_is_passed_over(path: Path, content: bytes) -> None:
    journal_of(path).write_bytes(content)
    assert look_at(journal_of(path)) is None


def test_the_job_of_a_journal_beside_one_is_that_one_whatever_it_says(path: Path, tmp_path: Path) -> None:
    left = written(path, some_edits(read_job(path), 1))
    moved = tmp_path / "moved"
    moved.mkdir()
    for file in (path, left.path):
        (moved / file.name).write_bytes(file.read_bytes())
    again = look_at(moved / left.path.name)
    assert again is not None
    assert again.job_path == moved / FILE
    assert recovered(again) is not None


def test_one_that_still_is_written_is_not_left(path: Path) -> None:
    left = written(path, some_edits(read_job(path), 1))
    assert not left.is_left
    gone = replace(left, writer=replace(left.writer, process=2**22 + 12345))
    assert gone.is_left
    assert json.dumps(gone.words)
