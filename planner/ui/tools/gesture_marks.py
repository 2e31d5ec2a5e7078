"""How a gesture is drawn: the line in hand, corners, what was caught, and a card of figures beside the pointer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from planner.geometry.arrays import Floats
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.painting import draw_lines
from planner.ui.canvas.snap import Snap
from planner.ui.canvas.view import MapView
from planner.ui.theme import Theme
from planner.ui.tools.catching import words

MOST_HANDLES = 400
"""A line with more corners than this is drawn without handles. [-]"""
Row = tuple[str, str]
"""A figure of a read-out: what it is, and its value."""


def polyline(painter: QPainter, view: MapView, xy: Floats, colour: QColor | str, width: float = 2.6, *,
             dashed: bool = False, casing: QColor | str | None = None) -> None:
    """Draws a line given in map coordinates. [m] Shape (n, 2)."""
    if len(xy) < 2:
        return
    at = view.screen_xy(np.asarray(xy, dtype=np.float64))
    parts = np.concatenate((at[:-1], at[1:]), axis=1)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if casing is not None:
        painter.setPen(_pen(QColor(casing), width + 2.6))
        draw_lines(painter, parts)
    painter.setPen(_pen(QColor(colour), width, dashed))
    if dashed:
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in at.tolist()]))
    else:
        draw_lines(painter, parts)


def area(painter: QPainter, view: MapView, xy: Floats, colour: QColor | str, alpha: int = 46) -> None:
    """Fills a ring given in map coordinates. [m] Shape (n, 2)."""
    if len(xy) < 3:
        return
    fill = QColor(colour)
    fill.setAlpha(alpha)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(fill)
    painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in view.screen_xy(np.asarray(xy)).tolist()]))


def handles(painter: QPainter, view: MapView, xy: Floats, theme: MapColours, *, size: float = 8.0,
            chosen: int | None = None) -> None:
    """Draws the corners of a line as small open squares; the chosen one filled."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if len(xy) > MOST_HANDLES and chosen is None:
        return
    for number, (x, y) in enumerate(view.screen_xy(np.asarray(xy, dtype=np.float64)).tolist()):
        if not (-20 <= x <= view.width + 20 and -20 <= y <= view.height + 20):
            continue
        lit = number == chosen
        side = size + (4.0 if lit else 0.0)
        painter.setPen(QPen(QColor(theme.accent), 2.0))
        painter.setBrush(QColor(theme.accent if lit else theme.ground))
        painter.drawRect(QRectF(x - side / 2, y - side / 2, side, side))


def caught_mark(painter: QPainter, view: MapView, snap: Snap, theme: MapColours) -> None:
    """Draws the mark of what was caught: a square for a corner, a cross for a crossing, a ring for all else."""
    x, y = (float(v) for v in view.to_screen(snap.x, snap.y))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for colour, width in ((theme.ground, 4.5), (theme.accent, 2.0)):
        painter.setPen(QPen(QColor(colour), width))
        if snap.kind == "corner":
            painter.drawRect(QRectF(x - 7, y - 7, 14, 14))
        elif snap.kind == "intersection":
            painter.drawLine(QPointF(x - 7, y - 7), QPointF(x + 7, y + 7))
            painter.drawLine(QPointF(x - 7, y + 7), QPointF(x + 7, y - 7))
        elif snap.kind == "right angle":
            painter.drawPolyline(QPolygonF([QPointF(x - 7, y - 9), QPointF(x - 7, y + 7), QPointF(x + 9, y + 7)]))
        else:
            painter.drawEllipse(QPointF(x, y), 7.0, 7.0)


