"""What makes a picture a map: scale bar, north, and a light grid with its figures at the edge."""

from __future__ import annotations

import math
from typing import Literal

from PySide6.QtCore import QLineF, QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPixmap, QPolygonF

from planner.render.fonts import load_fonts
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.view import MapView
from planner.units import CHAIN_M, FOOT_M

Lengths = Literal["metric", "imperial", "chains"]
MILE_FT = 5280.0
_texts: dict[tuple[object, ...], QPixmap] = {}


def round_below(most: float) -> float:
    """The greatest of 1, 2 or 5 times a power of ten that is not above a number.

    Args:
        most: Number above zero.

    Example:
        >>> round_below(47.0)
        20.0
    """
    power = 10.0 ** math.floor(math.log10(most))
    return next(step * power for step in (5.0, 2.0, 1.0) if step * power <= most * (1 + 1e-12))


def scale_bar(units_per_px: float, most_px: float, lengths: Lengths = "metric") -> tuple[float, str]:
    """Length of a scale bar and its text, a round number in its unit.

    Args:
        units_per_px: Scale. [m/px]
        most_px: Greatest length. [px]
        lengths: metric, imperial or chains.

    Returns:
        Length [px] and text.
    """
    most_m = units_per_px * most_px
    if lengths == "metric":
        length = round_below(most_m)
        text = f"{length / 1000:g} km" if length >= 1000 else f"{length:g} m" if length >= 1 else f"{length * 100:g} cm"
        return length / units_per_px, text
    unit, name = (CHAIN_M, "ch") if lengths == "chains" else (FOOT_M, "ft")
    if lengths == "imperial" and most_m >= MILE_FT * FOOT_M:
        unit, name = MILE_FT * FOOT_M, "mi"
    number = round_below(most_m / unit)
    return number * unit / units_per_px, f"{number:g} {name}"


def figure(metres: float) -> str:
    """A grid figure with its thousands set apart.

    Args:
        metres: Whole metres.

    Example:
        >>> figure(5951400.0)
        '5 951 400'
    """
    return f"{metres:,.0f}".replace(",", " ")


