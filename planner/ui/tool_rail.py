"""The tool rail: a few words and a key letter for each tool, over the map's upper left."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QRectF, QSize, Qt
from PySide6.QtGui import QAction, QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QGridLayout, QWidget

from planner.ui.actions import ActionRow, keys_of
from planner.ui.theme import Theme

_GAP, _MARGIN = 4, 12


class RailButton(QAbstractButton):
    """One tool: its word on the left, its key on the right.

    Args:
        row: The tool in the table of actions.
        action: The action it stands for.
        look: The theme.
        parent: The rail.
    """

    def __init__(self, row: ActionRow, action: QAction, look: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self.setText(row.rail)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleName(row.text)
        self.setToolTip(action.toolTip())
        self._key = keys_of(row)[0] if keys_of(row) else ""
        self._look, self._action = look, action
        action.changed.connect(self._follow)
        self.clicked.connect(action.trigger)
        self._follow()

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """Room for word and key."""
        word, key = QFontMetricsF(self._look.font(10.0)), QFontMetricsF(self._look.font(8.5))
        return QSize(round(word.horizontalAdvance(self.text()) + key.horizontalAdvance("M") + 34),
                     round(word.height() + 8))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draws it as a small card, dark while its tool is in hand."""
        look, painter = self._look, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on = self.isChecked()
        edge = look.accent if self.hasFocus() or (self.underMouse() and self.isEnabled()) else look.edge
        painter.setPen(QPen(QColor(look.way if on else edge), 1.6 if self.hasFocus() else 1.0))
        painter.setBrush(QColor(look.way if on else look.card))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)
        if on:
            painter.fillRect(QRectF(2, 4, 3, self.height() - 8), QColor(look.way_accent))
        inside = QRectF(self.rect()).adjusted(11, 0, -9, 0)
        painter.setFont(look.font(10.0))
        ink = QColor(look.way_ink if on else look.ink)
        if not self.isEnabled():
            ink = QColor(look.soft_ink)
            ink.setAlpha(150)
        painter.setPen(ink)
        painter.drawText(inside, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), self.text())
        painter.setFont(look.font(8.5))
        painter.setPen(QColor(look.way_soft if on else look.soft_ink))
        painter.drawText(inside, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight), self._key)
        painter.end()

    def _follow(self) -> None:
        self.setEnabled(self._action.isEnabled())
        self.setChecked(self._action.isChecked())


class ToolRail(QWidget):
    """The rail; a second column stands beside the first where the map is low.

    Args:
        rows: The tools, from the top.
        actions: Their actions.
        look: The theme.
        map_widget: The map it lies on.
    """

    def __init__(self, rows: Sequence[ActionRow], actions: Sequence[QAction], look: Theme,
                 map_widget: QWidget) -> None:
        super().__init__(map_widget)
        self.setAccessibleName("Tools")
        self._map = map_widget
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(_GAP)
        self.buttons = [RailButton(row, action, look, self) for row, action in zip(rows, actions, strict=True)]
        self.move(_MARGIN, _MARGIN)
        map_widget.installEventFilter(self)
        self.arrange()

    @property
    def taken_px(self) -> int:
        """Width of the map that it covers. [px]"""
        return _MARGIN + self.width()

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        for button in self.buttons:
            button.set_theme(look)
        self.arrange()

    def arrange(self) -> None:
        """Lays the buttons into as many columns as the height of the map asks for."""
        high = self.buttons[0].sizeHint().height() + _GAP
        wide = max(button.sizeHint().width() for button in self.buttons)
        room = max(1, (self._map.height() - 2 * _MARGIN - 28) // high)
        columns = -(-len(self.buttons) // room)
        rows = -(-len(self.buttons) // columns)
        for number, button in enumerate(self.buttons):
            button.setFixedSize(wide, high - _GAP)
            self._grid.addWidget(button, number % rows, number // rows)
        self.setFixedSize(columns * (wide + _GAP) - _GAP, rows * high - _GAP)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Arranges the buttons anew when the map takes another size."""
        if event.type() == QEvent.Type.Resize:
            self.arrange()
        return False
