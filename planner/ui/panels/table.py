"""Tables of a panel: aligned figures, a row in hand, cells to type into, columns that go when it is narrow."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Any

from PySide6.QtCore import (
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    Qt,
    Signal,
)
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QFrame,
    QHeaderView,
    QTableView,
    QWidget,
)

from planner.ui.panels.rows_model import Column, RowsModel
from planner.ui.panels.table_cells import PAD, SYMBOL_PX, Cells
from planner.ui.theme import Theme

Index = QModelIndex | QPersistentModelIndex
_LOOKED_AT = 400
_MEASURED = 20_000
_LETTERS = {"plain": (9.4, 400), "strong": (9.4, 600), "head": (8.6, 400)}
"""Size and weight of the letters in cells and heads. [pt]"""
_BESIDE_BAR_PX = 6


class RowTable(QTableView):
    """A table as the panels show it, as tall as its rows up to a most.

    Args:
        name: What it lists, for those who do not see it.
        columns: Its columns.
        key: What a row is told by.
        most: Rows shown before it scrolls.
        parent: Qt parent.

    Attributes:
        chosen: A person took a row in hand; its key.
        refused: What was typed cannot be used, and why; an empty text once something typed could be.
    """

    chosen = Signal(object)
    refused = Signal(str)

    def __init__(self, name: str, columns: Sequence[Column], *, key: Callable[[Any], Hashable], most: int = 10,
                 parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows_model = RowsModel(columns, self)
        self._key, self._most, self._silent = key, most, False
        self._look: Theme | None = None
        self._held: list[Any] | None = None
        self._natural: list[int] = []
        self._wide: dict[tuple[str, str], float] = {}
        self._tall = 0
        self.setAccessibleName(name)
        self.setModel(self.rows_model)
        self._cells = Cells(self, self.rows_model)
        self.setItemDelegate(self._cells)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.DoubleClicked | QAbstractItemView.EditTrigger.EditKeyPressed
                             | QAbstractItemView.EditTrigger.AnyKeyPressed)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setWordWrap(False)
        self.setCornerButtonEnabled(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.verticalHeader().hide()
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        head = self.horizontalHeader()
        head.setHighlightSections(False)
        head.setSectionsClickable(False)
        head.setMinimumSectionSize(16)
        head.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.rows_model.refused.connect(self.refused)

    @property
    def look(self) -> Theme | None:
        """The theme."""
        return self._look

    @property
    def rows(self) -> list[Any]:
        """The rows shown."""
        return self.rows_model.rows

    def texts(self) -> list[list[str]]:
        """What stands in every cell."""
        return [[column.text(row) for column in self.rows_model.columns] for row in self.rows]

    def show_rows(self, rows: Sequence[Any]) -> None:
        """Shows other rows; the row in hand stays so where it is still there. Waits while something is being typed."""
        if self.state() == QAbstractItemView.State.EditingState:
            self._held = list(rows)
            return
        in_hand, top, column = self.key_in_hand, self.verticalScrollBar().value(), self.currentIndex().column()
        self._silent = True
        self.rows_model.take(rows)
        self._measure()
        self._silent = False
        if in_hand is not None:
            self.choose(in_hand, column=max(column, 0), seen=False)
        self.verticalScrollBar().setValue(top)

    @property
    def key_in_hand(self) -> Hashable | None:
        """Key of the row in hand; None for none."""
        selected = self.selectionModel().selectedRows()
        return self._key(self.rows[selected[0].row()]) if selected else None

    def choose(self, key: Hashable | None, *, column: int = 0, seen: bool = True) -> None:
        """Takes a row in hand without telling anybody.

        Args:
            key: Key of the row; None or one that is not shown for none.
            column: Column of the cell that keys start from.
            seen: True to scroll to it.
        """
        if key is not None and key == self.key_in_hand:
            return
        self._silent = True
        row = next((i for i, r in enumerate(self.rows) if self._key(r) == key), -1) if key is not None else -1
        if row < 0:
            self.clearSelection()
            self.selectionModel().clearCurrentIndex()
        else:
            index = self.rows_model.index(row, column)
            self.selectionModel().setCurrentIndex(index, QItemSelectionModel.SelectionFlag.ClearAndSelect
                                                  | QItemSelectionModel.SelectionFlag.Rows)
            if seen:
                self.scrollTo(index)
        self._silent = False

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = self._cells.look = look
        self._wide.clear()
        self.horizontalHeader().setStyleSheet(
            f"QHeaderView::section {{ background: {look.card}; color: {look.soft_ink}; border: 0;"
            f" border-bottom: 1px solid {look.edge}; padding: 2px {PAD}px; font-size: {8.6 * look.scale:.1f}pt; }}")
        tall = any(column.under is not None for column in self.rows_model.columns)
        self.verticalHeader().setDefaultSectionSize(round((40 if tall else 25) * look.scale))
        self._measure()
        self.viewport().update()

    # Qt

    def selectionChanged(self, selected: Any, deselected: Any) -> None:
        """Tells that a row was taken in hand."""
        super().selectionChanged(selected, deselected)
        if not self._silent and self.key_in_hand is not None:
            self.chosen.emit(self.key_in_hand)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fits the columns."""
        super().resizeEvent(event)
        self._fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter opens a cell that can be typed into; Escape is left to the window."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.currentIndex().isValid():
            is_open = self.state() == QAbstractItemView.State.EditingState  # its own Enter comes up to here as well
            if not is_open and self.rows_model.is_editable(self.currentIndex()):
                self.edit(self.currentIndex())
            return
        super().keyPressEvent(event)

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """Shows the rows that came while something was being typed."""
        super().closeEditor(editor, hint)
        if self._held is not None:
            held, self._held = self._held, None
            self.show_rows(held)

    def focusInEvent(self, event: Any) -> None:
        """Coming by keyboard, the first row stands ready."""
        super().focusInEvent(event)
        if not self.currentIndex().isValid() and self.rows:
            self._silent = True
            first, quietly = self.rows_model.index(0, 0), QItemSelectionModel.SelectionFlag.NoUpdate
            self.selectionModel().setCurrentIndex(first, quietly)
            self._silent = False

    def edit_cell(self, row: int, column: int) -> None:
        """Opens a cell to be typed into."""
        self.setCurrentIndex(self.rows_model.index(row, column))
        self.edit(self.currentIndex())

    # sizes

    def _measure(self) -> None:
        """How wide each column would like to be."""
        if self._look is None:
            return
        head = QFontMetricsF(self._look.font(8.6))
        looked_at = self.rows[::max(1, len(self.rows) // _LOOKED_AT)]
        self._natural = []
        for column in self.rows_model.columns:
            sign = round(SYMBOL_PX * self._look.scale) + 6 if column.symbol is not None else 0
            wide = self._widest("strong" if column.strong else "plain", {column.text(row) for row in looked_at}) + sign
            under = {column.under(row) for row in looked_at} if column.under is not None else set()
            wide = max(wide, self._widest("head", under | {column.title}))
            self._natural.append(round(wide) + 2 * PAD + 3)
        high = self.verticalHeader().defaultSectionSize()
        shown = min(len(self.rows), self._most)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn if self._scrolls
                                        else Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._tall = round(head.height()) + 8 + shown * high + 2
        self.setFixedHeight(self._tall)
        self.horizontalHeader().setFixedHeight(round(head.height()) + 8)
        self._fit()

    def _widest(self, kind: str, texts: set[str]) -> float:
        """The widest of some texts. What was measured once is not again: after an edit most are the same. [px]"""
        new = [text for text in texts if (kind, text) not in self._wide]
        if new and self._look is not None:
            size, weight = _LETTERS[kind]
            letters = QFontMetricsF(self._look.font(size, weight=weight))
            if len(self._wide) + len(new) > _MEASURED:
                self._wide = {}
                new = list(texts)
            for text in new:
                self._wide[kind, text] = letters.horizontalAdvance(text)
        return max((self._wide[kind, text] for text in texts), default=0.0)

    @property
    def _scrolls(self) -> bool:
        return len(self.rows) > self._most

    def _fit(self) -> None:
        if not self._natural:
            return
        columns, scale = self.rows_model.columns, self._look.scale if self._look else 1.0
        room = self.viewport().width() - (round(_BESIDE_BAR_PX * scale) if self._scrolls else 0)
        stretch = next((i for i, c in enumerate(columns) if c.stretch), 0)
        least = self._natural[stretch] if columns[stretch].right else min(self._natural[stretch], round(86 * scale))
        wanted = [least if i == stretch else wide for i, wide in enumerate(self._natural)]
        shown = set(range(len(columns)))
        for rank in sorted({c.spare for c in columns if c.spare}, reverse=True):
            if sum(wanted[i] for i in shown) <= room:
                break
            shown -= {i for i, c in enumerate(columns) if c.spare == rank}
        rest = room - sum(self._natural[i] for i in shown if i != stretch)
        if not columns[stretch].right:
            least = min(least, max(rest, round(34 * scale)))  # rather a word cut short than a figure out of sight
        for i in range(len(columns)):
            self.setColumnHidden(i, i not in shown)
            if i in shown:
                self.setColumnWidth(i, max(rest, least) if i == stretch else self._natural[i])
        fits = rest >= least
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff if fits
                                          else Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self.setFixedHeight(self._tall + (0 if fits else self.horizontalScrollBar().sizeHint().height()))