class GridLines:
    """A light grid on round coordinates, with figures along the foot and the right edge.

    Args:
        spacing_px: Least distance between lines. [px]
    """

    def __init__(self, spacing_px: float = 150.0) -> None:
        self._spacing_px, self._scale = spacing_px, 1.0
        self._font = _small(8.0)

    def set_text_scale(self, scale: float) -> None:
        """Size of the figures; 1 is normal. Larger ones stand farther apart."""
        self._scale, self._font = scale, _small(8.0 * scale)

    def bounds_px(self, view: MapView) -> QRect:
        """All of the window."""
        return QRect(0, 0, view.width, view.height)

    def lines(self, view: MapView) -> tuple[list[float], list[float]]:
        """Eastings and northings of the lines in sight. [m]"""
        least = self._spacing_px * max(1.0, self._scale) * view.units_per_px
        step = round_below(least)
        step = next(step * times for times in (1.0, 2.0, 2.5, 5.0) if step * times >= least * 0.999)
        west, south, east, north = view.bounds
        return ([i * step for i in range(math.ceil(west / step), math.floor(east / step) + 1)],
                [i * step for i in range(math.ceil(south / step), math.floor(north / step) + 1)])

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws lines and figures."""
        easts, norths = self.lines(view)
        xs = [round(float(view.to_screen(e, view.y)[0])) for e in easts]
        ys = [round(float(view.to_screen(view.x, n)[1])) for n in norths]
        line = QColor(theme.faint)
        line.setAlpha(46)
        for x in xs:
            painter.fillRect(x, 0, 1, view.height, line)
        for y in ys:
            painter.fillRect(0, y, view.width, 1, line)
        painter.setFont(self._font)
        metrics = QFontMetricsF(self._font)
        high = metrics.height()
        for x, east in zip(xs, easts, strict=True):
            wide = metrics.horizontalAdvance(figure(east)) + 6
            box = QRectF(x - wide / 2, view.height - high - 2, wide, high)
            if box.left() > 190 and box.right() < view.width - 70:
                _haloed(painter, box, figure(east), theme)
        for y, north in zip(ys, norths, strict=True):
            wide = metrics.horizontalAdvance(figure(north)) + 6
            box = QRectF(view.width - wide - 2, y - high / 2, wide, high)
            if box.top() > 76 and box.bottom() < view.height - high - 6:
                _haloed(painter, box, figure(north), theme)


class Furniture:
    """Scale bar at the lower left and north at the upper right.

    Attributes:
        lengths: Unit of the scale bar.
        convergence_deg: Angle from grid north to true north, clockwise; 0 where it is not known. [deg]
    """

    def __init__(self, lengths: Lengths = "metric") -> None:
        self.lengths: Lengths = lengths
        self.convergence_deg = 0.0
        self._font = _small(9.0)

    def set_text_scale(self, scale: float) -> None:
        """Size of the letters; 1 is normal."""
        self._font = _small(9.0 * scale)

    def bounds_px(self, view: MapView) -> QRect:
        """All of the window."""
        return QRect(0, 0, view.width, view.height)

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws scale bar and north."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if dirty.intersects(QRect(0, view.height - 60, 220, 60)):
            self._scale_bar(painter, view, theme)
        if dirty.intersects(QRect(view.width - 70, 0, 70, 80)):
            self._north(painter, view, theme)

    def _scale_bar(self, painter: QPainter, view: MapView, theme: MapColours) -> None:
        length, text = scale_bar(view.units_per_px, 150.0, self.lengths)
        left, foot = 16.0, view.height - 14.0
        bar = QPolygonF([QPointF(left, foot - 6), QPointF(left, foot), QPointF(left + length, foot),
                         QPointF(left + length, foot - 6)])
        half = QLineF(left + length / 2, foot - 4, left + length / 2, foot)
        for colour, width in ((theme.ground, 4.0), (theme.ink, 1.4)):
            painter.setPen(QPen(QColor(colour), width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.SquareCap,
                                Qt.PenJoinStyle.MiterJoin))
            painter.drawPolyline(bar)
            painter.drawLine(half)
        painter.setFont(self._font)
        high = QFontMetricsF(self._font).height()
        _haloed(painter, QRectF(left - 3, foot - 9 - high, max(length, 60.0), high), text, theme,
                Qt.AlignmentFlag.AlignLeft, theme.ink)

    def _north(self, painter: QPainter, view: MapView, theme: MapColours) -> None:
        painter.save()
        painter.translate(view.width - 30.0, 40.0)
        needle = QPolygonF([QPointF(0, -20), QPointF(6.5, 12), QPointF(0, 7), QPointF(-6.5, 12)])
        painter.setPen(QPen(QColor(theme.ground), 4.0))
        painter.drawPolygon(needle)
        painter.setPen(QPen(QColor(theme.ink), 1.2))
        painter.setBrush(QColor(theme.ground))
        painter.drawPolygon(needle)
        painter.setBrush(QColor(theme.ink))
        painter.drawPolygon(QPolygonF([QPointF(0, -20), QPointF(6.5, 12), QPointF(0, 7)]))
        painter.setFont(self._font)
        high = QFontMetricsF(self._font).height()
        _haloed(painter, QRectF(-12, 13, 24, high), "N", theme, Qt.AlignmentFlag.AlignHCenter, theme.ink)
        if abs(self.convergence_deg) > 0.05:
            turn = math.radians(self.convergence_deg)
            painter.setPen(QPen(QColor(theme.accent), 1.2, Qt.PenStyle.DotLine))
            painter.drawLine(QLineF(0, 7, 27 * math.sin(turn), 7 - 27 * math.cos(turn)))
        painter.restore()


def _small(points: float) -> QFont:
    font = QFont(load_fonts())
    font.setPointSizeF(points)
    return font


def _haloed(painter: QPainter, box: QRectF, text: str, theme: MapColours,
            align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignHCenter, ink: str = "") -> None:
    """A text with a rim of the ground, so that it can be read over anything; drawn once, then copied."""
    font, dpr = painter.font(), painter.device().devicePixelRatioF()
    key = (text, font.pointSizeF(), theme.name, ink, dpr)
    pixmap = _texts.get(key)
    if pixmap is None:
        if len(_texts) > 500:
            _texts.clear()
        pixmap = _texts[key] = _haloed_pixmap(text, font, QColor(ink or theme.faint), QColor(theme.ground), dpr)
    wide, high = pixmap.width() / dpr, pixmap.height() / dpr
    x = box.left() if align == Qt.AlignmentFlag.AlignLeft else box.center().x() - wide / 2
    painter.drawPixmap(QPointF(round(x), round(box.center().y() - high / 2)), pixmap)


def _haloed_pixmap(text: str, font: QFont, ink: QColor, ground: QColor, dpr: float) -> QPixmap:
    metrics = QFontMetricsF(font)
    pixmap = QPixmap(math.ceil((metrics.horizontalAdvance(text) + 8) * dpr), math.ceil((metrics.height() + 4) * dpr))
    pixmap.setDevicePixelRatio(dpr)
    pixmap.fill(QColor(0, 0, 0, 0))
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    path = QPainterPath()
    path.addText(QPointF(4, 2 + metrics.ascent()), font, text)
    ground.setAlpha(225)
    painter.strokePath(path, QPen(ground, 3.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap,
                                  Qt.PenJoinStyle.RoundJoin))
    painter.setFont(font)
    painter.setPen(ink)
    painter.drawText(QPointF(4, 2 + metrics.ascent()), text)
    painter.end()
    return pixmap
