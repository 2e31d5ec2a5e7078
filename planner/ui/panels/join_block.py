"""One join of a section: what it is, where, why, and how much longer one wire is than the other there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QWidget

from planner.render.symbols import SYMBOL_OF_JOIN, draw_symbol
from planner.ui.measures import Measures
from planner.ui.panels.cards import button
from planner.ui.theme import Theme

if TYPE_CHECKING:
    from planner.job.roll_joins import SectionJoin

_WORDS = {"mid-run": "Join, strained both ways", "roll": "A roll ends",
          "both": "Join, strained both ways, at a roll end"}


class Sign(QWidget):
    """A symbol of map and strip, in a panel.

    Args:
        name: Name of the symbol.
        size: Side. [px]
        parent: Qt parent.
    """

    def __init__(self, name: str, size: int = 18, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.name, self._size = name, size
        self._look: Theme | None = None
        self.setFixedSize(QSize(size, size + 4))
        self.setAccessibleName(name)

    def set_theme(self, look: Theme) -> None:
        """Takes other colours."""
        self._look = look
        size = round(self._size * look.scale)
        self.setFixedSize(QSize(size, size + 4))
        self.update()

    def paintEvent(self, _: QPaintEvent) -> None:
        """Draws it."""
        if self._look is not None and self.name:
            painter = QPainter(self)
            size = self.width()
            draw_symbol(painter, self.name, QPointF(size / 2, size / 2 + 2), size_px=size - 3,
                        ink=self._look.ink, ground=self._look.card)
            painter.end()


class JoinBlock(QFrame):
    """One join.

    Args:
        join: The join.
        measures: How lengths are shown.
        look: The theme.

    Attributes:
        chosen: A person took it in hand; its chainage.
    """

    chosen = Signal(float)

    def __init__(self, join: SectionJoin, measures: Measures, look: Theme) -> None:
        super().__init__()
        self.join = join
        self.setObjectName("join")
        sign = Sign(SYMBOL_OF_JOIN[join.kind], 18, self)
        sign.set_theme(look)
        head = QLabel(_WORDS[join.kind], self)
        head.setObjectName("figure")
        head.setWordWrap(True)
        self.go = button(measures.length(join.chainage_m), lambda: self.chosen.emit(join.chainage_m), kind="quiet",
                         name=f"{_WORDS[join.kind]} at {measures.length(join.chainage_m)}: show")
        self.words = QLabel(join_words(join, measures), self)
        self.words.setObjectName("soft")
        self.words.setWordWrap(True)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        grid = QGridLayout(self)
        grid.setContentsMargins(4, 5, 4, 5)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(1, 1)
        grid.addWidget(sign, 0, 0)
        grid.addWidget(head, 0, 1)
        grid.addWidget(self.go, 0, 2)
        grid.addWidget(self.words, 1, 1, 1, 2)
        self.set_in_hand(False, look)

    def set_in_hand(self, is_in_hand: bool, look: Theme) -> None:
        """Shows whether it is in hand."""
        ground = look.accent_soft if is_in_hand else "transparent"
        self.setStyleSheet(f"QFrame#join {{ background: {ground}; border: 0; border-radius: 3px; }}")


def join_words(join: SectionJoin, measures: Measures) -> str:
    """Why a join is there, and the difference between top and bottom wire at it.

    Args:
        join: The join.
        measures: How lengths are shown.
    """
    words = [f"{reason[:1].upper()}{reason[1:].rstrip('.')}." for reason in join.reasons]
    if join.kind != "roll":
        differ = join.top_bottom_allowance_m
        words.append("Top and bottom wire differ by less than a millimetre here." if differ < 0.001 else
                     f"Top and bottom wire differ by {measures.small(differ)} here.")
    return " ".join(words)
