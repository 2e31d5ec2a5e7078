"""Which column of a file says which fact of the things that it holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from planner.survey.feature_meanings import BY_KEY, Fact


@dataclass(frozen=True)
class FactRow:
    """A fact of a meaning, and the column that says it.

    Attributes:
        meaning: Key of the meaning.
        fact: The fact.
        column: Name of the column; empty for none.
        sample: What the first row says there.
        refused: Rows whose text there does not fit.
    """

    meaning: str
    fact: Fact
    column: str
    sample: str = ""
    refused: int = 0


class FactsPage(QWidget):
    """The facts of the meanings that a file's things have, each with its column.

    Args:
        parent: Qt parent.

    Attributes:
        changed: Another column says a fact: key of the meaning, key of the fact, name of the column.
    """

    changed = Signal(str, str, str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.table = QTableWidget(0, 4, self)
        self.table.setAccessibleName("Facts and their columns")
        self.table.setHorizontalHeaderLabels(["taken as", "fact", "is said by column", "first row"])
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.table.setShowGrid(False)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().hide()
        self.table.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.horizontalHeader().setSectionResizeMode(3, QHeaderView.ResizeMode.Stretch)
        self.boxes: dict[tuple[str, str], QComboBox] = {}
        words = QLabel("Checks read these facts. Every field of the file is kept as it is, whatever is chosen here.",
                       self)
        words.setObjectName("soft")
        words.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(words)
        column.addWidget(self.table, 1)

    def show_facts(self, rows: Sequence[FactRow], columns: Mapping[str, Sequence[str]]) -> None:
        """Shows facts.

        Args:
            rows: Facts, those of one meaning together.
            columns: Meaning to the columns of its things.
        """
        self.table.setRowCount(len(rows))
        self.boxes = {}
        last = ""
        for number, row in enumerate(rows):
            name = BY_KEY[row.meaning].label if row.meaning != last else ""
            last = row.meaning
            unit = f" ({row.fact.unit})" if row.fact.unit else ""
            fit = f"  ({row.refused} {'does' if row.refused == 1 else 'do'} not fit)" if row.refused else ""
            for column, text in ((0, name), (1, f"{row.fact.label}{unit}"), (3, f"{row.sample}{fit}")):
                self.table.setItem(number, column, QTableWidgetItem(text))
            self.table.setCellWidget(number, 2, self._box(row, columns.get(row.meaning, ())))
        self.table.resizeRowsToContents()

    def _box(self, row: FactRow, columns: Sequence[str]) -> QComboBox:
        box = QComboBox(self.table)
        box.setAccessibleName(f"Column for {row.fact.label} of {BY_KEY[row.meaning].label}")
        box.addItem("not said", "")
        for column in columns:
            box.addItem(column, column)
        box.setCurrentIndex(max(box.findData(row.column), 0))
        box.activated.connect(lambda _: self.changed.emit(row.meaning, row.fact.key, str(box.currentData())))
        self.boxes[row.meaning, row.fact.key] = box
        return box
