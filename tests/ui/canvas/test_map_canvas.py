from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from canvas_pictures import differing, pixels, wandering
from PySide6.QtCore import QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QColor, QPainter, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.ui.canvas.colours import DARK
from planner.ui.canvas.layer import VectorLayer
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.view import MapView

LINES = VectorLayer.of_lines("lines", wandering(300, 200), role="#202020")
Settle = Callable[[MapCanvas], None]


@pytest.fixture
def loaded(canvas: MapCanvas, settle: Settle) -> MapCanvas:
    canvas.set_layers([LINES])
    canvas.fit()
    settle(canvas)
    return canvas


def fresh(canvas: MapCanvas, view: MapView) -> np.ndarray:
    """What the map shows of a view when it comes to it from far away."""
    canvas.set_view(view.panned(1e7, 0).zoom_at(0.4, 0, 0), exact=True)
    canvas.set_view(view, exact=True)
    return pixels(canvas)


def wheel(canvas: MapCanvas, at: QPoint, notches: int) -> None:
    event = QWheelEvent(QPointF(at), QPointF(canvas.mapToGlobal(at)), QPoint(), QPoint(0, 120 * notches),
                        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False)
    QApplication.sendEvent(canvas, event)


def test_layers_are_shown(loaded: MapCanvas) -> None:
    assert (pixels(loaded) < 150).any(axis=2).mean() > 0.02


@pytest.mark.parametrize("step", [(14, 9), (-120, 75), (37, 0), (0, -300)])
def test_no_stale_pixel_after_panning(loaded: MapCanvas, step: tuple[int, int]) -> None:
    loaded.set_view(loaded.view.zoom_at(4.0, 320, 200), exact=True)
    for _ in range(12):
        loaded.set_view(loaded.view.panned(*step))
    shown = pixels(loaded)
    assert loaded.is_settled
    assert differing(shown, fresh(loaded, loaded.view)) == 0.0


def test_no_stale_pixel_once_settled_after_the_wheel(loaded: MapCanvas, settle: Settle) -> None:
    for notches in (3, 2, -1, -6, 9, 1):
        wheel(loaded, QPoint(200, 150), notches)
    settle(loaded)
    shown = pixels(loaded)
    assert differing(shown, fresh(loaded, loaded.view)) == 0.0


def test_no_stale_pixel_after_pan_and_wheel_before_it_settled(loaded: MapCanvas, settle: Settle) -> None:
    for i in range(20):
        loaded.set_view(loaded.view.panned(31, -17) if i % 3 else loaded.view.zoom_at(1.3, 100, 300))
        if i % 4 == 0:
            QApplication.processEvents()
    settle(loaded)
    shown = pixels(loaded)
    assert differing(shown, fresh(loaded, loaded.view)) == 0.0


def test_other_colours_reach_every_pixel(loaded: MapCanvas, settle: Settle) -> None:
    loaded.set_theme(DARK)
    settle(loaded)
    ground = np.array(QColor(DARK.ground).getRgb()[2::-1])
    assert (pixels(loaded)[0, 0] == ground).all() or (pixels(loaded)[5, 5] == ground).all()


def test_a_picture_drawn_at_once_is_told_of(loaded: MapCanvas) -> None:
    """So little to draw that the first slice draws all of it: the window has still to be painted anew."""
    loaded._work.stop()
    loaded._buffer.renew()
    assert loaded._buffer.work(seconds=60.0)
    assert loaded.is_settled


def test_other_layers_take_the_place_of_the_old(loaded: MapCanvas, settle: Settle) -> None:
    loaded.set_layers([])
    settle(loaded)
    assert (pixels(loaded) > 200).all()
    assert loaded.extent is None


def test_wheel_keeps_the_ground_under_the_pointer(loaded: MapCanvas) -> None:
    before = loaded.view.to_map(200.0, 150.0)
    scale = loaded.view.units_per_px
    wheel(loaded, QPoint(200, 150), 2)
    assert loaded.view.units_per_px == pytest.approx(scale / 1.25**2)
    assert loaded.view.to_map(200.0, 150.0) == pytest.approx(before, abs=loaded.view.units_per_px)


