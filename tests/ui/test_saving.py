"""Saving under the lock, the journal in the window, jobs that are open elsewhere, and what a bad end left."""

from __future__ import annotations

import json
import os
import platform
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot
from window_steps import take_up

from planner.alignment.line import FenceLine
from planner.errors import FileTrouble
from planner.files import journal_writer
from planner.files.job_file import read_job, state_of, write_job
from planner.files.journal_records import journal_of, look_at
from planner.files.journal_writer import JournalWriter, Standing
from planner.files.lock import holder_of, lock_of
from planner.job.edits import AddLine, RenameJob
from planner.job.job import Job
from planner.ui.document import Document
from planner.ui.holding import Holding
from planner.ui.journalling import Journalling
from planner.ui.main_window import MainWindow
from planner.ui.saving import Saving, with_ending

LINE = FenceLine("Hill", "general-mesh", np.array([[500_000.0, 6_000_000.0], [500_200.0, 6_000_050.0]]))
JOB = Job("Hill farm", "EPSG:7855", lines=(LINE,))
GONE = 2**22 + 12345
"""A process number above the greatest that Linux gives by default, so that none runs under it."""


@dataclass
class Desk:
    """What the desk of a window has, without the window."""

    document: Document
    holding: Holding
    saving: Saving
    journal: Journalling


@pytest.fixture
def desk(document: Document, tmp_path: Path) -> Iterator[Desk]:
    document.start(Job("Hill farm", "EPSG:7855"))
    holding = Holding(document)
    made = Desk(document, holding, Saving(document, holding, document),
                Journalling(document, holding, tmp_path / "state", document))
    yield made
    made.saving.close()
    made.journal.close()
    holding.close()


@pytest.fixture
def other() -> Iterator[subprocess.Popen[bytes]]:
    with subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE) as process:
        yield process
        process.kill()


def locked_by(path: Path, process: int) -> None:
    lock_of(path).write_text(json.dumps({"owner": "ann", "host": platform.node(), "process": process,
                                         "since": "2026-01-05T10:00:00+00:00", "begun": ""}))


def leave_edits(path: Path | None, folder: Path, *, names: tuple[str, ...] = ("Valley farm",)) -> Path:
    """The journal of a run that ended badly after some edits of a job."""
    writer = JournalWriter(folder / "state" / "recovery")
    job = read_job(path) if path is not None else JOB
    writer.stand_on(Standing(job, path, state_of(path) if path is not None else None, path is not None))
    for name in names:
        job = replace(job, name=name)
        writer.add(job, f"call it {name}")
    writer.close()
    assert writer.path is not None
    content = writer.path.read_bytes()
    import struct
    import zlib

    start = len(b"strainwright journal 1\n")
    length = struct.unpack_from("<I", content, start)[0]
    head = json.loads(content[start + 12:start + 12 + length])
    head["writer"].update(process=GONE)
    body = json.dumps(head).encode()
    writer.path.write_bytes(content[:start] + struct.pack("<III", len(body), len(body) ^ 0x5A5A5A5A, zlib.crc32(body))
                            + body + content[start + 12 + length:])
    return writer.path


def journals(folder: Path) -> list[Path]:
    return sorted((folder / "state" / "recovery").glob("*.journal"))


def settled(window: MainWindow, qtbot: QtBot) -> None:
    window.document.wait_for_plan()
    qtbot.waitUntil(lambda: window.desk._warming is None, timeout=60_000)


