"""The bar for a share: drawn when the window draws, not in the middle of whatever tells of the share."""

from __future__ import annotations

from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QProgressBar, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from planner.ui.share_bar import STEPS, ShareBar


class Beside(QWidget):
    """Something else that waits to be drawn."""

    painted = 0

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - as Qt has it
        self.painted += 1


def shown(qtbot: QtBot, bar: QProgressBar) -> tuple[QWidget, Beside]:
    whole, beside = QWidget(), Beside()
    qtbot.addWidget(whole)
    column = QVBoxLayout(whole)
    column.addWidget(beside, 1)
    column.addWidget(bar)
    whole.resize(200, 100)
    whole.show()
    qtbot.waitExposed(whole)
    qtbot.waitUntil(lambda: beside.painted > 0)
    qtbot.wait(20)
    return whole, beside


def test_telling_of_a_share_draws_nothing_at_once(qtbot: QtBot) -> None:
    """Qt's own bar draws all that waits, which is what this one is for; if it no longer does, it is not needed."""
    for bar, at_once in ((ShareBar("Share"), False), (QProgressBar(), True)):
        bar.setRange(0, STEPS)
        whole, beside = shown(qtbot, bar)
        before = beside.painted
        beside.update()
        if isinstance(bar, ShareBar):
            bar.show_share(0.5)
        else:
            bar.setValue(500)
        assert (beside.painted > before) == at_once
        qtbot.waitUntil(lambda beside=beside, before=before: beside.painted > before)  # type: ignore[misc]
        whole.close()


def test_a_share_beyond_its_ends_is_the_end(qtbot: QtBot) -> None:
    bar = ShareBar("Share")
    qtbot.addWidget(bar)
    for share, value in ((-0.1, 0), (0.0, 0), (0.2504, 250), (1.0, STEPS), (3.0, STEPS)):
        bar.show_share(share)
        assert bar.value() == value
    assert bar.updatesEnabled()
