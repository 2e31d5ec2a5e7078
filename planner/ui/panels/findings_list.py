"""The findings of a step: what is worth a look, what to do about it, where it is, and how to set it aside."""

from __future__ import annotations

import importlib
from collections.abc import Sequence
from functools import lru_cache

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from planner.findings import Finding
from planner.job.job import Waiver
from planner.ui.measures import count
from planner.ui.panels.cards import Card, Fold, KeyFilter, Words, button
from planner.ui.panels.figures import file_name
from planner.ui.panels.marks import Mark, Refusal
from planner.ui.theme import Theme
from planner.ui.way_state import StepKey, step_of

SHOWN_AT_FIRST = 8
_RULES_IN = tuple(f"planner.{name}" for name in (
    "alignment.checks", "profile.checks", "sections.checks", "loads.checks", "materials.checks",
    "job.gate_items", "job.options", "job.stage_checks", *(f"surroundings.{topic}_checks" for topic in (
        "boundary", "clearing", "electric", "flood", "gate", "ground", "haul", "network", "old_fence", "paddock",
        "register", "service", "shape", "tree", "water")), "surroundings.before_start", "upkeep.checks"))
"""Modules with rules that a plan is checked against; rules of files that are read are told when they are."""


class FindingsCard(Card):
    """What is worth a look in one step, worst first.

    Args:
        step: The step; findings of every step are shown for None.
        parent: Qt parent.

    Attributes:
        wanted: A person wants to go to a finding.
        waived: A finding is to be set aside: the finding and the reason.
        taken_back: A finding that was set aside is to count again.
    """

    wanted = Signal(object)
    waived = Signal(object, str)
    taken_back = Signal(object)

    def __init__(self, step: StepKey | None, parent: QWidget | None = None) -> None:
        super().__init__("To look at", parent)
        self._step, self._look = step, None
        self._most = SHOWN_AT_FIRST
        self.empty = Words()
        self._column = QVBoxLayout()
        self._column.setSpacing(0)
        self.more = button("", self._show_more, kind="quiet")
        self.fold = Fold("")
        self.add(self.empty)
        self.body.addLayout(self._column)
        self.add(self.more, self.fold)
        self.findings: tuple[Finding, ...] = ()
        self.rows: list[FindingRow] = []
        self.set_aside: list[FindingRow] = []
        self._shown: tuple[object, ...] = ()

    _look: Theme | None

    def show_findings(self, findings: Sequence[Finding], look: Theme, *, planned: bool) -> None:
        """Shows the findings of a plan.

        Args:
            findings: All findings of the step, worst first.
            look: The theme.
            planned: False while there is no plan to have findings.
        """
        shown = (tuple(findings), look, planned, self._most)
        if shown == self._shown:
            return
        if look != self._look:
            self._clear()
            self.fold.set_theme(look)
        self._shown, self._look, self.findings = shown, look, tuple(findings)
        opened = [f for f in findings if not f.waived]
        aside = [f for f in findings if f.waived]
        self.rows = self._put(opened[:self._most], self.rows, self._column, look)
        self.set_aside = self._put(aside, self.set_aside, self.fold.body, look)
        left = len(opened) - len(self.rows)
        self.more.setText(f"{left} more")
        self.more.setAccessibleName(f"Show {left} more findings")
        self.more.setVisible(left > 0)
        self.fold.setVisible(bool(aside))
        self.fold.set_title(f"{len(aside)} set aside")
        self._say(opened, planned)

    def _put(self, findings: Sequence[Finding], before: Sequence[FindingRow], column: QVBoxLayout,
             look: Theme) -> list[FindingRow]:
        """Rows of findings in their order; one that is shown already keeps its row, and a reason begun in it."""
        kept: dict[Finding, list[FindingRow]] = {}
        for row in before:
            kept.setdefault(row.finding, []).append(row)
        rows = []
        for number, finding in enumerate(findings):
            same = kept.get(finding)
            row = same.pop(0) if same else self._row(finding, look)
            row.stand_first(number == 0)
            if column.indexOf(row) != number:
                column.insertWidget(number, row)
            rows.append(row)
        for row in (row for rest in kept.values() for row in rest):
            row.setParent(None)
            row.deleteLater()
        return rows

    def _row(self, finding: Finding, look: Theme) -> FindingRow:
        row = FindingRow(finding, look, self)
        row.wanted.connect(self.wanted)
        row.waived.connect(self.waived)
        row.taken_back.connect(self.taken_back)
        return row

    def _say(self, opened: Sequence[Finding], planned: bool) -> None:
        known = rules_of(self._step) if self._step else ()
        rules = {f.rule for f in opened}  # what was noticed in files that were read is no check of the plan
        self.aside.setText(f"{len(rules)} of {len(known)} checks" if known and planned and rules <= set(known) else
                           count(len(opened), "finding") if opened else "")
        if not planned:
            self.empty.say("Nothing is checked yet: there is no plan.")
        elif not opened:
            self.empty.say(f"Nothing: all {len(known)} checks are kept." if known else "Nothing.")
        else:
            self.empty.say("")

    def _show_more(self) -> None:
        self._most += 2 * SHOWN_AT_FIRST
        if self._look is not None:
            self.show_findings(self.findings, self._look, planned=True)

    def _clear(self) -> None:
        for row in [*self.rows, *self.set_aside]:
            row.setParent(None)
            row.deleteLater()
        self.rows, self.set_aside = [], []


