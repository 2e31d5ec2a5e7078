"""Options and stages: made, named, filled with lines and fences, chosen and dropped, and set side by side."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QHBoxLayout

from planner.errors import OutOfRange
from planner.job.options import Option, chosen_option
from planner.job.stages import Stage
from planner.ui.dialogs.cards_sheet import CardsSheet
from planner.ui.dialogs.side_by_side import SideBySide
from planner.ui.panels.cards import Card, Words, button
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable
from planner.upkeep.typed import typed_number

if TYPE_CHECKING:
    from planner.alignment.line import FenceLine

ALWAYS, HERE, ELSEWHERE = "always", "here", "not here"
OWN, NONE = "", ""
_WORDS = {ALWAYS: "in every option", HERE: "in this one", ELSEWHERE: "not in this one"}


@dataclass(frozen=True, slots=True)
class LineRow:
    """A line, as the option in hand and the stages hold it.

    Attributes:
        line: Its name.
        held: One of ``ALWAYS``, ``HERE``, ``ELSEWHERE``; empty without an option in hand.
        fence: Fence type key that it carries in the option in hand.
        is_own: True where that is its own.
        stage: Name of its stage; empty for none.
    """

    line: str
    held: str
    fence: str
    is_own: bool
    stage: str


class OptionsSheet(CardsSheet):
    """The options and stages of the job in hand."""

    title = "Options and stages"
    wide, high = 1080, 740

    def build(self) -> None:
        """Puts the cards in: options and stages side by side, the lines, the comparison."""
        from planner.job.derive import catalogue_of

        self._fences = {key: fence.name for key, fence in catalogue_of(self.document.job).fences.items()}
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addWidget(self._build_options(), 1)
        row.addWidget(self._build_stages(), 1)
        self.cards.addLayout(row)
        self._build_lines()
        self.comparison = SideBySide(self.window_of_work, self)
        self.cards.addWidget(self.comparison)

    def _build_options(self) -> Card:
        card = Card("Options", self)
        self.options = RowTable("Options", (
            Column("name", lambda row: row.name, strong=True, edit=lambda row, text: self._rename_option(row, text)),
            Column("", lambda row: "chosen" if row == chosen_option(self.document.job) else "",
                   tip="The one that is planned and built"),
            Column("life years", lambda row: "–" if row.life_years is None else f"{row.life_years:g}", right=True,
                   typed=lambda row: "" if row.life_years is None else f"{row.life_years:g}", edit=self._edit_life,
                   tip="Years that it is expected to stand, where that is not what its fence types say"),
            Column("note", lambda row: row.note, stretch=True,
                   edit=lambda row, text: self._keep(replace(row, note=text.strip()))),
        ), key=lambda row: row.name, most=5, parent=self)
        self.option_words = Words("No options: the job is built as it stands. An option is one way to build it: other "
                                  "lines, or other fences on the same lines.")
        self.new_option = button("New option", self._new_option, tip="Starts with every line as it is")
        self.of_line = button("New one of the line in hand", self._new_of_line,
                              tip="An option that alone builds the line in hand")
        self.choose = button("Choose", self._choose, name="Choose this option", tip="This one is planned and built")
        self.drop_option = button("Drop", self._drop_option, kind="quiet", name="Drop this option")
        self._finish_card(card, self.options, self.option_words,
                          (self.new_option, self.of_line, self.choose, self.drop_option))
        return card

    def _build_stages(self) -> Card:
        card = Card("Stages, in the order of building", self)
        self.stages = RowTable("Stages", (
            Column("name", lambda row: row.name, strong=True, edit=lambda row, text: self._rename_stage(row, text)),
            Column("year", lambda row: "–" if row.year is None else str(row.year), right=True,
                   typed=lambda row: "" if row.year is None else str(row.year), edit=self._edit_year,
                   tip="Year of building; may be left empty. Where all have one, they stand in its order"),
            Column("note", lambda row: row.note, stretch=True,
                   edit=lambda row, text: self._keep_stage(replace(row, note=text.strip()))),
        ), key=lambda row: row.name, most=5, parent=self)
        self.stage_words = Words("No stages: everything is built at once. Lines in stages are bought and built one "
                                 "stage after the other.")
        self.new_stage = button("New stage", self._new_stage)
        self.drop_stage = button("Drop", self._drop_stage, kind="quiet", name="Drop this stage")
        self._finish_card(card, self.stages, self.stage_words, (self.new_stage, self.drop_stage))
        return card

    def _finish_card(self, card: Card, table: RowTable, words: Words, buttons: tuple[Any, ...]) -> None:
        table.refused.connect(self.refusal.say)
        table.chosen.connect(lambda _: self._show_lines())
        card.add(table, words)
        card.body.addStretch(1)
        card.add_row(*buttons)

    def _build_lines(self) -> None:
        self.lines_card = Card("Lines", self)
        self.lines = RowTable("Lines", (
            Column("line", lambda row: row.line, stretch=True, strong=True),
            Column("built", lambda row: _WORDS.get(row.held, "–"), typed=lambda row: row.held,
                   choices=lambda row: [(kind, _WORDS[kind]) for kind in _choices(row)],
                   may_edit=lambda row: bool(row.held), edit=self._edit_held,
                   tip="A line that no option holds is built whichever is chosen"),
            Column("fence in this option", self._fence_words, typed=lambda row: OWN if row.is_own else row.fence,
                   choices=lambda row: [(OWN, "its own"), *self._fences.items()],
                   may_edit=lambda row: bool(row.held), edit=self._edit_fence),
            Column("stage", lambda row: row.stage or "none", typed=lambda row: row.stage,
                   choices=lambda row: [(NONE, "none"), *((s.name, s.name) for s in self.document.job.stages)],
                   may_edit=lambda row: bool(self.document.job.stages), edit=self._edit_stage),
        ), key=lambda row: row.line, most=8, parent=self)
        self.lines.refused.connect(self.refusal.say)
        self.lines_card.add(self.lines)
        self.cards.addWidget(self.lines_card)

    def done(self, result: int) -> None:
        """Ends background work with the sheet."""
        self.comparison.close_down()
        super().done(result)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ends background work with the sheet."""
        self.comparison.close_down()
        super().closeEvent(event)

    # showing

    def show_job(self) -> None:
        """Shows options, stages and lines as they are now."""
        job = self.document.job
        self.options.show_rows(job.options)
        self.stages.show_rows(job.stages)
        for table, words, drop, rows in ((self.options, self.option_words, self.drop_option, job.options),
                                         (self.stages, self.stage_words, self.drop_stage, job.stages)):
            table.setVisible(bool(rows))
            words.setVisible(not rows)
            drop.setEnabled(bool(rows))
            if rows and table.key_in_hand is None:
                table.choose(rows[0].name, seen=False)
        self.of_line.setEnabled(bool(job.lines))
        self._show_lines()

    def _show_lines(self) -> None:
        job, option = self.document.job, self._option()
        self.choose.setEnabled(option is not None and option != chosen_option(job))
        held = {name for one in job.options for name in one.lines}
        stage = {name: one.name for one in reversed(job.stages) for name in one.lines}
        rows = []
        for line in job.lines:
            fence = dict(option.fences).get(line.name, line.fence) if option is not None else line.fence
            how = "" if option is None else ALWAYS if line.name not in held else (
                HERE if line.name in option.lines else ELSEWHERE)
            rows.append(LineRow(line.name, how, fence, fence == line.fence, stage.get(line.name, NONE)))
        self.lines_card.title.setText(f"Lines in option {option.name}" if option is not None else "Lines")
        self.lines_card.setVisible(bool(rows) and bool(job.options or job.stages))
        self.lines.show_rows(rows)

    def _fence_words(self, row: LineRow) -> str:
        name = self._fences.get(row.fence, row.fence)
        return f"its own: {name}" if row.is_own else name

    def _option(self) -> Option | None:
        return next((one for one in self.document.job.options if one.name == self.options.key_in_hand), None)

    def _stage(self) -> Stage | None:
        return next((one for one in self.document.job.stages if one.name == self.stages.key_in_hand), None)

    # options

    def _keep(self, option: Option) -> None:
        from planner.job.edits import KeepOption

        self.attempt(KeepOption(option))
        self.refusal.say("")

    def _new_option(self) -> None:
        self._start_option(Option(_unused("Option", [one.name for one in self.document.job.options])))

    def _new_of_line(self) -> None:
        line = self._line_in_hand()
        self._start_option(Option(_unused(line.name, [one.name for one in self.document.job.options]), (line.name,)))

    def _line_in_hand(self) -> FenceLine:
        job, name = self.document.job, self.lines.key_in_hand or self.document.selection.line
        return next((line for line in job.lines if line.name == name), job.lines[0])

    def _start_option(self, option: Option) -> None:
        from planner.job.edits import KeepOption

        if self.attempt_here(KeepOption(option)):
            self.options.choose(option.name)
            self._show_lines()
            self.options.setFocus()

    def _rename_option(self, row: Option, text: str) -> None:
        from planner.job.edits import RenameOption

        self.attempt(RenameOption(row.name, text.strip()))
        self.options.choose(text.strip())

    def _edit_life(self, row: Option, text: str) -> None:
        bare = text.strip()
        self._keep(replace(row, life_years=None if bare in ("", "–") else typed_number(
            bare, f"life of {row.name}", low=1.0, high=100.0)))

    def _choose(self) -> None:
        from planner.job.edits import ChooseOption

        option = self._option()
        if option is not None:
            self.attempt_here(ChooseOption(option.name))

    def _drop_option(self) -> None:
        from planner.job.edits import DropOption

        option = self._option()
        if option is not None:
            self.attempt_here(DropOption(option.name))

    def _edit_held(self, row: LineRow, text: str) -> None:
        option = self._option()
        if option is None or text == row.held:
            return
        without = tuple(name for name in option.lines if name != row.line)
        self._keep(replace(option, lines=(*without, row.line) if text == HERE else without))

    def _edit_fence(self, row: LineRow, text: str) -> None:
        option = self._option()
        if option is not None:
            others = tuple(pair for pair in option.fences if pair[0] != row.line)
            self._keep(replace(option, fences=others if text == OWN else (*others, (row.line, text))))

    # stages

    def _keep_stage(self, stage: Stage) -> None:
        from planner.job.edits import KeepStage

        self.attempt(KeepStage(stage))
        self.refusal.say("")

    def _new_stage(self) -> None:
        from planner.job.edits import KeepStage

        job = self.document.job
        staged = {name for stage in job.stages for name in stage.lines}
        name = _unused("Stage", [stage.name for stage in job.stages])
        left = tuple(line.name for line in job.lines if line.name not in staged)
        if self.attempt_here(KeepStage(Stage(name, left))):
            self.stages.choose(name)
            self.stages.setFocus()

    def _rename_stage(self, row: Stage, text: str) -> None:
        from planner.job.edits import RenameStage

        self.attempt(RenameStage(row.name, text.strip()))
        self.stages.choose(text.strip())

    def _drop_stage(self) -> None:
        from planner.job.edits import DropStage

        stage = self._stage()
        if stage is not None:
            self.attempt_here(DropStage(stage.name))

    def _edit_year(self, row: Stage, text: str) -> None:
        bare = text.strip()
        if bare not in ("", "–") and not (bare.isdecimal() and 1900 <= int(bare) <= 2300):
            raise OutOfRange(f"'{text}' is no year", remedy="type one such as 2027, or nothing")
        self._keep_stage(replace(row, year=int(bare) if bare not in ("", "–") else None))

    def _edit_stage(self, row: LineRow, text: str) -> None:
        for stage in self.document.job.stages:
            if stage.name == text and row.line not in stage.lines:
                self._keep_stage(replace(stage, lines=(*stage.lines, row.line)))
            elif text == NONE and row.line in stage.lines:
                self._keep_stage(replace(stage, lines=tuple(name for name in stage.lines if name != row.line)))


def _choices(row: LineRow) -> tuple[str, ...]:
    return (ALWAYS, HERE) if row.held == ALWAYS else (HERE, ELSEWHERE)


def _unused(word: str, names: list[str]) -> str:
    if word not in names and word not in ("Option", "Stage"):
        return word
    number = 1
    while f"{word} {number}" in names:
        number += 1
    return f"{word} {number}"
