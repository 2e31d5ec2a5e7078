"""The pages of one file in the import: its lines, its columns, what is to look at."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QColor
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QTableView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from planner.findings import Finding
from planner.geometry.lines import leg_lengths
from planner.jobpack.page.measures import grouped
from planner.survey.fixes import MeasuredLine
from planner.ui.dialogs.import_reading import FileRead, row_words
from planner.ui.dialogs.import_roles import ROLES, Role
from planner.ui.measures import Measures
from planner.ui.theme import Theme

_Index = QModelIndex | QPersistentModelIndex
_CALLED = dict(ROLES)
KINDS = {"track": "walk", "route": "route", "polyline": "line", "ring": "ring"}
COLUMN_ROLES: tuple[tuple[str, str], ...] = (
    ("", "not read"), ("x", "easting"), ("y", "northing"), ("lon", "longitude"), ("lat", "latitude"),
    ("level", "level"), ("name", "name"), ("code", "code"), ("width", "width or span"), ("line", "line's name"),
    ("time", "time"), ("accuracy", "accuracy class"))


class LineTable(QAbstractTableModel):
    """The lines of a file: what each is taken as, its name, its kind, its corners, its length."""

    HEADS = ("taken as", "name", "kind", "corners", "length as read")

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._rows: list[tuple[MeasuredLine, float | None]] = []
        self._roles: list[Role] = []
        self._measures = Measures()

    def show_lines(self, rows: Sequence[tuple[MeasuredLine, float | None]], roles: Sequence[Role],
                   measures: Measures) -> None:
        """Shows other lines, each with its length in the working grid where it is known. [m]"""
        self.beginResetModel()
        self._rows, self._roles, self._measures = list(rows), list(roles), measures
        self.endResetModel()

    def line(self, row: int) -> MeasuredLine:
        """The line of a row."""
        return self._rows[row][0]

    def role(self, row: int) -> Role:
        """What the line of a row is taken as."""
        return self._roles[row]

    def take_as(self, rows: Sequence[int], role: Role) -> None:
        """Takes some lines as something else."""
        for row in rows:
            self._roles[row] = role
        self.dataChanged.emit(self.index(0, 0), self.index(len(self._rows) - 1, len(self.HEADS) - 1))

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008 - as Qt has it
        """Number of lines."""
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008 - as Qt has it
        """Number of columns."""
        return len(self.HEADS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Headings."""
        if orientation != Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole and section >= 3:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return self.HEADS[section] if role == Qt.ItemDataRole.DisplayRole else None

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Cells."""
        (line, length), taken = self._rows[index.row()], self._roles[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return (_CALLED[taken], line.name, KINDS[line.kind], grouped(line.corner_count, 0),
                    "–" if length is None else self._measures.length(length))[index.column()]
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() >= 3:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        if role == Qt.ItemDataRole.ForegroundRole and taken == "none":
            return QColor(Qt.GlobalColor.gray)
        return None


class LinesPage(QWidget):
    """Which lines are taken, and as what.

    Args:
        parent: Qt parent.

    Attributes:
        chosen: A line was pointed at; its name.
        taken: Lines are taken as something else: the lines, the role.
    """

    chosen = Signal(str)
    taken = Signal(object, str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.model = LineTable(self)
        self.view = QTableView(self)
        self.view.setModel(self.model)
        self.view.setAccessibleName("Lines of the file")
        self.view.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.view.setShowGrid(False)
        self.view.setTabKeyNavigation(False)
        self.view.verticalHeader().hide()
        self.view.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.view.horizontalHeader().setSectionResizeMode(1, QHeaderView.ResizeMode.Stretch)
        self.view.horizontalHeader().setHighlightSections(False)
        self.view.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self.view.selectionModel().selectionChanged.connect(lambda *_: self._selected())
        self.role = QComboBox(self)
        self.role.setAccessibleName("Take the chosen lines as")
        for key, called in ROLES:
            self.role.addItem(called, key)
        self.role.activated.connect(lambda _: self._take())
        row = QHBoxLayout()
        self.words = QLabel("Take the chosen lines as", self)
        row.addWidget(self.words)
        row.addWidget(self.role)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.view, 1)
        column.addLayout(row)

    def show_file(self, rows: Sequence[tuple[MeasuredLine, float | None]], roles: Sequence[Role],
                  measures: Measures) -> None:
        """Shows the lines of a file."""
        self.model.show_lines(rows, roles, measures)
        self.view.setVisible(bool(rows))
        self.role.setVisible(bool(rows))
        self._tell_choice()

    def rows(self) -> list[int]:
        """Rows that are chosen; all when none is."""
        found = sorted({index.row() for index in self.view.selectionModel().selectedRows()})
        return found or list(range(self.model.rowCount()))

    def take_as(self, role: Role) -> None:
        """Takes the chosen lines as something else."""
        rows = self.rows()
        self.model.take_as(rows, role)
        self.taken.emit([self.model.line(row) for row in rows], role)
        self._tell_choice()

    def _take(self) -> None:
        self.take_as(self.role.currentData())

    def _tell_choice(self) -> None:
        """Says which lines the box is about, and what they are taken as now; nothing where they differ."""
        every, chosen = self.model.rowCount(), bool(self.view.selectionModel().selectedRows())
        self.words.setText("No lines." if not every else "Take the chosen lines as" if chosen or every == 1 else
                           "Take every line as")
        roles = {self.model.role(row) for row in self.rows()}
        self.role.setCurrentIndex(self.role.findData(roles.pop()) if len(roles) == 1 else -1)

    def _selected(self) -> None:
        self._tell_choice()
        rows = self.view.selectionModel().selectedRows()
        self.chosen.emit(self.model.line(rows[0].row()).name if rows else "")


class ColumnsPage(QWidget):
    """Which column of a table is what, over its first rows.

    Args:
        parent: Qt parent.

    Attributes:
        changed: What is said about the columns, by the keys of the reader.
    """

    changed = Signal(dict)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.table = QTableWidget(self)
        self.table.setAccessibleName("First rows of the table")
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.verticalHeader().hide()
        self.table.horizontalHeader().hide()
        self.boxes: list[QComboBox] = []
        self._extra: dict[str, str] = {}
        self.angles = self._choice("Angles", (("", "as the numbers are"), ("packed-dms", "DDD.MMSS run together")))
        self.axes = self._choice("Axes", (("", "as named"), ("swapped", "swapped")))
        row = QHBoxLayout()
        for label, box in (("Angles", self.angles), ("Axes", self.axes)):
            row.addWidget(QLabel(label, self))
            row.addWidget(box)
        row.addStretch(1)
        words = QLabel("Say over each column what it holds; the file is read again at once.", self)
        words.setObjectName("soft")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(words)
        column.addWidget(self.table, 1)
        column.addLayout(row)

    def _choice(self, name: str, rows: Sequence[tuple[str, str]]) -> QComboBox:
        box = QComboBox(self)
        box.setAccessibleName(name)
        for key, called in rows:
            box.addItem(called, key)
        box.activated.connect(lambda _: self._tell())
        return box

    def show_file(self, one: FileRead, told: dict[str, int]) -> None:
        """Shows the first rows of a table.

        Args:
            one: The file.
            told: What each role's column is now, as an index.
        """
        wide = max((len(row) for row in one.rows), default=0)
        self.table.clear()
        self.table.setRowCount(len(one.rows) + 1)
        self.table.setColumnCount(wide)
        by_column = {index: role for role, index in told.items()}
        self.boxes = []
        for index in range(wide):
            box = QComboBox(self.table)
            box.setAccessibleName(f"Column {index + 1}")
            for key, called in COLUMN_ROLES:
                box.addItem(called, key)
            box.setCurrentIndex(max(box.findData(by_column.get(index, "")), 0))
            box.activated.connect(lambda _: self._tell())
            self.table.setCellWidget(0, index, box)
            self.boxes.append(box)
            for number, row in enumerate(one.rows, 1):
                self.table.setItem(number, index, QTableWidgetItem(row[index] if index < len(row) else ""))
        self.table.resizeColumnsToContents()
        self.table.resizeRowsToContents()
        for box, key in ((self.angles, "angles"), (self.axes, "axes")):
            box.setCurrentIndex(max(box.findData(one.columns.get(key, "")), 0))

    def said(self) -> dict[str, str]:
        """What is said about the columns, by the keys of the reader."""
        found = {box.currentData(): str(number) for number, box in enumerate(self.boxes, 1) if box.currentData()}
        for box, key in ((self.angles, "angles"), (self.axes, "axes")):
            if box.currentData():
                found[key] = box.currentData()
        return found

    def _tell(self) -> None:
        self.changed.emit(self.said())


class TroublesPage(QWidget):
    """Everything that was wrong, mended or assumed, row by row.

    Args:
        look: The theme.
        parent: Qt parent.
    """

    def __init__(self, look: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self.table = QTableWidget(0, 2, self)
        self.table.setAccessibleName("What to look at")
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setShowGrid(False)
        self.table.setWordWrap(True)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.horizontalHeader().hide()
        self.table.horizontalHeader().setSectionResizeMode(0, QHeaderView.ResizeMode.ResizeToContents)
        self.table.horizontalHeader().setSectionResizeMode(1, QHeaderView.ResizeMode.Stretch)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.table, 1)

    def show_findings(self, findings: Sequence[Finding], notes: Sequence[str]) -> None:
        """Shows findings, the worst first, and under them what was noted."""
        mark = {"error": ("■", self._look.wrong_ink), "warning": ("▲", self._look.ink),
                "note": ("●", self._look.soft_ink)}
        ordered = sorted(findings, key=lambda f: ("error", "warning", "note").index(f.severity))
        self.table.setRowCount(len(ordered) + len(notes))
        for number, finding in enumerate(ordered):
            sign, colour = mark[finding.severity]
            where = QTableWidgetItem(f"{sign}  {row_words(finding)}")
            where.setForeground(QColor(colour))
            where.setTextAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
            where.setToolTip(finding.rule)
            self.table.setItem(number, 0, where)
            self.table.setItem(number, 1, QTableWidgetItem(f"{finding.message} {finding.remedy}".strip()))
        for number, note in enumerate(notes, len(ordered)):
            self.table.setItem(number, 0, QTableWidgetItem("●  note"))
            self.table.setItem(number, 1, QTableWidgetItem(note))


def length_of(line: MeasuredLine) -> float:
    """Length of a line in the grid. [m]

    Args:
        line: The line.
    """
    return float(leg_lengths(line.xy).sum())
