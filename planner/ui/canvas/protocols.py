"""What the map asks of the things others give it: overlays drawn on top, tools that act on it, backdrops under it."""

from __future__ import annotations

from typing import NamedTuple, Protocol

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter

from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.view import Bounds, MapView


class Frame(NamedTuple):
    """A rectangle of ground laid on device pixels.

    Attributes:
        left: East of pixel 0. [m]
        top: North of pixel 0. [m]
        units_per_px: Ground that one device pixel covers. [m/px]
        width: Pixels across.
        height: Pixels down.
    """

    left: float
    top: float
    units_per_px: float
    width: int
    height: int

    def bounds(self, rect: QRect) -> Bounds:
        """The ground under some of its pixels. [m]"""
        return (self.left + rect.left() * self.units_per_px, self.top - (rect.bottom() + 1) * self.units_per_px,
                self.left + (rect.right() + 1) * self.units_per_px, self.top - rect.top() * self.units_per_px)


class Overlay(Protocol):
    """Something drawn over the map at every paint: the fence, a gesture, marks."""

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws what of it lies in ``dirty``, in device-independent pixels of the window."""

    def bounds_px(self, view: MapView) -> QRect:
        """What of the window it may touch, so that it alone can be drawn again."""


class Backdrop(Protocol):
    """A picture under the lines: terrain shading, an aerial image, tiles."""

    def draw(self, painter: QPainter, frame: Frame, rect: QRect, theme: MapColours) -> None:
        """Draws what of it lies under ``rect`` of a frame, in device pixels; the painter is clipped to it."""

    @property
    def bounds(self) -> Bounds | None:
        """The ground it covers; None when it covers everything or nothing is known."""


class Tool(Protocol):
    """What the mouse and the keyboard do on the map. A method that returns False leaves the event to the map itself."""

    cursor: Qt.CursorShape
    hint: str

    def mouse_press(self, event: QMouseEvent) -> bool:
        """A button went down on the map."""

    def mouse_move(self, event: QMouseEvent) -> bool:
        """The pointer moved, with or without a button."""

    def mouse_release(self, event: QMouseEvent) -> bool:
        """A button went up."""

    def double_click(self, event: QMouseEvent) -> bool:
        """A button was pressed twice."""

    def key_press(self, event: QKeyEvent) -> bool:
        """A key went down while the map had the keyboard."""