def test_dragging_pushes_the_map(loaded: MapCanvas) -> None:
    before = loaded.view
    QTest.mousePress(loaded, Qt.MouseButton.LeftButton, pos=QPoint(300, 200))
    for i in range(1, 6):
        QTest.mouseMove(loaded, QPoint(300 + 10 * i, 200 + 4 * i))
    QTest.mouseRelease(loaded, Qt.MouseButton.LeftButton, pos=QPoint(350, 220))
    moved = before.panned(50, 20)
    assert (loaded.view.x, loaded.view.y) == pytest.approx((moved.x, moved.y), abs=loaded.view.units_per_px)


def test_a_click_without_a_drag_tells_the_place(loaded: MapCanvas, qtbot) -> None:
    with qtbot.waitSignal(loaded.clicked) as got:
        QTest.mouseClick(loaded, Qt.MouseButton.LeftButton, pos=QPoint(100, 50))
    assert tuple(got.args) == pytest.approx(loaded.view.to_map(100, 50))


def test_the_pointer_tells_where_it_is(loaded: MapCanvas, qtbot) -> None:
    with qtbot.waitSignal(loaded.pointed) as got:
        QTest.mouseMove(loaded, QPoint(10, 20))
    assert tuple(got.args) == pytest.approx(loaded.view.to_map(10, 20))


@pytest.mark.parametrize(("key", "push"), [(Qt.Key.Key_Left, (64, 0)), (Qt.Key.Key_Right, (-64, 0)),
                                           (Qt.Key.Key_Up, (0, 64)), (Qt.Key.Key_Down, (0, -64))])
def test_arrows_move_the_map(loaded: MapCanvas, key: Qt.Key, push: tuple[int, int]) -> None:
    want = loaded.view.panned(*push)
    QTest.keyClick(loaded, key)
    assert (loaded.view.x, loaded.view.y) == pytest.approx((want.x, want.y))


def test_plus_minus_and_home(loaded: MapCanvas) -> None:
    start = loaded.view
    QTest.keyClick(loaded, Qt.Key.Key_Plus)
    assert loaded.view.units_per_px == pytest.approx(start.units_per_px / 1.25)
    QTest.keyClick(loaded, Qt.Key.Key_Minus)
    QTest.keyClick(loaded, Qt.Key.Key_Minus)
    assert loaded.view.units_per_px == pytest.approx(start.units_per_px * 1.25)
    QTest.keyClick(loaded, Qt.Key.Key_Home)
    assert loaded.view.units_per_px == pytest.approx(start.units_per_px)


def test_view_changed_tells_the_new_view_once(loaded: MapCanvas) -> None:
    seen: list[MapView] = []
    loaded.view_changed.connect(seen.append)
    loaded.set_view(loaded.view.panned(5, 5))
    loaded.set_view(loaded.view)
    assert seen == [loaded.view]


def test_resizing_keeps_the_middle(loaded: MapCanvas, settle: Settle) -> None:
    middle = (loaded.view.x, loaded.view.y)
    loaded.resize(801, 503)
    settle(loaded)
    assert (loaded.view.width, loaded.view.height) == (801, 503)
    assert (loaded.view.x, loaded.view.y) == pytest.approx(middle, abs=loaded.view.units_per_px)
    shown = pixels(loaded)
    assert differing(shown, fresh(loaded, loaded.view)) == 0.0


class Recorder:
    """A tool that takes everything but the middle button."""

    cursor = Qt.CursorShape.CrossCursor
    hint = "click"

    def __init__(self, takes: bool = True) -> None:
        self.seen: list[str] = []
        self.takes = takes

    def _note(self, what: str) -> bool:
        self.seen.append(what)
        return self.takes

    def mouse_press(self, event) -> bool:
        return self._note("press")

    def mouse_move(self, event) -> bool:
        return self._note("move")

    def mouse_release(self, event) -> bool:
        return self._note("release")

    def double_click(self, event) -> bool:
        return self._note("double")

    def key_press(self, event) -> bool:
        return self._note("key")


