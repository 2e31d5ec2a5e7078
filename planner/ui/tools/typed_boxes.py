"""Small boxes that follow the pointer and can be typed into at once: bearing and distance, a width, an offset."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from planner.errors import PlannerError
from planner.ui.theme import Theme

STARTS = "0123456789.,-+'\"NSns"
"""Keys that begin a value when they are pressed on the map."""


class TypedBoxes(QFrame):
    """Boxes over the map. The map keeps the keyboard until a figure is typed.

    Args:
        names: What each box holds.
        read: How each box is read; raises a PlannerError for what cannot be.
        look: The theme.
        canvas: The map.

    Attributes:
        changed: What is typed has changed.
        placed: Enter was pressed and everything typed can be read.
        left: Escape was pressed.
    """

    changed = Signal()
    placed = Signal()
    left = Signal()

    def __init__(self, names: Sequence[str], read: Sequence[Callable[[str], float]], look: Theme,
                 canvas: QWidget) -> None:
        super().__init__(canvas)
        self.setObjectName("typed")
        self._read, self._canvas, self._asked = tuple(read), canvas, 0
        self.boxes: list[QLineEdit] = []
        row = QHBoxLayout(self)
        row.setContentsMargins(7, 4, 7, 6)
        row.setSpacing(7)
        for name in names:
            part = QVBoxLayout()
            part.setSpacing(1)
            label = QLabel(name, self)
            label.setObjectName("soft")
            box = QLineEdit(self)
            box.setAccessibleName(name)
            box.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
            box.installEventFilter(self)
            box.textEdited.connect(lambda _: self._typed())
            part.addWidget(label)
            part.addWidget(box)
            row.addLayout(part)
            self.boxes.append(box)
        self.set_theme(look)
        self.hide()

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self._look = look
        for box in self.boxes:
            box.setFixedWidth(round(92 * look.scale))
        self._paint_edge(wrong=False)
        self.adjustSize()

    def follow(self, x: float, y: float, live: Sequence[str]) -> None:
        """Moves beside the pointer and shows the live values in the boxes that nothing is typed into. [px]"""
        for box, text in zip(self.boxes, live, strict=True):
            box.setPlaceholderText(text)
        self.adjustSize()
        left = x + 18 if x + 18 + self.width() <= self._canvas.width() - 4 else x - 18 - self.width()
        top = y + 16 if y + 16 + self.height() <= self._canvas.height() - 4 else y - 16 - self.height()
        self.move(QPoint(round(max(left, 4)), round(max(top, 4))))
        self.show()

    @property
    def place(self) -> QRect | None:
        """Where it stands on the map. [px] None while it is hidden."""
        return self.geometry() if self.isVisible() else None

    @property
    def is_typing(self) -> bool:
        """True while a box has the keyboard."""
        return any(box.hasFocus() for box in self.boxes)

    def value(self, number: int) -> float | None:
        """What is typed into a box; None when nothing is, or it cannot be read."""
        text = self.boxes[number].text().strip()
        if not text:
            return None
        try:
            return self._read[number](text)
        except PlannerError:
            return None

    def trouble(self) -> PlannerError | None:
        """What is wrong with what is typed; None when nothing is."""
        for box, read in zip(self.boxes, self._read, strict=True):
            if box.text().strip():
                try:
                    read(box.text().strip())
                except PlannerError as error:
                    return error
        return None

    def take_key(self, event: QKeyEvent) -> bool:
        """Begins typing with a key pressed on the map; False when it begins no value."""
        text = event.text()
        if not text or text not in STARTS or event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            return False
        box = self.boxes[self._asked]
        box.setText(box.text() + text)
        self.show()
        box.setFocus(Qt.FocusReason.OtherFocusReason)
        self._typed()
        return True

    def enter(self, number: int) -> None:
        """Gives the keyboard to a box."""
        self._asked = number
        self.show()
        self.boxes[number].setFocus(Qt.FocusReason.OtherFocusReason)
        self.boxes[number].selectAll()

    def clear(self) -> None:
        """Empties the boxes and gives the keyboard back to the map."""
        had, self._asked = self.is_typing, 0
        for box in self.boxes:
            box.clear()
        self._paint_edge(wrong=False)
        if had:
            self._canvas.setFocus(Qt.FocusReason.OtherFocusReason)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Tab goes from box to box, Enter places, Escape leaves."""
        if event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return False
        key = event.key()
        if key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            now = next((i for i, box in enumerate(self.boxes) if box is watched), 0)
            self.enter((now + 1) % len(self.boxes))
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.trouble() is None:
                self.placed.emit()
            else:
                self._paint_edge(wrong=True)
        elif key == Qt.Key.Key_Escape:
            self.clear()
            self.left.emit()
        else:
            return False
        return True

    def _typed(self) -> None:
        trouble = self.trouble()
        self._paint_edge(wrong=trouble is not None)
        self.setToolTip(str(trouble) if trouble is not None else "")
        self.changed.emit()

    def _paint_edge(self, *, wrong: bool) -> None:
        look = self._look
        edge = look.wrong if wrong else look.accent
        self.setStyleSheet(f"QFrame#typed {{ background: {look.card}; border: 1px solid {edge}; border-radius: 4px; }}"
                           f" QFrame#typed QLabel {{ font-size: {8 * look.scale:.1f}pt; color: {look.soft_ink}; }}"
                           f" QFrame#typed QLineEdit {{ padding: 1px 4px; font-weight: 600; }}")