def opened(window: MainWindow, path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(window.desk.opened, timeout=60_000):
        window.desk.open(path)
    settled(window, qtbot)


# saving


def test_saving_takes_the_lock_and_keeps_it(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    desk.document.do(AddLine(LINE))
    desk.document.wait_for_plan()
    with qtbot.waitSignal(desk.saving.saved, timeout=10_000):
        desk.saving.save(tmp_path / "hill")
    path = tmp_path / "hill.job.gpkg"
    assert desk.document.path == path
    assert read_job(path).lines == desk.document.job.lines
    holder = holder_of(path)
    assert holder is not None
    assert holder.is_this_process
    with qtbot.waitSignal(desk.saving.saved, timeout=10_000):
        desk.saving.save(tmp_path / "valley")
    assert holder_of(path) is None, "the job before is free again"
    desk.holding.close()
    assert not lock_of(tmp_path / "valley.job.gpkg").exists()


def test_what_another_program_saved_meanwhile_is_not_overwritten(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(desk.saving.saved, timeout=10_000):
        desk.saving.save(tmp_path / "hill")
    theirs = Job("Hill farm", "EPSG:7855", notes=("theirs",))
    write_job(tmp_path / "hill.job.gpkg", theirs)
    desk.document.do(RenameJob("Mine"))
    with qtbot.waitSignal(desk.saving.failed, timeout=10_000) as told:
        desk.saving.save()
    assert "another program has saved this job" in str(told.args[0])
    assert read_job(tmp_path / "hill.job.gpkg") == theirs
    with qtbot.waitSignal(desk.saving.saved, timeout=10_000):
        desk.saving.save(tmp_path / "elsewhere")
    assert read_job(tmp_path / "elsewhere.job.gpkg").name == "Mine"


def test_a_change_while_saving_is_not_taken_for_saved(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    desk.document.do(AddLine(LINE))
    with qtbot.waitSignal(desk.saving.saved, timeout=10_000):
        desk.saving.save(tmp_path / "hill")
        desk.document.do(RenameJob("Valley farm"))
    assert not desk.document.is_saved
    assert read_job(tmp_path / "hill.job.gpkg").name == "Hill farm"
    assert desk.journal.flush()
    left = look_at(journal_of(tmp_path / "hill.job.gpkg"))
    assert left is not None
    assert (left.edits, left.name) == (1, "Valley farm")
    desk.document.wait_for_plan()


def test_saving_to_a_folder_that_is_not_there_is_told(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    desk.document.do(RenameJob("Mine"))
    with qtbot.waitSignal(desk.saving.failed, timeout=10_000) as told:
        desk.saving.save(tmp_path / "nowhere" / "hill.job.gpkg")
    assert isinstance(told.args[0], FileTrouble)
    assert not desk.document.is_saved


def test_a_job_without_a_file_asks_for_one(desk: Desk, qtbot: QtBot) -> None:
    with qtbot.waitSignal(desk.saving.failed, timeout=1_000) as told:
        assert desk.saving.save() is None
    assert "save as" in str(told.args[0])


def _full(*_: object, **__: object) -> None:
    raise OSError(28, "No space left on device")


def _gone(*_: object, **__: object) -> None:
    raise OSError(2, "No such file or directory")


def _forbidden(*_: object, **__: object) -> None:
    raise OSError(30, "Read-only file system")


@pytest.mark.parametrize(("trouble", "words"), [
    (_full, "No space left on device"), (_gone, "No such file or directory"), (_forbidden, "Read-only file system")])
@pytest.mark.parametrize("call", ["os.replace", "os.open"])
def test_a_save_that_fails_keeps_the_job_and_offers_another_place(
        window: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, trouble, words: str,
        call: str) -> None:
    """A disk that is full, a drive that has gone, a folder that is read only: at the lock, and at the last step."""
    write_job(tmp_path / "hill.job.gpkg", JOB)
    opened(window, tmp_path / "hill.job.gpkg", qtbot)
    window.document.do(RenameJob("Mine"))
    assert window.desk.journal.flush()
    window.desk.holding.close()
    with monkeypatch.context() as patched, qtbot.waitSignal(window.desk.saving.failed, timeout=10_000):
        patched.setattr(call, trouble)
        window.desk.save()
        qtbot.waitUntil(lambda: bool(window.strip_of_messages.shown), timeout=10_000)
    message = window.strip_of_messages.shown[-1]
    assert words in message.what
    assert message.where.endswith("hill.job.gpkg")
    assert not window.document.is_saved
    assert window.document.job.name == "Mine"
    assert read_job(tmp_path / "hill.job.gpkg").name == "Hill farm"
    monkeypatch.setattr(window.desk, "_choose_target", lambda: tmp_path / "elsewhere.job.gpkg")
    (choice,) = message.choices
    assert choice.text == "Save elsewhere"
    with qtbot.waitSignal(window.desk.saving.saved, timeout=10_000):
        choice.do()
    assert read_job(tmp_path / "elsewhere.job.gpkg").name == "Mine"
    assert window.document.is_saved


# open elsewhere


def test_a_job_that_is_open_elsewhere_is_read_only(window: MainWindow, other, tmp_path: Path, qtbot: QtBot,
                                                   monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "hill.job.gpkg"
    write_job(path, JOB)
    locked_by(path, other.pid)
    before = path.read_bytes()
    opened(window, path, qtbot)
    (offer,) = window.strip_of_messages.shown
    assert "open elsewhere (ann on" in offer.what
    assert "read only here" in offer.what
    assert window.foot.saved.text() == "read only"
    window.document.do(RenameJob("Mine"))
    assert window.foot.saved.text() == "read only, changed here"
    with qtbot.waitSignal(window.desk.saving.failed, timeout=10_000) as told:
        window.desk.save()
    assert "open elsewhere (ann on" in str(told.args[0])
    assert window.desk.journal.flush()
    assert not journal_of(path).exists(), "the journal beside it is the other's"
    assert len(journals(tmp_path)) == 1
    monkeypatch.setattr(window.desk, "_choose_target", lambda: tmp_path / "mine.job.gpkg")
    with qtbot.waitSignal(window.desk.saving.saved, timeout=10_000):
        window.strip_of_messages.shown[-1].choices[0].do()
    assert path.read_bytes() == before
    assert not window.desk.holding.is_read_only
    assert holder_of(tmp_path / "mine.job.gpkg") is not None
    settled(window, qtbot)


def test_it_is_offered_once_the_other_lets_go(window: MainWindow, other, tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "hill.job.gpkg"
    write_job(path, JOB)
    locked_by(path, other.pid)
    opened(window, path, qtbot)
    window.document.do(RenameJob("Mine"))
    lock_of(path).unlink()
    with qtbot.waitSignal(window.desk.holding.freed, timeout=10_000):
        window.desk.holding.look()
    offer = window.strip_of_messages.shown[-1]
    assert offer.choices[0].text == "Take it over"
    offer.choices[0].do()
    assert not window.desk.holding.is_read_only
    with qtbot.waitSignal(window.desk.saving.saved, timeout=10_000):
        window.desk.save()
    assert read_job(path).name == "Mine"
    settled(window, qtbot)


def test_what_the_other_saved_is_to_be_opened_anew(window: MainWindow, other, tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "hill.job.gpkg"
    write_job(path, JOB)
    locked_by(path, other.pid)
    opened(window, path, qtbot)
    lock_of(path).unlink()
    write_job(path, replace(JOB, name="Theirs"))
    with qtbot.waitSignal(window.desk.holding.freed, timeout=10_000):
        window.desk.holding.look()
    offer = window.strip_of_messages.shown[-1]
    assert [choice.text for choice in offer.choices] == ["Open it as it is now", "Save elsewhere"]
    with qtbot.waitSignal(window.desk.opened, timeout=60_000):
        offer.choices[0].do()
    assert window.document.job.name == "Theirs"
    assert not window.desk.holding.is_read_only
    settled(window, qtbot)


def test_a_lock_that_went_to_another_is_told(desk: Desk, other, tmp_path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(desk.saving.saved, timeout=10_000):
        desk.saving.save(tmp_path / "hill")
    locked_by(tmp_path / "hill.job.gpkg", other.pid)
    with qtbot.waitSignal(desk.holding.lost, timeout=10_000) as told:
        desk.holding.look()
    assert told.args[0].owner == "ann"
    assert desk.holding.is_read_only


def test_looking_renews_the_lock_and_takes_one_again_that_is_gone(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(desk.saving.saved, timeout=10_000):
        desk.saving.save(tmp_path / "hill")
    lock = lock_of(tmp_path / "hill.job.gpkg")
    os.utime(lock, (1.0, 1.0))
    desk.holding.look()
    qtbot.waitUntil(lambda: lock.stat().st_mtime > 1e9, timeout=10_000)
    qtbot.waitUntil(lambda: desk.holding._task is None, timeout=10_000)
    lock.unlink()
    desk.holding.look()
    qtbot.waitUntil(lock.exists, timeout=10_000)
    qtbot.waitUntil(lambda: desk.holding._task is None, timeout=10_000)


def test_the_lock_goes_with_the_job(window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    for name in ("hill", "valley"):
        write_job(tmp_path / f"{name}.job.gpkg", JOB)
    opened(window, tmp_path / "hill.job.gpkg", qtbot)
    assert lock_of(tmp_path / "hill.job.gpkg").exists()
    opened(window, tmp_path / "valley.job.gpkg", qtbot)
    assert not lock_of(tmp_path / "hill.job.gpkg").exists()
    window.desk.close_job()
    assert not lock_of(tmp_path / "valley.job.gpkg").exists()


def test_a_job_that_cannot_be_opened_is_not_held(window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    (tmp_path / "bad.job.gpkg").write_bytes(b"nothing")
    with qtbot.waitSignal(window.desk.opening_failed, timeout=60_000):
        window.desk.open(tmp_path / "bad.job.gpkg")
    assert not lock_of(tmp_path / "bad.job.gpkg").exists()
    settled(window, qtbot)


# the journal


def test_every_edit_undo_and_redo_is_written_down(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(desk.saving.saved, timeout=10_000):
        desk.saving.save(tmp_path / "hill")
    journal = journal_of(tmp_path / "hill.job.gpkg")
    with qtbot.waitSignal(desk.journal.written, timeout=10_000):
        desk.document.do(RenameJob("One"))
    for step, edits, last in ((lambda: desk.document.do(RenameJob("Two")), 2, "rename the job"),
                              (desk.document.undo, 3, "undo rename the job"),
                              (desk.document.redo, 4, "redo rename the job")):
        step()
        assert desk.journal.flush()
        left = look_at(journal)
        assert left is not None
        assert (left.edits, left.last) == (edits, last)
    desk.document.undo()
    desk.document.undo()
    assert desk.document.is_saved
    assert desk.journal.flush()
    assert not journal.exists(), "everything is taken back: nothing is unsaved"


def test_saving_empties_the_journal(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    desk.document.do(RenameJob("One"))
    assert desk.journal.flush()
    assert len(journals(tmp_path)) == 1
    with qtbot.waitSignal(desk.saving.saved, timeout=10_000):
        desk.saving.save(tmp_path / "hill")
    assert desk.journal.flush()
    assert journals(tmp_path) == []
    assert not journal_of(tmp_path / "hill.job.gpkg").exists()


def test_edits_that_cannot_be_written_down_are_told(desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(journal_writer, "begun", _full)
    with qtbot.waitSignal(desk.journal.failed, timeout=10_000) as told:
        desk.document.do(RenameJob("One"))
    assert "save the job yourself" in str(told.args[0])


def test_edits_of_a_job_with_a_file_are_offered_when_it_is_opened(window: MainWindow, tmp_path: Path,
                                                                  qtbot: QtBot) -> None:
    path = tmp_path / "hill.job.gpkg"
    write_job(path, JOB)
    journal = leave_edits(path, tmp_path, names=("One", "Two"))
    opened(window, path, qtbot)
    (offer,) = window.strip_of_messages.shown
    named = r"2 edits of '(One|Two)' after the last save, the last: 'call it Two', today at"
    assert re.search(named, offer.what), "by the name that the job had when its journal was begun"
    window.document.do(RenameJob("Meanwhile"))
    assert window.desk.journal.flush()
    assert look_at(journal) is not None, "what is offered is not written over"
    window.document.undo()
    with qtbot.waitSignal(window.desk.opened, timeout=60_000):
        offer.choices[0].do()
    assert window.document.job.name == "Two"
    assert not window.document.is_saved
    assert window.document.path == path
    assert window.desk.holding.holds(path)
    settled(window, qtbot)
    with qtbot.waitSignal(window.desk.saving.saved, timeout=10_000):
        window.desk.save()
    assert read_job(path).name == "Two"
    assert window.desk.journal.flush()
    assert not journal.exists()
    assert journals(tmp_path) == []


@pytest.mark.parametrize("has_file", [True, False])
def test_edits_are_offered_at_the_next_start(make_window: Callable[..., MainWindow], tmp_path: Path, qtbot: QtBot,
                                             has_file: bool) -> None:
    path = tmp_path / "hill.job.gpkg"
    write_job(path, JOB)
    journal = leave_edits(path if has_file else None, tmp_path)
    window = make_window()
    window.preferences.remember_job(path)
    window.begin()
    (offer,) = window.strip_of_messages.shown
    assert offer.kind == "offer"
    assert "1 edit of 'Valley farm'" in offer.what
    with qtbot.waitSignal(window.desk.opened, timeout=60_000):
        offer.choices[0].do()
    assert window.document.job.name == "Valley farm"
    assert window.document.path == (path if has_file else None)
    assert not window.document.is_saved
    assert window.desk.journal.flush()
    now = window.desk.journal.path
    assert now is not None
    assert now.exists(), "the edits stay written down"
    assert now == journal or not journal.exists()
    settled(window, qtbot)


def test_edits_that_are_thrown_away_are_gone(window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    journal = leave_edits(None, tmp_path)
    window.begin()
    window.strip_of_messages.shown[0].choices[1].do()
    assert not journal.exists()
    assert window.desk.journal.left_behind() == []
    settled(window, qtbot)


def test_the_journal_of_a_run_that_goes_on_is_left_alone(desk: Desk, tmp_path: Path) -> None:
    desk.document.do(RenameJob("One"))
    assert desk.journal.flush()
    assert len(journals(tmp_path)) == 1
    assert desk.journal.left_behind() == []


def test_a_bug_leaves_every_edit_written_and_says_where_the_report_is(
        make_window: Callable[..., MainWindow], sample: Job, tmp_path: Path, qtbot: QtBot) -> None:
    window = make_window()
    take_up(window, sample, qtbot)
    window.document.do(RenameJob("Secret farm"))
    window.crash_reports.install()
    try:
        try:
            raise RuntimeError("Secret farm at 455871.2")
        except RuntimeError as fault:
            sys.excepthook(type(fault), fault, fault.__traceback__)
    finally:
        window.crash_reports.remove()
    (report,) = (tmp_path / "state" / "reports").glob("fault-*.txt")
    assert str(report) in window.strip_of_messages.shown[-1].remedy
    assert "every edit of it stands in its journal" in window.strip_of_messages.shown[-1].what
    (journal,) = journals(tmp_path)
    left = look_at(journal)
    assert left is not None
    assert left.name == "Secret farm"
    assert "Secret" not in report.read_text(encoding="utf-8").replace('raise RuntimeError("Secret farm', "")
    assert window.isVisible()
    window.document.wait_for_plan()


@pytest.mark.parametrize(("given", "named"), [
    ("hill", "hill.job.gpkg"), ("hill.gpkg", "hill.job.gpkg"), ("hill.JOB.GPKG", "hill.JOB.GPKG"),
    ("hill.2026", "hill.2026.job.gpkg")])
def test_files_are_named_as_jobs(given: str, named: str) -> None:
    assert with_ending(Path(given)).name == named
