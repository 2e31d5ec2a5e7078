"""What the tests of the window share: Qt's own warnings fail, and nothing may be left behind.

Fixtures for a test of any part of the window:

* ``qt_says_nothing`` (always on): a warning that Qt prints fails the test.
* ``nothing_left`` (always on): a thread, a running timer or a window that is still there at the end fails the test.
* ``look``: the light theme. ``sample``: the sample job, built once. ``sample_plan``: its plan.
* ``document``: an empty document, closed at the end. ``preferences``: in a file of the test's own.
* ``window``: the whole window, first page; ``sample_window``: with the sample job planned.
"""

from __future__ import annotations

import gc
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

pytest.importorskip("PySide6.QtWidgets", reason="Qt is blocked or not installed here")

from PySide6.QtCore import QCoreApplication, QEvent, QSettings, QTimer, QtMsgType, qInstallMessageHandler
from PySide6.QtWidgets import QApplication
from window_steps import take_up

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from planner.job.job import Job
    from planner.job.plan import JobPlan
    from planner.ui.document import Document
    from planner.ui.main_window import MainWindow
    from planner.ui.preferences import Preferences
    from planner.ui.theme import Theme

HARMLESS = ("This plugin does not support", "propagateSizeHints")
"""Said by the platform that tests run on, about things it has not got."""


@pytest.fixture(scope="session")
def qapp_args() -> list[str]:
    return ["strainwright"]


@pytest.fixture(scope="session", autouse=True)
def named(qapp: QApplication) -> None:
    from planner.ui.app import name_application
    from planner.ui.background import favour_window

    name_application(qapp)
    favour_window()


@pytest.fixture(autouse=True)
def qt_says_nothing() -> Iterator[list[str]]:
    """Fails a test in which Qt warns of anything."""
    said: list[str] = []

    def hear(kind: QtMsgType, context: object, text: str) -> None:
        if kind != QtMsgType.QtDebugMsg and kind != QtMsgType.QtInfoMsg and not any(h in text for h in HARMLESS):
            said.append(text)

    before = qInstallMessageHandler(hear)
    yield said
    qInstallMessageHandler(before)
    assert not said, f"Qt warned: {said}"


@pytest.fixture(autouse=True)
def nothing_left(qapp: QApplication) -> Iterator[None]:
    """Fails a test that leaves a thread, a running timer of a top widget, or a window in sight."""
    threads = set(threading.enumerate())
    widgets = set(map(id, QApplication.topLevelWidgets()))
    yield
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    QApplication.processEvents()
    new = [thread for thread in threading.enumerate() if thread not in threads and not thread.name.startswith("Dummy")]
    for thread in new:
        thread.join(0.25)  # one that has told its end may have a moment to go
    left = [thread.name for thread in new if thread.is_alive()]
    seen = [type(w).__name__ for w in QApplication.topLevelWidgets() if id(w) not in widgets and w.isVisible()]
    ticking = [type(w).__name__ for w in QApplication.topLevelWidgets() if id(w) not in widgets
               for timer in w.findChildren(QTimer) if timer.isActive() and timer.interval() > 0 and not w.isVisible()]
    assert not left, f"threads left behind: {left}"
    assert not seen, f"windows left behind: {seen}"
    assert not ticking, f"timers left behind in {ticking}"


@pytest.fixture
def look() -> Theme:
    from planner.ui.theme import theme

    return theme("light")


@pytest.fixture(scope="session")
def sample() -> Job:
    from planner.files.sample_farm import sample_job

    return sample_job()


@pytest.fixture(scope="session")
def sample_plan(sample: Job) -> JobPlan:
    from planner.job.derive import plan_job

    return plan_job(sample)


@pytest.fixture
def document(qapp: QApplication) -> Iterator[Document]:
    from planner.ui.document import Document

    made = Document()
    yield made
    made.close()


@pytest.fixture
def preferences(tmp_path: Path) -> Preferences:
    from planner.ui.preferences import Preferences

    return Preferences(QSettings(str(tmp_path / "likes.ini"), QSettings.Format.IniFormat))


@pytest.fixture
def make_window(qtbot: QtBot, tmp_path: Path) -> Iterator[Callable[..., MainWindow]]:
    """Makes windows over one folder and one file of preferences, as one user's runs would; closes them at the end."""
    from planner.ui.main_window import MainWindow
    from planner.ui.preferences import Preferences

    made: list[MainWindow] = []

    def make(width: int = 1280, height: int = 800, **likes: str | int) -> MainWindow:
        preferences = Preferences(QSettings(str(tmp_path / "likes.ini"), QSettings.Format.IniFormat))
        for name, value in likes.items():
            preferences.choose(name, value)
        window = MainWindow(preferences, tmp_path / "state")
        window.desk.ask_unsaved = lambda name, what: "leave"
        window.resize(width, height)
        window.show()
        qtbot.waitExposed(window)
        made.append(window)
        return window

    yield make
    for window in made:
        window.close()
        window.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    qtbot.wait(1)
    gc.collect()


@pytest.fixture
def window(make_window: Callable[..., MainWindow]) -> MainWindow:
    return make_window()


@pytest.fixture
def sample_window(window: MainWindow, qtbot: QtBot, sample: Job) -> MainWindow:
    """The window with the sample job planned and the map settled."""
    take_up(window, sample, qtbot)
    return window
