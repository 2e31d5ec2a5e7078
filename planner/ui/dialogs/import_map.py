"""A small map of what is about to be brought in, over what the job holds already."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.geometry.arrays import Floats
from planner.survey.fixes import MeasuredLine, MeasuredPoint
from planner.ui.canvas.view import MapView
from planner.ui.dialogs.import_roles import Role
from planner.ui.theme import Theme

MOST_DRAWN = 20_000


class PreviewMap(QWidget):
    """Draws lines by what they are taken as.

    Args:
        look: The theme.
        parent: Qt parent.
    """

    def __init__(self, look: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAccessibleName("Where the lines lie")
        self.setMinimumSize(220, 190)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._look = look
        self._lines: list[tuple[MeasuredLine, Role]] = []
        self._points: list[MeasuredPoint] = []
        self._own: list[Floats] = []
        self._fitted: list[Floats] = []
        self._lit, self._file = "", ""
        self._words = "Nothing can be placed yet."

    def show_lines(self, lines: Sequence[tuple[MeasuredLine, Role]], points: Sequence[MeasuredPoint],
                   own: Sequence[Floats], fitted: Sequence[Floats]) -> None:
        """Shows other lines.

        Args:
            lines: Lines in one grid, with what they are taken as.
            points: Points in that grid.
            own: Lines the job holds already. [m] Shape (n, 2) each.
            fitted: Corners of fitted walks. [m] Shape (n, 2) each.
        """
        self._lines, self._points = list(lines), list(points)
        self._own, self._fitted = list(own), list(fitted)
        self.update()

    def light(self, name: str) -> None:
        """Lights up the line of a name."""
        self._lit = name
        self.update()

    def look_at(self, file: str) -> None:
        """Shows the ground around what one file holds; an empty text shows all of it."""
        self._file = file
        self.update()

    def say(self, words: str) -> None:
        """What stands in place of a map when there is none."""
        self._words = words
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draws the map."""
        look, painter = self._look, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        card = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.setPen(QPen(QColor(look.edge), 1.0))
        painter.setBrush(QColor(look.map.ground))
        painter.drawRoundedRect(card, 4, 4)
        view = self._view()
        if view is None:
            painter.setPen(QColor(look.soft_ink))
            painter.setFont(look.font(10))
            painter.drawText(card.adjusted(12, 8, -12, -8),
                             int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap), self._words)
        else:
            painter.setClipRect(card.adjusted(1, 1, -1, -1))
            self._draw(painter, view)
        painter.end()

    def _view(self) -> MapView | None:
        parts = self._parts(self._file) or self._parts("")
        if not parts:
            return None
        xy = np.concatenate(parts)
        near = xy if not self._own else np.concatenate([xy, *self._near_own(xy)])
        (west, south), (east, north) = near.min(axis=0).tolist(), near.max(axis=0).tolist()
        return MapView(0.0, 0.0, 1.0, self.width(), self.height()).fitted((west, south, east, north), margin_px=18.0)

    def _parts(self, file: str) -> list[Floats]:
        parts = [line.xy[:, :2] for line, _ in self._lines if not file or line.file == file]
        points = [(p.x, p.y) for p in self._points if not file or p.file == file]
        return [*parts, np.array(points)] if points else parts

    def _near_own(self, xy: Floats) -> list[Floats]:
        """The job's own lines, unless they are so far away that nothing would be seen."""
        size = float(np.hypot(*np.ptp(xy, axis=0))) + 500.0
        middle = xy.mean(axis=0)
        return [own for own in self._own if float(np.hypot(*(own.mean(axis=0) - middle))) < 3.0 * size]

    def _draw(self, painter: QPainter, view: MapView) -> None:
        look = self._look
        for xy in self._own:
            _line(painter, view, xy, QPen(QColor(look.map.faint), 1.0, Qt.PenStyle.DotLine))
        for line, role in sorted(self._lines, key=lambda pair: pair[0].name == self._lit):
            lit = line.name == self._lit
            colour = {"fence": look.map.ink, "none": look.map.grid}.get(role) or look.map.line(role).name()
            style = Qt.PenStyle.DashLine if role == "none" else Qt.PenStyle.SolidLine
            pen = QPen(QColor(look.accent if lit else colour), 2.6 if lit else 1.5, style)
            _line(painter, view, line.xy[:, :2], pen)
        for xy in self._fitted:
            _line(painter, view, xy, QPen(QColor(look.accent), 1.6))
            painter.setBrush(QColor(look.accent))
            painter.setPen(Qt.PenStyle.NoPen)
            for x, y in view.screen_xy(xy).tolist():
                painter.drawRect(QRectF(x - 3, y - 3, 6, 6))
        painter.setPen(Qt.PenStyle.NoPen)
        for point in self._points[:5000]:
            x, y = view.to_screen(point.x, point.y)
            painter.setBrush(QColor(look.accent if point.code else look.map.faint))
            painter.drawEllipse(QPointF(x, y), 2.6, 2.6)


def _line(painter: QPainter, view: MapView, xy: Floats, pen: QPen) -> None:
    step = max(1, len(xy) // MOST_DRAWN)
    at = view.screen_xy(np.asarray(xy)[::step, :2])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in at.tolist()]))
