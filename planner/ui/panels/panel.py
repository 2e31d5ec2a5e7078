"""What every panel of a step is: it listens to the document, shows the step, and ends with the step's findings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, ClassVar, Protocol, cast

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from planner.findings import Finding
from planner.ui.document import Document, Selection
from planner.ui.measures import Measures
from planner.ui.panels.cards import Card, Fold
from planner.ui.panels.combo import Combo
from planner.ui.panels.fields import Field
from planner.ui.panels.findings_list import FindingsCard, waiver_of
from planner.ui.panels.marks import Refusal
from planner.ui.panels.table import RowTable
from planner.ui.theme import Theme
from planner.ui.way_state import StepKey, findings_of

if TYPE_CHECKING:
    from planner.job.edits.edit import Edit
    from planner.job.plan import LinePlan


class Themed(Protocol):
    """A widget that takes colours."""

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""


class StepPanel(QWidget):
    """The panel of one step.

    Args:
        document: The document.
        look: The theme.
        parent: Qt parent.
        at_once: False to have it made by ``make_more``, so that no turn of the window is long.

    Attributes:
        show_place: A person wants to see a finding on the map.
    """

    KEY: ClassVar[StepKey] = "survey"
    show_place = Signal(object)

    def __init__(self, document: Document, look: Theme, parent: QWidget | None = None, *, at_once: bool = True) -> None:
        super().__init__(parent)
        self.document, self.look, self.measures = document, look, Measures()
        self._stale, self._is_whole = True, False
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(10)
        self._pieces = self._made_in_pieces()
        while at_once and self.make_more():
            pass

    def make_more(self) -> bool:
        """Makes one more piece of it; False once it is whole."""
        return next(self._pieces, "whole") != "whole"

    def _made_in_pieces(self) -> Iterator[None]:
        yield from self.build()
        self.findings = FindingsCard(self.KEY if self.KEY != "jobpack" else None, self)
        self.findings.wanted.connect(self.go_to)
        self.findings.waived.connect(self._waive)
        self.findings.taken_back.connect(self._take_back)
        self.column.addWidget(self.findings)
        self.column.addStretch(1)
        yield
        for _ in self._dressed(self.look):
            yield
        self.document.job_changed.connect(lambda _: self.refresh())
        self.document.plan_changed.connect(lambda _: self.refresh())
        self.document.selection_changed.connect(lambda _: self.take_selection())
        self._is_whole = True

    # what a panel gives

    def build(self) -> Iterator[None]:
        """Puts the cards of the panel into its column, a piece a turn."""
        yield from ()

    def fill(self) -> None:
        """Shows the job and its plan as they are now."""

    def show_selection(self) -> None:
        """Shows what is in hand."""

    def findings_shown(self) -> Sequence[Finding]:
        """The findings at the end of the panel."""
        return findings_of(self.KEY, self.document.plan.findings) if self.document.plan is not None else ()

    def close_down(self) -> None:
        """Ends background work of the panel, before the window goes."""

    # what it has

    def card(self, title: str) -> Card:
        """A new card at the end of the column."""
        card = Card(title, self)
        self.column.addWidget(card)
        return card

    @property
    def line(self) -> LinePlan | None:
        """Plan of the line in hand."""
        return self.document.line

    def attempt(self, edit: Edit) -> None:
        """Does an edit.

        Raises:
            PlannerError: It cannot be done; the job stays as it is.
        """
        edit.apply(self.document.job)
        self.document.do(edit)

    def take_setting(self, name: str, value: str | float) -> None:
        """Sets a setting of the job.

        Raises:
            BadSetting: It cannot have this value.
        """
        from planner.job.edits import ChangeSettings

        self.attempt(ChangeSettings(((name, value),)))

    def go_to(self, finding: Finding) -> None:
        """Takes what a finding speaks of in hand, and puts the cursor there."""
        place = finding.place
        line = place.line
        if not line and place.section and self.document.plan is not None:
            line = next((p.line.name for p in self.document.plan.lines
                         if any(s.id == place.section for s in p.sections)), "")
        if line:
            at = place.chainage_m
            section = place.section or (self._section_at(line, at) if at is not None else "")
            self.document.select(Selection(line, section, self._post_at(line, at) if at is not None else ""))
            if at is not None:
                self.document.point_at(line, at)
        self.show_place.emit(finding)

    def without_plan(self, nothing: str) -> str:
        """What stands in the place of figures while there is no plan.

        Args:
            nothing: What it is when there is no line to plan.
        """
        lines = len(self.document.job.lines)
        if not lines:
            return nothing
        return ("The line has" if lines == 1 else "The lines have") + " no plan yet; it shows here once it is made."

    # looks

    def refresh(self) -> None:
        """Shows the document anew; waits until the panel is seen."""
        if not self.isVisible() or not self._is_whole:
            self._stale = True
            return
        self._stale = False
        self.fill()
        self.show_selection()
        self.findings.show_findings(self.findings_shown(), self.look, planned=self.document.plan is not None)

    def take_selection(self) -> None:
        """Shows what is in hand; waits until the panel is seen."""
        if self.isVisible() and not self._stale:
            self.show_selection()
        else:
            self._stale = True

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self.look = look
        for _ in self._dressed(look):
            pass
        self.refresh()

    def _dressed(self, look: Theme) -> Iterator[None]:
        for kind in (RowTable, Field, Fold, Refusal, Combo):
            for widget in self.findChildren(kind):
                cast("Themed", widget).set_theme(look)
            yield
        for line in self.findChildren(QWidget, "rule"):
            line.setStyleSheet(f"background: {look.edge};")

    def set_measures(self, measures: Measures) -> None:
        """Shows values in other units."""
        self.measures = measures
        self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        """Shows the document anew when it changed while the panel was not seen."""
        super().showEvent(event)
        if self._stale:
            self.refresh()

    # waiving

    def _waive(self, finding: Finding, reason: str) -> None:
        from planner.job.edits import Waive

        self.document.do(Waive(waiver_of(finding, reason)))

    def _take_back(self, finding: Finding) -> None:
        from planner.job.edits import TakeBackWaiver

        self.document.do(TakeBackWaiver(waiver_of(finding, finding.waived)))

    def _section_at(self, line: str, chainage: float) -> str:
        plan = self.document.plan
        found = next((p for p in plan.lines if p.line.name == line), None) if plan is not None else None
        if found is None:
            return ""
        return next((s.id for s in found.sections if s.from_m <= chainage <= s.to_m), "")

    def _post_at(self, line: str, chainage: float) -> str:
        plan = self.document.plan
        found = next((p for p in plan.lines if p.line.name == line), None) if plan is not None else None
        if found is None:
            return ""
        return next((name for post, name in zip(found.posts, found.post_names, strict=True)
                     if abs(post.chainage_m - chainage) < 0.05), "")


class LineChooser(QWidget):
    """Chooses the line in hand; gone while there is only one.

    Args:
        document: The document.
        parent: Qt parent.
    """

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.combo = Combo("Line in hand", self)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.combo)
        self.combo.activated.connect(lambda _: document.select(Selection(line=str(self.combo.currentData()))))

    def show_line(self) -> None:
        """Shows which line is in hand."""
        lines = self._document.job.lines
        plans = {p.line.name: p.code for p in self._document.plan.lines} if self._document.plan is not None else {}
        choices = [(line.name, f"{plans[line.name]}   {line.name}" if line.name in plans else line.name)
                   for line in lines]
        names = [line.name for line in lines]
        chosen = self._document.selection.line
        self.combo.show_choices(choices, chosen if chosen in names else names[0] if names else "")
        self.setVisible(len(lines) > 1)


def soft(text: str, parent: QWidget | None = None) -> QLabel:
    """A label in passing.

    Args:
        text: What it says.
        parent: Qt parent.
    """
    label = QLabel(text, parent)
    label.setObjectName("soft")
    return label
