"""Figures under each other, each with what it is at the left and its limit behind it."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from planner.ui.theme import Theme


class Pair(NamedTuple):
    """A figure and what it is.

    Attributes:
        label: What it is.
        figure: The figure with its unit.
        note: What is said behind it, such as its limit.
        over: True when it breaks its limit.
        tip: More about it.
    """

    label: str
    figure: str
    note: str = ""
    over: bool = False
    tip: str = ""


class Pairs(QWidget):
    """Figures under each other, what they are at the left, the figures aligned at the right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(0, 1)
        self._labels: list[tuple[QLabel, QLabel]] = []
        self.rows: tuple[Pair, ...] = ()

    def show_rows(self, rows: Sequence[Pair], look: Theme) -> None:
        """Shows other figures.

        Args:
            rows: The figures.
            look: The theme.
        """
        self.rows = tuple(rows)
        while len(self._labels) < len(rows):
            label, figure = QLabel(self), QLabel(self)
            label.setWordWrap(True)
            figure.setTextFormat(Qt.TextFormat.RichText)
            figure.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
            figure.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            self._grid.addWidget(label, len(self._labels), 0, Qt.AlignmentFlag.AlignTop)
            self._grid.addWidget(figure, len(self._labels), 1, Qt.AlignmentFlag.AlignTop)
            self._labels.append((label, figure))
        for number, (label, figure) in enumerate(self._labels):
            shown = number < len(rows)
            label.setVisible(shown)
            figure.setVisible(shown)
            if shown:
                self._show(label, figure, rows[number], look)
        self.setVisible(bool(rows))

    def figure(self, label: str) -> str:
        """The figure and note of a label, with plain spaces; empty when it is not shown."""
        found = next((f"{row.figure} {row.note}" for row in self.rows if " ".join(row.label.split()) == label), "")
        return " ".join(found.split())

    def _show(self, label: QLabel, figure: QLabel, row: Pair, look: Theme) -> None:
        label.setText(row.label)
        colour = f' style="color:{look.wrong_ink}"' if row.over else ""
        note = html.escape(row.note)
        small = f'&nbsp;&nbsp;<span style="color:{look.soft_ink};font-size:{8.6 * look.scale:.1f}pt">{note}</span>'
        sign = "▲&nbsp;" if row.over else ""
        figure.setText(f"<b{colour}>{sign}{html.escape(row.figure)}</b>{small if note else ''}")
        said = "over the limit" if row.over else ""
        figure.setAccessibleName(" ".join(part for part in (row.label, row.figure, row.note, said) if part))
        for widget in (label, figure):
            widget.setToolTip(row.tip)
