"""Bring in files: what each holds, where it lies, what is wrong with which row, and what is taken of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import cast

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QKeyEvent
from PySide6.QtWidgets import QFileDialog, QListWidgetItem, QWidget

from planner.errors import PlannerError, TooLarge
from planner.findings import Finding
from planner.job.edits import TakeIn
from planner.job.job import Job
from planner.survey.fixes import Accuracy, MeasuredLine, MeasuredPoint
from planner.ui.dialogs.import_choices import Choices
from planner.ui.dialogs.import_form import COLUMNS, FACTS, LINES, POINTS, TROUBLES, ImportForm
from planner.ui.dialogs.import_grid import offered
from planner.ui.dialogs.import_pages import length_of
from planner.ui.dialogs.import_placing import Placed
from planner.ui.dialogs.import_points import POINTS_SHOWN
from planner.ui.dialogs.import_reading import FileRead
from planner.ui.dialogs.import_roles import Role
from planner.ui.dialogs.import_taking import counts, fact_rows, misfits, taken_as, with_column
from planner.ui.dialogs.import_words import capital, findings_head, fit_told, grid_told, headline, in_short, told
from planner.ui.dialogs.import_work import ImportWork
from planner.ui.document import Document
from planner.ui.measures import Measures, count
from planner.ui.theme import Theme, theme
from planner.ui.tools.new_line import fence_choices

SIGNS = {"waiting": "…", "fine": "●", "look": "▲", "wrong": "■"}
"""Sign of a file in the list, by how it stands."""


class ImportDialog(ImportForm):
    """Brings files into the job.

    Args:
        document: The document that takes them in.
        paths: The files.
        fence: Fence type key of new lines.
        parent: The window; its theme and units are taken where it has some.

    Attributes:
        work: What goes on beside the window.
    """

    def __init__(self, document: Document, paths: Sequence[Path], fence: str, parent: QWidget | None = None) -> None:
        look: Theme = getattr(parent, "look", None) or theme("light")
        super().__init__(look, fence_choices(document.job), fence, parent)
        self._document = document
        self._measures: Measures = getattr(parent, "measures", None) or Measures()
        self._job = document.job
        self._chosen = Choices(fence)
        self._lengths_for: object = None
        self._lengths: dict[tuple[str, int, str], float] = {}
        self.work = ImportWork(document.job, self)
        self.work.changed.connect(self._work_changed)
        self.work.progressed.connect(self._progressed)
        self.work.failed.connect(self._failed)
        self.work.brought.connect(self._take_job)
        self._join()
        self.add(paths)

    def _join(self) -> None:
        self.list.currentRowChanged.connect(lambda _: self._show_file())
        self.more.clicked.connect(self._choose_more)
        self.drop.clicked.connect(self._drop_file)
        self.lines.chosen.connect(lambda name: self.map.light(name))
        self.lines.taken.connect(self._take_as)
        self.points.taken.connect(self._take_points_as)
        self.facts.changed.connect(self._fact_changed)
        self.columns.changed.connect(self._columns_changed)
        self.large.clicked.connect(lambda: self._columns_changed({}))
        self.question.answered.connect(self.work.say_grid)
        self.walked.toggled.connect(lambda _: self._show_all())
        self.back.clicked.connect(self.reject)
        self.bring.clicked.connect(self._bring)

    # files

    @property
    def files(self) -> list[FileRead | None]:
        """What each file turned out to be; None while it is being read."""
        return self.work.files

    @property
    def placed(self) -> Placed | None:
        """Where the files lie; None until that is known."""
        return self.work.placed

    @property
    def is_ready(self) -> bool:
        """True when something can be brought in now."""
        return self.work.is_ready

    def state_of(self, one: FileRead | None) -> str:
        """How a file stands: waiting, fine, look or wrong."""
        return self.work.state_of(one)

    def findings_of(self, one: FileRead) -> list[Finding]:
        """What was wrong with a file."""
        return self.work.findings_of(one)

    def add(self, paths: Sequence[Path]) -> None:
        """Reads more files."""
        for path in paths:
            if path not in self.work.paths:
                self.list.addItem(QListWidgetItem(path.name))
                self.work.add(path)
        if self.list.currentRow() < 0 and self.work.paths:
            self.list.setCurrentRow(0)
        self._show_all()

    def wait(self) -> None:
        """Waits until nothing is being read. For tests."""
        self.work.wait()

    def _work_changed(self) -> None:
        if not self.work.is_busy:
            self.bar.hide()
        if self.placed is not None:
            self._ask(self.placed)
        self._show_all()

    def _progressed(self, fraction: float, text: str) -> None:
        self.bar.show()
        self.bar.setValue(round(1000 * max(0.0, min(fraction, 1.0))))
        self.words.setText(text)

    def _failed(self, trouble: object) -> None:
        if isinstance(trouble, PlannerError):
            self._say(str(trouble), wrong=True)
        else:
            self._document.troubled.emit(trouble)
            self.reject()

    # the question of the grid

    def _ask(self, placed: Placed) -> None:
        readings = {one.reading.file: one.reading for one in self.work.known if one.reading is not None}
        needs_grid = not self._job.crs and not readings and any(one.kind == "terrain" for one in self.work.known)
        asked = [readings[name] for name in placed.asks if name in readings]
        self.question.setVisible(bool(asked) or needs_grid)
        if not asked and not needs_grid:
            return
        open_datum = bool(asked) and all(reading.crs for reading in asked)
        names = [Path(reading.file).name for reading in asked] or [one.path.name for one in self.work.known]
        rows = offered(placed.fitting, self._job.crs)
        self.question.ask(names, rows, open_datum=open_datum, told=placed.fitting_told)
        may_be_own = asked and not open_datum and self._job.crs in dict(placed.fitting)
        self.question.offer(self._job.crs if may_be_own else "")
        trouble = placed.trouble or next(iter(placed.terrain_troubles.values()), None)
        if self.work.stated and trouble is not None:
            self.question.tell(str(trouble), wrong=True)
        elif self.work.stated and placed.place:
            self.question.tell(f"Then it lies at {placed.place}.", wrong=False)
        else:
            self.question.tell("" if self.work.stated else "Not said yet.", wrong=False)

    # showing

    def _show_all(self) -> None:
        self._show_list()
        self._show_file()
        self._show_map()
        self._show_foot()

    def _show_list(self) -> None:
        for number, one in enumerate(self.files):
            item = self.list.item(number)
            state = self.state_of(one)
            item.setText(f"{SIGNS[state]}  {self.work.paths[number].name}\n     {in_short(one)}")
            colour = {"waiting": self._look.soft_ink, "wrong": self._look.wrong_ink}.get(state, self._look.ink)
            item.setForeground(QColor(colour))
            item.setToolTip(str(self.work.paths[number]))
        self.drop.setEnabled(len(self.work.paths) > 1)

    def _current(self) -> tuple[int, FileRead | None]:
        number = self.list.currentRow()
        return number, self.files[number] if 0 <= number < len(self.files) else None

    def _show_file(self) -> None:
        number, one = self._current()
        if number < 0:
            return
        self.name.setText(self.work.paths[number].name)
        self.what.setText(told(one, self.placed))
        self.grid.setText(grid_told(one, self.placed, self.work.stated))
        self.large.setVisible(one is not None and isinstance(one.trouble, TooLarge))
        lines: Sequence[MeasuredLine] = one.reading.lines if one is not None and one.reading is not None else ()
        points = one.reading.points if one is not None and one.reading is not None else ()
        roles = [self._role(line) for line in lines]
        self.lines.show_file([(line, self._length(line)) for line in lines], roles, self._measures)
        self._show_points(points)
        self._show_facts(one)
        self.page_buttons[LINES].setText(f"Lines {len(lines)}")
        self.page_buttons[POINTS].setText(f"Points {len(points)}")
        self.page_buttons[LINES].setVisible(bool(lines) or not points)
        self.page_buttons[POINTS].setVisible(bool(points))
        self.map.look_at(one.reading.file if one is not None and one.reading is not None else "")
        self.page_buttons[COLUMNS].setVisible(one is not None and one.is_table)
        if one is not None and one.is_table:
            self.columns.show_file(one, self._told_columns(one))
        if self.page_buttons[self.pages.currentIndex()].isHidden():
            self._show_page(LINES if lines or not points else POINTS)
        if one is not None and one.trouble is not None and one.is_table:
            self._show_page(COLUMNS)

    def _show_points(self, points: Sequence[MeasuredPoint]) -> None:
        roles = [self._chosen.point_role_of(point) for point in points[:POINTS_SHOWN]]
        self.points.show_points(points, roles, self._measures)

    def _show_taken(self) -> None:
        """Shows what things are taken as now; what is chosen stays chosen."""
        _, one = self._current()
        self._show_points(one.reading.points if one is not None and one.reading is not None else ())
        self._show_facts(one)
        self._show_map()
        self._show_foot()

    def _show_facts(self, one: FileRead | None) -> None:
        """What of the file is a feature, which columns say its facts, and what of all that is to look at."""
        reading = one.reading if one is not None else None
        taken = taken_as(reading, self._chosen) if reading is not None else {}
        rows, columns = fact_rows(taken, self._chosen)
        self.facts.show_facts(rows, columns)
        self.page_buttons[FACTS].setVisible(bool(rows))
        found = [*(self.findings_of(one) if one is not None else ()), *misfits(taken, self._chosen)]
        self.troubles.show_findings(found, reading.notes if reading is not None else ())
        self.page_buttons[TROUBLES].setText(findings_head(found))

    def _show_page(self, number: int) -> None:
        self.page_buttons[number].setChecked(True)
        self.pages.setCurrentIndex(number)

    def _told_columns(self, one: FileRead) -> dict[str, int]:
        from planner.files.readers.rules import Troubles
        from planner.files.readers.table_columns import columns_of

        try:
            return dict(columns_of(one.rows, one.columns, Troubles(str(one.path))).at)
        except PlannerError:
            return {}

    def _length(self, line: MeasuredLine) -> float | None:
        survey = self.placed.survey if self.placed is not None else None
        if survey is None:
            return None
        if self._lengths_for is not survey:
            self._lengths_for = survey
            self._lengths = {(own.file, own.row, own.name): length_of(own) for own in survey.lines}
        return self._lengths.get((line.file, line.row, line.name))

    def _role(self, line: MeasuredLine) -> Role:
        return self._chosen.role_of(line)

    def _show_map(self) -> None:
        placed = self.placed
        survey = placed.survey if placed is not None else None
        if placed is None or survey is None:
            trouble = placed.trouble if placed is not None else None
            self.map.show_lines((), (), (), ())
            self.map.say(capital(trouble.what) + "." if trouble is not None else
                         "Nothing here has a place on the map." if self._is_prices_alone else
                         "Nothing can be placed yet.")
            self.where.setText("")
            self.walked.hide()
            self.fits.hide()
            self.shared.hide()
            return
        fitted = [fit.corners for fit in placed.fits.values()] if self.walked.isChecked() else []
        self.map.show_lines([(line, self._role(line)) for line in survey.lines], survey.points,
                            [line.xy for line in self._job.lines], fitted)
        self.map.say("No line and no point." if not placed.terrain else "Terrain only: nothing to draw.")
        self.where.setText(f"{placed.grid_name}. {placed.place}" if placed.place else placed.grid_name)
        self.shared.offer(placed.side_by_side, {(line.file, line.name) for line in survey.lines
                                                if self._role(line) == "fence"}.__contains__, self._measures)
        self.walked.setVisible(bool(placed.fits))
        self.fits.setVisible(bool(placed.fits))
        read = {(line.file, line.name): length_of(line) for line in survey.lines if line.kind == "track"}
        self.fits.setText("\n".join(fit_told(key[1], fit, read[key], self._measures, fitted=self.walked.isChecked())
                                    for key, fit in placed.fits.items()))

    @property
    def _is_prices_alone(self) -> bool:
        return bool(self.work.known) and all(one.prices is not None for one in self.files if one is not None)

    def _show_foot(self) -> None:
        readings = [one.reading for one in self.work.known if one.reading is not None]
        self.headline.setText(headline(len(self.work.paths), *counts(readings, self._chosen), self.work.known))
        ready, placed = self.is_ready, self.placed
        self.bring.setEnabled(ready)
        if self.work.is_busy and not ready:
            return
        large = sum(one is not None and isinstance(one.trouble, TooLarge) for one in self.files)
        wrong = sum(self.state_of(one) == "wrong" for one in self.files) - large
        if placed is not None and placed.trouble is not None:
            is_open = bool(placed.asks) and not self.work.stated
            self._say("One question is open: the coordinate system." if is_open else str(placed.trouble),
                      wrong=not is_open)
        elif wrong:
            self._say(f"{count(wrong, 'file')} cannot be used and will be left out.", wrong=True)
        elif large:
            self._say(f"{count(large, 'very large file')} will be left out unless you have it read.")
        else:
            self._say("One undo takes all of it back." if ready else "")

    def _say(self, text: str, *, wrong: bool = False) -> None:
        self.words.setText(capital(text))
        self.words.setStyleSheet(f"color: {self._look.wrong_ink if wrong else self._look.soft_ink};")

    # choosing

    def _take_as(self, lines: Sequence[MeasuredLine], role: str) -> None:
        said = {(line.file, line.name): role for line in lines}
        self._chosen = replace(self._chosen, roles={**self._chosen.roles, **said})
        self._show_taken()

    def _take_points_as(self, points: Sequence[MeasuredPoint], role: str) -> None:
        said = {(point.file, point.row, point.name): role for point in points}
        self._chosen = replace(self._chosen, point_roles={**self._chosen.point_roles, **said})
        self._show_taken()

    def _fact_changed(self, meaning: str, fact: str, column: str) -> None:
        _, one = self._current()
        if one is not None and one.reading is not None:
            self._chosen = with_column(self._chosen, one.reading.file, meaning, fact, column)
            self._show_taken()

    def _columns_changed(self, columns: dict[str, str]) -> None:
        number, one = self._current()
        if one is not None and (isinstance(one.trouble, TooLarge) or "size" in one.columns):
            columns = {**columns, "size": "any"}
        self.work.say_columns(number, columns)
        self._show_all()

    def _choose_more(self) -> None:
        folder = str(self.work.paths[-1].parent) if self.work.paths else ""
        names, _ = QFileDialog.getOpenFileNames(self, "Add files", folder, "Everything (*)")
        self.add([Path(name) for name in names])

    def _drop_file(self) -> None:
        number, _ = self._current()
        if number >= 0 and len(self.work.paths) > 1:
            self.list.takeItem(number)
            self.work.drop(number)
            self._show_all()

    # bringing in

    def _bring(self) -> None:
        if self.is_ready:
            accuracy = cast("Accuracy | None", self.accuracy.currentData() or None)
            self.bring.setEnabled(False)
            self.work.bring(replace(self._chosen, fence=self.fence.currentData(), stated=self.work.stated,
                                    accuracy=accuracy, as_walked=not self.walked.isChecked(),
                                    share_edges=self.shared.is_wanted, close_m=self.shared.close_m))

    def _take_job(self, made: Job, what: str) -> None:
        if self._document.do(TakeIn(made, what)):
            self.accept()

    def reject(self) -> None:
        """Stops what is going on; a second time, goes back."""
        if self.work.is_bringing:
            self.work.stop_bringing()
            self._say("Stopped; nothing was brought in.")
            return
        super().reject()

    def done(self, result: int) -> None:
        """Ends background work before the dialog goes."""
        self.question.close_down()
        self.work.close()
        super().done(result)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter in a field does not bring everything in."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not self.bring.hasFocus():
            event.accept()
            return
        super().keyPressEvent(event)

