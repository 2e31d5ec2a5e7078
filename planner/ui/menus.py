"""The head of the window: one menu button, undo and redo with their names, and the way bar beside them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QKeySequence, QPainter, QPaintEvent, QPen, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QMenu, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from planner.ui.actions import MENUS, Actions
from planner.ui.theme import Theme
from planner.ui.way_bar import WayBar


class Head(QWidget):
    """Menu, undo, redo and the way bar.

    Args:
        actions: The actions of the window.
        way: The way bar.
        recent: Gives the jobs of late.
        open_recent: Opens one of them.
        look: The theme.
        parent: Qt parent.
    """

    def __init__(self, actions: Actions, way: WayBar, recent: Callable[[], Sequence[Path]],
                 open_recent: Callable[[Path], object], look: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Head of the window")
        self._look, self._recent, self._open_recent = look, recent, open_recent
        self.menu = QMenu(self)
        self.recent_menu = QMenu("Jobs of late", self.menu)
        self.recent_menu.aboutToShow.connect(self._fill_recent)
        self._fill_menu(actions)
        self.menu_button = HeadButton("Menu", look, self)
        self.menu_button.setMenu(self.menu)
        self.menu_button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.menu_button.setToolTip("Everything the window can do (F10)")
        self.undo, self.redo = HeadButton("undo", look, self), HeadButton("redo", look, self)
        for button, name in ((self.undo, "undo"), (self.redo, "redo")):
            button.setDefaultAction(actions[name])
            actions[name].changed.connect(
                lambda button=button, action=actions[name]: button.setAccessibleName(action.text()))
        self._f10 = QShortcut(QKeySequence("F10"), self, self.menu_button.showMenu)
        tools = QHBoxLayout()
        tools.setContentsMargins(0, 0, 0, 0)
        tools.setSpacing(2)
        tools.addWidget(self.undo)
        tools.addWidget(self.redo)
        corner = QVBoxLayout()
        corner.setContentsMargins(10, 6, 10, 6)
        corner.setSpacing(2)
        corner.addWidget(self.menu_button)
        corner.addLayout(tools)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addLayout(corner)
        row.addWidget(way, 1)

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        for button in (self.menu_button, self.undo, self.redo):
            button.set_theme(look)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The ground of the bar."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._look.way))
        painter.end()

    def _fill_menu(self, actions: Actions) -> None:
        for name in MENUS:
            part = self.menu.addMenu(name)
            for row, action in actions.of_menu(name):
                if row.apart:
                    part.addSeparator()
                part.addAction(action)
                if row.id == "sample":
                    part.addMenu(self.recent_menu)

    def _fill_recent(self) -> None:
        self.recent_menu.clear()
        paths = self._recent()
        for path in paths:
            action = self.recent_menu.addAction(path.name.removesuffix(".job.gpkg"))
            action.setToolTip(str(path))
            action.triggered.connect(lambda _=False, path=path: self._open_recent(path))
        if not paths:
            self.recent_menu.addAction("none yet").setEnabled(False)


class HeadButton(QToolButton):
    """A button on the dark ground of the head: the menu's word, or a bent arrow for undo and redo.

    Args:
        kind: Menu, undo or redo.
        look: The theme.
        parent: The head.
    """

    def __init__(self, kind: str, look: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._kind, self._look = kind, look
        self.setAccessibleName({"Menu": "Menu", "undo": "Undo", "redo": "Do again"}[kind])
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        if kind == "Menu":
            self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """Room for the word or the arrow."""
        metrics = QFontMetricsF(self._look.font(10.0, weight=600))
        if self._kind == "Menu":
            return QSize(round(metrics.horizontalAdvance("Menu") + 38), round(metrics.height() + 8))
        return QSize(round(34 * self._look.scale), round(metrics.height() + 4))

    def minimumSizeHint(self) -> QSize:
        """The same."""
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draws three wires and the word, or the arrow."""
        look, painter = self._look, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.underMouse() or self.hasFocus() or self.isDown():
            painter.setPen(QPen(QColor(look.way_soft), 1.0) if self.hasFocus() else Qt.PenStyle.NoPen)
            painter.setBrush(QColor(look.way_in_hand))
            painter.drawRoundedRect(self.rect().adjusted(1, 1, -1, -1), 4, 4)
        ink = QColor(look.way_ink if self.isEnabled() else look.nothing)
        if self._kind == "Menu":
            middle = self.height() / 2.0
            painter.setPen(QPen(ink, 1.6))
            for off in (-4.5, 0.0, 4.5):
                painter.drawLine(10, round(middle + off), 22, round(middle + off))
            painter.setFont(look.font(10.0, weight=600))
            painter.drawText(self.rect().adjusted(29, 0, 0, 0), int(Qt.AlignmentFlag.AlignVCenter), "Menu")
        else:
            self._draw_arrow(painter, ink)
        painter.end()

    def _draw_arrow(self, painter: QPainter, ink: QColor) -> None:
        painter.translate(self.width() / 2.0, self.height() / 2.0)
        painter.scale(self._look.scale if self._kind == "undo" else -self._look.scale, self._look.scale)
        painter.setPen(QPen(ink, 1.8, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
        painter.drawArc(-6, -4, 12, 10, -60 * 16, 210 * 16)
        painter.drawLine(-6, 0, -9, -4)
        painter.drawLine(-6, 0, -1, -3)
