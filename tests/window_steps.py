"""Steps that tests of the window take over and over."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from planner.job.job import Job
    from planner.ui.main_window import MainWindow

WAIT_MS = 60_000


def take_up(window: MainWindow, job: Job, qtbot: QtBot) -> None:
    """Opens a job in a window and waits until it is planned and drawn."""
    window.document.start(job)
    window.show_work()
    settle(window, qtbot)


def settle(window: MainWindow, qtbot: QtBot) -> None:
    """Waits until a window has planned and drawn all it wants to."""
    window.document.wait_for_plan()
    qtbot.waitUntil(lambda: window.work is not None and window.work.map.is_idle and window.work.canvas.is_settled,
                    timeout=WAIT_MS)
