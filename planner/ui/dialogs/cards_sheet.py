"""A sheet made of cards like those of the panels, which edits the job in hand and follows it."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QPushButton, QScrollArea, QVBoxLayout, QWidget

from planner.errors import PlannerError
from planner.ui.dialogs.sheet import Sheet
from planner.ui.panels.cards import Fold
from planner.ui.panels.combo import Combo
from planner.ui.panels.fields import Field
from planner.ui.panels.marks import Refusal
from planner.ui.panels.table import RowTable

if TYPE_CHECKING:
    from planner.job.edits.edit import Edit
    from planner.ui.document import Document
    from planner.ui.panels.panel import Themed


class CardsSheet(Sheet):
    """A sheet of cards; what is typed into it changes the job at once and can be undone."""

    def fill(self) -> None:
        """Puts the cards in, and follows the job and the colours."""
        self.page = QWidget(self)
        self.cards = QVBoxLayout(self.page)
        self.cards.setContentsMargins(0, 0, 4, 0)
        self.cards.setSpacing(10)
        self.refusal = Refusal(self)
        self.build()
        self.cards.addStretch(1)
        scroll = QScrollArea(self)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setWidget(self.page)
        scroll.setAccessibleName(self.title)
        self.column.addWidget(scroll, 1)
        self.column.addWidget(self.refusal)
        self.document.job_changed.connect(self._follow)
        self.window_of_work.preferences.changed.connect(self._dress)
        for one in self.page.findChildren(QPushButton):
            one.setAutoDefault(False)  # Enter in a field takes what was typed and presses nothing
        self._dress()
        self._follow()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter belongs to the fields; it does not close the sheet."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not self.close_button.hasFocus():
            event.accept()
            return
        super().keyPressEvent(event)

    def build(self) -> None:
        """Puts the cards into ``cards``."""

    def show_job(self) -> None:
        """Shows the job as it is now."""

    @property
    def document(self) -> Document:
        """The document of the window."""
        return self.window_of_work.document

    def attempt(self, edit: Edit) -> None:
        """Does an edit.

        Raises:
            PlannerError: It cannot be done; the job stays as it is.
        """
        edit.apply(self.document.job)
        self.document.do(edit)

    def attempt_here(self, edit: Edit) -> bool:
        """Does an edit; a refusal is said at the foot of the sheet."""
        try:
            self.attempt(edit)
        except PlannerError as trouble:
            self.refusal.say(str(trouble))
            return False
        self.refusal.say("")
        return True

    def _follow(self, *_: object) -> None:
        self.page.setEnabled(self.window_of_work.has_job)
        self.show_job()

    def _dress(self, *_: object) -> None:
        for kind in (RowTable, Field, Fold, Refusal, Combo):
            for widget in self.findChildren(kind):
                cast("Themed", widget).set_theme(self.window_of_work.look)
