"""Symbols of water, trees, rock, services, standing fences and survey marks over the map."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from PySide6.QtCore import QPointF, QRect, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from planner.geometry.arrays import Floats
from planner.jobpack.symbol_words import SYMBOL_OF_FEATURE
from planner.survey.features import Feature
from planner.survey.fixes import MeasuredPoint
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.fence_shapes import apart
from planner.ui.canvas.painting import SymbolStore
from planner.ui.canvas.view import MapView


class FeatureMarks:
    """Symbols of features, where they stand or in the middle of their lines, and marks of surveyed points.

    Args:
        features: Features of a job.
        points: Surveyed points of a job.
    """

    def __init__(self, features: Sequence[Feature], points: Sequence[MeasuredPoint] = ()) -> None:
        marks = [(SYMBOL_OF_FEATURE[feature.meaning], feature.meaning, _middle(shapely.from_wkt(feature.wkt)))
                 for feature in features if feature.meaning in SYMBOL_OF_FEATURE]
        marks += [("control mark", "", (point.x, point.y)) for point in points]
        self._symbols = [symbol for symbol, _, _ in marks]
        self._roles = [role for _, role, _ in marks]
        self._xy = np.array([place for _, _, place in marks], dtype=np.float64).reshape(-1, 2)
        self._store = SymbolStore()

    @property
    def places(self) -> Floats:
        """Where the symbols stand. [m] Shape (n, 2)."""
        return self._xy

    def used_symbols(self) -> set[str]:
        """Names of the symbols, for a legend."""
        return set(self._symbols)

    def bounds_px(self, view: MapView) -> QRect:
        """All of the window."""
        return QRect(0, 0, view.width, view.height) if len(self._xy) else QRect()

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the symbols that lie in a rectangle, none on top of another."""
        room = dirty.adjusted(-16, -16, 16, 16)
        at = view.screen_xy(self._xy)
        for i in apart(self._xy / view.units_per_px, 18.0).tolist():
            x, y = at[i].tolist()
            if room.contains(int(x), int(y)):
                symbol = self._symbols[i]
                ink = theme.line(self._roles[i]).name() if self._roles[i] else theme.faint
                self._store.draw(painter, symbol, x, y, size_px=11.0 if symbol == "control mark" else None, ink=ink,
                                 ground=theme.ground)


def draw_chosen(painter: QPainter, view: MapView, shape: shapely.Geometry, theme: MapColours) -> None:
    """Draws the feature that is chosen: a band along its lines and outlines, a ring around its points.

    Args:
        painter: Where.
        view: The view.
        shape: Its shape in the grid. [m]
        theme: Colours.
    """
    band = QColor(theme.accent)
    band.setAlphaF(0.55)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(band, 5.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
    for part in shapely.get_parts(shape):
        if part.geom_type == "Point":
            x, y = (float(v) for v in view.to_screen(part.x, part.y))
            painter.drawEllipse(QPointF(x, y), 13.0, 13.0)
            continue
        for line in ([part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]):
            at = view.screen_xy(shapely.get_coordinates(line))
            painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in at.tolist()]))


def _middle(shape: shapely.Geometry) -> tuple[float, float]:
    if shapely.get_dimensions(shape) == 1:
        point = shapely.line_interpolate_point(shapely.get_parts(shape)[0], 0.5, normalized=True)
    else:
        point = shapely.point_on_surface(shape)
    return float(shapely.get_x(point)), float(shapely.get_y(point))
