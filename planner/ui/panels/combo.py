"""A choice among a few, as the panels show it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QComboBox, QStyle, QStyleOptionComboBox, QStylePainter, QWidget

from planner.ui.theme import Theme


class Combo(QComboBox):
    """A choice that the wheel changes only when it has the focus, so that a panel can be scrolled over it.

    Args:
        name: What is chosen.
        parent: Qt parent.
    """

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)

    def set_theme(self, look: Theme) -> None:
        """Takes other colours."""
        self._look = look
        self.setStyleSheet(f"QComboBox::drop-down {{ border: 0; width: {20 * look.scale:.0f}px; }}"
                           " QComboBox::down-arrow { image: none; }")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draws it, what has no room cut short with dots, with the arrow of the other marks."""
        option, painter = QStyleOptionComboBox(), QStylePainter(self)
        self.initStyleOption(option)
        room = self.style().subControlRect(QStyle.ComplexControl.CC_ComboBox, option,
                                           QStyle.SubControl.SC_ComboBoxEditField, self)
        option.currentText = self.shown_text(room.width())
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)
        if self._look is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(self._look.soft_ink), 1.6, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        half = 4.0 * self._look.scale
        x, y = self.width() - 11.0 * self._look.scale, self.height() / 2.0 - half / 4
        painter.drawPolyline([QPointF(x - half, y), QPointF(x, y + half), QPointF(x + half, y)])
        painter.end()

    _look: Theme | None = None

    def shown_text(self, room_px: float) -> str:
        """What of the choice is read in some room. [px]"""
        return self.fontMetrics().elidedText(self.currentText(), Qt.TextElideMode.ElideRight, int(room_px) - 2)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Passes the wheel on while something else has the focus."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()

    def show_choices(self, choices: Sequence[tuple[str, str]], chosen: str) -> None:
        """Shows other choices without telling anybody.

        Args:
            choices: Value and what it is called.
            chosen: The value that is chosen.
        """
        blocked = self.blockSignals(True)
        if [(self.itemData(i), self.itemText(i)) for i in range(self.count())] != list(choices):
            self.clear()
            for value, text in choices:
                self.addItem(text, value)
        self.setCurrentIndex(next((i for i in range(self.count()) if self.itemData(i) == chosen), -1))
        self.blockSignals(blocked)
