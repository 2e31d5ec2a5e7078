"""Labels that never lie on each other: the weightier first, each at the first of its places that is free.

Places are settled for one scale, in pixels from a fixed place on the ground, so that a pan moves labels with the map
and never makes one jump.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.view import MapView

CELL_PX = 96.0
PAD_X, PAD_Y = 6.0, 2.0


@dataclass(frozen=True)
class Label:
    """A text that belongs to a place.

    Attributes:
        text: What it says.
        x: East of the place. [m]
        y: North of the place. [m]
        priority: The greater goes first.
        places: Offsets of its middle from the place, the best first. [px]
        has_accent: True for what is in hand.
        key: What it stands for.
    """

    text: str
    x: float
    y: float
    priority: float = 0.0
    places: tuple[tuple[float, float], ...] = ((0.0, -18.0), (0.0, 18.0), (40.0, 0.0), (-40.0, 0.0))
    has_accent: bool = False
    key: str = ""


@dataclass(frozen=True)
class Placed:
    """A label that has found room.

    Attributes:
        label: The label.
        box: Its card, in pixels right and down of the place (0, 0) of the grid at its scale.
    """

    label: Label
    box: QRectF


@dataclass
class _Taken:
    """Boxes already taken, by coarse cell."""

    cells: dict[tuple[int, int], list[QRectF]] = field(default_factory=dict)

    def _around(self, box: QRectF) -> list[tuple[int, int]]:
        return [(i, j) for i in range(int(box.left() // CELL_PX), int(box.right() // CELL_PX) + 1)
                for j in range(int(box.top() // CELL_PX), int(box.bottom() // CELL_PX) + 1)]

    def is_free(self, box: QRectF) -> bool:
        return not any(other.intersects(box) for cell in self._around(box) for other in self.cells.get(cell, ()))

    def take(self, box: QRectF) -> None:
        for cell in self._around(box):
            self.cells.setdefault(cell, []).append(box)


def place_labels(labels: Sequence[Label], sizes: Sequence[QSizeF], units_per_px: float, *,
                 blocked: Iterable[QRectF] = ()) -> tuple[Placed, ...]:
    """Labels that found room, none touching another or what is blocked.

    A label in hand that goes first is placed even on what is blocked.

    Args:
        labels: The labels.
        sizes: Size of each card. [px]
        units_per_px: Scale. [m/px]
        blocked: Boxes to keep clear, in pixels right and down of (0, 0) of the grid at this scale.
    """
    taken = _Taken()
    for box in blocked:
        taken.take(box)
    placed: list[Placed] = []
    for label, size in sorted(zip(labels, sizes, strict=True), key=lambda pair: -pair[0].priority):
        x, y = label.x / units_per_px, -label.y / units_per_px
        boxes = [QRectF(x + dx - size.width() / 2, y + dy - size.height() / 2, size.width(), size.height())
                 for dx, dy in label.places]
        free = [box for box in boxes if taken.is_free(box.adjusted(-2, -2, 2, 2))]
        if not free and label.has_accent and not placed:
            free = boxes[:1]
        if free:
            taken.take(free[0])
            placed.append(Placed(label, free[0]))
    return tuple(placed)


def card_size(text: str, font: QFont) -> QSizeF:
    """Size of a label's card. [px]"""
    metrics = QFontMetricsF(font)
    return QSizeF(metrics.horizontalAdvance(text) + 2 * PAD_X, metrics.height() + 2 * PAD_Y)


def draw_labels(painter: QPainter, placed: Iterable[Placed], view: MapView, dirty: QRectF, theme: MapColours,
                font: QFont) -> None:
    """Draws the cards of labels that lie in a rectangle.

    Args:
        painter: Where, in device-independent pixels of the window.
        placed: Labels with their room.
        view: The view.
        dirty: What is being drawn. [px]
        theme: Colours.
        font: Font.
    """
    origin = QPointF(*view.to_screen(0.0, 0.0))
    painter.setFont(font)
    for one in placed:
        box = one.box.translated(origin)
        if not box.intersects(dirty):
            continue
        accent = one.label.has_accent
        card = QColor(theme.accent if accent else theme.card)
        card.setAlpha(255 if accent else 236)
        edge = QColor(theme.accent if accent else theme.faint)
        edge.setAlpha(255 if accent else 110)
        painter.setPen(QPen(edge, 1.0))
        painter.setBrush(card)
        painter.drawRoundedRect(box, 3.0, 3.0)
        painter.setPen(QColor(theme.on_accent if accent else theme.ink))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, one.label.text)
