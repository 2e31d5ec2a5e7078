"""Background work: what it tells, and when."""

from __future__ import annotations

import threading

import shiboken6
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from planner.errors import PlannerError
from planner.progress import Progress
from planner.ui import background
from planner.ui.background import Task


def test_the_result_comes_back(qtbot: QtBot) -> None:
    owner = QObject()
    task = Task("adding", lambda progress: 2 + 3, owner)
    with qtbot.waitSignal(task.done) as told:
        task.start()
    assert told.args == [5]


def test_everybody_hears_the_end_though_the_first_lets_the_task_go(qtbot: QtBot) -> None:
    """A bar in the foot line would otherwise stay for ever."""
    owner, ended = QObject(), []
    for number in range(40):
        task = Task("short", lambda progress: None, owner)
        task.finished.connect(task.deleteLater)
        task.finished.connect(lambda number=number: ended.append(number))
        task.start()
    qtbot.waitUntil(lambda: len(ended) == 40, timeout=10_000)
    assert sorted(ended) == list(range(40))


def test_a_failure_is_told_and_then_the_end(qtbot: QtBot) -> None:
    def fail(progress: Progress) -> None:
        raise PlannerError("the ground is not known")

    owner, told = QObject(), []
    task = Task("failing", fail, owner)
    task.failed.connect(lambda trouble: told.append(str(trouble)))
    task.finished.connect(lambda: told.append("finished"))
    task.start()
    qtbot.waitUntil(lambda: len(told) == 2, timeout=10_000)
    assert "the ground is not known" in told[0]
    assert told[1] == "finished"


def test_work_that_was_stopped_gives_no_result(qtbot: QtBot) -> None:
    owner, told = QObject(), []
    task = Task("long", lambda progress: progress.stop_if_cancelled(), owner)
    task.done.connect(lambda _: told.append("done"))
    task.stopped.connect(lambda: told.append("stopped"))
    task.cancel()
    task.start()
    qtbot.waitUntil(lambda: bool(told), timeout=10_000)
    assert told == ["stopped"]
    assert task.wait(5.0)


def test_work_that_is_stopped_once_it_has_ended_gives_no_result(qtbot: QtBot) -> None:
    """Word of its end was on its way, and "Stopped" was said already."""
    owner, told = QObject(), []
    task = Task("short", lambda progress: 5, owner)
    task.done.connect(lambda _: told.append("done"))
    task.stopped.connect(lambda: told.append("stopped"))
    task.start()
    assert task.wait(5.0)
    task.cancel()
    qtbot.waitUntil(lambda: bool(told), timeout=10_000)
    assert told == ["stopped"]


def test_work_that_may_wait_begins_later_or_when_somebody_waits_for_it(qtbot: QtBot) -> None:
    owner, begun, told = QObject(), threading.Event(), []
    for number in (1, 2):
        task = Task("patient", lambda progress: begun.set(), owner)
        task.finished.connect(lambda number=number: told.append(number))
        begun.clear()
        task.start(after_ms=40)
        assert task.is_running
        assert not begun.is_set()
        if number == 2:
            assert task.wait(5.0)
            assert begun.is_set()
        qtbot.waitUntil(lambda number=number: told[-1:] == [number], timeout=10_000)
        assert not task.is_running or task.wait(5.0)


def test_a_task_may_go_while_its_thread_works(qtbot: QtBot) -> None:
    """The window is closed, or a dialog left, in the middle of a reading."""
    go_on, over, heard = threading.Event(), threading.Event(), []

    def work(progress: Progress) -> None:
        go_on.wait(10.0)
        progress.report(0.5, "half of it")
        over.set()

    owner = QObject()
    task = Task("reading", work, owner)
    task.progressed.connect(lambda *_: heard.append("progress"))
    task.finished.connect(lambda: heard.append("end"))
    task.start()
    shiboken6.delete(owner)
    go_on.set()
    assert over.wait(10.0)
    qtbot.waitUntil(lambda: not any(t.name == "reading" for t in threading.enumerate()), timeout=10_000)
    qtbot.waitUntil(lambda: not background._on_the_way, timeout=10_000)
    assert heard == []
