"""Messages: what happened, to what, and what to do, in a quiet strip; nothing pops up, nothing is lost.

Everything said is kept in a log, in memory for the window and as a file in the program's own folder.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from planner.errors import PlannerError
from planner.ui.theme import Theme

Kind = Literal["done", "trouble", "bug", "offer"]
log = logging.getLogger("strainwright.window")
DONE_SECONDS = 6
SIDE_PX, FOOT_PX, MOST_WIDE_PX = 10, 8, 860
"""From the edges of the page that it lies over; width at usual text."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Something a message offers to do.

    Attributes:
        text: What the button says.
        do: What it does.
    """

    text: str
    do: Callable[[], object]


@dataclass(frozen=True, slots=True)
class Message:
    """One message.

    Attributes:
        kind: done passes by itself; the others stay until they are closed.
        what: What happened.
        where: To what; may be empty.
        remedy: What to do; may be empty.
        choices: What can be done from here.
        at: When.
    """

    kind: Kind
    what: str
    where: str = ""
    remedy: str = ""
    choices: tuple[Choice, ...] = ()
    at: str = ""


class Messages(QObject):
    """Takes messages from anywhere in the window and hands them to whoever shows them.

    Attributes:
        said: A message was said.
    """

    said = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.all: list[Message] = []

    def done(self, what: str, *choices: Choice) -> None:
        """Says that something was done."""
        self._say(Message("done", what, choices=choices, at=_now()))

    def offer(self, what: str, remedy: str, choices: Sequence[Choice]) -> None:
        """Offers something."""
        self._say(Message("offer", what, remedy=remedy, choices=tuple(choices), at=_now()))

    def trouble(self, trouble: PlannerError, *choices: Choice) -> None:
        """Says what could not be done and what to do about it."""
        self._say(Message("trouble", trouble.what, trouble.where, trouble.remedy, choices, _now()))

    def bug(self, what: str, remedy: str) -> None:
        """Says that the program itself is at fault."""
        self._say(Message("bug", what, remedy=remedy, at=_now()))

    def _say(self, message: Message) -> None:
        self.all.append(message)
        del self.all[:-200]
        log.log(logging.INFO if message.kind in ("done", "offer") else logging.WARNING,
                "%s: %s", message.kind, sentence(message))
        self.said.emit(message)


class MessageStrip(QWidget):
    """The strip that shows messages, the latest at the bottom; hidden while there is none.

    It lies over the foot of the page, clear of cards and tools: nothing moves when a message comes or goes.

    Args:
        messages: Where they come from.
        look: The theme.
        parent: Qt parent.
    """

    MOST = 3

    def __init__(self, messages: Messages, look: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Messages")
        self._look = look
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self._cards: list[_Card] = []
        self.setVisible(False)
        self._page: QWidget | None = None
        messages.said.connect(self.show_message)

    def lie_over(self, page: QWidget) -> None:
        """Takes its place over the foot of a page, and keeps it when the page takes another size.

        Args:
            page: A widget with the same parent.
        """
        self._page = page
        page.installEventFilter(self)
        self.settle()

    def settle(self) -> None:
        """Takes as much of the page as its messages need."""
        if self._page is None or self.isHidden():
            return
        place = self._page.geometry()
        wide = min(place.width() - 2 * SIDE_PX, round(MOST_WIDE_PX * self._look.scale),
                   max((card.wide_on_one_line for card in self._cards), default=0))
        self._column.activate()
        tall = self._column.heightForWidth(wide) if self._column.hasHeightForWidth() else self.sizeHint().height()
        self.setGeometry(place.left() + SIDE_PX, place.bottom() - FOOT_PX - tall, wide, tall)
        self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follows the page."""
        if event.type() in (QEvent.Type.Resize, QEvent.Type.Move):
            self.settle()
        return False

    def show_message(self, message: Message) -> None:
        """Shows a message; the same one again takes the place of the first."""
        for card in [c for c in self._cards if sentence(c.message) == sentence(message)]:
            self.drop(card)
        card = _Card(message, self._look, self)
        card.closed.connect(self.drop)
        self._cards.append(card)
        self._column.addWidget(card)
        card.show()
        for old in self._cards[:-self.MOST]:
            self.drop(old)
        self.setVisible(True)
        self.settle()

    def drop(self, card: _Card) -> None:
        """Takes a message away; it stays in the log."""
        if card in self._cards:
            self._cards.remove(card)
            self._column.removeWidget(card)
            card.setParent(None)
            card.deleteLater()
        self.setVisible(bool(self._cards))
        self.settle()

    def clear(self) -> None:
        """Takes every message away."""
        for card in list(self._cards):
            self.drop(card)

    @property
    def shown(self) -> list[Message]:
        """Messages in sight."""
        return [card.message for card in self._cards]

    def set_theme(self, look: Theme) -> None:
        """Takes other colours."""
        self._look = look
        for card in self._cards:
            card.set_theme(look)
        self.settle()


class _Card(QFrame):
    """One message in the strip."""

    closed = Signal(object)

    def __init__(self, message: Message, look: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("message")
        self.message = message
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 6, 8, 6)
        row.setSpacing(10)
        words = QLabel(sentence(message), self)
        words.setWordWrap(True)
        words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        words.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        words.setAccessibleName(words.text())
        self._words = words
        row.addWidget(words, 1)
        for choice in message.choices:
            button = QPushButton(choice.text, self)
            button.setAccessibleName(choice.text)
            button.clicked.connect(lambda _=False, choice=choice: self._take(choice))
            row.addWidget(button)
        close = QPushButton("Close", self)
        close.setObjectName("quiet")
        close.setAccessibleName("Close this message")
        close.clicked.connect(lambda: self.closed.emit(self))
        row.addWidget(close)
        self._away = QTimer(self)
        self._away.setSingleShot(True)
        self._away.timeout.connect(lambda: self.closed.emit(self))
        if message.kind == "done":
            self._away.start(DONE_SECONDS * 1000)
        self.set_theme(look)

    def set_theme(self, look: Theme) -> None:
        edge = {"done": look.fine, "offer": look.accent, "trouble": look.look, "bug": look.wrong}[self.message.kind]
        self.setStyleSheet(f"QFrame#message {{ background: {look.card}; border: 1px solid {look.edge};"
                           f" border-left: 5px solid {edge}; border-radius: 4px; }}")

    @property
    def wide_on_one_line(self) -> int:
        """How wide it would like to be, px: its words on one line, and its buttons."""
        self._words.ensurePolished()
        row = self.layout()
        assert row is not None
        margins = row.contentsMargins()
        buttons = [one.sizeHint().width() + row.spacing() for one in self.findChildren(QPushButton)]
        words = self._words.fontMetrics().horizontalAdvance(self._words.text()) + 8
        return words + sum(buttons) + margins.left() + margins.right() + 8

    def _take(self, choice: Choice) -> None:
        self.closed.emit(self)
        choice.do()


def sentence(message: Message) -> str:
    """A message as it is read: what, where, what to do.

    Args:
        message: The message.
    """
    head = f"{message.where}: {message.what}" if message.where else message.what
    head = head[:1].upper() + head[1:]
    if not message.remedy:
        return head.rstrip(".") + "."
    remedy = message.remedy[:1].upper() + message.remedy[1:]
    return f"{head.rstrip('.')}. {remedy.rstrip('.')}."


def _now() -> str:
    return datetime.now().strftime("%H:%M:%S")
