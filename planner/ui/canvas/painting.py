"""Handing arrays to a painter without a loop, and symbols from a small store of ready pictures."""

from __future__ import annotations

from typing import cast

import numpy as np
import shiboken6
from PySide6.QtCore import QLineF, QPointF, QRect
from PySide6.QtGui import QColor, QPainter, QPixmap

from planner.geometry.arrays import Booleans, Floats
from planner.render.symbols import SYMBOLS, draw_symbol
from planner.ui.canvas.view import MapView


def screen_segments(segments: Floats, view: MapView) -> Floats:
    """Segments in pixels of the window. Shape (n, 4) in and out.

    Args:
        segments: East, north, east, north of each. [m]
        view: The view.
    """
    scale = np.array([1.0, -1.0, 1.0, -1.0]) / view.units_per_px
    return np.ascontiguousarray((segments - np.array([view.x, view.y] * 2)) * scale
                                + np.array([view.width / 2.0, view.height / 2.0] * 2))


def touching(lines: Floats, rect: QRect, slack: float) -> Booleans:
    """Which segments may touch a rectangle. Shape (n,).

    Args:
        lines: Segments in pixels. Shape (n, 4).
        rect: The rectangle.
        slack: How far around it counts. [px]
    """
    x1, y1, x2, y2 = lines.T
    return np.asarray((np.maximum(x1, x2) >= rect.left() - slack) & (np.minimum(x1, x2) <= rect.right() + slack)
                      & (np.maximum(y1, y2) >= rect.top() - slack) & (np.minimum(y1, y2) <= rect.bottom() + slack))


def draw_lines(painter: QPainter, lines: Floats) -> None:
    """Draws segments given in pixels. Shape (n, 4).

    Args:
        painter: Where, with its pen set.
        lines: Segments, float64.
    """
    if len(lines):
        ready = np.ascontiguousarray(lines, dtype=np.float64)
        first = cast(QLineF, shiboken6.wrapInstance(ready.ctypes.data, QLineF))
        painter.drawLines(first, len(ready))


class SymbolStore:
    """Symbols drawn once for each size, colour and pixel ratio, then copied."""

    def __init__(self) -> None:
        self._pixmaps: dict[tuple[str, float, str, str, float], QPixmap] = {}

    def draw(self, painter: QPainter, name: str, x: float, y: float, *, size_px: float | None = None, ink: str,
             ground: str) -> None:
        """Draws a symbol with its middle at a place of the window.

        Args:
            painter: Where.
            name: Name of the symbol.
            x: Pixels right.
            y: Pixels down.
            size_px: Its size; None for its own.
            ink: Its colour.
            ground: Colour of what it stands on.
        """
        size = SYMBOLS[name].size_px if size_px is None else size_px
        dpr = painter.device().devicePixelRatioF()
        key = (name, size, ink, ground, dpr)
        pixmap = self._pixmaps.get(key)
        if pixmap is None:
            side = int(np.ceil((size * 1.25 + 6) * dpr / 2)) * 2
            pixmap = QPixmap(side, side)
            pixmap.setDevicePixelRatio(dpr)
            pixmap.fill(QColor(0, 0, 0, 0))
            inner = QPainter(pixmap)
            draw_symbol(inner, name, QPointF(side / dpr / 2, side / dpr / 2), size_px=size, ink=ink, ground=ground)
            inner.end()
            if len(self._pixmaps) > 400:
                self._pixmaps.clear()
            self._pixmaps[key] = pixmap
        half = pixmap.width() / dpr / 2
        painter.drawPixmap(QPointF(x - half, y - half), pixmap)
