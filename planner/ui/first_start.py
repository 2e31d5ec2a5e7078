"""The first page: three doors into the work, the jobs of late, and one sentence of caution."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPaintEvent, QPen, QPolygonF, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from planner.ui.theme import Theme

CAUTION = ("Loads and holding figures are advisory: local codes, licensed surveyors and engineers go before them, and "
           "a wire under strain can kill.")
DOORS: tuple[tuple[str, str, str], ...] = (
    ("sample", "Open the sample job", "A small farm with a boundary, a division, gates, a creek, terrain and prices."),
    ("file", "Start from a file", "A job, or a track, line, ring, survey points or terrain in any common format."),
    ("blank", "Start on a blank grid", "An empty sheet: type bearings and distances, or draw."),
)


_DOOR_WIDTH = 290


class Door(QAbstractButton):
    """One way in: a small drawing, what it is, and what lies behind it.

    Args:
        key: sample, file or blank.
        title: What it is.
        words: What lies behind it.
        look: The theme.
        parent: The page.
    """

    def __init__(self, key: str, title: str, words: str, look: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self.key = key
        self._words, self._look, self._picture_px = words, look, 124
        self.setText(title)
        self.setAccessibleName(title)
        self.setAccessibleDescription(words)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        self.updateGeometry()
        self.update()

    def set_picture(self, high_px: int) -> None:
        """Gives the drawing another height. [px]"""
        if high_px != self._picture_px:
            self._picture_px = high_px
            self.updateGeometry()

    def sizeHint(self) -> QSize:
        """Room for the drawing and the longest words of the three, in the narrowest window: all are equally high."""
        title, words = QFontMetricsF(self._look.font(13.0, weight=700)), QFontMetricsF(self._look.font(10.0))
        room = QRectF(0.0, 0.0, _DOOR_WIDTH - 34.0, 1000.0)
        needed = max(words.boundingRect(room, int(Qt.TextFlag.TextWordWrap), door[2]).height() for door in DOORS)
        return QSize(_DOOR_WIDTH, round(self._picture_px + 14 + 12 + title.height() + needed + 18))

    def minimumSizeHint(self) -> QSize:
        """The same."""
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draws the card."""
        look, painter = self._look, QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        lit = self.hasFocus() or self.underMouse()
        card = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(QPen(QColor(look.accent if lit else look.edge), 2.0 if lit else 1.0))
        painter.setBrush(QColor(look.card))
        painter.drawRoundedRect(card, 6, 6)
        picture = QRectF(card.left() + 14, card.top() + 14, card.width() - 28, self._picture_px)
        painter.save()
        painter.setClipRect(picture)
        painter.fillRect(picture, QColor(look.map.ground))
        {"sample": _draw_sample, "file": _draw_file, "blank": _draw_blank}[self.key](painter, picture, look)
        painter.restore()
        painter.setPen(QPen(QColor(look.edge), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(picture)
        title = look.font(13.0, weight=700)
        painter.setFont(title)
        painter.setPen(QColor(look.accent if lit else look.ink))
        high = QFontMetricsF(title).height()
        painter.drawText(QRectF(card.left() + 16, picture.bottom() + 10, card.width() - 32, high),
                         int(Qt.AlignmentFlag.AlignLeft), self.text())
        painter.setFont(look.font(10.0))
        painter.setPen(QColor(look.soft_ink))
        painter.drawText(QRectF(card.left() + 16, picture.bottom() + 12 + high, card.width() - 32,
                                card.bottom() - picture.bottom() - high - 14),
                         int(Qt.TextFlag.TextWordWrap), self._words)
        painter.end()


class FirstStart(QWidget):
    """The page.

    Args:
        look: The theme.
        parent: Qt parent.

    Attributes:
        door: Key of the door that was opened.
        chosen: A recent job was chosen; its path.
    """

    door = Signal(str)
    chosen = Signal(object)

    def __init__(self, look: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self.setObjectName("page")
        self.setAccessibleName("First page")
        self.name = QLabel("Strainwright", self)
        self.line = QLabel("Before a post goes in: where each strain starts and ends, what it does to the posts, and "
                           "what to buy.", self)
        self.doors = [Door(*row, look, self) for row in DOORS]
        for door in self.doors:
            door.clicked.connect(lambda _=False, key=door.key: self.door.emit(key))
        self.caution = QLabel(CAUTION, self)
        self.caution.setObjectName("soft")
        for label in (self.line, self.caution):
            label.setWordWrap(True)
        self._recent = QVBoxLayout()
        self._recent.setSpacing(2)
        self.recent_title = QLabel("Jobs of late", self)
        self.recent_title.setObjectName("title")
        self._lay_out()
        self.set_theme(look)
        self.show_recent(())

    def _lay_out(self) -> None:
        inner = self._inner = QWidget(self)
        column = QVBoxLayout(inner)
        column.setContentsMargins(32, 24, 32, 18)
        column.setSpacing(8)
        column.addStretch(2)
        column.addWidget(self.name)
        column.addWidget(self.line)
        column.addSpacing(12)
        doors = QGridLayout()
        doors.setSpacing(16)
        for number, door in enumerate(self.doors):
            doors.addWidget(door, 0, number)
        column.addLayout(doors)
        column.addSpacing(12)
        column.addWidget(self.recent_title)
        column.addLayout(self._recent)
        column.addStretch(3)
        column.addWidget(self.caution)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        holder = QWidget(scroll)
        middle = QHBoxLayout(holder)
        middle.setContentsMargins(0, 0, 0, 0)
        middle.addWidget(inner)
        scroll.setWidget(holder)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        page = QVBoxLayout(self)
        page.setContentsMargins(0, 0, 0, 0)
        page.addWidget(scroll)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Larger drawings where there is room for them."""
        roomy = self.height() > 860 * self._look.scale and self.width() > 1500
        self._inner.setMaximumWidth(1360 if roomy else 1060)
        for door in self.doors:
            door.set_picture(176 if roomy else 124)
        super().resizeEvent(event)

    def show_recent(self, paths: Sequence[Path]) -> None:
        """Shows the jobs of late."""
        while (item := self._recent.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.setParent(None)
                old.deleteLater()
        self.recent_title.setVisible(bool(paths))
        for path in list(paths)[:4]:
            name = path.name.removesuffix(".job.gpkg")
            button = QPushButton(f"{name}   ·   {_short(path.parent)}", self)
            button.setObjectName("quiet")
            button.setFlat(True)
            button.setStyleSheet("text-align: left; border: 0; background: transparent; padding: 2px 0;")
            button.setToolTip(str(path))
            button.setAccessibleName(f"Open {name}")
            button.setCursor(Qt.CursorShape.PointingHandCursor)
            button.clicked.connect(lambda _=False, path=path: self.chosen.emit(path))
            self._recent.addWidget(button, alignment=Qt.AlignmentFlag.AlignLeft)

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        for door in self.doors:
            door.set_theme(look)
        self.name.setStyleSheet(f"font-size: {26 * look.scale:.1f}pt; font-weight: 700;")
        self.line.setStyleSheet(f"font-size: {12 * look.scale:.1f}pt;")


def _short(folder: Path) -> str:
    try:
        return str(Path("~") / folder.relative_to(Path.home()))
    except ValueError:
        return str(folder)


def _hill(box: QRectF, lift: float, amount: float) -> QPainterPath:
    path = QPainterPath(QPointF(box.left(), box.bottom() - lift))
    path.cubicTo(box.left() + box.width() * 0.3, box.bottom() - lift - amount, box.left() + box.width() * 0.55,
                 box.bottom() - lift + amount * 0.9, box.right(), box.bottom() - lift - amount * 0.5)
    return path


def _draw_sample(painter: QPainter, box: QRectF, look: Theme) -> None:
    """A fence over rolling ground."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    ground = _hill(box, box.height() * 0.3, box.height() * 0.36)
    filled = QPainterPath(ground)
    filled.lineTo(box.bottomRight())
    filled.lineTo(box.bottomLeft())
    painter.fillPath(filled, QColor(look.map.soft))
    ink = QColor(look.map.ink)
    for share in (0.11, 0.18, 0.25):
        painter.setPen(QPen(ink, 1.0))
        painter.drawPath(ground.translated(0.0, -share * box.height()))
    painter.setPen(QPen(ink, 1.8))
    painter.drawPath(ground)
    for number in range(0, 25):
        at = ground.pointAtPercent(min(1.0, 0.02 + number / 25.0))
        end = number % 8 == 0
        painter.setPen(QPen(QColor(look.accent) if end else ink, 4.5 if end else 1.8))
        painter.drawLine(at, at - QPointF(0.0, (0.31 if end else 0.27) * box.height()))


def _draw_file(painter: QPainter, box: QRectF, look: Theme) -> None:
    """A walked track, and the straights fitted to it."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(look.map.lines["contour"]), 1.0))
    for lift in range(10, 150, 18):
        painter.drawPath(_hill(box, float(lift), 20.0 + lift * 0.25))
    corners = [QPointF(box.left() + box.width() * x, box.top() + box.height() * y)
               for x, y in ((0.08, 0.78), (0.3, 0.3), (0.66, 0.42), (0.92, 0.16))]
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(look.map.faint))
    for a, b in pairwise(corners):
        for i in range(9):
            off = (5.0, -4.0, 2.0, -5.0, 3.0, -2.0, 4.0, -3.0, 1.0)[i]
            at = a + (b - a) * (i / 9.0) + QPointF(0.0, off)
            painter.drawEllipse(at, 1.7, 1.7)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(look.accent), 2.4))
    painter.drawPolyline(QPolygonF(corners))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(look.map.ink))
    for at in corners:
        painter.drawRect(QRectF(at.x() - 4.5, at.y() - 4.5, 9.0, 9.0))


def _draw_blank(painter: QPainter, box: QRectF, look: Theme) -> None:
    """An empty grid with the first post in it."""
    painter.setPen(QPen(QColor(look.map.grid), 1.0))
    x = box.left() + 24.0
    while x < box.right() - 8.0:
        painter.drawLine(QPointF(x, box.top()), QPointF(x, box.bottom()))
        x += 24.0
    y = box.top() + 24.0
    while y < box.bottom() - 8.0:
        painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
        y += 24.0
    start = QPointF(box.left() + 72.0, box.top() + 72.0)
    end = start + QPointF(96.0, -24.0)
    painter.setPen(QPen(QColor(look.accent), 2.0, Qt.PenStyle.DashLine))
    painter.drawLine(start, end)
    painter.setPen(QPen(QColor(look.accent), 2.0))
    painter.drawLine(end - QPointF(6, 0), end + QPointF(6, 0))
    painter.drawLine(end - QPointF(0, 6), end + QPointF(0, 6))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(look.map.ink))
    painter.drawRect(QRectF(start.x() - 5.0, start.y() - 5.0, 10.0, 10.0))
