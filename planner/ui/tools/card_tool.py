"""Tools that work something out: fields on a card, a search beside the window, a preview, then one step."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtWidgets import QComboBox, QLineEdit

from planner.errors import OutOfRange, PlannerError
from planner.numerals import decimal_of
from planner.progress import Progress
from planner.ui.background import Task
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.tools.map_tool import MapTool
from planner.ui.tools.tool_card import ToolCard


class CardTool(MapTool):
    """A tool with a card. The latest question wins; an answer to an earlier one is thrown away.

    Attributes:
        result: What was worked out for the fields as they are; None while it is not.
    """

    title, words, apply_word = "", "", "Add to the job"

    def __init__(self, document: Document, canvas: MapCanvas, measures: Measures, look: Theme) -> None:
        super().__init__(document, canvas, measures, look)
        self.result: Any = None
        self._task: Task | None = None
        self._next: Callable[[Progress], Any] | None = None

    def begin(self) -> None:
        """Takes the tool up, with its card."""
        super().begin()
        self.card = ToolCard(self.title, self.words, self.look, self.canvas, apply=self.apply_word)
        self.fill(self.card)
        self.card.changed.connect(self.work_out)
        self.card.applied.connect(self.apply)
        self.card.show()
        self.card.settle()
        self.say(self.words)
        self.work_out()

    def end(self) -> None:
        """Puts the tool down and stops its search."""
        self._next = None
        if self._task is not None:
            self._task.cancel()
            self._task.wait()
            self._task = None
        super().end()
        self.card.put_away()

    def set_looks(self, measures: Measures, look: Theme) -> None:
        """Takes other units and colours."""
        super().set_looks(measures, look)
        self.card.set_theme(look)

    # what each differs in

    def fill(self, card: ToolCard) -> None:
        """Puts the fields on the card."""

    def question(self) -> Callable[[Progress], Any] | None:
        """The work that the fields ask for; None while they ask for nothing.

        Raises:
            PlannerError: A field cannot be used.
        """
        return None

    def show_result(self) -> None:
        """Shows the figures of what was worked out."""

    def apply(self) -> None:
        """Does it: one step."""

    # searching

    @property
    def is_busy(self) -> bool:
        """True while something is being worked out."""
        return self._task is not None

    def work_out(self) -> None:
        """Works out anew what the fields ask for."""
        self.result = None
        self.card.may_apply(False)
        try:
            self._next = self.question()
        except PlannerError as trouble:
            self._next = None
            self.card.refuse(trouble)
        if self._task is not None:
            self._task.cancel()
        elif self._next is not None:
            self._start()
        self.redraw()

    def _start(self) -> None:
        work, self._next = self._next, None
        assert work is not None
        task = Task(self.title.lower(), work, self)
        task.done.connect(lambda result: self._take(task, result))
        task.failed.connect(lambda trouble: self._refused(task, trouble))
        task.finished.connect(lambda: self._ended(task))
        self._task = task
        self.card.show_figures(())
        self.card.say("Working it out …")
        self.document.working.emit(task)
        task.start()

    def _take(self, task: Task, result: object) -> None:
        if task is self._task and self._next is None and not task.is_cancelled:
            self.result = result
            self.card.say("")
            self.card.may_apply(True)
            self.show_result()
            self.redraw()

    def _refused(self, task: Task, trouble: object) -> None:
        if task is not self._task or self._next is not None:
            return
        if isinstance(trouble, PlannerError):
            self.card.refuse(trouble)
        else:
            self.document.troubled.emit(trouble)

    def _ended(self, task: Task) -> None:
        if task is self._task:
            self._task = None
            if self._next is not None:
                self._start()
        task.deleteLater()

    # reading fields

    def length(self, field: QLineEdit, what: str, *, least: float = 0.0) -> float:
        """A length typed into a field. [m]

        Raises:
            OutOfRange: It is none, or too small.
        """
        value = self.measures.parse_length(field.text())
        if value < least:
            raise OutOfRange(f"a {what} of {field.text()} cannot be used", remedy=f"give {least:g} m or more")
        return value


def number(field: QLineEdit, what: str, *, least: float = 0.0) -> float:
    """A number typed into a field.

    Args:
        field: The field.
        what: What it is.
        least: Least value.

    Raises:
        OutOfRange: It is none, or too small.
    """
    found = decimal_of(field.text())
    if found is None:
        raise OutOfRange(f"'{field.text()}' is no {what}", remedy="type a number such as 2.5 or 2,5")
    value = float(found)
    if not least <= value < 1e9:
        raise OutOfRange(f"a {what} of {value:g} cannot be used", remedy=f"give {least:g} or more")
    return value


def refill(box: QComboBox, rows: Sequence[tuple[str, str]], chosen: str = "") -> None:
    """Puts other choices into a box and keeps what was chosen where it is still there.

    Args:
        box: The box.
        rows: Keys and what they are called.
        chosen: What to choose; empty keeps what was chosen.
    """
    now = chosen or box.currentData()
    box.clear()
    for key, called in rows:
        box.addItem(called, key)
    box.setCurrentIndex(max(box.findData(now), 0))
