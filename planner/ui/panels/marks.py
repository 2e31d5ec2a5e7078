"""Marks of how bad something is, told apart without colour, and the sentence that refuses what was typed."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QWidget

from planner.findings import Severity
from planner.ui.theme import Theme


class Mark(QWidget):
    """The mark of how bad something is: a square with a cross, a triangle, an open ring; told apart without colour.

    Args:
        severity: How bad.
        size: Side. [px]
        parent: Qt parent.
    """

    def __init__(self, severity: Severity, size: int = 15, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.severity: Severity = severity
        self._look: Theme | None = None
        self._size = size
        self.setFixedSize(size, size + 3)
        self.setAccessibleName(severity)
        self.setToolTip({"error": "Wrong", "warning": "To look at", "note": "To know"}[severity])

    def set_theme(self, look: Theme) -> None:
        """Takes other colours."""
        self._look = look
        size = round(self._size * look.scale)
        self.setFixedSize(size, size + 3)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draws it."""
        if self._look is None:
            return
        painter = QPainter(self)
        side = float(self.width()) - 1.0
        draw_mark(painter, self.severity, QRectF(0.5, 3.0, side, side), self._look)
        painter.end()


def draw_mark(painter: QPainter, severity: Severity, box: QRectF, look: Theme) -> None:
    """Draws the mark of how bad something is.

    Args:
        painter: Where.
        severity: How bad.
        box: The square it fills.
        look: The theme.
    """
    dark = QColor(look.card if look.name == "dark" else look.ink)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    side = box.width()
    if severity == "error":
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(look.wrong))
        painter.drawRoundedRect(box, 2.5, 2.5)
        painter.setPen(QPen(dark, 1.7, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        inner = box.adjusted(side * 0.3, side * 0.3, -side * 0.3, -side * 0.3)
        painter.drawLine(inner.topLeft(), inner.bottomRight())
        painter.drawLine(inner.topRight(), inner.bottomLeft())
    elif severity == "warning":
        painter.setPen(QPen(QColor(look.look), 1.2, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap,
                            Qt.PenJoinStyle.RoundJoin))
        painter.setBrush(QColor(look.look))
        painter.drawPolygon(QPolygonF([QPointF(box.center().x(), box.top() + 0.5), box.bottomRight(),
                                       box.bottomLeft()]))
        painter.setPen(QPen(dark, 1.7, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        middle = box.center().x()
        painter.drawLine(QPointF(middle, box.top() + side * 0.38), QPointF(middle, box.top() + side * 0.64))
        painter.drawPoint(QPointF(middle, box.top() + side * 0.84))
    else:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(look.soft_ink), 1.5))
        painter.drawEllipse(box.adjusted(1.5, 1.5, -1.5, -1.5))


class Refusal(QFrame):
    """One sentence on why something typed cannot be used; gone while there is nothing to refuse."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("What is wrong")
        self.mark = Mark("error", 13, self)
        self.label = QLabel(self)
        self.label.setWordWrap(True)
        self.label.setTextFormat(Qt.TextFormat.PlainText)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(7)
        row.addWidget(self.mark, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.label, 1)
        self.say("")

    def say(self, text: str) -> None:
        """Says why; an empty text takes the refusal back."""
        text = f"{text[:1].upper()}{text[1:]}"
        self.label.setText(text)
        self.label.setAccessibleName(text)
        self.setVisible(bool(text))

    @property
    def text(self) -> str:
        """What is said; empty for nothing."""
        return self.label.text()

    def set_theme(self, look: Theme) -> None:
        """Takes other colours."""
        self.mark.set_theme(look)
