"""What was said: every message since the window opened, the latest first."""

from __future__ import annotations

from PySide6.QtWidgets import QPlainTextEdit

from planner.ui.dialogs.sheet import Sheet
from planner.ui.messages import sentence


class MessageLog(Sheet):
    """The messages."""

    title = "What was said"
    wide, high = 680, 420

    def fill(self) -> None:
        """Puts the messages in, and adds those that come."""
        self.page = QPlainTextEdit(self)
        self.page.setReadOnly(True)
        self.page.setAccessibleName("Messages")
        self.column.addWidget(self.page, 1)
        self.window_of_work.messages.said.connect(self._show)
        self._show()

    def _show(self, *_: object) -> None:
        said = reversed(self.window_of_work.messages.all)
        self.page.setPlainText("\n".join(f"{m.at}  {sentence(m)}" for m in said) or "Nothing yet.")
