"""The foot line: where the pointer is, how well the ground is known there, the scale, work going on, saved or not."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from planner.ui.background import Task
from planner.ui.share_bar import ShareBar
from planner.ui.theme import Theme

SHOW_AFTER_MS = 150
"""Work shorter than this is not shown, so that nothing flickers while a corner is dragged. [ms]"""


class Fading(QLabel):
    """A label that is cut short with dots where there is no room for all of it; the whole is in its tip.

    Args:
        parent: Qt parent.
    """

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAccessibleName("What the tool in hand waits for")
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draws as much of it as there is room for."""
        painter = QPainter(self)
        painter.setFont(self.font())
        painter.setPen(self.palette().windowText().color())
        shown = self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, self.width())
        painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), shown)
        painter.end()


class FootLine(QFrame):
    """The line along the bottom.

    Args:
        look: The theme.
        parent: Qt parent.

    Attributes:
        cancelled: The work that is shown shall stop.
    """

    cancelled = Signal()

    def __init__(self, look: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("foot")
        self.setAccessibleName("Foot line")
        self._look = look
        self.east, self.north = self._label("East of the pointer"), self._label("North of the pointer")
        self.grid = self._label("Working grid and ground accuracy under the pointer")
        self.scale = self._label("Scale of the map")
        self.hint = Fading(self)
        self.work = self._label("Work going on")
        self.saved = self._label("Saved or not")
        self.bar = ShareBar("Share of the work that is done", self)
        self.stop = QPushButton("Stop", self)
        self.stop.setObjectName("quiet")
        self.stop.setAccessibleName("Stop the work")
        self.stop.clicked.connect(self.cancelled)
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 4, 14, 4)
        row.setSpacing(16)
        for widget in (self.east, self.north, self.grid, self.scale):
            row.addWidget(widget)
        row.addWidget(self.hint, 1)
        for part in (self.work, self.bar, self.stop, self.saved):
            row.addWidget(part)
        self._slot = 0
        self.show_work(None, 0.0, "")
        self.show_place("", "", "")
        self.show_scale("")
        self.set_theme(look)

    def _label(self, name: str) -> QLabel:
        label = QLabel(self)
        label.setAccessibleName(name)
        label.setTextFormat(Qt.TextFormat.PlainText)
        return label

    def show_place(self, east: str, north: str, grid: str) -> None:
        """Shows a place; empty texts for none."""
        for label in (self.east, self.north):
            label.setMinimumWidth(self._slot if east else 0)
            label.setVisible(bool(east))
        self.grid.setVisible(bool(grid))
        self.east.setText(east)
        self.north.setText(north)
        self.grid.setText(grid)

    def show_scale(self, text: str) -> None:
        """Shows the scale of the map."""
        self.scale.setText(text)
        self.scale.setVisible(bool(text))

    def show_hint(self, text: str) -> None:
        """Shows what the tool in hand waits for."""
        self.hint.setText(text)
        self.hint.setToolTip(text)

    def show_saved(self, text: str, *, is_saved: bool) -> None:
        """Shows whether the job stands in its file."""
        self.saved.setText(text)
        self.saved.setObjectName("soft" if is_saved else "figure")
        self.saved.style().polish(self.saved)

    def show_work(self, task: Task | None, fraction: float, text: str) -> None:
        """Shows work going on; None when there is none."""
        for widget in (self.work, self.bar, self.stop):
            widget.setVisible(task is not None)
        if task is not None:
            self.work.setText(self._fitting(text or task.title))
            self.bar.show_share(fraction)
            self.bar.setToolTip(text or task.title)

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        metrics = QFontMetricsF(look.font(10.0))
        self.bar.setFixedSize(round(90 * look.scale), max(6, round(8 * look.scale)))
        self._slot = round(metrics.horizontalAdvance("N 5 951 402.7"))
        self.show_place(self.east.text(), self.north.text(), self.grid.text())
        ground = look.card if look.name == "contrast" else between(look.paper, look.edge, 0.55)
        self.setStyleSheet(f"QFrame#foot {{ background: {ground}; border: 0; border-top: 1px solid {look.edge}; }}"
                           f" QFrame#foot QPushButton {{ padding: 0 8px; }}"
                           f" QFrame#foot QProgressBar {{ background: {look.card}; }}"
                           f" QFrame#foot QLabel {{ color: {look.ink}; }}")

    def _fitting(self, text: str) -> str:
        metrics = QFontMetricsF(self._look.font(10.0))
        return metrics.elidedText(text, Qt.TextElideMode.ElideRight, 170.0 * self._look.scale)


def between(one: str, other: str, share: float) -> str:
    """A colour between two others.

    Args:
        one: Colour at share 0.
        other: Colour at share 1.
        share: How far towards the other.
    """
    a, b = QColor(one), QColor(other)
    mixed = (round(x + (y - x) * share) for x, y in ((a.red(), b.red()), (a.green(), b.green()), (a.blue(), b.blue())))
    return QColor(*mixed).name()
