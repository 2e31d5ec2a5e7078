"""The symbols of map, strip and sheets: one table, from which the legend is made.

Each is told from every other by its shape alone, in black on white.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

LEAST_PX, MOST_PX = 6.0, 64.0
"""Sizes between which every symbol stays legible, in device-independent pixels."""
_BOX = 20.0
_STROKE = 2.0


@dataclass(frozen=True)
class Symbol:
    """One symbol, drawn in a box of 20 units about its middle, y downward.

    Attributes:
        name: Its name, the key in the table.
        meaning: What the legend says.
        size_px: Size at which it is drawn unless another is asked for. [px]
        solid: What is filled with ink.
        open: What is filled with the ground, under everything else.
        lines: What is drawn with a pen of ink.
        cut: What is filled with the ground, on top.
    """

    name: str
    meaning: str
    size_px: float
    solid: QPainterPath
    open: QPainterPath
    lines: QPainterPath
    cut: QPainterPath


def _polygon(*points: tuple[float, float]) -> QPainterPath:
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in points]))
    path.closeSubpath()
    return path


def _lines(*runs: tuple[tuple[float, float], ...]) -> QPainterPath:
    path = QPainterPath()
    for run in runs:
        path.moveTo(*run[0])
        for point in run[1:]:
            path.lineTo(*point)
    return path


def _disc(radius: float, x: float = 0.0, y: float = 0.0) -> QPainterPath:
    path = QPainterPath()
    path.addEllipse(QPointF(x, y), radius, radius)
    return path


def _square(side: float, x: float = 0.0, y: float = 0.0) -> QPainterPath:
    path = QPainterPath()
    path.addRect(QRectF(x - side / 2, y - side / 2, side, side))
    return path


def _together(*paths: QPainterPath) -> QPainterPath:
    whole = QPainterPath()
    for path in paths:
        whole.addPath(path)
    whole.setFillRule(Qt.FillRule.WindingFill)
    return whole


def _wave(y: float) -> QPainterPath:
    path = QPainterPath(QPointF(-9.0, y))
    path.cubicTo(QPointF(-6.0, y - 5.0), QPointF(-3.0, y + 5.0), QPointF(0.0, y))
    path.cubicTo(QPointF(3.0, y - 5.0), QPointF(6.0, y + 5.0), QPointF(9.0, y))
    return path


def _drop() -> QPainterPath:
    path = QPainterPath(QPointF(0.0, -9.0))
    path.cubicTo(QPointF(2.0, -5.0), QPointF(6.5, -1.0), QPointF(6.5, 3.0))
    path.cubicTo(QPointF(6.5, 6.8), QPointF(3.6, 9.0), QPointF(0.0, 9.0))
    path.cubicTo(QPointF(-3.6, 9.0), QPointF(-6.5, 6.8), QPointF(-6.5, 3.0))
    path.cubicTo(QPointF(-6.5, -1.0), QPointF(-2.0, -5.0), QPointF(0.0, -9.0))
    return path


def _leaf() -> QPainterPath:
    """The rails of a gate and its brace, between its posts."""
    return _lines(((-7.0, -5.0), (7.0, -5.0)), ((-7.0, 0.5), (7.0, 0.5)), ((-7.0, 6.0), (7.0, 6.0)),
                  ((-7.0, 6.0), (7.0, -5.0)))


_BRACKETS = _lines(((-2.2, -4.0), (-5.0, -4.0), (-5.0, 4.0), (-2.2, 4.0)),
                   ((2.2, -4.0), (5.0, -4.0), (5.0, 4.0), (2.2, 4.0)))
_NONE = QPainterPath()


def _made(name: str, meaning: str, size_px: float, *, solid: QPainterPath = _NONE, open: QPainterPath = _NONE,
          lines: QPainterPath = _NONE, cut: QPainterPath = _NONE) -> Symbol:
    return Symbol(name, meaning, size_px, solid, open, lines, cut)


SYMBOLS: Mapping[str, Symbol] = {symbol.name: symbol for symbol in (
    _made("end", "end assembly", 13.0, solid=_square(16.0)),
    _made("corner", "corner assembly", 15.0, solid=_polygon((0, -9.5), (9.5, 0), (0, 9.5), (-9.5, 0))),
    _made("gate", "gate", 19.0, lines=_leaf(), open=_polygon((-8, -7), (8, -7), (8, 8), (-8, 8)),
          solid=_together(_polygon((-9.6, -9), (-6.4, -9), (-6.4, 9), (-9.6, 9)),
                          _polygon((6.4, -9), (9.6, -9), (9.6, 9), (6.4, 9)))),
    _made("junction", "another line meets here", 16.0, solid=_square(18.0),
          cut=_together(_polygon((-1.5, -6), (1.5, -6), (1.5, 6), (-1.5, 6)),
                        _polygon((-6, -1.5), (6, -1.5), (6, 1.5), (-6, 1.5)))),
    _made("crossing", "water crossing, strained by itself", 18.0, lines=_together(_wave(-4.0), _wave(4.0)),
          open=_square(18.0)),
    _made("rise", "rise post", 14.0, solid=_polygon((0, -8.5), (9, 8), (-9, 8))),
    _made("dip", "dip post, held down", 15.0, open=_polygon((0, 8.5), (9, -7.5), (-9, -7.5)),
          lines=_together(_polygon((0, 8), (8.5, -7), (-8.5, -7)), _lines(((-3.5, -2.6), (3.5, -2.6))))),
    _made("deviation", "post at a slight turn", 14.0, open=_polygon((0, -9), (9, 0), (0, 9), (-9, 0)),
          lines=_polygon((0, -8), (8, 0), (0, 8), (-8, 0))),
    _made("line post", "line post", 7.0, solid=_disc(8.0)),
    _made("mid-run join", "join: strained both ways from here", 18.0, open=_disc(9.0),
          lines=_together(_disc(9.0), _BRACKETS)),
    _made("roll join", "one roll ends, the next begins", 16.0, open=_together(_disc(5.4, -3.8), _disc(5.4, 3.8)),
          lines=_together(_disc(5.4, -3.8), _disc(5.4, 3.8))),
    _made("mid-run join at a roll end", "join strained both ways, at a roll end", 18.0, open=_disc(9.0),
          lines=_together(_disc(9.0), _BRACKETS), solid=_polygon((-1.3, -8.5), (1.3, -8.5), (1.3, 8.5), (-1.3, 8.5))),
    _made("sight peg", "peg for sight only", 16.0, lines=_lines(((-4.0, 9.0), (-4.0, -9.0))),
          solid=_polygon((-4, -9), (8, -5), (-4, -1))),
    _made("control mark", "survey mark", 16.0, open=_polygon((0, -9), (9, 7), (-9, 7)),
          lines=_polygon((0, -8.4), (8.6, 7), (-8.6, 7)), solid=_disc(2.2, 0.0, 2.0)),
    _made("water", "water", 16.0, open=_drop(),
          lines=_together(_drop(), _lines(((-3.2, 3.0), (-2.4, 5.0), (-0.6, 6.0))))),
    _made("trees", "trees", 17.0,
          solid=_together(_disc(4.6, -4.0, -1.0), _disc(4.6, 4.0, -1.0), _disc(4.8, 0.0, -4.6)),
          lines=_lines(((0.0, 0.0), (0.0, 9.0)), ((-3.5, 9.0), (3.5, 9.0)))),
    _made("rock", "rock", 16.0, open=_polygon((-9, 7), (-6, -3), (-1, -8), (5, -5), (9, 7)),
          lines=_together(_polygon((-9, 7), (-6, -3), (-1, -8), (5, -5), (9, 7)),
                          _lines(((-1, -8), (1, 0), (-3, 7)), ((1, 0), (9, 7))))),
    _made("service", "buried or overhead service", 16.0,
          solid=_polygon((2.5, -9.5), (-6.5, 1.8), (-0.8, 1.8), (-2.5, 9.5), (6.5, -2.6), (0.8, -2.6))),
    _made("existing fence", "fence that stands already", 18.0, lines=_lines(
        ((-9.5, 0), (9.5, 0)), ((-7.2, -3.0), (-2.0, 3.0)), ((-7.2, 3.0), (-2.0, -3.0)),
        ((2.0, -3.0), (7.2, 3.0)), ((2.0, 3.0), (7.2, -3.0)))),
    _made("trough", "trough", 16.0, open=_polygon((-9, -5), (9, -5), (6, 6), (-6, 6)),
          lines=_together(_polygon((-9, -5), (9, -5), (6, 6), (-6, 6)), _lines(((-7.6, -1), (7.6, -1))))),
    _made("yard", "yards", 17.0, open=_square(17.0), lines=_lines(
        ((-8, 2), (-8, -8), (8, -8), (8, 8), (-8, 8), (-8, 6)), ((-8, 0), (3, 0)), ((3, -8), (3, 3)))),
    _made("energiser", "energiser", 17.0, open=_disc(9.0), lines=_disc(8.6),
          solid=_polygon((1.4, -6.4), (-4.4, 1.2), (-0.6, 1.2), (-1.4, 6.4), (4.4, -1.6), (0.6, -1.6))),
    _made("photo point", "photo point", 17.0, open=_polygon((-9, -5), (9, -5), (9, 7), (-9, 7)),
          lines=_together(_polygon((-9, -5), (-4, -5), (-2.4, -8), (2.4, -8), (4, -5), (9, -5), (9, 7), (-9, 7)),
                          _disc(3.4, 0.0, 1.0))),
    _made("protected", "protected area", 16.0, open=_polygon((-7.5, -8), (7.5, -8), (7.5, 1), (0, 9), (-7.5, 1)),
          lines=_together(_polygon((-7.5, -8), (7.5, -8), (7.5, 1), (0, 9), (-7.5, 1)),
                          _lines(((0.0, -4.5), (0.0, 4.0)), ((-4.0, -1.0), (4.0, -1.0))))),
)}
"""Every symbol by name, in the order of the legend."""

SYMBOL_OF_POST: Mapping[str, str] = {
    "end": "end", "corner": "corner", "gate": "gate", "junction": "junction", "crossing": "crossing",
    "deviation": "deviation", "rise": "rise", "dip": "dip", "line": "line post"}
"""Kind of a post to its symbol."""
SYMBOL_OF_JOIN: Mapping[str, str] = {
    "mid-run": "mid-run join", "roll": "roll join", "both": "mid-run join at a roll end"}
"""Kind of a join to its symbol."""
SYMBOL_OF_PEG: Mapping[str, str] = {**SYMBOL_OF_POST, "join": "mid-run join", "sight": "sight peg"}
"""Kind of a peg to its symbol."""
def draw_symbol(painter: QPainter, name: str, at: QPointF, *, size_px: float | None = None, ink: QColor | str,
                ground: QColor | str, rotation_deg: float = 0.0) -> None:
    """Draws a symbol, with a thin rim of the ground so that it stands off from what lies under it.

    Args:
        painter: Where; its pen and brush are left as they were.
        name: Key in ``SYMBOLS``.
        at: Its middle, in the painter's units.
        size_px: Its size in those units, kept between 6 and 64; None for the symbol's own.
        ink: Colour it is drawn in.
        ground: Colour of what it stands on.
        rotation_deg: Turn, clockwise. [deg]
    """
    symbol = SYMBOLS[name]
    size = min(max(symbol.size_px if size_px is None else size_px, LEAST_PX), MOST_PX)
    ink, ground = QColor(ink), QColor(ground)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(at)
    if rotation_deg:
        painter.rotate(rotation_deg)
    painter.scale(size / _BOX, size / _BOX)
    join, cap = Qt.PenJoinStyle.RoundJoin, Qt.PenCapStyle.RoundCap
    rim = 2.2 * _BOX / size
    painter.setPen(QPen(ground, _STROKE + rim, Qt.PenStyle.SolidLine, cap, join))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(symbol.lines)
    painter.setPen(QPen(ground, rim, Qt.PenStyle.SolidLine, cap, join))
    painter.drawPath(symbol.solid)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.fillPath(symbol.open, ground)
    painter.fillPath(symbol.solid, ink)
    painter.setPen(QPen(ink, max(_STROKE, 1.2 * _BOX / size), Qt.PenStyle.SolidLine, cap, join))
    painter.drawPath(symbol.lines)
    painter.fillPath(symbol.cut, ground)
    painter.restore()


def legend(used: Iterable[str] | None = None) -> tuple[Symbol, ...]:
    """Symbols in the order of the legend.

    Args:
        used: Names of those on the sheet; None for all.
    """
    wanted = set(SYMBOLS) if used is None else set(used)
    return tuple(symbol for name, symbol in SYMBOLS.items() if name in wanted)
