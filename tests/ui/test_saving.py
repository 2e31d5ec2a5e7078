"""Saving, the recovery copy, and what is offered after a bad end."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot
from window_steps import take_up

from planner.alignment.line import FenceLine
from planner.errors import FileTrouble
from planner.files.job_file import read_job, write_job
from planner.job.edits import AddLine, RenameJob
from planner.job.job import Job
from planner.ui.document import Document
from planner.ui.main_window import MainWindow
from planner.ui.saving import Recovered, Saving, forget, with_ending

LINE = FenceLine("Hill", "general-mesh", np.array([[500_000.0, 6_000_000.0], [500_200.0, 6_000_050.0]]))


@pytest.fixture
def saving(document: Document, tmp_path: Path) -> Iterator[Saving]:
    document.start(Job("Hill farm", "EPSG:7855"))
    made = Saving(document, tmp_path / "state", after_seconds=0, parent=document)
    yield made
    made.close()


def copies(folder: Path) -> list[Path]:
    return sorted((folder / "state" / "recovery").glob("*.job.gpkg"))


def test_a_copy_is_kept_after_a_change(saving: Saving, document: Document, tmp_path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(saving.kept, timeout=10_000):
        document.do(AddLine(LINE))
    (copy,) = copies(tmp_path)
    assert [line.name for line in read_job(copy).lines] == ["Hill"]
    note = json.loads(Path(f"{copy}.json").read_text(encoding="utf-8"))
    assert (note["name"], note["lines"], note["process"]) == ("Hill farm", 1, os.getpid())
    document.wait_for_plan()


def test_the_copy_goes_when_the_job_is_saved(saving: Saving, document: Document, tmp_path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(saving.kept, timeout=10_000):
        document.do(AddLine(LINE))
    document.wait_for_plan()
    with qtbot.waitSignal(saving.saved, timeout=10_000):
        saving.save(tmp_path / "hill")
    assert copies(tmp_path) == []
    assert document.path == tmp_path / "hill.job.gpkg"
    assert read_job(document.path).lines == document.job.lines


def test_what_another_program_saved_meanwhile_is_not_overwritten(saving: Saving, document: Document, tmp_path: Path,
                                                                 qtbot: QtBot) -> None:
    with qtbot.waitSignal(saving.saved, timeout=10_000):
        saving.save(tmp_path / "hill")
    theirs = Job("Hill farm", "EPSG:7855", notes=("theirs",))
    write_job(tmp_path / "hill.job.gpkg", theirs)
    document.do(RenameJob("Mine"))
    with qtbot.waitSignal(saving.failed, timeout=10_000) as told:
        saving.save()
    assert "another program has saved this job" in str(told.args[0])
    assert read_job(tmp_path / "hill.job.gpkg") == theirs
    with qtbot.waitSignal(saving.saved, timeout=10_000):
        saving.save(tmp_path / "elsewhere")
    assert read_job(tmp_path / "elsewhere.job.gpkg").name == "Mine"


def test_a_change_while_saving_is_not_taken_for_saved(saving: Saving, document: Document, tmp_path: Path,
                                                      qtbot: QtBot) -> None:
    document.do(AddLine(LINE))
    with qtbot.waitSignal(saving.saved, timeout=10_000):
        saving.save(tmp_path / "hill")
        document.do(RenameJob("Valley farm"))
    assert not document.is_saved
    assert read_job(tmp_path / "hill.job.gpkg").name == "Hill farm"
    document.wait_for_plan()


def test_no_copy_is_kept_of_an_empty_or_a_saved_job(saving: Saving, tmp_path: Path) -> None:
    assert saving.keep_copy() is None
    assert copies(tmp_path) == []


def test_saving_to_a_folder_that_is_not_there_is_told(saving: Saving, tmp_path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(saving.failed, timeout=10_000) as told:
        saving.save(tmp_path / "nowhere" / "hill.job.gpkg")
    assert isinstance(told.args[0], FileTrouble)


def test_a_job_without_a_file_asks_for_one(saving: Saving, qtbot: QtBot) -> None:
    with qtbot.waitSignal(saving.failed, timeout=1_000) as told:
        assert saving.save() is None
    assert "save as" in str(told.args[0])


def leave_a_copy(folder: Path, job: Job, *, process: int) -> Path:
    from planner.files.job_file import write_job

    copy = folder / "state" / "recovery" / "77-left.job.gpkg"
    copy.parent.mkdir(parents=True)
    write_job(copy, job)
    Path(f"{copy}.json").write_text(json.dumps({
        "copy": copy.name, "name": job.name, "lines": len(job.lines), "path": "", "written": "2026-02-03T14:05:00",
        "process": process}), encoding="utf-8")
    return copy


GONE = 2**22 + 12345
"""A process number above the greatest that Linux gives by default, so that none runs under it."""


def test_copies_of_runs_that_ended_badly_are_found(saving: Saving, tmp_path: Path) -> None:
    leave_a_copy(tmp_path, Job("Hill farm", "EPSG:7855", lines=(LINE,)), process=GONE)
    (left,) = saving.left_behind()
    assert left.words == "the job 'Hill farm' with 1 line, as it stood on 03 February at 14:05"
    forget(left.copy)
    assert saving.left_behind() == []
    assert not Path(f"{left.copy}.json").exists()


def test_the_copy_of_a_run_that_goes_on_is_left_alone(saving: Saving, tmp_path: Path) -> None:
    leave_a_copy(tmp_path, Job("Hill farm", "EPSG:7855", lines=(LINE,)), process=os.getppid())
    assert saving.left_behind() == []


def test_a_copy_whose_note_is_damaged_is_offered_all_the_same(saving: Saving, tmp_path: Path) -> None:
    copy = leave_a_copy(tmp_path, Job("Hill farm", "EPSG:7855", lines=(LINE,)), process=GONE)
    Path(f"{copy}.json").write_text("{", encoding="utf-8")
    (left,) = saving.left_behind()
    assert left.copy == copy


def test_a_copy_is_offered_and_opened_at_the_next_start(make_window: Callable[..., MainWindow], tmp_path: Path,
                                                        qtbot: QtBot) -> None:
    copy = leave_a_copy(tmp_path, Job("Hill farm", "EPSG:7855", lines=(LINE,)), process=GONE)
    window = make_window()
    window.begin()
    (offer,) = window.strip_of_messages.shown
    assert offer.kind == "offer"
    assert "Hill farm" in offer.what
    with qtbot.waitSignal(window.desk.opened, timeout=60_000):
        offer.choices[0].do()
    assert window.document.job.name == "Hill farm"
    assert not window.document.is_saved
    assert not copy.exists()
    window.document.wait_for_plan()
    qtbot.waitUntil(lambda: window.desk._warming is None, timeout=60_000)


def test_a_bug_keeps_a_copy_and_says_where_the_report_is(make_window: Callable[..., MainWindow], sample: Job,
                                                         tmp_path: Path, qtbot: QtBot) -> None:
    window = make_window()
    take_up(window, sample, qtbot)
    window.document.do(RenameJob("Secret farm"))
    window.crash_reports.install()
    try:
        import sys

        try:
            raise RuntimeError("Secret farm at 455871.2")
        except RuntimeError as fault:
            sys.excepthook(type(fault), fault, fault.__traceback__)
    finally:
        window.crash_reports.remove()
    (report,) = (tmp_path / "state" / "reports").glob("fault-*.txt")
    assert str(report) in window.strip_of_messages.shown[-1].remedy
    (copy,) = copies(tmp_path)
    assert read_job(copy).name == "Secret farm"
    assert "Secret" not in report.read_text(encoding="utf-8").replace('raise RuntimeError("Secret farm', "")
    assert window.isVisible()
    window.document.wait_for_plan()


@pytest.mark.parametrize(("given", "named"), [
    ("hill", "hill.job.gpkg"), ("hill.gpkg", "hill.job.gpkg"), ("hill.JOB.GPKG", "hill.JOB.GPKG"),
    ("hill.2026", "hill.2026.job.gpkg")])
def test_files_are_named_as_jobs(given: str, named: str) -> None:
    assert with_ending(Path(given)).name == named


def test_today_is_called_today() -> None:
    from datetime import datetime

    now = datetime.now().isoformat(timespec="seconds")
    assert "today at" in Recovered(Path("x"), "Hill", 2, "", now, 0).words
