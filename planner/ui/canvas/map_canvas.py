"""The map as one widget: layers and backdrops from the back buffer, overlays on top, tools acting on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QEvent, QPointF, QRect, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from planner.ui.canvas.back_buffer import BackBuffer
from planner.ui.canvas.colours import LIGHT, MapColours
from planner.ui.canvas.layer import VectorLayer, bounds_of
from planner.ui.canvas.layer_worker import LayerWorker
from planner.ui.canvas.protocols import Backdrop, Overlay, Tool
from planner.ui.canvas.pyramid import Level, Pyramid, small_pyramid
from planner.ui.canvas.scene import Scene
from planner.ui.canvas.view import Bounds, MapView

WHEEL_STEP = 1.25
"""Enlargement by one notch of the wheel."""
PAN_PX, PAN_FAR_PX = 64, 256
_ARROWS = {Qt.Key.Key_Left: (1, 0), Qt.Key.Key_Right: (-1, 0), Qt.Key.Key_Up: (0, 1), Qt.Key.Key_Down: (0, -1)}


class MapCanvas(QWidget):
    """The map.

    The middle button, and the left one where no tool takes it, push the map about; the wheel enlarges it where the
    pointer is; arrows move it (further with Shift), plus and minus enlarge it, Home shows everything.

    Attributes:
        pointed: East and north under the pointer. [m]
        left: The pointer has left the map.
        clicked: East and north of a click that no tool took. [m]
        view_changed: The new ``MapView``.
        settled: What is on view has become exact.
        level_taken: One level of one layer has become ready.
        layers_ready: Every level of the layers last given is ready.
    """

    pointed = Signal(float, float)
    left = Signal()
    clicked = Signal(float, float)
    view_changed = Signal(object)
    settled = Signal()
    level_taken = Signal()
    layers_ready = Signal()

    def __init__(self, parent: QWidget | None = None, *, theme: MapColours = LIGHT) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAccessibleName("Map")
        self.setMinimumSize(160, 120)
        self._scene = Scene(theme)
        self._buffer = BackBuffer(self._scene)
        self._view = MapView(0.0, 0.0, 1.0, max(1, self.width()), max(1, self.height()))
        self._overlays: list[Overlay] = []
        self._tool: Tool | None = None
        self._grip: QPointF | None = None
        self._has_moved = False
        self._work = QTimer(self)
        self._work.setInterval(0)
        self._work.timeout.connect(self._work_a_slice)
        self._worker = LayerWorker(self)
        self._worker.level_ready.connect(self._take_level)
        self._worker.finished.connect(self.layers_ready)
        self.destroyed.connect(self._worker.stop)

    # -- what is shown ------------------------------------------------------------------------------------------

    @property
    def view(self) -> MapView:
        """Where the map is looked at from."""
        return self._view

    @property
    def theme(self) -> MapColours:
        """Colours."""
        return self._scene.theme

    @property
    def layers(self) -> tuple[VectorLayer, ...]:
        """Layers, the lowest first."""
        return tuple(pyramid.layer for pyramid in self._scene.pyramids)

    @property
    def is_settled(self) -> bool:
        """True when what is on view is exact and every layer is ready."""
        return self._buffer.is_settled and not self._worker.is_busy

    @property
    def extent(self) -> Bounds | None:
        """West, south, east, north of everything shown. [m]"""
        boxes = [bounds_of(self.layers), *(backdrop.bounds for backdrop in self._scene.backdrops)]
        known = [box for box in boxes if box is not None]
        return (min(b[0] for b in known), min(b[1] for b in known), max(b[2] for b in known),
                max(b[3] for b in known)) if known else None

    def set_theme(self, theme: MapColours) -> None:
        """Takes other colours."""
        self._scene.theme = theme
        self._renew()

    def set_layers(self, layers: Sequence[VectorLayer]) -> None:
        """Shows these layers and no others; layers already shown keep what was built for them."""
        known = {id(pyramid.layer): pyramid for pyramid in self._scene.pyramids}
        known |= {id(layer): small_pyramid(layer) for layer in layers if layer.is_small}
        whole = set() if self._worker.is_busy else {key for key, own in known.items() if len(own.levels) > 1}
        extent = bounds_of(layers)
        self._scene.pyramids = tuple(known.get(id(layer), Pyramid(layer)) for layer in layers)
        missing = [layer for layer in layers if not layer.is_small and id(layer) not in whole]
        if extent is not None and missing:
            self._worker.build(missing, extent)
        else:
            self._worker.drop()
        self._renew()

    def set_backdrop(self, *backdrops: Backdrop) -> None:
        """Shows these pictures under the lines, the lowest first; none takes them away."""
        self._scene.backdrops = tuple(backdrops)
        self._renew()

    def set_view(self, view: MapView, exact: bool = False) -> None:
        """Looks from somewhere else.

        Args:
            view: The wanted look; the size of the window stands in place of its own.
            exact: True to draw the exact picture before returning, however long it takes.
        """
        view = view.resized(self.width(), self.height())
        self._buffer.resize(*self._device_size())
        dpr = self.devicePixelRatioF()
        west, _, _, north = view.bounds
        left, top = self._buffer.look(west, north, view.units_per_px / dpr, exact=exact)
        snapped = replace(view, x=view.x + left - west, y=view.y + top - north)
        changed, self._view = snapped != self._view, snapped
        self._keep_working()
        self.update()
        if changed:
            self.view_changed.emit(self._view)

    def fit(self, bounds: Bounds | None = None) -> None:
        """Shows all of some bounds, or of everything there is. [m]"""
        bounds = bounds or self.extent
        if bounds is not None:
            self.set_view(self._view.resized(self.width(), self.height()).fitted(bounds))

    def add_overlay(self, overlay: Overlay) -> None:
        """Draws something over the map from now on, above what was added before."""
        self._overlays.append(overlay)
        self.update()

    def remove_overlay(self, overlay: Overlay) -> None:
        """Draws it no longer."""
        self._overlays = [own for own in self._overlays if own is not overlay]
        self.update()

    def set_tool(self, tool: Tool | None) -> None:
        """Lets a tool have the mouse and the keyboard first."""
        self._tool = tool
        self.setCursor(tool.cursor if tool is not None else Qt.CursorShape.OpenHandCursor)

    def stop(self) -> None:
        """Ends all background work of the map."""
        self._work.stop()
        self._worker.stop()

    # -- drawing ------------------------------------------------------------------------------------------------

    def _device_size(self) -> tuple[int, int]:
        dpr = self.devicePixelRatioF()
        return max(1, round(self.width() * dpr)), max(1, round(self.height() * dpr))

    def _renew(self) -> None:
        self._buffer.extent = self.extent
        self._buffer.renew()
        self._keep_working()
        self.update()

    def _take_level(self, layer: VectorLayer, level: Level) -> None:
        upp = self._view.units_per_px / self.devicePixelRatioF()
        for i, pyramid in enumerate(self._scene.pyramids):
            if pyramid.layer is layer:
                better = pyramid.with_level(level)
                rows = list(self._scene.pyramids)
                rows[i] = better
                self._scene.pyramids = tuple(rows)
                self._buffer.refine(better.level_for(upp) is not pyramid.level_for(upp))
        self._keep_working()
        self.level_taken.emit()

    def _keep_working(self) -> None:
        if self._buffer.wants_work and self.isVisible() and not self._work.isActive():
            self._work.start()

    def _work_a_slice(self) -> None:
        was_settled = self._buffer.is_settled
        if self._buffer.work():
            self.update()
        if not was_settled and self._buffer.is_settled:
            self.settled.emit()
        if not self._buffer.wants_work:
            self._work.stop()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Shows the buffer and draws the overlays over it."""
        painter = QPainter(self)
        dpr = self.devicePixelRatioF()
        if dpr != 1.0:
            painter.save()
            painter.scale(1.0 / dpr, 1.0 / dpr)
        self._buffer.paint(painter)
        if dpr != 1.0:
            painter.restore()
        dirty = event.rect()
        for overlay in self._overlays:
            if overlay.bounds_px(self._view).intersects(dirty):
                painter.save()
                overlay.paint(painter, self._view, dirty, self._scene.theme)
                painter.restore()
        painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keeps the middle of the map in the middle."""
        self.set_view(self._view)
        super().resizeEvent(event)

    def showEvent(self, event: QEvent) -> None:
        """Goes on drawing."""
        self.set_view(self._view)

    def closeEvent(self, event: QEvent) -> None:
        """Ends background work."""
        self.stop()

    # -- mouse and keyboard -------------------------------------------------------------------------------------

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Enlarges the map where the pointer is."""
        notches = event.angleDelta().y() / 120.0
        if notches:
            at = event.position()
            self.set_view(self._view.zoom_at(WHEEL_STEP**notches, at.x(), at.y()))
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Gives the press to the tool, or takes hold of the map."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        middle = event.button() == Qt.MouseButton.MiddleButton
        if not middle and self._tool is not None and self._tool.mouse_press(event) is not False:
            return
        if middle or event.button() == Qt.MouseButton.LeftButton:
            self._grip, self._has_moved = event.position(), False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Pushes the map when it is held, else tells the tool; tells where the pointer is."""
        at = event.position()
        if self._grip is not None:
            moved = (at - self._grip).toPoint()
            if self._has_moved or moved.manhattanLength() > 3:
                self._has_moved = True
                self._grip += QPointF(moved)
                self.setCursor(Qt.CursorShape.ClosedHandCursor)
                self.set_view(self._view.panned(moved.x(), moved.y()))
        elif self._tool is not None:
            self._tool.mouse_move(event)
        self.pointed.emit(*self._view.to_map(at.x(), at.y()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Lets go of the map, or tells the tool."""
        if self._grip is None:
            if self._tool is not None:
                self._tool.mouse_release(event)
            return
        self._grip = None
        self.set_tool(self._tool)
        if not self._has_moved and event.button() == Qt.MouseButton.LeftButton:
            at = event.position()
            self.clicked.emit(*self._view.to_map(at.x(), at.y()))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Tells the tool; without one, enlarges the map there."""
        if self._tool is not None and self._tool.double_click(event) is not False:
            return
        self.set_view(self._view.zoom_at(2.0, event.position().x(), event.position().y()))

    def leaveEvent(self, event: QEvent) -> None:
        """Tells that the pointer has left."""
        self.left.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Gives the key to the tool, or moves and enlarges the map."""
        if self._tool is not None and self._tool.key_press(event):
            return
        key = Qt.Key(event.key())
        step = PAN_FAR_PX if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else PAN_PX
        middle = (self.width() / 2.0, self.height() / 2.0)
        if key in _ARROWS:
            across, down = _ARROWS[key]
            self.set_view(self._view.panned(across * step, down * step))
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.set_view(self._view.zoom_at(WHEEL_STEP, *middle))
        elif key in (Qt.Key.Key_Minus, Qt.Key.Key_Underscore):
            self.set_view(self._view.zoom_at(1.0 / WHEEL_STEP, *middle))
        elif key == Qt.Key.Key_Home:
            self.fit()
        else:
            super().keyPressEvent(event)

    def dirty(self, overlay: Overlay) -> None:
        """Draws again what an overlay touches."""
        self.update(overlay.bounds_px(self._view) & QRect(0, 0, self.width(), self.height()))
