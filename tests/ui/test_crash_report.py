"""Reports of faults: where in the program, nothing of the job."""

from __future__ import annotations

import threading
from pathlib import Path

from pytestqt.qtbot import QtBot

from planner import __version__
from planner.ui.crash_report import CrashReports, write_report


def fault_of(error: Exception):
    try:
        raise error
    except type(error) as met:
        return type(met), met, met.__traceback__


def test_a_report_holds_version_platform_and_place(tmp_path: Path) -> None:
    report = write_report(tmp_path / "new", fault_of(AttributeError("'NoneType' object has no attribute 'lines'")))
    assert report is not None
    text = report.read_text(encoding="utf-8")
    assert f"Strainwright {__version__}" in text
    assert "Python" in text
    assert "AttributeError: 'NoneType' object has no attribute 'lines'" in text
    assert "test_crash_report.py" in text
    assert str(tmp_path) not in text
    assert str(Path.home()) not in text or str(Path.home()) == "/"


def test_a_message_that_may_speak_of_the_job_is_left_out(tmp_path: Path) -> None:
    told = KeyError("Smith's north boundary")
    report = write_report(tmp_path, (KeyError, told, None))
    assert report is not None
    assert "Smith" not in report.read_text(encoding="utf-8")


def test_a_folder_that_cannot_be_written_gives_no_report_and_no_second_fault(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert write_report(tmp_path / "file", fault_of(ValueError("x"))) is None


def test_a_fault_in_a_thread_is_taken_too(tmp_path: Path, qtbot: QtBot) -> None:
    reports = CrashReports(tmp_path)
    reports.install()
    try:
        with qtbot.waitSignal(reports.written, timeout=5_000) as told:
            thread = threading.Thread(target=lambda: 1 / 0)
            thread.start()
            thread.join()
    finally:
        reports.remove()
    assert "ZeroDivisionError" in Path(told.args[0]).read_text(encoding="utf-8")