def test_a_tool_has_mouse_and_keys_first(loaded: MapCanvas) -> None:
    tool, before = Recorder(), loaded.view
    loaded.set_tool(tool)
    assert loaded.cursor().shape() == Qt.CursorShape.CrossCursor
    QTest.mousePress(loaded, Qt.MouseButton.LeftButton, pos=QPoint(50, 50))
    QTest.mouseMove(loaded, QPoint(90, 90))
    QTest.mouseRelease(loaded, Qt.MouseButton.LeftButton, pos=QPoint(90, 90))
    QTest.keyClick(loaded, Qt.Key.Key_Left)
    assert tool.seen == ["press", "move", "release", "key"]
    assert loaded.view == before


def test_the_middle_button_pushes_the_map_under_any_tool(loaded: MapCanvas) -> None:
    tool, before = Recorder(), loaded.view
    loaded.set_tool(tool)
    QTest.mousePress(loaded, Qt.MouseButton.MiddleButton, pos=QPoint(50, 50))
    QTest.mouseMove(loaded, QPoint(90, 90))
    QTest.mouseRelease(loaded, Qt.MouseButton.MiddleButton, pos=QPoint(90, 90))
    assert tool.seen == []
    assert loaded.view != before


def test_what_a_tool_leaves_goes_to_the_map(loaded: MapCanvas) -> None:
    tool, before = Recorder(takes=False), loaded.view
    loaded.set_tool(tool)
    QTest.keyClick(loaded, Qt.Key.Key_Left)
    assert loaded.view != before


class Spot:
    """An overlay that marks a place on the ground."""

    def __init__(self) -> None:
        self.painted = 0

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme) -> None:
        self.painted += 1
        painter.fillRect(self.bounds_px(view), QColor("#ff0000"))

    def bounds_px(self, view: MapView) -> QRect:
        x, y = view.to_screen(2000.0, 2000.0)
        return QRect(round(x) - 5, round(y) - 5, 10, 10)


def test_overlays_are_drawn_on_top_and_only_where_they_are(canvas: MapCanvas) -> None:
    spot = Spot()
    canvas.add_overlay(spot)
    canvas.set_view(MapView(2000.0, 2000.0, 1.0, 640, 400), exact=True)
    assert pixels(canvas)[200, 320].tolist() == [0, 0, 255]
    canvas.set_view(canvas.view.panned(5000, 0), exact=True)
    QApplication.processEvents()
    before = spot.painted
    pixels(canvas)
    assert spot.painted == before
    canvas.remove_overlay(spot)
    canvas.set_view(MapView(2000.0, 2000.0, 1.0, 640, 400), exact=True)
    assert pixels(canvas)[200, 320].tolist() != [0, 0, 255]


def test_a_small_layer_is_there_at_once(canvas: MapCanvas) -> None:
    canvas.set_layers([VectorLayer.of_lines("creek", [np.array([[0.0, 0.0], [1000.0, 0.0]])], role="#202020")])
    canvas.set_view(MapView(500.0, 0.0, 1.0, 640, 400), exact=True)
    assert canvas.is_settled
    assert (pixels(canvas)[199:202, 320] < 200).any()


def test_layers_already_shown_keep_their_levels(loaded: MapCanvas, settle: Settle) -> None:
    before = loaded._scene.pyramids[0]
    loaded.set_layers([LINES, VectorLayer.of_lines("creek", [np.zeros((2, 2))])])
    assert loaded._scene.pyramids[0] is before
    assert not loaded._worker.is_busy


def test_nothing_runs_on_once_the_map_is_closed(loaded: MapCanvas) -> None:
    loaded.set_layers([VectorLayer.of_lines("more", wandering(300, 300, seed=3))])
    loaded.close()
    assert not loaded._worker.is_busy
    assert not loaded._work.isActive()


def test_work_ends_when_everything_is_drawn(loaded: MapCanvas, qtbot) -> None:
    qtbot.waitUntil(lambda: not loaded._work.isActive(), timeout=10_000)
    assert loaded.is_settled
