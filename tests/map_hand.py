"""A hand on the map: mouse and keys at known places on the ground, for the tests of the tools."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

LEFT, NONE = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier


class Hand:
    """Works on the map of a window."""

    def __init__(self, window, qtbot) -> None:
        self.window, self.qtbot = window, qtbot
        self.document, self.canvas = window.document, window.work.canvas

    @property
    def tool(self):
        return self.window.work.tools.tool

    def take(self, action: str):
        self.window.actions_table[action].trigger()
        return self.tool

    def look_at(self, x: float, y: float, upp: float = 1.0) -> None:
        self.canvas.set_view(replace(self.canvas.view, x=x, y=y, units_per_px=upp), exact=True)

    def px(self, x: float, y: float) -> QPoint:
        sx, sy = self.canvas.view.to_screen(x, y)
        at = QPoint(round(float(sx)), round(float(sy)))
        assert self.canvas.rect().contains(at), f"({x}, {y}) is not in sight"
        return at

    def move(self, x: float, y: float) -> None:
        QTest.mouseMove(self.canvas, self.px(x, y))

    def click(self, x: float, y: float, keys=NONE) -> None:
        self.move(x, y)
        QTest.mouseClick(self.canvas, LEFT, keys, self.px(x, y))

    def drag(self, start, end, keys=NONE, steps: int = 4, release: bool = True) -> None:
        self.move(*start)
        QTest.mousePress(self.canvas, LEFT, keys, self.px(*start))
        for i in range(1, steps + 1):
            share = i / steps
            self.move(start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
        if release:
            self.release(*end, keys)

    def release(self, x: float, y: float, keys=NONE) -> None:
        QTest.mouseRelease(self.canvas, LEFT, keys, self.px(x, y))

    def key(self, key: Qt.Key, keys=NONE) -> None:
        QTest.keyClick(self.window.focusWidget() or self.canvas, key, keys)

    def type(self, text: str) -> None:
        for letter in text:
            QTest.keyClicks(self.window.focusWidget() or self.canvas, letter)


def shifted(xy, east: float, north: float) -> tuple[float, float]:
    """A place some way off another."""
    return float(xy[0]) + east, float(xy[1]) + north
