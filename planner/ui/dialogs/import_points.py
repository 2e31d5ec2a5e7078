"""The points of one file in the import, and what each is taken as."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from planner.survey.fixes import MeasuredPoint
from planner.ui.dialogs.import_roles import POINT_ROLES, Role
from planner.ui.measures import Measures, count

POINTS_SHOWN = 500
_HEADS = ("taken as", "name", "code", "east", "north", "level", "width")
_FIGURES = 3


class PointsPage(QWidget):
    """Which points are taken as what.

    Args:
        parent: Qt parent.

    Attributes:
        taken: Points are taken as something else: the points, the role.
    """

    taken = Signal(object, str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._points: Sequence[MeasuredPoint] = ()
        self._roles: Sequence[Role] = ()
        self.table = QTableWidget(0, len(_HEADS), self)
        self.table.setAccessibleName("Points of the file")
        self.table.setHorizontalHeaderLabels(list(_HEADS))
        for number in range(_FIGURES, len(_HEADS)):
            if (head := self.table.horizontalHeaderItem(number)) is not None:
                head.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setShowGrid(False)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().hide()
        self.table.horizontalHeader().setHighlightSections(False)
        self.table.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.role = QComboBox(self)
        self.role.setAccessibleName("Take the chosen points as")
        for key, called in POINT_ROLES:
            self.role.addItem(called, key)
        self.role.activated.connect(lambda _: self.take_as(self.role.currentData()))
        self.table.selectionModel().selectionChanged.connect(lambda *_: self._tell_choice())
        self.words = QLabel(self)
        self.words.setObjectName("soft")
        self.words.setWordWrap(True)
        row = QHBoxLayout()
        self.about = QLabel(self)
        row.addWidget(self.about)
        row.addWidget(self.role)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.table, 1)
        column.addWidget(self.words)
        column.addLayout(row)

    def show_points(self, points: Sequence[MeasuredPoint], roles: Sequence[Role], measures: Measures) -> None:
        """Shows points, the first of them where there are many."""
        self._points, self._roles = points, roles
        shown = min(len(points), POINTS_SHOWN)
        self.table.verticalHeader().setDefaultSectionSize(round(self.table.fontMetrics().height()) + 9)
        self.table.setRowCount(shown)
        for row in range(shown):
            point = points[row]
            cells = (dict(POINT_ROLES)[roles[row]], point.name, point.code, f"{point.x:.3f}", f"{point.y:.3f}",
                     "" if point.level_m is None else measures.figure(point.level_m),
                     "" if point.width_m is None else measures.figure(point.width_m))
            for column, text in enumerate(cells):
                cell = QTableWidgetItem(text)
                side = Qt.AlignmentFlag.AlignRight if column >= _FIGURES else Qt.AlignmentFlag.AlignLeft
                cell.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(row, column, cell)
        more = len(points) - shown
        self.words.setText(f"{count(more, 'more point is', 'more points are')} not listed; all are taken." if more else
                           "")
        self.words.setVisible(bool(more))
        self._tell_choice()

    def take_as(self, role: Role) -> None:
        """Takes the chosen points as something else; all of the file where none is chosen."""
        rows = self._chosen()
        self.taken.emit([self._points[row] for row in rows] or list(self._points), role)

    def _chosen(self) -> list[int]:
        return sorted({index.row() for index in self.table.selectionModel().selectedRows()})

    def _tell_choice(self) -> None:
        """Says which points the box is about, and what they are taken as now; nothing where they differ."""
        rows = [row for row in self._chosen() if row < len(self._roles)]
        self.about.setText("Take the chosen points as" if rows or len(self._points) == 1 else "Take every point as")
        roles = {self._roles[row] for row in rows} or set(self._roles)
        self.role.setCurrentIndex(self.role.findData(roles.pop()) if len(roles) == 1 else -1)
