"""The card of a tool: a few fields and figures at the right of the map, with what applies it and what gives it up."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from planner.errors import PlannerError
from planner.ui.panels.combo import Combo
from planner.ui.theme import Theme

_Any = TypeVar("_Any", bound=QWidget)
MARGIN, WIDE = 12, 328
"""From the edge of the map; width of the card at usual text, for the longest name of a fence type. [px]"""
Figure = tuple[str, str]


class ToolCard(QFrame):
    """The card.

    Args:
        title: What the tool is called.
        words: One sentence on what to do.
        look: The theme.
        canvas: The map it lies on.
        apply: What the button that applies says; empty for none.

    Attributes:
        is_folded: True while only its title is seen.
        changed: A field was changed, a quarter of a second ago.
        applied: The person wants it done.
    """

    changed = Signal()
    applied = Signal()

    def __init__(self, title: str, words: str, look: Theme, canvas: QWidget, *, apply: str = "") -> None:
        super().__init__(canvas)
        self.setObjectName("card")
        self.setAccessibleName(title)
        self._canvas, self._look = canvas, look
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(250)
        self._later.timeout.connect(self.changed)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(1, 11, 1, 11)
        whole.setSpacing(7)
        self.inner = QWidget(self)
        self._scroll = QScrollArea(self)
        self._scroll.setWidgetResizable(True)
        self._scroll.setFrameShape(QFrame.Shape.NoFrame)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setWidget(self.inner)
        column = self._column = QVBoxLayout(self.inner)
        column.setContentsMargins(13, 0, 13, 0)
        column.setSpacing(7)
        whole.addLayout(self._head(title))
        self.words = QLabel(words, self)
        self.words.setWordWrap(True)
        self.words.setObjectName("soft")
        self.form = QFormLayout()
        self.form.setHorizontalSpacing(12)
        self.form.setVerticalSpacing(5)
        self.form.setLabelAlignment(Qt.AlignmentFlag.AlignLeft)
        self.form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self.figures = QGridLayout()
        self.figures.setVerticalSpacing(3)
        self.figures.setColumnStretch(0, 1)
        self.note = QLabel(self)
        self.note.setWordWrap(True)
        self.note.hide()
        column.addWidget(self.words)
        column.addLayout(self.form)
        column.addLayout(self.figures)
        column.addWidget(self.note)
        whole.addWidget(self._scroll, 1)
        self.apply_button = QPushButton(apply, self)
        self.apply_button.setObjectName("main")
        self.apply_button.setEnabled(False)
        self.apply_button.clicked.connect(self.applied)
        row = QHBoxLayout()
        row.setContentsMargins(13, 0, 13, 0)
        row.addStretch(1)
        row.addWidget(self.apply_button)
        whole.addLayout(row)
        canvas.installEventFilter(self)
        self._fold(False)

    def _head(self, title: str) -> QHBoxLayout:
        self.title = QLabel(title, self)
        self.title.setObjectName("title")
        self.fold_button = QPushButton(self)
        self.fold_button.setObjectName("quiet")
        self.fold_button.setToolTip("Folds the card up, so that what lies under it can be seen")
        self.fold_button.clicked.connect(lambda _: self._fold(not self.is_folded))
        head = QHBoxLayout()
        head.setContentsMargins(13, 0, 9, 0)
        head.addWidget(self.title, 1)
        head.addWidget(self.fold_button)
        return head

    # fields

    def field(self, label: str, widget: _Any, tip: str = "") -> _Any:
        """Adds a field; its changes are told after a moment."""
        widget.setAccessibleName(label)
        widget.setToolTip(tip)
        if isinstance(widget, QLineEdit):
            widget.textEdited.connect(lambda _: self._later.start())
            widget.returnPressed.connect(self._now)
        elif isinstance(widget, QComboBox):
            widget.activated.connect(lambda _: self._now())
        self.form.addRow(label, widget)
        self.settle()
        return widget

    def text(self, label: str, value: str, tip: str = "") -> QLineEdit:
        """Adds a field to type into."""
        return self.field(label, QLineEdit(value, self), tip)

    def figures_row(self, label: str, parts: Sequence[tuple[str, str, str]]) -> list[QLineEdit]:
        """Adds several short fields side by side: what each is, its value, its tip."""
        holder = QWidget(self)
        row = QGridLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setHorizontalSpacing(5)
        row.setVerticalSpacing(1)
        fields = []
        for column, (name, value, tip) in enumerate(parts):
            above = QLabel(name, holder)
            above.setObjectName("soft")
            row.addWidget(above, 0, column)
            field = QLineEdit(value, holder)
            field.setAccessibleName(f"{label} {name}")
            field.setToolTip(tip)
            field.textEdited.connect(lambda _: self._later.start())
            field.returnPressed.connect(self._now)
            row.addWidget(field, 1, column)
            fields.append(field)
        self.form.addRow(label, holder)
        self.settle()
        return fields

    def choice(self, label: str, choices: Sequence[tuple[str, str]], chosen: str = "", tip: str = "") -> QComboBox:
        """Adds a choice among keys and what they are called."""
        box = Combo(label, self)
        box.set_theme(self._look)
        for key, called in choices:
            box.addItem(called, key)
        index = box.findData(chosen)
        box.setCurrentIndex(max(index, 0))
        box.setMinimumContentsLength(12)
        return self.field(label, box, tip)

    def shows(self, widget: QWidget, wanted: bool) -> None:
        """Shows or hides a field with its label."""
        self.form.setRowVisible(widget, wanted)
        self.settle()

    def wait_a_moment(self) -> None:
        """Tells of a change once nothing more is typed."""
        self._later.start()

    # figures

    def show_figures(self, figures: Sequence[Figure]) -> None:
        """Shows figures in place of those before."""
        while (item := self.figures.takeAt(0)) is not None:
            if (old := item.widget()) is not None:
                old.setParent(None)
                old.deleteLater()
        for row, (label, value) in enumerate(figures):
            name, figure = QLabel(label, self), QLabel(value, self)
            name.setObjectName("soft")
            figure.setObjectName("figure")
            figure.setAlignment(Qt.AlignmentFlag.AlignRight)
            self.figures.addWidget(name, row, 0)
            self.figures.addWidget(figure, row, 1)
            name.show()
            figure.show()
        self.settle()

    def say(self, text: str, *, wrong: bool = False) -> None:
        """Says something under the figures; an empty text says nothing."""
        self.note.setText(text)
        self.note.setObjectName("figure" if wrong else "soft")
        self.note.setStyleSheet(f"color: {self._look.wrong_ink if wrong else self._look.soft_ink};")
        self.note.setVisible(bool(text))
        self.settle()

    def refuse(self, trouble: PlannerError) -> None:
        """Says what is wrong, and lets nothing be applied."""
        self.show_figures(())
        self.say(str(trouble)[:1].upper() + str(trouble)[1:], wrong=True)
        self.may_apply(False)

    def may_apply(self, may: bool) -> None:
        """Whether there is something to apply."""
        self.apply_button.setEnabled(may)

    # place

    def _fold(self, folded: bool) -> None:
        self.is_folded = folded
        self.fold_button.setText("▾" if folded else "▴")
        self.fold_button.setAccessibleName(f"{self.title.text()}: {'unfold' if folded else 'fold'} the card")
        self._scroll.setVisible(not folded)
        self.apply_button.setVisible(bool(self.apply_button.text()) and not folded)
        self.settle()

    def settle(self) -> None:
        """Takes its place at the upper right of the map."""
        wide = min(round(WIDE * self._look.scale), max(200, self._canvas.width() // 2))
        tall = 24 + max(self.fold_button.sizeHint().height(), self.title.sizeHint().height())
        if self.is_folded:
            wide = min(wide, 40 + self.title.sizeHint().width() + self.fold_button.sizeHint().width())
        else:
            self._column.activate()
            tall += 9 + (self._column.heightForWidth(wide - 2) if self._column.hasHeightForWidth()
                         else self._column.sizeHint().height())
        self.setFixedWidth(wide)
        if not self.apply_button.isHidden():
            tall += self.apply_button.sizeHint().height() + 7
        self.setFixedHeight(max(40, min(tall, self._canvas.height() - 2 * MARGIN)))
        self.move(self._canvas.width() - wide - MARGIN, MARGIN)

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        for box in self.findChildren(Combo):
            box.set_theme(look)
        self.settle()

    def put_away(self) -> None:
        """Takes the card off the map."""
        self._later.stop()
        self._canvas.removeEventFilter(self)
        if self.isAncestorOf(self.focusWidget() or self):
            self._canvas.setFocus()
        self.hide()
        self.deleteLater()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keeps its place when the map takes another size."""
        if event.type() == QEvent.Type.Resize:
            self.settle()
        return False

    def _now(self) -> None:
        self._later.stop()
        self.changed.emit()


def button(text: str, parent: QWidget, does: Callable[[], object]) -> QPushButton:
    """A button that does something.

    Args:
        text: What it says.
        parent: Qt parent.
        does: What it does.
    """
    made = QPushButton(text, parent)
    made.setAccessibleName(text)
    made.clicked.connect(lambda _=False: does())
    return made
