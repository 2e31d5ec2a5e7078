"""Bring in files: what each holds, where it lies, what is wrong with which row, and what is taken of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import cast

from PySide6.QtCore import QCoreApplication, QDeadlineTimer, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QComboBox,
    QDialog,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QProgressBar,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from planner.errors import PlannerError
from planner.findings import Finding
from planner.job.edits import TakeIn
from planner.job.job import Job
from planner.progress import Progress
from planner.survey.fixes import Accuracy, MeasuredLine, Reading
from planner.ui.background import Task
from planner.ui.dialogs.import_grid import GridQuestion, sensible
from planner.ui.dialogs.import_map import PreviewMap
from planner.ui.dialogs.import_pages import ColumnsPage, LinesPage, TroublesPage, length_of
from planner.ui.dialogs.import_reading import Choices, FileRead, Placed, bring_in, place, read_file
from planner.ui.dialogs.import_roles import Role, usual_role
from planner.ui.document import Document
from planner.ui.measures import Measures, count
from planner.ui.theme import Theme, theme
from planner.ui.tools.new_line import ACCURACIES, fence_choices

STATES = {"waiting": "reading …", "fine": "", "look": "something to look at", "wrong": "cannot be used"}


class ImportDialog(QDialog):
    """Brings files into the job.

    Args:
        document: The document that takes them in.
        paths: The files.
        fence: Fence type key of new lines.
        parent: The window; its theme and units are taken where it has some.

    Attributes:
        files: What was read so far, in the order of the list; None while a file is being read.
        placed: Where it all lies; None until that is known.
    """

    def __init__(self, document: Document, paths: Sequence[Path], fence: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Bring in files")
        self._document, self._fence = document, fence
        self._look: Theme = getattr(parent, "look", None) or theme("light")
        self._measures: Measures = getattr(parent, "measures", None) or Measures()
        self._job = document.job
        self.files: list[FileRead | None] = []
        self.paths: list[Path] = []
        self.placed: Placed | None = None
        self._roles: dict[tuple[str, str], Role] = {}
        self._columns: dict[int, dict[str, str]] = {}
        self._lengths_for: object = None
        self._lengths: dict[tuple[str, int, str], float] = {}
        self._tasks: list[Task] = []
        self._placing: Task | None = None
        self._bringing: Task | None = None
        self._build()
        self.add(paths)

    # building

    def _build(self) -> None:
        scale = self._look.scale
        window = self.parentWidget()
        room = window.size() if window is not None else QSize(1280, 800)
        self.resize(min(round(1080 * scale), max(900, room.width() - 60)),
                    min(round(690 * scale), max(560, room.height() - 60)))
        self.headline = QLabel(self)
        self.headline.setObjectName("title")
        self.list = QListWidget(self)
        self.list.setAccessibleName("Files")
        self.list.setMinimumWidth(round(210 * scale))
        self.list.setMaximumWidth(round(270 * scale))
        self.list.setSpacing(3)
        self.list.setStyleSheet(f"QListWidget {{ selection-background-color: {self._look.accent_soft};"
                                f" selection-color: {self._look.ink}; }}")
        self.list.currentRowChanged.connect(lambda _: self._show_file())
        more = QPushButton("Add files…", self)
        more.clicked.connect(self._choose_more)
        self.drop = QPushButton("Leave this file out", self)
        self.drop.clicked.connect(self._drop_file)
        left = QVBoxLayout()
        left.addWidget(self.list, 1)
        left.addWidget(more)
        left.addWidget(self.drop)
        body = QHBoxLayout()
        body.setSpacing(14)
        body.addLayout(left)
        body.addLayout(self._middle(), 1)
        body.addLayout(self._right())
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 14, 18, 14)
        column.setSpacing(10)
        column.addWidget(self.headline)
        column.addLayout(body, 1)
        column.addLayout(self._foot())

    def _middle(self) -> QVBoxLayout:
        self.name = QLabel(self)
        self.name.setObjectName("figure")
        self.what = QLabel(self)
        self.grid = QLabel(self)
        for label in (self.what, self.grid):
            label.setWordWrap(True)
        self.grid.setObjectName("soft")
        self.lines, self.columns = LinesPage(self), ColumnsPage(self)
        self.troubles = TroublesPage(self._look, self)
        self.lines.chosen.connect(lambda name: self.map.light(name))
        self.lines.taken.connect(self._take_as)
        self.columns.changed.connect(self._columns_changed)
        self.pages = QStackedWidget(self)
        self.page_buttons: list[QPushButton] = []
        group = QButtonGroup(self)
        row = QHBoxLayout()
        row.setSpacing(4)
        for number, (title, page) in enumerate((("Lines", self.lines), ("Columns", self.columns),
                                                ("To look at", self.troubles))):
            button = QPushButton(title, self)
            button.setCheckable(True)
            button.clicked.connect(partial(self.pages.setCurrentIndex, number))
            group.addButton(button)
            row.addWidget(button)
            self.page_buttons.append(button)
            self.pages.addWidget(page)
        self.page_buttons[0].setChecked(True)
        row.addStretch(1)
        column = QVBoxLayout()
        column.setSpacing(6)
        for part in (self.name, self.what, self.grid):
            column.addWidget(part)
        column.addLayout(row)
        column.addWidget(self.pages, 1)
        return column

    def _right(self) -> QVBoxLayout:
        wide = round(310 * self._look.scale)
        self.map = PreviewMap(self._look, self)
        self.question = GridQuestion(self)
        self.question.answered.connect(lambda _: self._place())
        self.question.hide()
        self.fence = self._choice("Fence of the new lines", fence_choices(self._job), self._fence)
        self.accuracy = self._choice("How well corners are known", [("", "as each file suggests"), *ACCURACIES], "")
        self.walked = QCheckBox("Fit walks to corners and straights", self)
        self.walked.setChecked(True)
        self.walked.toggled.connect(lambda _: self._show_all())
        self.fits = QLabel(self)
        self.fits.setWordWrap(True)
        self.fits.setObjectName("soft")
        self.where = QLabel(self)
        self.where.setWordWrap(True)
        self.where.setObjectName("soft")
        form = QFormLayout()
        form.setVerticalSpacing(6)
        form.addRow("Fence", self.fence)
        form.addRow("Corners", self.accuracy)
        column = QVBoxLayout()
        column.setSpacing(8)
        for part in (self.map, self.where, self.question):
            part.setFixedWidth(wide)
            column.addWidget(part, 1 if part is self.map else 0)
        column.addLayout(form)
        column.addWidget(self.walked)
        column.addWidget(self.fits)
        self.fits.setFixedWidth(wide)
        return column

    def _choice(self, name: str, rows: Sequence[tuple[str, str]], chosen: str) -> QComboBox:
        box = QComboBox(self)
        box.setAccessibleName(name)
        box.setToolTip(name)
        for key, called in rows:
            box.addItem(called, key)
        box.setCurrentIndex(max(box.findData(chosen), 0))
        box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        box.setMinimumContentsLength(14)
        return box

    def _foot(self) -> QHBoxLayout:
        self.words = QLabel(self)
        self.words.setWordWrap(True)
        self.bar = QProgressBar(self)
        self.bar.setRange(0, 1000)
        self.bar.setTextVisible(False)
        self.bar.setFixedWidth(140)
        self.bar.hide()
        self.back = QPushButton("Go back", self)
        self.back.clicked.connect(self.reject)
        self.bring = QPushButton("Bring in", self)
        self.bring.setObjectName("main")
        self.bring.setDefault(True)
        self.bring.clicked.connect(self._bring)
        row = QHBoxLayout()
        row.addWidget(self.words, 1)
        for part in (self.bar, self.back, self.bring):
            row.addWidget(part)
        return row

    # reading

    def add(self, paths: Sequence[Path]) -> None:
        """Reads more files."""
        for path in paths:
            if path in self.paths:
                continue
            self.paths.append(path)
            self.files.append(None)
            self.list.addItem(QListWidgetItem(path.name))
            self._read(len(self.paths) - 1)
        if self.list.currentRow() < 0 and self.paths:
            self.list.setCurrentRow(0)
        self._show_all()

    def _read(self, number: int) -> None:
        path, columns = self.paths[number], dict(self._columns.get(number, {}))
        self.files[number] = None
        job = self._job
        self._begin(Task(f"reading {path.name}", lambda progress: read_file(path, job, columns, progress), self),
                    partial(self._take_file, path))

    def _take_file(self, path: Path, found: FileRead) -> None:
        if path in self.paths:
            number = self.paths.index(path)
            if dict(found.columns) == self._columns.get(number, {}):
                self.files[number] = found
                if all(one is not None for one in self.files):
                    self._place()
                self._show_all()

    def _begin(self, task: Task, take: Callable[..., object]) -> Task:
        task.done.connect(take)
        task.failed.connect(self._failed)
        task.progressed.connect(self._progressed)
        task.finished.connect(lambda: self._ended(task))
        self._tasks.append(task)
        task.start()
        return task

    def _ended(self, task: Task) -> None:
        if task in self._tasks:
            self._tasks.remove(task)
        if task is self._placing:
            self._placing = None
        if task is self._bringing:
            self._bringing = None
        task.deleteLater()
        if not self._tasks:
            self.bar.hide()
            self._show_foot()

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

    # placing

    def _known(self) -> list[FileRead]:
        return [one for one in self.files if one is not None]

    def _place(self) -> None:
        if self._placing is not None:
            self._placing.cancel()
        files, job, stated = self._known(), self._job, self.question.code
        self._placing = self._begin(Task("placing", lambda progress: place(files, job, stated, progress), self),
                                    partial(self._take_placed, stated))

    def _take_placed(self, stated: str, placed: Placed) -> None:
        if stated == self.question.code:
            self.placed = placed
            self._ask()
            self._show_all()

    def _ask(self) -> None:
        placed = self.placed
        assert placed is not None
        readings = {one.reading.file: one.reading for one in self._known() if one.reading is not None}
        needs_grid = not self._job.crs and not readings and any(one.kind == "terrain" for one in self._known())
        asked = [readings[name] for name in placed.asks if name in readings]
        self.question.setVisible(bool(asked) or needs_grid)
        if not asked and not needs_grid:
            return
        open_datum = bool(asked) and all(reading.crs for reading in asked)
        names = [Path(reading.file).name for reading in asked] or [one.path.name for one in self._known()]
        self.question.ask(names, sensible(asked, self._job.crs), open_datum=open_datum)
        self.question.offer(self._job.crs if asked and not open_datum and not _is_small(asked) else "")
        trouble = placed.trouble or next(iter(placed.terrain_troubles.values()), None)
        if self.question.code and trouble is not None:
            self.question.tell(str(trouble), wrong=True)
        elif self.question.code and placed.place:
            self.question.tell(f"Then it lies at {placed.place}.", wrong=False)
        else:
            self.question.tell("Not said yet.", wrong=False)

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
            sign = {"waiting": "…", "fine": "●", "look": "▲", "wrong": "■"}[state]
            item.setText(f"{sign}  {self.paths[number].name}\n     {self._in_short(one)}")
            colour = {"fine": self._look.ink, "waiting": self._look.soft_ink}.get(state)
            item.setForeground(QColor(colour or (self._look.wrong if state == "wrong" else self._look.ink)))
            item.setToolTip(str(self.paths[number]))
        self.drop.setEnabled(len(self.paths) > 1)

    def state_of(self, one: FileRead | None) -> str:
        """How a file stands: waiting, fine, look or wrong."""
        if one is None:
            return "waiting"
        if one.trouble is not None or one.kind == "nothing" or self._terrain_trouble(one) is not None:
            return "wrong"
        return "look" if any(f.severity != "note" for f in self.findings_of(one)) else "fine"

    def _terrain_trouble(self, one: FileRead) -> PlannerError | None:
        return None if self.placed is None else self.placed.terrain_troubles.get(str(one.path))

    def findings_of(self, one: FileRead) -> list[Finding]:
        """What was wrong with a file, and with bringing it into the grid."""
        found = list(one.findings)
        if self.placed is not None and self.placed.survey is not None and one.reading is not None:
            found += [f for f in self.placed.survey.findings if f.place.file == one.reading.file and f not in found]
        return found

    def _in_short(self, one: FileRead | None) -> str:
        if one is None:
            return "reading …"
        if one.trouble is not None:
            return "cannot be used"
        if one.kind == "terrain":
            return "terrain"
        if one.prices is not None:
            return count(len(one.prices.prices), "price")
        reading = one.reading
        assert reading is not None
        parts = [count(len(reading.lines), "line") if reading.lines else "",
                 count(len(reading.points), "point") if reading.points else ""]
        return ", ".join(part for part in parts if part) or "nothing in it"

    def _current(self) -> tuple[int, FileRead | None]:
        number = self.list.currentRow()
        return number, self.files[number] if 0 <= number < len(self.files) else None

    def _show_file(self) -> None:
        number, one = self._current()
        if number < 0:
            return
        self.name.setText(self.paths[number].name)
        self.what.setText(self._told(one))
        self.grid.setText(self._grid_told(one))
        lines: Sequence[MeasuredLine] = one.reading.lines if one is not None and one.reading is not None else ()
        points = one.reading.points if one is not None and one.reading is not None else ()
        roles = [self._role(line) for line in lines]
        self.lines.show_file([(line, self._length(line)) for line in lines], roles, points, self._measures)
        found = self.findings_of(one) if one is not None else []
        notes = one.reading.notes if one is not None and one.reading is not None else ()
        self.troubles.show_findings(found, notes)
        self.page_buttons[0].setText(f"Lines {len(lines)}" if lines or not points else f"Points {len(points)}")
        self.map.look_at(one.reading.file if one is not None and one.reading is not None else "")
        self.page_buttons[2].setText(f"To look at {len(found)}" if found else "To look at")
        self.page_buttons[1].setVisible(one is not None and one.is_table)
        if one is not None and one.is_table:
            self.columns.show_file(one, self._told_columns(one))
        elif self.pages.currentIndex() == 1:
            self._show_page(0)
        if one is not None and one.trouble is not None and one.is_table:
            self._show_page(1)

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

    def _told(self, one: FileRead | None) -> str:
        if one is None:
            return "Reading …"
        if one.trouble is not None:
            return f"It cannot be used: {one.trouble.what}." + (f" {_cap(one.trouble.remedy)}." if one.trouble.remedy
                                                               else "")
        if one.kind == "terrain":
            trouble = self._terrain_trouble(one)
            if trouble is not None:
                return f"Terrain that cannot be used: {trouble.what}. {_cap(trouble.remedy)}."
            known = self.placed.terrain.get(str(one.path), "") if self.placed is not None else ""
            return f"Terrain: {known}. Levels are taken along every line." if known else "Terrain."
        if one.prices is not None:
            return f"Price list with {count(len(one.prices.prices), 'price')}; it takes the place of the job's own."
        assert one.reading is not None
        lines, points = one.reading.lines, one.reading.points
        corners = sum(len(line.xy) for line in lines)
        said = [f"{count(len(lines), 'line')} with {count(corners, 'corner')}" if lines else "",
                count(len(points), "point") if points else ""]
        return (" and ".join(part for part in said if part) or "Nothing that can be used") + "."

    def _grid_told(self, one: FileRead | None) -> str:
        reading = one.reading if one is not None else None
        if reading is None or not (reading.lines or reading.points):
            return ""
        name = self.placed.crs_names.get(reading.file, "") if self.placed is not None else ""
        if not reading.crs:
            return "States no coordinate system." + (f" Taken as {self.question.code}, as said." if self.question.code
                                                    else " It must be said before anything is brought in.")
        if "datum not stated" in name:
            return f"{name}: the projection is stated, the datum is not."
        sure = next((note for note in reading.notes if "datum" in note.lower() or "WGS" in note), "Stated by the file.")
        return f"{name}. {sure}" if name else "Looking it up …"

    def _length(self, line: MeasuredLine) -> float | None:
        survey = self.placed.survey if self.placed is not None else None
        if survey is None:
            return None
        if self._lengths_for is not survey:
            self._lengths_for = survey
            self._lengths = {(own.file, own.row, own.name): length_of(own) for own in survey.lines}
        return self._lengths.get((line.file, line.row, line.name))

    def _role(self, line: MeasuredLine) -> Role:
        return self._roles.get((line.file, line.name)) or usual_role(line)

    def _show_map(self) -> None:
        placed = self.placed
        survey = placed.survey if placed is not None else None
        if placed is None or survey is None:
            trouble = placed.trouble if placed is not None else None
            self.map.show_lines((), (), (), ())
            self.map.say(_cap(trouble.what) + "." if trouble is not None else "Nothing can be placed yet.")
            self.where.setText("")
            self.walked.hide()
            self.fits.hide()
            return
        fitted = [fit.corners for fit in placed.fits.values()] if self.walked.isChecked() else []
        self.map.show_lines([(line, self._role(line)) for line in survey.lines], survey.points,
                            [line.xy for line in self._job.lines], fitted)
        self.map.say("No line and no point." if not placed.terrain else "Terrain only: nothing to draw.")
        self.where.setText(f"{placed.grid_name}. {placed.place}" if placed.place else placed.grid_name)
        self.walked.setVisible(bool(placed.fits))
        self.fits.setVisible(bool(placed.fits))
        self.fits.setText("\n".join(self._fit_told(name, key) for key in placed.fits for name in (key[1],)))

    def _fit_told(self, name: str, key: tuple[str, str]) -> str:
        assert self.placed is not None
        fit, m = self.placed.fits[key], self._measures
        text = f"{name}: {m.length(fit.raw_length_m)} recorded"
        if not self.walked.isChecked():
            return f"{text}, kept as walked."
        text += (f", fitted to {count(len(fit.corners), 'corner')} and {m.length(fit.fitted_length_m)} ± "
                 f"{m.length(fit.fitted_length_sd_m)}")
        removed: dict[str, int] = {}
        for part in fit.removed:
            removed[part.reason] = removed.get(part.reason, 0) + part.count
        left = ", ".join(f"{number} fixes ({why})" for why, number in removed.items())
        return f"{text}; left out {left}." if left else f"{text}."

    def _show_foot(self) -> None:
        known = self._known()
        fences = [line for one in known if one.reading is not None for line in one.reading.lines
                  if self._role(line) == "fence"]
        others = [line for one in known if one.reading is not None for line in one.reading.lines
                  if self._role(line) not in ("fence", "none")]
        points = sum(len(one.reading.points) for one in known if one.reading is not None)
        terrain = sum(one.kind == "terrain" for one in known)
        prices = sum(one.prices is not None for one in known)
        parts = [count(len(fences), "fence line") if fences else "", count(len(others), "thing on the ground",
                 "things on the ground") if others else "", count(points, "point") if points else "",
                 count(terrain, "terrain file") if terrain else "", count(prices, "price list") if prices else ""]
        told = ", ".join(part for part in parts if part)
        wrong = [one for one in self.files if self.state_of(one) == "wrong"]
        self.headline.setText(f"{count(len(self.paths), 'file')}: {told or 'nothing that can be brought in yet'}")
        ready = self.is_ready
        self.bring.setEnabled(ready)
        if self._tasks and not ready:
            return
        if self.placed is not None and self.placed.trouble is not None:
            open_question = bool(self.placed.asks) and not self.question.code
            self._say("One question is open: the coordinate system." if open_question else str(self.placed.trouble),
                      wrong=not open_question)
        elif wrong:
            self._say(f"{count(len(wrong), 'file')} cannot be used and will be left out.", wrong=True)
        else:
            self._say("One undo takes all of it back." if ready else "")

    @property
    def is_ready(self) -> bool:
        """True when something can be brought in now."""
        placed = self.placed
        usable = [one for one in self._known() if self.state_of(one) in ("fine", "look")]
        return (bool(usable) and all(one is not None for one in self.files) and placed is not None
                and placed.trouble is None and self._placing is None and self._bringing is None)

    def _say(self, text: str, *, wrong: bool = False) -> None:
        self.words.setText(_cap(text))
        self.words.setStyleSheet(f"color: {self._look.wrong if wrong else self._look.soft_ink};")

    # choosing

    def _take_as(self, line: MeasuredLine, role: str) -> None:
        self._roles[line.file, line.name] = cast("Role", role)
        self._show_map()
        self._show_foot()

    def _columns_changed(self, columns: dict[str, str]) -> None:
        number, _ = self._current()
        self._columns[number] = columns
        self._read(number)
        self._show_list()

    def _choose_more(self) -> None:
        folder = str(self.paths[-1].parent) if self.paths else ""
        names, _ = QFileDialog.getOpenFileNames(self, "Add files", folder, "Everything (*)")
        self.add([Path(name) for name in names])

    def _drop_file(self) -> None:
        number, _ = self._current()
        if number >= 0 and len(self.paths) > 1:
            columns = {i - (i > number): said for i, said in self._columns.items() if i != number}
            self.paths.pop(number)
            self.files.pop(number)
            self._columns = columns
            self.list.takeItem(number)
            self._place()
            self._show_all()

    # bringing in

    def _bring(self) -> None:
        if not self.is_ready:
            return
        accuracy = self.accuracy.currentData() or None
        choices = Choices(self.fence.currentData(), self.question.code, cast("Accuracy | None", accuracy),
                          not self.walked.isChecked(), dict(self._roles))
        files = [one for one in self._known() if self.state_of(one) in ("fine", "look")]
        job = self._starting_job()
        self.bring.setEnabled(False)

        def work(progress: Progress) -> tuple[Job, str]:
            return bring_in(job, files, choices, progress)

        self._bringing = self._begin(Task("bringing in", work, self), self._take_job)

    def _starting_job(self) -> Job:
        """The job now; a job that was never begun takes the name of the first file."""
        job = self._job
        if job.name == "Untitled" and not job.lines and not job.made_at:
            from planner.files.survey_in import new_job

            return replace(new_job(self.paths[0].stem.replace("_", " ").capitalize(), job.settings), crs=job.crs)
        return job

    def _take_job(self, found: tuple[Job, str]) -> None:
        made, what = found
        if self._document.do(TakeIn(made, what)):
            self.accept()

    def reject(self) -> None:
        """Stops what is going on; a second time, goes back."""
        if self._bringing is not None:
            self._bringing.cancel()
            self._say("Stopped; nothing was brought in.")
            return
        super().reject()

    def done(self, result: int) -> None:
        """Ends background work before the dialog goes."""
        self.question.close_down()
        for task in list(self._tasks):
            task.cancel()
        for task in list(self._tasks):
            task.wait()
        super().done(result)

    def wait(self, seconds: float = 30.0) -> None:
        """Waits until nothing is being read. For tests."""
        end = QDeadlineTimer(int(seconds * 1000))
        while self._tasks and not end.hasExpired():
            QCoreApplication.processEvents()
            self._tasks[0].wait(0.01) if self._tasks else None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter in a field does not bring everything in."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not self.bring.hasFocus():
            event.accept()
            return
        super().keyPressEvent(event)


def _is_small(readings: Sequence[Reading]) -> bool:
    return sensible(readings, "")[0][0] == "EPSG:4326"


def _cap(text: str) -> str:
    return text[:1].upper() + text[1:]
