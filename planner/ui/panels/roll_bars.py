"""The roll plan of an item as bars: every roll, the pieces cut from it, and what is left on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from planner.jobpack.page.measures import grouped
from planner.ui.measures import Measures, count
from planner.ui.theme import Theme

if TYPE_CHECKING:
    from planner.materials.roll_plan import Cut, Roll, RollPlan

MOST = 60
_BAR, _GAP, _NUMBER = 13, 4, 26


class RollBars(QWidget):
    """Bars of a roll plan; a click on a piece takes its section in hand.

    Args:
        parent: Qt parent.

    Attributes:
        chosen: A piece was clicked; the id of its section.
    """

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.plan: RollPlan | None = None
        self.section = ""
        self._look: Theme | None = None
        self._measures = Measures()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_plan(self, plan: RollPlan | None, section: str, look: Theme, measures: Measures) -> None:
        """Shows a roll plan.

        Args:
            plan: The plan; None for none.
            section: Section in hand.
            look: The theme.
            measures: How lengths are shown.
        """
        self.plan, self.section, self._look, self._measures = plan, section, look, measures
        self.setFixedHeight(self.sizeHint().height())
        self.setVisible(plan is not None and bool(plan.rolls))
        self.setAccessibleName(roll_words(plan, measures) if plan is not None else "No rolls")
        self.update()

    def sizeHint(self) -> QSize:
        """As tall as its bars."""
        number = min(len(self.plan.rolls), MOST) if self.plan is not None else 0
        return QSize(300, round(number * self._row()) + 2)

    def _row(self) -> float:
        return (_BAR + _GAP) * (self._look.scale if self._look else 1.0)

    def paintEvent(self, _: QPaintEvent) -> None:
        """Draws the bars."""
        if self.plan is None or self._look is None or not self.plan.rolls:
            return
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(look.font(7.8))
        for number, roll in enumerate(self.plan.rolls[:MOST]):
            whole = self._box(number, 0.0, roll.length_m)
            painter.setPen(QColor(look.soft_ink))
            painter.drawText(QRectF(0, whole.top(), _NUMBER * look.scale - 6, whole.height()),
                             Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, str(roll.stock))
            painter.setPen(QPen(QColor(look.edge), 1))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(whole)
            self._left_over(painter, number, roll, look)
            start = 0.0
            for cut in roll.cuts:
                self._piece(painter, self._box(number, start, cut.length_m), cut, look)
                start += cut.length_m
        painter.end()

    def _piece(self, painter: QPainter, box: QRectF, cut: Cut, look: Theme) -> None:
        in_hand = cut.section == self.section
        tone = QColor(look.accent if in_hand else look.map.sections[_number(cut.section) % len(look.map.sections)])
        tone.setAlphaF(0.95 if in_hand else 0.32 if look.name != "dark" else 0.45)
        painter.setPen(QPen(QColor(look.card), 1))
        painter.setBrush(tone)
        painter.drawRect(box)
        if box.width() > painter.fontMetrics().horizontalAdvance(cut.section) + 5:
            painter.setPen(QColor(look.on_accent if in_hand else look.ink))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, cut.section)

    def _left_over(self, painter: QPainter, number: int, roll: Roll, look: Theme) -> None:
        if roll.left_m <= 0.0:
            return
        painter.setPen(Qt.PenStyle.NoPen)
        hatch = QColor(look.soft_ink)
        hatch.setAlphaF(0.45)
        painter.setBrush(hatch)
        brush = painter.brush()
        brush.setStyle(Qt.BrushStyle.BDiagPattern)
        painter.setBrush(brush)
        painter.drawRect(self._box(number, roll.length_m - roll.left_m, roll.left_m))

    def _box(self, number: int, start_m: float, length_m: float) -> QRectF:
        longest = max(roll.length_m for roll in self.plan.rolls) if self.plan is not None else 1.0
        scale = self._look.scale if self._look else 1.0
        left = _NUMBER * scale
        per_m = (self.width() - left - 1.5) / longest
        return QRectF(left + start_m * per_m, number * self._row() + 0.5, length_m * per_m, _BAR * scale)

    def cut_at(self, x: float, y: float) -> tuple[Roll, Cut | None] | None:
        """The roll, and the piece of it, at a place; None beside all bars.

        Args:
            x: From the left. [px]
            y: From the top. [px]
        """
        number = int(y // self._row())
        if self.plan is None or not 0 <= number < min(len(self.plan.rolls), MOST):
            return None
        roll, start = self.plan.rolls[number], 0.0
        for cut in roll.cuts:
            if self._box(number, start, cut.length_m).contains(x, self._box(number, 0.0, 1.0).center().y()):
                return roll, cut
            start += cut.length_m
        return roll, None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Takes the section of a piece in hand."""
        found = self.cut_at(event.position().x(), event.position().y())
        if found is not None and found[1] is not None:
            self.chosen.emit(found[1].section)

    def event(self, event: QEvent) -> bool:
        """Tells what a piece is when the pointer rests on it."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            found = self.cut_at(event.pos().x(), event.pos().y())
            QToolTip.showText(event.globalPos(), self._tip(*found) if found is not None else "", self)
            return True
        return super().event(event)

    def _tip(self, roll: Roll, cut: Cut | None) -> str:
        length = self._measures.length
        if cut is None:
            return f"Roll {roll.stock} of {length(roll.length_m, 0)}: {length(roll.left_m)} left"
        return (f"Roll {roll.stock}: {length(cut.length_m)} for {cut.section}, {cut.part}, "
                f"from {self._measures.figure(cut.from_m)} to {length(cut.to_m)}")


def roll_words(plan: RollPlan, measures: Measures) -> str:
    """A roll plan in a sentence or two.

    Args:
        plan: The plan.
        measures: How lengths are shown.
    """
    lengths: dict[float, int] = {}
    for roll in plan.rolls:
        lengths[roll.length_m] = lengths.get(roll.length_m, 0) + 1
    rolls = " and ".join(f"{count(number, 'roll')} of {measures.length(length, 0)}"
                         for length, number in lengths.items())
    useful = [roll.left_m for roll in plan.rolls if roll.left_m >= max(plan.min_useful_m, 1e-9)]
    kept = f"{count(len(useful), 'offcut')} worth keeping, {measures.length(sum(useful), 0)}" if useful else \
        "no offcut worth keeping"
    proof = "No plan costs less." if plan.status == "optimal" else (
        f"At most {grouped(100 * plan.gap, 1)} % above the least it could cost.")
    return f"{rolls}, {count(plan.joins, 'join')} inside sections, {kept}. {proof}"


def _number(section: str) -> int:
    digits = "".join(letter for letter in section if letter.isdigit())
    return int(digits or 0)
