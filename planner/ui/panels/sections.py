"""Sections: every strain of the line in hand, and the one in hand with the limits that made it as it is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QVBoxLayout, QWidget

from planner.ui.document import Selection
from planner.ui.measures import count
from planner.ui.panels.cards import Words, rule
from planner.ui.panels.figures import ADVISORY, kind_words
from planner.ui.panels.join_block import JoinBlock
from planner.ui.panels.pairs import Pairs
from planner.ui.panels.panel import LineChooser, StepPanel
from planner.ui.panels.rows_model import Column
from planner.ui.panels.section_words import SectionFacts, facts_of, near_limits
from planner.ui.panels.table import RowTable

if TYPE_CHECKING:
    from planner.job.plan import LinePlan
    from planner.job.roll_joins import SectionJoin
    from planner.sections.strains import Section


class SectionsPanel(StepPanel):
    """The panel of the sections."""

    KEY = "sections"

    def build(self) -> Iterator[None]:
        """Puts the cards of the panel into its column, a piece a turn."""
        self.head = self.card("Sections")
        self.chooser, self.nothing = LineChooser(self.document), Words()
        self.sections = RowTable("Sections", (
            Column("#", lambda s: s.id, strong=True),
            Column("slope", lambda s: self.measures.figure(s.slope_length_m), right=True,
                   tip="Length along the ground"),
            Column("from → to", kind_words, stretch=True,
                   tip="Why it starts and ends; break: the grade changes too much there; cut: the run would be longer "
                       "than the longest strain"),
            Column("joins", lambda s: self._joins(s), right=True, tip="Places to strain both ways from"),
            Column("take-up", lambda s: self._take_up(s), right=True,
                   tip="How far the wire comes in, greatest of its sub-runs"),
            Column("left", lambda s: self._left(s), right=True, spare=1, tip="Least share of the pull at a far end"),
        ), key=lambda s: s.id, most=9)
        self.sections.chosen.connect(self._take_section)
        self.head.add(self.chooser, self.sections, self.nothing)
        yield
        self._build_section()

    def _build_section(self) -> None:
        self.section_card = self.card("Section")
        self.facts, self.runs_words = Pairs(), Words()
        self.runs = RowTable("Sub-runs", (
            Column("sub-run", lambda r: f"{self.measures.figure(r.from_m)} – {self.measures.figure(r.to_m)}",
                   stretch=True, tip="From and to, chainage"),
            Column("slope", lambda r: self.measures.figure(r.slope_length_m), right=True),
            Column("lean", lambda r: self.measures.angle(r.lean_max_deg), right=True, spare=1),
            Column("left", lambda r: f"{100 * r.far_end_ratio:.0f} %", right=True, tip="Pull left at its far end"),
            Column("take-up", lambda r: self.measures.figure(r.take_up_m, 2), right=True),
        ), key=lambda r: r.from_m, most=5)
        self.runs.chosen.connect(self._take_run)
        self.ends, self.joins_box = Pairs(), QWidget()
        self.joins_column = QVBoxLayout(self.joins_box)
        self.joins_column.setContentsMargins(0, 0, 0, 0)
        self.joins_column.setSpacing(2)
        self.unmet, self.words, self.advice = Words(soft=False), Words(), Words(ADVISORY)
        self.blocks: list[JoinBlock] = []
        self.section_card.add(self.facts, self.runs, rule(), self.ends, self.joins_box, self.unmet, self.words,
                              self.advice)

    # showing

    def fill(self) -> None:
        """Shows the job and its plan as they are now."""
        plan = self.line
        self._shown = plan
        self.chooser.show_line()
        self.sections.setVisible(plan is not None)
        self.nothing.say("" if plan is not None else self.without_plan(
            "There is no line yet, so nothing to strain. Draw a line, or bring in files."))
        self.head.aside.setText(f"{plan.fence.name}, {self.measures.unit}" if plan is not None else "")
        self.head.aside.setToolTip(plan.fence.use if plan is not None else "")
        self.sections.show_rows(plan.sections if plan is not None else ())
        self._section_shown = None

    def show_selection(self) -> None:
        """Shows what is in hand."""
        if self.line is not self._shown:
            self.fill()
        plan, chosen = self.line, self.document.selection.section
        section = next((s for s in plan.sections if s.id == chosen), None) if plan is not None else None
        self.sections.choose(section.id if section is not None else None)
        if plan is None or section is None:
            self.section_card.setVisible(plan is not None)
            self.section_card.title.setText("Section in hand")
            self.section_card.aside.setText("")
            self._clear()
            self.words.say("Choose a section in the table, on the map or on the strip.")
            return
        self.section_card.show()
        if self._section_shown is not section:
            self._section_shown = section
            self._show_section(plan, section)
        for block in self.blocks:
            block.set_in_hand(self.document.selection.join_m is not None
                              and abs(self.document.selection.join_m - block.join.chainage_m) < 0.01, self.look)

    def _clear(self) -> None:
        self._section_shown = None
        for widget in (self.facts, self.ends):
            widget.show_rows([], self.look)
        self.runs.hide()
        self.unmet.say("")
        self.advice.hide()
        self._show_joins(())

    def _show_section(self, plan: LinePlan, section: Section) -> None:
        facts = facts_of(plan, section, self.measures, self._catalogue_words())
        self.section_card.title.setText(facts.title)
        self.section_card.aside.setText(
            f"{self.measures.figure(section.from_m)} – {self.measures.length(section.to_m)}")
        self.facts.show_rows(facts.rows, self.look)
        run = plan.joins.get(section.id)
        subs = run.sub_runs if run is not None else ()
        self.runs.show_rows(subs)
        self.runs.setVisible(len(subs) > 1)
        self.ends.show_rows(facts.ends, self.look)
        self._show_joins(self._found_joins().get(section.id, ()))
        unmet = run.unmet if run is not None else ()
        self.unmet.say("\n".join(f"▲ Not kept: {text}." for text in unmet))
        self.words.say(self._words(plan, section, facts))
        self.advice.show()

    def _words(self, plan: LinePlan, section: Section, facts: SectionFacts) -> str:
        if section.is_gate:
            return "A gate opening: no wire is strained across it."
        if section.is_crossing:
            return ("The span over the water hangs and is strained by itself, so that a flood takes it and not the "
                    "fence.")
        run = plan.joins.get(section.id)
        if run is None or run.unmet:
            return ""
        return near_limits(plan, section, facts)

    def _show_joins(self, joins: tuple[SectionJoin, ...]) -> None:
        for block in self.blocks:
            block.setParent(None)
            block.deleteLater()
        self.blocks = []
        for join in joins:
            block = JoinBlock(join, self.measures, self.look)
            block.chosen.connect(self._take_join)
            self.joins_column.addWidget(block)
            self.blocks.append(block)
        self.joins_box.setVisible(bool(joins))

    def _catalogue_words(self) -> dict[str, str]:
        plan = self.document.plan
        return {key: made.description for key, made in plan.catalogue.assemblies.items()} if plan is not None else {}

    def _found_joins(self) -> dict[str, tuple[SectionJoin, ...]]:
        from planner.job.roll_joins import section_joins

        plan = self.document.plan
        if plan is not self._joins_of:
            self._joins_of = plan
            self._all_joins = section_joins(plan.lines, plan.roll_plans) if plan is not None else {}
        return self._all_joins

    def _joins(self, section: Section) -> str:
        run = self.line.joins.get(section.id) if self.line is not None else None
        return str(len(run.joins)) if run is not None else ""

    def _take_up(self, section: Section) -> str:
        pull = self.line.pulls.get(section.id) if self.line is not None else None
        return self.measures.figure(pull.take_up_m, 2) if pull is not None and pull.bites else ""

    def _left(self, section: Section) -> str:
        run = self.line.joins.get(section.id) if self.line is not None else None
        return f"{100 * min(s.far_end_ratio for s in run.sub_runs):.0f} %" if run is not None and run.sub_runs else ""

    # taking in hand

    def _take_section(self, key: object) -> None:
        plan = self.line
        section = next((s for s in plan.sections if s.id == key), None) if plan is not None else None
        if plan is not None and section is not None:
            self.document.select(Selection(plan.line.name, section.id))

    def _take_run(self, from_m: object) -> None:
        if self.line is not None and isinstance(from_m, float):
            self.document.point_at(self.line.line.name, from_m)

    def _take_join(self, chainage: float) -> None:
        if self.line is not None:
            self.document.select(Selection(self.line.line.name, self.document.selection.section, join_m=chainage))
            self.document.point_at(self.line.line.name, chainage)

    def summary(self) -> str:
        """The sections of the line in hand in a few words."""
        plan = self.line
        return count(sum(not s.is_gate for s in plan.sections), "strain") if plan is not None else ""

    _shown: LinePlan | None = None
    _section_shown: Section | None = None
    _joins_of: object = None
    _all_joins: dict[str, tuple[SectionJoin, ...]] = {}  # noqa: RUF012 - replaced whole, never changed
