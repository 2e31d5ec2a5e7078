"""The form of the import: which widgets stand where. What they do is joined to them by the dialog."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QComboBox,
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from planner.ui.dialogs.import_facts import FactsPage
from planner.ui.dialogs.import_grid import GridQuestion
from planner.ui.dialogs.import_map import PreviewMap
from planner.ui.dialogs.import_pages import ColumnsPage, LinesPage, TroublesPage
from planner.ui.dialogs.import_points import PointsPage
from planner.ui.dialogs.import_shared import SharedEdges
from planner.ui.share_bar import ShareBar
from planner.ui.theme import Theme
from planner.ui.tools.new_line import ACCURACIES

LINES, COLUMNS, TROUBLES, FACTS, POINTS = range(5)
"""Pages of a file, as the stack holds them."""


class ImportForm(QDialog):
    """The widgets of the import.

    Args:
        look: The theme.
        fences: Keys and names of the fence types.
        fence: Key of the one to begin with.
        parent: The window.
    """

    def __init__(self, look: Theme, fences: Sequence[tuple[str, str]], fence: str, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Bring in files")
        self._look, self._fences, self._fence = look, fences, fence
        self._build()

    def _build(self) -> None:
        scale = self._look.scale
        window = self.parentWidget()
        room = window.size() if window is not None else QSize(1280, 800)
        self.resize(min(round(1080 * scale), max(900, room.width() - 60)),
                    min(round(690 * scale), max(560, room.height() - 60)))
        self.headline = QLabel(self)
        self.headline.setObjectName("title")
        self.list = QListWidget(self)
        self.list.setAccessibleName("Files")
        self.list.setMinimumWidth(round(210 * scale))
        self.list.setMaximumWidth(round(270 * scale))
        self.list.setSpacing(3)
        self.list.setStyleSheet(f"QListWidget {{ selection-color: {self._look.ink}; outline: 0; }}"
                                f" QListWidget::item {{ border-radius: 3px; padding: 3px 4px; }}"
                                f" QListWidget::item:selected {{ background: {self._look.accent_soft}; }}")
        self.more = QPushButton("Add files…", self)
        self.drop = QPushButton("Leave this file out", self)
        left = QVBoxLayout()
        left.addWidget(self.list, 1)
        left.addWidget(self.more)
        left.addWidget(self.drop)
        body = QHBoxLayout()
        body.setSpacing(14)
        body.addLayout(left)
        body.addLayout(self._middle(), 1)
        body.addLayout(self._right())
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 14, 18, 14)
        column.setSpacing(10)
        column.addWidget(self.headline)
        column.addLayout(body, 1)
        column.addLayout(self._foot())

    def _middle(self) -> QVBoxLayout:
        self.name = QLabel(self)
        self.name.setObjectName("figure")
        self.what = QLabel(self)
        self.grid = QLabel(self)
        for label in (self.what, self.grid):
            label.setWordWrap(True)
        self.grid.setObjectName("soft")
        self.large = QPushButton("Read it all the same", self)
        self.large.setToolTip("It is so large that it is only read when you want it to be")
        self.large.hide()
        self.lines, self.columns = LinesPage(self), ColumnsPage(self)
        self.troubles = TroublesPage(self._look, self)
        self.facts, self.points = FactsPage(self), PointsPage(self)
        self.pages = QStackedWidget(self)
        self.page_buttons: list[QPushButton] = []
        group = QButtonGroup(self)
        row = QHBoxLayout()
        row.setSpacing(4)
        for number, (title, page) in enumerate((("Lines", self.lines), ("Columns", self.columns),
                                                ("To look at", self.troubles), ("Facts", self.facts),
                                                ("Points", self.points))):
            button = QPushButton(title, self)
            button.setCheckable(True)
            button.clicked.connect(partial(self.pages.setCurrentIndex, number))
            group.addButton(button)
            self.page_buttons.append(button)
            self.pages.addWidget(page)
        for number in (LINES, POINTS, COLUMNS, FACTS, TROUBLES):
            row.addWidget(self.page_buttons[number])
        self.page_buttons[LINES].setChecked(True)
        row.addStretch(1)
        column = QVBoxLayout()
        column.setSpacing(6)
        for part in (self.name, self.what, self.grid):
            column.addWidget(part)
        column.addWidget(self.large, 0, Qt.AlignmentFlag.AlignLeft)
        column.addLayout(row)
        column.addWidget(self.pages, 1)
        return column

    def _right(self) -> QVBoxLayout:
        wide = round(310 * self._look.scale)
        self.map = PreviewMap(self._look, self)
        self.question = GridQuestion(self)
        self.question.hide()
        self.fence = self._choice("Fence of the new lines", self._fences, self._fence)
        self.accuracy = self._choice("How well corners are known", [("", "as each file suggests"), *ACCURACIES], "")
        self.walked = QCheckBox("Fit walks to corners and straights", self)
        self.walked.setChecked(True)
        self.fits = QLabel(self)
        self.fits.setWordWrap(True)
        self.fits.setObjectName("soft")
        self.where = QLabel(self)
        self.where.setWordWrap(True)
        self.where.setObjectName("soft")
        form = QFormLayout()
        form.setVerticalSpacing(6)
        form.addRow("Fence", self.fence)
        form.addRow("Corners", self.accuracy)
        column = QVBoxLayout()
        column.setSpacing(8)
        for part in (self.map, self.where, self.question):
            part.setFixedWidth(wide)
            column.addWidget(part, 1 if part is self.map else 0)
        column.addLayout(form)
        column.addWidget(self.walked)
        column.addWidget(self.fits)
        self.fits.setFixedWidth(wide)
        self.shared = SharedEdges(self)
        self.shared.setFixedWidth(wide)
        column.addWidget(self.shared)
        return column

    def _choice(self, name: str, rows: Sequence[tuple[str, str]], chosen: str) -> QComboBox:
        box = QComboBox(self)
        box.setAccessibleName(name)
        box.setToolTip(name)
        for key, called in rows:
            box.addItem(called, key)
        box.setCurrentIndex(max(box.findData(chosen), 0))
        box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        box.setMinimumContentsLength(14)
        return box

    def _foot(self) -> QHBoxLayout:
        self.words = QLabel(self)
        self.words.setWordWrap(True)
        self.bar = ShareBar("Share of the work that is done", self)
        self.bar.setFixedWidth(140)
        self.bar.hide()
        self.back = QPushButton("Go back", self)
        self.bring = QPushButton("Bring in", self)
        self.bring.setObjectName("main")
        self.bring.setDefault(True)
        row = QHBoxLayout()
        row.addWidget(self.words, 1)
        for part in (self.bar, self.back, self.bring):
            row.addWidget(part)
        return row