def read_out(painter: QPainter, view: MapView, at: tuple[float, float], rows: Sequence[Row], look: Theme, *,
             caught: Snap | None = None, head: str = "", beside: QRect | None = None) -> QRectF:
    """Draws a card of figures beside the pointer, on whichever side has room.

    Args:
        painter: Where.
        view: The view.
        at: Place of the pointer in the window. [px]
        rows: The figures.
        look: The theme.
        caught: What was caught, which stands under the figures.
        head: A line above the figures.
        beside: Boxes that stand at the pointer, which the card keeps clear of. [px]

    Returns:
        The card's place. [px]
    """
    plain, strong = look.font(9.5), look.font(9.5, weight=600)
    metrics, bold = QFontMetricsF(plain), QFontMetricsF(strong)
    foot = words(caught) if caught is not None else ""
    labels = max((metrics.horizontalAdvance(label) for label, _ in rows), default=0.0)
    values = max((bold.horizontalAdvance(value) for _, value in rows), default=0.0)
    wide = max(labels + values + 18.0 if rows else 0.0, bold.horizontalAdvance(head),
               metrics.horizontalAdvance(foot) + (16.0 if foot else 0.0)) + 20.0
    step = metrics.height() + 1.0
    tall = step * (len(rows) + bool(head)) + (step + (5.0 if rows or head else 0.0) if foot else 0.0) + 12.0
    left, top = _free_place(at, wide, tall, view, beside)
    card = QRectF(max(min(left, view.width - 6.0 - wide), 6.0), max(top, 6.0), wide, tall)
    _card(painter, card, look)
    y = card.top() + 6.0
    if head:
        y = _text(painter, card, y, step, "", head, look)
    for label, value in rows:
        y = _text(painter, card, y, step, label, value, look)
    if foot:
        if rows or head:
            painter.setPen(QPen(QColor(look.edge), 1.0))
            painter.drawLine(QPointF(card.left() + 8, y + 2), QPointF(card.right() - 8, y + 2))
        else:
            y -= 5.0
        painter.setBrush(QColor(look.accent))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawEllipse(QPointF(card.left() + 13, y + 5.0 + step / 2), 3.0, 3.0)
        painter.setFont(plain)
        painter.setPen(QColor(look.accent))
        painter.drawText(QRectF(card.left() + 22, y + 5.0, card.width() - 28, step),
                         int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), foot)
    return card


def _free_place(at: tuple[float, float], wide: float, tall: float, view: MapView,
                beside: QRect | None) -> tuple[float, float]:
    if beside is not None:
        top = beside.bottom() + 5.0
        return beside.left(), top if top + tall <= view.height - 6 else beside.top() - 5.0 - tall
    left = at[0] + 18.0 if at[0] + 18.0 + wide <= view.width - 6 else at[0] - 18.0 - wide
    return left, at[1] + 20.0 if at[1] + 20.0 + tall <= view.height - 6 else at[1] - 18.0 - tall


def tag(painter: QPainter, x: float, y: float, text: str, look: Theme, *, accent: bool = False) -> None:
    """Draws a small label above a place of the window. [px]"""
    font = look.font(9.0, weight=600)
    metrics = QFontMetricsF(font)
    box = QRectF(x - metrics.horizontalAdvance(text) / 2 - 7, y - metrics.height() - 16,
                 metrics.horizontalAdvance(text) + 14, metrics.height() + 5)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(look.accent), 1.0))
    painter.setBrush(QColor(look.accent if accent else look.card))
    painter.drawRoundedRect(box, 3, 3)
    painter.setFont(font)
    painter.setPen(QColor(look.on_accent if accent else look.ink))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)


def _card(painter: QPainter, box: QRectF, look: Theme) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    ground = QColor(look.card)
    ground.setAlpha(244)
    painter.setPen(QPen(QColor(look.edge), 1.0))
    painter.setBrush(ground)
    painter.drawRoundedRect(box, 4, 4)


def _text(painter: QPainter, card: QRectF, y: float, step: float, label: str, value: str, look: Theme) -> float:
    line = QRectF(card.left() + 10, y, card.width() - 20, step)
    painter.setFont(look.font(9.5))
    painter.setPen(QColor(look.soft_ink))
    painter.drawText(line, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), label)
    painter.setFont(look.font(9.5, weight=600))
    painter.setPen(QColor(look.ink))
    side = Qt.AlignmentFlag.AlignRight if label else Qt.AlignmentFlag.AlignLeft
    painter.drawText(line, int(Qt.AlignmentFlag.AlignVCenter | side), value)
    return y + step


def _pen(colour: QColor, width: float, dashed: bool = False) -> QPen:
    style = Qt.PenStyle.DashLine if dashed else Qt.PenStyle.SolidLine
    return QPen(colour, width, style, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
