"""Cards: the pieces that every panel is put together from."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from planner.ui.theme import Theme


class Card(QFrame):
    """A card with a title, something said aside of it, and what is in it.

    Args:
        title: Its title.
        parent: Qt parent.
    """

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.setAccessibleName(title)
        self.title, self.aside = QLabel(title, self), QLabel(self)
        self.title.setObjectName("title")
        self.title.setWordWrap(True)
        self.aside.setObjectName("soft")
        self.aside.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.aside.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        head = QHBoxLayout()
        head.setSpacing(10)
        head.addWidget(self.title, 1)
        head.addWidget(self.aside)
        self.body = QVBoxLayout(self)
        self.body.setContentsMargins(14, 10, 14, 12)
        self.body.setSpacing(7)
        self.body.addLayout(head)

    def add(self, *widgets: QWidget) -> None:
        """Puts something into the card, below what is there."""
        for widget in widgets:
            self.body.addWidget(widget)

    def add_row(self, *widgets: QWidget, stretch: int = -1) -> None:
        """Puts some widgets side by side into the card.

        Args:
            widgets: From left to right.
            stretch: Number of the one that takes the room left over; room stays at the right where it is -1.
        """
        row = QHBoxLayout()
        row.setSpacing(8)
        for number, widget in enumerate(widgets):
            row.addWidget(widget, 1 if number == stretch else 0)
        if stretch < 0:
            row.addStretch(1)
        self.body.addLayout(row)


class Words(QLabel):
    """Some sentences; gone while there is nothing to say.

    Args:
        text: The sentences.
        soft: True for what is said in passing.
        parent: Qt parent.
    """

    def __init__(self, text: str = "", *, soft: bool = True, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        if soft:
            self.setObjectName("soft")
        self.say(text)

    def say(self, text: str) -> None:
        """Says something else."""
        self.setText(text)
        if self.parentWidget() is not None or not text:  # without a parent it would open as a window of its own
            self.setVisible(bool(text))


class Fold(QWidget):
    """Something folded away behind its title.

    Args:
        title: What is in it.
        parent: Qt parent.
    """

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title = title
        self.button = QPushButton(self)
        self.button.setObjectName("quiet")
        self.button.setFlat(True)
        self.button.setCheckable(True)
        self.button.setStyleSheet("QPushButton { text-align: left; padding: 2px 4px; border: 1px solid transparent;"
                                  " background: transparent; }")
        self.inside = QWidget(self)
        self.body = QVBoxLayout(self.inside)
        self.body.setContentsMargins(0, 2, 0, 0)
        self.body.setSpacing(6)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.button)
        column.addWidget(self.inside)
        self.button.toggled.connect(self._turn)
        self._turn(False)

    def add(self, *widgets: QWidget) -> None:
        """Puts something into it."""
        for widget in widgets:
            self.body.addWidget(widget)

    def set_title(self, title: str) -> None:
        """Calls it something else."""
        self._title = title
        self._turn(self.button.isChecked())

    def set_theme(self, look: Theme) -> None:
        """Takes other colours."""
        self.button.setStyleSheet(
            f"QPushButton {{ text-align: left; padding: 2px 4px; border: 1px solid transparent;"
            f" background: transparent; color: {look.accent}; }}"
            f" QPushButton:focus {{ border: 1px solid {look.accent}; }}"
            f" QPushButton:hover {{ border-bottom: 1px solid {look.accent}; }}")

    def _turn(self, is_open: bool) -> None:
        self.button.setText(f"{'▾' if is_open else '▸'} {self._title}")
        self.button.setAccessibleName(f"{self._title}, {'unfolded' if is_open else 'folded'}")
        self.inside.setVisible(is_open)


def button(text: str, do: Callable[[], object], *, kind: str = "", name: str = "", tip: str = "") -> QPushButton:
    """A button.

    Args:
        text: What it says.
        do: What it does.
        kind: main, quiet or empty.
        name: Its name for those who do not see what it stands beside.
        tip: More about it.
    """
    made = QPushButton(text)
    if kind:
        made.setObjectName(kind)
    made.setAccessibleName(name or text)
    made.setToolTip(tip)
    made.clicked.connect(lambda _=False: do())
    return made


def action_button(action: str, text: str, *, kind: str = "", tip: str = "") -> QPushButton:
    """A button for an action of the window it comes to stand in.

    Args:
        action: Id of the action in the table of actions.
        text: What the button says.
        kind: main, quiet or empty.
        tip: More about it.
    """
    def trigger() -> None:
        found = made.window().findChild(QAction, action)
        if isinstance(found, QAction):
            found.trigger()

    made = button(text, trigger, kind=kind, tip=tip)
    return made


def rule(parent: QWidget | None = None) -> QFrame:
    """A thin line between two things in a card.

    Args:
        parent: Qt parent.
    """
    line = QFrame(parent)
    line.setObjectName("rule")
    line.setFixedHeight(1)
    return line


class KeyFilter(QObject):
    """Calls something when Escape is pressed in a widget.

    Args:
        widget: The widget.
        escape: What to call.
    """

    def __init__(self, widget: QWidget, escape: Callable[[], object]) -> None:
        super().__init__(widget)
        self._escape = escape
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Looks for Escape."""
        if event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Escape:  # type: ignore[attr-defined]
            self._escape()
            return True
        return super().eventFilter(watched, event)
