"""How the cells of a table are drawn, and the fields that open over them."""

from __future__ import annotations

from typing import Any, cast

from PySide6.QtCore import QAbstractItemModel, QEvent, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QLineEdit,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from planner.render.symbols import draw_symbol
from planner.ui.panels.combo import Combo
from planner.ui.panels.rows_model import Index, RowsModel
from planner.ui.theme import Theme

PAD, SYMBOL_PX = 5, 13


class Cells(QStyledItemDelegate):
    """Draws the cells of a table and opens them to be typed into.

    Args:
        table: The table.
        model: Its rows.
    """

    def __init__(self, table: QTableView, model: RowsModel) -> None:
        super().__init__(table)
        self._table, self._model = table, model
        self.look: Theme | None = None

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """As tall as the rows of the table."""
        return QSize(40, self._table.verticalHeader().defaultSectionSize())

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Draws a cell."""
        look = self.look
        if look is None:
            return
        rect, state = QRect(option.rect), option.state
        model = self._model
        column, row = model.columns[index.column()], model.rows[index.row()]
        painter.save()
        if state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, QColor(look.accent_soft))
        painter.setPen(QPen(QColor(look.edge), 1))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())
        inner = rect.adjusted(PAD, 0, -PAD, -1)
        if column.symbol is not None and (name := column.symbol(row)):
            size = SYMBOL_PX * look.scale
            draw_symbol(painter, name, QPointF(inner.left() + size / 2, inner.center().y() + 1), size_px=size,
                        ink=look.ink, ground=look.accent_soft if state & QStyle.StateFlag.State_Selected else look.card)
            inner.setLeft(inner.left() + round(size) + 6)
        if column.under is not None and (below := column.under(row)):
            half = inner.height() // 2
            self._soft_line(painter, inner.adjusted(0, half - 1, 0, -3), below, column.right, look)
            inner.setBottom(inner.top() + half + 2)
        loud = column.loud(row)
        font = look.font(9.4, weight=600 if column.strong or loud else 400)
        painter.setFont(font)
        painter.setPen(QColor(look.wrong_ink if loud else look.ink))
        side = Qt.AlignmentFlag.AlignRight if column.right else Qt.AlignmentFlag.AlignLeft
        if column.symbol is not None and inner.width() < painter.fontMetrics().horizontalAdvance("mmm"):
            painter.restore()
            return
        text = painter.fontMetrics().elidedText(column.text(row), Qt.TextElideMode.ElideRight, inner.width())
        painter.drawText(inner, side | Qt.AlignmentFlag.AlignVCenter, text)
        if text and model.is_editable(index):
            self._underline(painter, inner, painter.fontMetrics().horizontalAdvance(text), column.right, look)
        if state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(look.accent), 1.4))
            painter.drawRect(QRectF(rect).adjusted(1, 1, -1.5, -2))
        painter.restore()

    def _soft_line(self, painter: QPainter, box: QRect, text: str, right: bool, look: Theme) -> None:
        painter.setFont(look.font(8.6))
        painter.setPen(QColor(look.soft_ink))
        side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
        fitting = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, side | Qt.AlignmentFlag.AlignVCenter, fitting)

    def _underline(self, painter: QPainter, inner: QRect, wide: int, right: bool, look: Theme) -> None:
        """Dots under what can be typed over."""
        y = inner.center().y() + painter.fontMetrics().ascent() / 2 + 3
        x = inner.right() - wide if right else inner.left()
        painter.setPen(QPen(QColor(look.soft_ink), 1, Qt.PenStyle.DotLine))
        painter.drawLine(QPointF(x, y), QPointF(x + wide, y))

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        """Opens a cell to be typed into."""
        model = self._model
        column, row = model.columns[index.column()], model.rows[index.row()]
        if column.choices is not None:
            combo = Combo(column.title, parent)
            combo.show_choices(column.choices(row), str(model.data(index, Qt.ItemDataRole.EditRole)))
            combo.activated.connect(lambda _: self._done(combo))
            return combo
        field = QLineEdit(parent)
        field.setAccessibleName(column.title)
        field.setAlignment(Qt.AlignmentFlag.AlignRight if column.right else Qt.AlignmentFlag.AlignLeft)
        look = self.look
        if look is not None:
            field.setStyleSheet(f"QLineEdit {{ font-size: {9.4 * look.scale:.1f}pt; padding: 0 2px; border-radius: 2px;"
                                f" border: 2px solid {look.accent}; background: {look.card}; }}")
        return field

    def _done(self, combo: Combo) -> None:
        self.commitData.emit(combo)
        self.closeEditor.emit(combo, QAbstractItemDelegate.EndEditHint.NoHint)

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        """Puts what stands there into the field."""
        if isinstance(editor, QLineEdit):
            editor.setText(str(index.data(Qt.ItemDataRole.EditRole)))
            editor.selectAll()
        elif isinstance(editor, Combo):
            editor.showPopup()

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        """Takes what was typed."""
        value = editor.currentData() if isinstance(editor, Combo) else cast("QLineEdit", editor).text()
        model.setData(cast("Any", index), value)

    def updateEditorGeometry(self, editor: QWidget, option: QStyleOptionViewItem, index: Index) -> None:
        """Lays the field over its cell."""
        rect = QRect(option.rect)
        if isinstance(editor, Combo):
            rect.setWidth(max(rect.width(), editor.sizeHint().width()))
            rect.setHeight(max(rect.height(), editor.sizeHint().height()))
        editor.setGeometry(rect)

    def eventFilter(self, editor: Any, event: QEvent) -> bool:
        """A choice keeps its list open though the focus moves into it."""
        if isinstance(editor, Combo) and event.type() == QEvent.Type.FocusOut and editor.view().isVisible():
            return False
        return super().eventFilter(editor, event)
