"""Pages drawn: every mark of a page record painted with QtGui, on paper or on a picture."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QPainter, QPen, QPolygonF

from planner.jobpack.page.lettering import text_width
from planner.jobpack.page.records import (
    PAPER,
    Area,
    Dash,
    Mark,
    Page,
    Stroke,
    Strokes,
    Symbol,
    Text,
    Weight,
    Window,
)
from planner.render.fonts import load_fonts
from planner.render.symbols import draw_symbol

_DASHES: dict[Dash, tuple[float, ...]] = {
    "dashed": (2.4, 1.4), "dotted": (0.25, 1.0), "dash-dot": (4.0, 1.0, 0.3, 1.0),
    "dash-dot-dot": (5.0, 1.0, 0.3, 1.0, 0.3, 1.0)}
"""Lengths of strokes and gaps. [mm]"""
_PX_PER_MM = 96.0 / 25.4
_QT_WEIGHTS = {"regular": QFont.Weight.Normal, "semibold": QFont.Weight.DemiBold, "bold": QFont.Weight.Bold,
               "italic": QFont.Weight.Normal}


def draw_page(painter: QPainter, page: Page, *, per_mm: float) -> None:
    """Draws a page.

    Args:
        painter: At the page's upper left corner. Text is sized by the resolution of its device.
        page: The page.
        per_mm: Device units in a millimetre.
    """
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setRenderHint(QPainter.RenderHint.TextAntialiasing, True)
    _draw(painter, page.marks, per_mm)


def _draw(painter: QPainter, marks: Sequence[Mark], per_mm: float) -> None:
    for mark in marks:
        if isinstance(mark, Text):
            _draw_text(painter, mark, per_mm)
        elif isinstance(mark, Stroke):
            painter.setPen(_pen(mark.colour, mark.width_mm, mark.dash, per_mm))
            painter.drawPolyline(QPolygonF([QPointF(x * per_mm, y * per_mm) for x, y in mark.points]))
        elif isinstance(mark, Strokes):
            painter.setPen(_pen(mark.colour, mark.width_mm, mark.dash, per_mm))
            painter.drawLines([QLineF(a * per_mm, b * per_mm, c * per_mm, d * per_mm) for a, b, c, d in mark.segments])
        elif isinstance(mark, Area):
            painter.setPen(_pen(mark.edge, mark.width_mm, "solid", per_mm) if mark.edge else Qt.PenStyle.NoPen)
            painter.setBrush(QBrush(QColor(mark.fill)) if mark.fill else Qt.BrushStyle.NoBrush)
            painter.drawPolygon(QPolygonF([QPointF(x * per_mm, y * per_mm) for x, y in mark.points]))
        elif isinstance(mark, Symbol):
            _draw_symbol(painter, mark, per_mm)
        else:
            _draw_window(painter, mark, per_mm)


def _draw_text(painter: QPainter, text: Text, per_mm: float) -> None:
    painter.setPen(_ink(text.colour))
    painter.setFont(font_of(text.weight, text.size_pt))
    wide = 0.0 if text.align == "left" else text_width(text.text, size_pt=text.size_pt, weight=text.weight)
    aside = per_mm * (wide if text.align == "right" else wide / 2)
    if text.angle_deg:
        painter.save()
        painter.translate(text.x * per_mm, text.y * per_mm)
        painter.rotate(-text.angle_deg)
        painter.drawText(QPointF(-aside, 0.0), text.text)
        painter.restore()
    else:
        painter.drawText(QPointF(text.x * per_mm - aside, text.y * per_mm), text.text)


def _draw_symbol(painter: QPainter, symbol: Symbol, per_mm: float) -> None:
    """Symbols are sized in pixels of 1/96 inch; on paper such a pixel is many device units."""
    painter.save()
    painter.translate(symbol.x * per_mm, symbol.y * per_mm)
    painter.scale(per_mm / _PX_PER_MM, per_mm / _PX_PER_MM)
    draw_symbol(painter, symbol.kind, QPointF(0.0, 0.0), size_px=symbol.size_mm * _PX_PER_MM, ink=symbol.colour,
                ground=PAPER, rotation_deg=-symbol.angle_deg)
    painter.restore()


def _draw_window(painter: QPainter, window: Window, per_mm: float) -> None:
    painter.save()
    painter.setClipRect(QRectF(window.x * per_mm, window.y * per_mm, window.width * per_mm, window.height * per_mm),
                        Qt.ClipOperation.IntersectClip)
    _draw(painter, window.marks, per_mm)
    painter.restore()


@lru_cache(maxsize=64)
def _ink(colour: str) -> QPen:
    return QPen(QColor(colour))


@lru_cache(maxsize=256)
def _pen(colour: str, width_mm: float, dash: Dash, per_mm: float) -> QPen:
    pen = QPen(QColor(colour), width_mm * per_mm)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if dash != "solid":
        pen.setDashPattern([part / width_mm for part in _DASHES[dash]])
        if dash == "dotted":
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    return pen


@lru_cache(maxsize=256)
def font_of(weight: Weight, size_pt: float) -> QFont:
    """The shipped font as sheets use it: no kerning and no ligatures, so that widths are those of the layout.

    Args:
        weight: Its weight.
        size_pt: Size of the letters. [pt]
    """
    font = QFont(load_fonts())
    font.setPointSizeF(size_pt)
    font.setWeight(_QT_WEIGHTS[weight])
    font.setItalic(weight == "italic")
    font.setKerning(False)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    for tag in ("liga", "clig", "calt"):
        font.setFeature(QFont.Tag(tag), 0)
    return font