class FindingRow(QFrame):
    """One finding.

    Args:
        finding: The finding.
        look: The theme.
        parent: Qt parent.

    Attributes:
        wanted: A person wants to go there.
        waived: It is to be set aside: the finding and the reason.
        taken_back: It is to count again.
    """

    wanted = Signal(object)
    waived = Signal(object, str)
    taken_back = Signal(object)

    def __init__(self, finding: Finding, look: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.finding, self._look, self._is_first = finding, look, True
        mark = Mark(finding.severity, 15, self)
        mark.set_theme(look)
        message = _label(f"{finding.message[:1].upper()}{finding.message[1:]}", self)
        message.setObjectName("figure")
        message.setAccessibleName(f"{finding.severity}: {finding.message}")
        remedy = _label(_sentence(finding.remedy), self)
        source = _label(place_words(finding), self)
        remedy.setObjectName("soft")
        source.setObjectName("small")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 8, 0, 8)
        grid.setHorizontalSpacing(9)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(1, 1)
        grid.addWidget(mark, 0, 0, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(message, 0, 1)
        grid.addWidget(remedy, 1, 1)
        grid.addWidget(source, 2, 1)
        self._grid = grid
        self.field: QLineEdit | None = None
        grid.addLayout(self._buttons(finding), 4, 1)
        source.setVisible(bool(source.text()))

    def stand_first(self, is_first: bool) -> None:
        """Takes its place in a list: the first has no line above it."""
        if is_first != self._is_first:
            self._is_first = is_first
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draws the line above it."""
        if not self._is_first:
            painter = QPainter(self)
            painter.fillRect(0, 0, self.width(), 1, QColor(self._look.edge))
            painter.end()

    def _buttons(self, finding: Finding) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        what = finding.message[:60]
        self.show_button = button("show", lambda: self.wanted.emit(finding), kind="quiet", name=f"Show: {what}",
                                  tip="Go there on the map and the strip")
        self.show_button.setVisible(has_place(finding))
        row.addWidget(self.show_button)
        if finding.waived:
            self.waive_button = button("take back", lambda: self.taken_back.emit(finding), kind="quiet",
                                       name=f"Take back: {what}", tip="Let it count again")
            reason = _label(f"Set aside: {_sentence(finding.waived)}", self)
            self._grid.addWidget(reason, 3, 1)
        else:
            self.waive_button = button("waive", self.ask, kind="quiet", name=f"Waive: {what}",
                                       tip="Set it aside, with the reason")
        row.addWidget(self.waive_button)
        row.addStretch(1)
        return row

    def ask(self) -> None:
        """Asks, in place, why it may be set aside."""
        if self.field is None:
            self._ask, self.refusal = QWidget(self), Refusal(self)
            self.refusal.set_theme(self._look)
            self._grid.addWidget(self._ask, 5, 1)
            self._grid.addWidget(self.refusal, 6, 1)
            self.field = QLineEdit(self._ask)
            self.field.setPlaceholderText("Why may it stand?")
            self.field.setAccessibleName("Reason for setting it aside")
            self.field.returnPressed.connect(self._waive)
            KeyFilter(self.field, self._give_up)
            column = QVBoxLayout(self._ask)
            column.setContentsMargins(0, 4, 0, 0)
            column.setSpacing(6)
            column.addWidget(self.field)
            row = QHBoxLayout()
            row.addWidget(button("waive with this reason", self._waive, kind="main"))
            row.addWidget(button("leave it", self._give_up))
            row.addStretch(1)
            column.addLayout(row)
        self._ask.show()
        self.field.setFocus()

    def _waive(self) -> None:
        reason = self.field.text().strip() if self.field is not None else ""
        if len(reason) < 3:
            self.refusal.say("A finding is set aside only with its reason; write it in a few words.")
            return
        self.waived.emit(self.finding, reason)

    def _give_up(self) -> None:
        self.refusal.say("")
        self._ask.hide()
        self.waive_button.setFocus()


def waiver_of(finding: Finding, reason: str) -> Waiver:
    """The waiver that sets a finding aside.

    Args:
        finding: The finding.
        reason: Why.
    """
    from planner.job.derive import waiver_place

    return Waiver(finding.rule, finding.place.line, waiver_place(finding), reason)


def has_place(finding: Finding) -> bool:
    """Whether there is a place to go to.

    Args:
        finding: The finding.
    """
    place = finding.place
    return bool(place.line or place.section or place.chainage_m is not None or place.x is not None)


def place_words(finding: Finding) -> str:
    """Where a finding stands, and which document its limit is from.

    Args:
        finding: The finding.
    """
    place = finding.place
    parts = [place.line, place.section if place.section else "",
             f"{place.chainage_m:.1f} m" if place.chainage_m is not None else "",
             (file_name(place.file) + (f" row {place.row}" if place.row else "")) if place.file else ""]
    where = ", ".join(part for part in parts if part)
    return " · ".join(part for part in (where, str(finding.source)) if part)


@lru_cache(maxsize=16)
def rules_of(step: StepKey) -> tuple[str, ...]:
    """Ids of the rules that a plan is checked against in one step.

    Args:
        step: The step.
    """
    found: list[str] = []
    for module in _RULES_IN:
        found += [rule for rule in importlib.import_module(module).RULES if step_of(rule) == step]
    return tuple(found)


def _label(text: str, parent: QWidget) -> QLabel:
    label = QLabel(text, parent)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}." if text else ""


