"""Steps that tests of the window take over and over."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtGui import QImage
    from pytestqt.qtbot import QtBot

    from planner.job.job import Job
    from planner.ui.main_window import MainWindow
    from planner.ui.strip.strip import Strip

WAIT_MS = 60_000


def take_up(window: MainWindow, job: Job, qtbot: QtBot) -> None:
    """Opens a job in a window and waits until it is planned and drawn."""
    window.document.start(job)
    window.show_work()
    settle(window, qtbot)


def settle(window: MainWindow, qtbot: QtBot) -> None:
    """Waits until a window has planned and drawn all it wants to."""
    window.document.wait_for_plan()
    qtbot.waitUntil(lambda: window.work is not None and window.work.map.is_idle and window.work.canvas.is_settled
                    and window.work.strip.is_settled, timeout=WAIT_MS)


def settled_picture(strip: Strip) -> QImage:
    """The picture of a strip once it shows the line as it is now."""
    from PySide6.QtWidgets import QApplication

    until = time.monotonic() + 10.0
    while True:
        picture = strip.grab().toImage()
        if strip.is_settled:
            return picture
        assert time.monotonic() < until, "the strip is never drawn"
        QApplication.processEvents()
