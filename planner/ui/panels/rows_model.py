"""Columns and rows of a table: what stands in a cell, and what may be typed over it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtWidgets import QWidget

from planner.errors import PlannerError

Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True)
class Column:
    """One column.

    Attributes:
        title: Its heading.
        text: What stands in it for a row.
        right: True for figures, which stand at the right.
        stretch: True for the one that takes the room left over.
        spare: 0 for a column that is always shown; others go when there is no room, the greatest first.
        edit: Takes what was typed for a row; raises PlannerError to refuse it. None where nothing can be typed.
        may_edit: Whether a row of it can be typed into.
        typed: What the field opens with; the text when None.
        choices: Value and text of what can be chosen; None where anything can be typed.
        symbol: Symbol before the text; an empty name for none.
        tip: What it means.
        strong: True for bold.
        loud: Whether a row of it is to be seen at once.
        under: What stands below the text, softly; None in tables of one line a row.
    """

    title: str
    text: Callable[[Any], str]
    right: bool = False
    stretch: bool = False
    spare: int = 0
    edit: Callable[[Any, str], None] | None = None
    may_edit: Callable[[Any], bool] = lambda row: True
    typed: Callable[[Any], str] | None = None
    choices: Callable[[Any], Sequence[tuple[str, str]]] | None = None
    symbol: Callable[[Any], str] | None = None
    tip: str = ""
    strong: bool = False
    loud: Callable[[Any], bool] = lambda row: False
    under: Callable[[Any], str] | None = None


class RowsModel(QAbstractTableModel):
    """Rows for a table.

    Args:
        columns: Its columns.
        parent: The table.
    """

    refused = Signal(str)

    def __init__(self, columns: Sequence[Column], parent: QWidget) -> None:
        super().__init__(parent)
        self.columns = tuple(columns)
        self.rows: list[Any] = []

    def take(self, rows: Sequence[Any]) -> None:
        """Takes other rows."""
        self.beginResetModel()
        self.rows = list(rows)
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - as Qt has it
        """Number of rows."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - as Qt has it
        """Number of columns."""
        return 0 if parent.isValid() else len(self.columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """What a cell says."""
        row, column = self.rows[index.row()], self.columns[index.column()]
        if role == Qt.ItemDataRole.DisplayRole:
            return column.text(row)
        if role == Qt.ItemDataRole.EditRole:
            return (column.typed or column.text)(row)
        if role in (Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole):
            below = f", {column.under(row)}" if column.under is not None and column.under(row) else ""
            head = f"{column.title}: " if role == Qt.ItemDataRole.AccessibleTextRole and column.title else ""
            return f"{head}{column.text(row)}{below}"
        return None

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Headings."""
        if orientation != Qt.Orientation.Horizontal:
            return None
        column = self.columns[section]
        if role == Qt.ItemDataRole.DisplayRole:
            return column.title
        if role == Qt.ItemDataRole.ToolTipRole:
            return column.tip or None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if column.right else Qt.AlignmentFlag.AlignLeft
            return int(side | Qt.AlignmentFlag.AlignVCenter)
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        """What can be done with a cell."""
        found = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        return found | Qt.ItemFlag.ItemIsEditable if self.is_editable(index) else found

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """Takes what was typed; says so in one sentence when it cannot be used."""
        column, row = self.columns[index.column()], self.rows[index.row()]
        if column.edit is None or role != Qt.ItemDataRole.EditRole:
            return False
        if str(value).strip() == self.data(index, Qt.ItemDataRole.EditRole):
            self.refused.emit("")
            return False
        try:
            column.edit(row, str(value).strip())
        except PlannerError as trouble:
            self.refused.emit(str(trouble))
            return False
        self.refused.emit("")
        return True

    def is_editable(self, index: Index) -> bool:
        """True when something can be typed into a cell."""
        column = self.columns[index.column()]
        return column.edit is not None and column.may_edit(self.rows[index.row()])
