"""The work since it began: progress typed in by section, tracks of what was built, inspections, losses, assets."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QFileDialog

from planner.ui.background import Task
from planner.ui.dialogs.cards_sheet import CardsSheet
from planner.ui.dialogs.records_tables import (
    asset_columns,
    built_columns,
    inspection_columns,
    loss_columns,
    progress_columns,
)
from planner.ui.panels.cards import Card, Words, button
from planner.ui.panels.table import RowTable
from planner.upkeep.records import Built, Inspection, Loss, Progress, Records

if TYPE_CHECKING:
    from planner.files.as_built_in import MeasuredFiles
    from planner.job.after import AfterPlan

PHOTOS = "Photograph what was lost before anything is repaired or cleared."


class RecordsSheet(CardsSheet):
    """What was written down since the work on the job in hand began."""

    title = "Work and upkeep"
    wide, high = 1120, 740

    def build(self) -> None:
        """Puts the cards in."""
        self._task: Task | None = None
        self._build_progress()
        self._build_measured()
        self._build_inspections()
        self._build_assets()
        self._build_losses()
        self.document.plan_changed.connect(self.show_job)

    def _table(self, card: Card, table: RowTable, empty: str) -> Words:
        words = Words(empty)
        table.refused.connect(self.refusal.say)
        card.add(table, words)
        self.cards.addWidget(card)
        return words

    def _build_progress(self) -> None:
        self.progress_card = Card("How far the work is", self)
        self.progress = RowTable("Progress by section", progress_columns(self.window_of_work, self._set_progress),
                                 key=lambda row: (row.line, row.section), most=8, parent=self)
        self.no_progress = self._table(self.progress_card, self.progress, "There is no plan yet.")
        self.finish = button("The whole line is finished today", self._finish_line,
                               tip="The line in hand becomes an asset from today on")
        self.progress_card.add_row(self.finish)

    def _build_measured(self) -> None:
        self.measured_card = Card("Built against planned", self)
        self.measured = RowTable("Built against planned", built_columns(self.window_of_work),
                                 key=lambda row: (row.name, row.line, row.from_m), most=5, parent=self)
        self.no_measured = self._table(self.measured_card, self.measured, "Nothing measured so far: bring in a track "
                                       "or points walked along the built fence.")
        self.bring = button("Bring in a track of what was built…", self._choose_files)
        self.drop_measured = button("Drop", self._drop_measured, kind="quiet", name="Drop this track")
        self.measured_card.add_row(self.bring, self.drop_measured)

    def _build_inspections(self) -> None:
        self.inspections_card = Card("Inspections", self)
        self.inspections = RowTable("Inspections", inspection_columns(self._line_names, self._change_inspection),
                                    key=lambda row: row[0], most=6, parent=self)
        self.no_inspections = self._table(self.inspections_card, self.inspections, "None written down.")
        self.new_inspection = button("New inspection", self._new_inspection)
        self.drop_inspection = button("Drop", lambda: self._drop("inspections", self.inspections), kind="quiet",
                                      name="Drop this inspection")
        self.inspections_card.add_row(self.new_inspection, self.drop_inspection)

    def _build_assets(self) -> None:
        self.assets_card = Card("Fences that stand", self)
        self.assets = RowTable("Fences that stand", asset_columns(self.window_of_work, self._change_built),
                               key=lambda row: row.name, most=5, parent=self)
        self.no_assets = self._table(self.assets_card, self.assets, "None: no line is finished, no standing fence is "
                                     "marked.")

    def _build_losses(self) -> None:
        self.losses_card = Card("Lost to fire, flood or storm", self)
        self.losses = RowTable("Losses", loss_columns(self.window_of_work, self._fence_names, self._change_loss),
                               key=lambda row: row[0], most=5, parent=self)
        self.no_losses = self._table(self.losses_card, self.losses, "Nothing.")
        self.new_loss = button("New loss", self._new_loss)
        self.drop_loss = button("Drop", lambda: self._drop("losses", self.losses), kind="quiet", name="Drop this loss")
        self.losses_card.add_row(self.new_loss, self.drop_loss)
        self.losses_card.add(Words(PHOTOS))

    # showing

    def show_job(self, *_: object) -> None:
        """Shows what was written down, and what follows from it."""
        from planner.job.after import after_plan

        plan = self.document.plan
        found = after_plan(plan) if plan is not None and plan.job is self.document.job else None
        kept = self.document.job.records
        if found is not None:
            self._show_found(found)
        numbered = list(enumerate(kept.inspections))
        for table, words, rows, drop in (
                (self.progress, self.no_progress, found.work.sections if found else self.progress.rows, None),
                (self.measured, self.no_measured, found.measured.stretches if found else self.measured.rows,
                 self.drop_measured),
                (self.inspections, self.no_inspections, numbered, self.drop_inspection),
                (self.assets, self.no_assets, found.assets if found else self.assets.rows, None),
                (self.losses, self.no_losses, self._loss_rows(found), self.drop_loss)):
            table.show_rows(rows)
            table.setVisible(bool(rows))
            words.setVisible(not rows)
            if drop is not None:
                drop.setEnabled(bool(rows))
        self.finish.setEnabled(bool(self.progress.rows))
        for made in (self.new_inspection, self.new_loss, self.bring):
            made.setEnabled(bool(self.document.job.lines))

    def _loss_rows(self, found: AfterPlan | None) -> list[tuple[int, Loss, Any]]:
        rows = found.losses if found else ()
        return [(k, loss, rows[k] if k < len(rows) and rows[k].loss == loss else None)
                for k, loss in enumerate(self.document.job.records.losses)]

    def _show_found(self, found: AfterPlan) -> None:
        measures = self.window_of_work.preferences.measures()
        work = found.work
        self.progress_card.aside.setText(
            f"posts {100 * work.shares[1]:.0f} %, finished {measures.length(work.finished_m)} of "
            f"{measures.length(work.total_m)}")
        left = found.measured.unmatched
        self.measured_card.aside.setText(f"{len(left)} along no line" if left else "")

    def _line_names(self) -> list[str]:
        return [line.name for line in self.document.job.lines]

    def _fence_names(self) -> list[str]:
        standing = [f.name for f in self.document.job.features if f.meaning == "existing fence"]
        return [*self._line_names(), *standing]

    # writing down

    def _change(self, records: Records, what: str) -> None:
        from planner.job.edits import ChangeRecords

        self.attempt(ChangeRecords(records, what))
        self.refusal.say("")

    def _set_progress(self, line: str, section: str, component: str, share: float) -> None:
        kept = self.document.job.records
        made = Progress(line, section, component, share, date.today())
        same = (line, section, component, made.on)
        others = tuple(p for p in kept.progress if (p.line, p.section, p.component, p.on) != same)
        self._change(replace(kept, progress=(*others, made)), f"progress of {section}")

    def _finish_line(self) -> None:
        key: Any = self.progress.key_in_hand
        name = key[0] if key is not None else self.document.selection.line or self._line_names()[0]
        kept = self.document.job.records
        made = Built(name, date.today())
        done = Progress(name, "", "finished", 1.0, made.on)
        mine = tuple(p for p in kept.progress if p.line != name or p.component != "finished")
        self._change(replace(kept, built=(*(b for b in kept.built if b.line != name), made),
                             progress=(*mine, done)), f"{name} is finished")

    def _change_built(self, name: str, changes: dict[str, Any]) -> None:
        kept = self.document.job.records
        self._change(replace(kept, built=tuple(replace(b, **changes) if b.line == name else b for b in kept.built)),
                     f"when {name} was finished")

    def _new_inspection(self) -> None:
        kept = self.document.job.records
        line = self.document.selection.line or self._line_names()[0]
        self._change(replace(kept, inspections=(*kept.inspections, Inspection(line, "", date.today()))), "inspections")
        self.inspections.choose(len(kept.inspections))
        self.inspections.setFocus()

    def _change_inspection(self, number: int, changes: dict[str, Any]) -> None:
        kept = self.document.job.records
        self._change(replace(kept, inspections=tuple(
            replace(one, **changes) if k == number else one for k, one in enumerate(kept.inspections))), "inspections")

    def _new_loss(self) -> None:
        kept, line = self.document.job.records, self.document.line
        name = line.line.name if line is not None else self._line_names()[0]
        end = float(line.ground.chainage_m[-1]) if line is not None else 100.0
        self._change(replace(kept, losses=(*kept.losses, Loss(name, 0.0, round(end, 1), date.today(), "not said"))),
                     "losses")
        self.losses.choose(len(kept.losses))
        self.losses.setFocus()

    def _change_loss(self, number: int, changes: dict[str, Any]) -> None:
        kept = self.document.job.records
        self._change(replace(kept, losses=tuple(
            replace(one, **changes) if k == number else one for k, one in enumerate(kept.losses))), "losses")

    def _drop(self, what: str, table: RowTable) -> None:
        kept, number = self.document.job.records, table.key_in_hand
        rows = tuple(one for k, one in enumerate(getattr(kept, what)) if k != number)
        self._change(replace(kept, **{what: rows}), what)

    def _drop_measured(self) -> None:
        key: Any = self.measured.key_in_hand
        kept = self.document.job.records
        if key is not None:
            self._change(replace(kept, as_built=tuple(a for a in kept.as_built if a.name != key[0])), "built against "
                         "planned")

    # tracks of what was built

    def _choose_files(self) -> None:
        names, _ = QFileDialog.getOpenFileNames(self, "Tracks or points of what was built")
        if names:
            self.bring_in([Path(name) for name in names])

    def bring_in(self, paths: list[Path]) -> None:
        """Reads what was measured along built fences, in the background.

        Args:
            paths: Files with tracks or points.
        """
        from planner.files.as_built_in import as_built_from

        if self._task is not None:
            return
        job = self.document.job
        task = Task("reading what was built", lambda _: as_built_from(job, paths), self)
        task.done.connect(self._take_measured)
        task.failed.connect(lambda trouble: self.refusal.say(str(trouble)))
        task.finished.connect(self._forget)
        self._task = task
        self.bring.setEnabled(False)
        self.document.working.emit(task)
        task.start()

    def _take_measured(self, found: MeasuredFiles) -> None:
        kept = self.document.job.records
        self._change(replace(kept, as_built=(*kept.as_built, *found.records)), "built against planned")
        if found.findings:
            first = found.findings[0]
            more = f" And {len(found.findings) - 1} more." if len(found.findings) > 1 else ""
            self.refusal.say(f"{first.message} {first.remedy}{more}")

    def _forget(self) -> None:
        self._task = None
        self.bring.setEnabled(True)

    def done(self, result: int) -> None:
        """Ends background work with the sheet."""
        self._close_down()
        super().done(result)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ends background work with the sheet."""
        self._close_down()
        super().closeEvent(event)

    def _close_down(self) -> None:
        if self._task is not None:
            self._task.cancel()
            self._task.wait()
