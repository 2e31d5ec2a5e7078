"""What all tools have in common: they are taken up and put down, catch places, and draw their gesture over the map."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPointF, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter

from planner.job.job import Job
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.snap import Leg, Snap
from planner.ui.canvas.view import MapView
from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.tools.catching import Catcher
from planner.units import Metre

REACH_PX = 10.0
"""How near the pointer must come to a thing to catch it. [px]"""
CLICK_PX = 4.0
"""A press that moves farther than this is a drag. [px]"""


class MapTool(QObject):
    """One tool. It is a Tool and an Overlay of the map.

    Args:
        document: The document.
        canvas: The map.
        measures: How values are shown and read.
        look: The theme.

    Attributes:
        hinted: What it waits for has changed.
        ended: It wants to be put down.
        cursor: Shape of the pointer.
        hint: What it waits for, for the foot line.
    """

    hinted = Signal(str)
    ended = Signal()
    cursor = Qt.CursorShape.CrossCursor

    def __init__(self, document: Document, canvas: MapCanvas, measures: Measures, look: Theme) -> None:
        super().__init__(canvas)
        self.document, self.canvas, self.measures, self.look = document, canvas, measures, look
        self.hint = ""
        self.catcher = Catcher(document, canvas)
        self.pointer: tuple[Metre, Metre] | None = None
        self._pressed: QPointF | None = None
        self._pans = False

    # taken up and put down

    def begin(self) -> None:
        """Takes the tool up."""
        self.catcher.refresh()
        self.canvas.add_overlay(self)
        self.canvas.installEventFilter(self)
        self.document.job_changed.connect(self.job_changed)
        self.canvas.view_changed.connect(self.view_changed)

    def end(self) -> None:
        """Puts it down; what was not finished is given up."""
        self.give_up()
        self.canvas.removeEventFilter(self)
        self.document.job_changed.disconnect(self.job_changed)
        self.canvas.view_changed.disconnect(self.view_changed)
        self.canvas.remove_overlay(self)
        self.catcher.close()

    def give_up(self) -> bool:
        """Gives the gesture up; True when there was one."""
        return False

    def job_changed(self, job: Job) -> None:
        """The job is another one now."""
        self.catcher.refresh()

    def view_changed(self, view: MapView) -> None:
        """The map is looked at from somewhere else."""

    def set_looks(self, measures: Measures, look: Theme) -> None:
        """Takes other units and colours."""
        self.measures, self.look = measures, look
        self.redraw()

    def say(self, hint: str) -> None:
        """Says what it waits for."""
        if hint != self.hint:
            self.hint = hint
            self.hinted.emit(hint)

    def redraw(self) -> None:
        """Draws the gesture again."""
        self.canvas.update()

    # places

    def place(self, event: QMouseEvent) -> tuple[Metre, Metre]:
        """The place on the ground under the pointer. [m]"""
        x, y = self.canvas.view.to_map(event.position().x(), event.position().y())
        return float(x), float(y)

    @property
    def reach_m(self) -> Metre:
        """How near on the ground counts as caught now. [m]"""
        return REACH_PX * self.canvas.view.units_per_px

    def caught(self, x: Metre, y: Metre, *, leg: Leg | None = None) -> Snap | None:
        """What a place snaps to; None when nothing is near."""
        return self.catcher.nearest(x, y, self.reach_m, leg=leg)

    # mouse: a short press is a click, a long one pushes the map about

    def mouse_press(self, event: QMouseEvent) -> bool:
        """A button went down."""
        if event.button() != Qt.MouseButton.LeftButton:
            return event.button() == Qt.MouseButton.RightButton
        self._pressed, self._pans = event.position(), False
        return True

    def mouse_move(self, event: QMouseEvent) -> bool:
        """The pointer moved."""
        if self._pressed is not None and event.buttons() & Qt.MouseButton.LeftButton:
            moved = (event.position() - self._pressed).toPoint()
            if self._pans or moved.manhattanLength() > CLICK_PX:
                self._pans = True
                self._pressed += QPointF(moved)
                self.canvas.set_view(self.canvas.view.panned(moved.x(), moved.y()))
            return True
        self.pointer = self.place(event)
        self.hover(event)
        return True

    def mouse_release(self, event: QMouseEvent) -> bool:
        """A button went up: a click where the map was not pushed."""
        if event.button() != Qt.MouseButton.LeftButton or self._pressed is None:
            return False
        self._pressed = None
        if not self._pans:
            self.pointer = self.place(event)
            self.click(event)
        return True

    def double_click(self, event: QMouseEvent) -> bool:
        """A button was pressed twice."""
        return True

    def hover(self, event: QMouseEvent) -> None:
        """The pointer moved without a button."""

    def click(self, event: QMouseEvent) -> None:
        """A click."""

    def key_press(self, event: QKeyEvent) -> bool:
        """A key went down: Escape gives the gesture up, and once there is none, puts the tool down."""
        if event.key() == Qt.Key.Key_Escape:
            if not self.give_up():
                self.ended.emit()
            self.redraw()
            return True
        return False

    def tab(self, backwards: bool) -> bool:
        """The Tab key went down on the map; False leaves it to the window."""
        return False

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Asks the tool first whether it wants the Tab key."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = event.key()
            if key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
                return self.tab(key == Qt.Key.Key_Backtab)
        return False

    # drawing

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the gesture."""

    def bounds_px(self, view: MapView) -> QRect:
        """A gesture may touch all of the window."""
        return QRect(0, 0, view.width, view.height)
