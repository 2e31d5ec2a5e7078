"""Job pack: which sheets and files are written, for whom, where to, and how the pages will look."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QUrl, Signal
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QCheckBox, QFileDialog, QGridLayout, QLabel, QWidget

from planner.errors import FileTrouble, PlannerError
from planner.findings import Finding
from planner.ui.background import Task
from planner.ui.measures import count
from planner.ui.panels.cards import Words, action_button, button
from planner.ui.panels.combo import Combo
from planner.ui.panels.fields import Field
from planner.ui.panels.marks import Refusal
from planner.ui.panels.page_preview import PagePreview
from planner.ui.panels.panel import StepPanel, soft
from planner.ui.share_bar import ShareBar

if TYPE_CHECKING:
    from planner.job.plan import JobPlan
    from planner.jobpack.output import Output
    from planner.jobpack.page.form import SheetChoice
    from planner.progress import Progress


class JobPackPanel(StepPanel):
    """The panel of the job pack.

    Attributes:
        written: The pack of the job in hand was written; its folder.
    """

    KEY = "jobpack"
    written = Signal(object)

    def build(self) -> Iterator[None]:
        """Puts the cards of the panel into its column, a piece a turn."""
        self._task: Task | None = None
        self._loading: Task | None = None
        self.ticks: dict[str, QCheckBox] = {}
        self._readers: list[QLabel] = []
        self.folder: Path | None = None
        self.result_folder: Path | None = None
        self._written_for: object = None
        self._build_outputs()
        yield
        self._build_writing()
        yield
        self.preview_card = self.card("The sheets as they will be")
        self.preview = PagePreview(self.document)
        self.preview_card.add(self.preview)
        self.preview.said.connect(self.preview_card.aside.setText)

    def _build_outputs(self) -> None:
        self.head = self.card("Job pack")
        self.nothing, self.looking = Words(), Words()
        self.outputs_box = QWidget()
        self._grid = QGridLayout(self.outputs_box)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(5)
        self._grid.setColumnStretch(1, 1)
        self.all = button("Tick all", lambda: self._tick(True), kind="quiet")
        self.none = button("Tick none", lambda: self._tick(False), kind="quiet")
        self.paper = Combo("Paper of the drawings")
        self.paper.show_choices([("A4", "drawings on A4"), ("A3", "drawings on A3")], "A4")
        self.paper.activated.connect(lambda _: self.preview.forget())
        self.head.add(self.nothing, self.looking, self.outputs_box)
        self.head.add_row(self.all, self.none, self.paper, stretch=2)
        self.terms = action_button("terms", "Terms of the quote…",
                                   tip="What quote.pdf says besides quantities and prices")
        self.options = action_button("options", "Options and stages…", tip="What options.pdf sets side by side")
        self.before = action_button("before", "Before the first post…",
                                    tip="What holds the job back from being issued for build")
        self.records = action_button("records", "Work and upkeep…", tip="Progress, inspections, losses")
        self.head.add_row(self.terms, self.options)
        self.head.add_row(self.before, self.records)

    def _build_writing(self) -> None:
        self.write_card = self.card("Write")
        self.folder_field = Field("Folder", self._take_folder, tip="The folder that the files are written into; it is "
                                                                  "made when it is not there.", wide=True)
        self.choose = button("Choose a folder", self._choose_folder)
        self.write = button("Write the job pack", lambda: self.write_now(), kind="main")
        self.bar = ShareBar("Progress of writing")
        self.cancel = button("Cancel", self._cancel)
        self.result, self.refusal = Words(soft=False), Refusal()
        self.open = button("Open the folder", self._open_folder)
        self.write_card.add(self.folder_field)
        self.write_card.add_row(self.choose, self.write)
        self.write_card.add(self.bar)
        self.write_card.add_row(self.cancel)
        self.write_card.add(self.refusal, self.result)
        self.write_card.add_row(self.open)
        for widget in (self.bar, self.cancel, self.open):
            widget.hide()

    # showing

    def fill(self) -> None:
        """Shows the job and its plan as they are now."""
        plan = self.document.plan
        has = plan is not None and bool(plan.lines)
        self.nothing.say("" if has else self.without_plan(
            "There is no plan yet, so nothing to write. Draw a line, or bring in files."))
        for widget in (self.outputs_box, self.all, self.none, self.paper, self.write_card, self.preview_card):
            widget.setVisible(has)
        if not has:
            self.head.aside.setText("")
            return
        if not self.ticks:
            self._look_up()
        self._lay()
        if self.folder is None:
            self.folder_field.show_text(str(self._usual_folder()))
        if self._written_for is not None and self._written_for is not self.document.job:
            self.result.say(f"{self.result.text()} The job has changed since; write it anew.")
            self._written_for = None
        self.preview.show_plan(plan, self.look, self._choice)
        self._count()

    def findings_shown(self) -> Sequence[Finding]:
        """Every finding of the job that is not a note: what to settle before the pack is handed out."""
        plan = self.document.plan
        return [f for f in plan.findings if f.severity != "note"] if plan is not None else ()

    def _look_up(self) -> None:
        """Loads what draws and writes the outputs, in the background: it takes longer than a window may stand still."""
        if self._loading is not None:
            return
        choice = self._choice()
        task = Task("loading the sheets", lambda progress: outputs_of(choice), self)
        task.done.connect(self._show_outputs)
        task.failed.connect(self._failed)
        task.finished.connect(lambda: self._loaded(task))
        self._loading = task
        task.start()

    def _loaded(self, task: Task) -> None:
        self._loading = None
        self._count()
        task.deleteLater()

    def _show_outputs(self, outputs: Sequence[Output]) -> None:
        for output in outputs:
            tick = QCheckBox(output.name, self.outputs_box)
            tick.setChecked(True)
            tick.setAccessibleDescription(f"For {output.reader}")
            tick.toggled.connect(lambda _: self._count())
            reader = soft(output.reader, self.outputs_box)
            reader.setWordWrap(True)
            reader.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
            self.ticks[output.name] = tick
            self._readers.append(reader)
        self._lay()
        self._count()

    def _lay(self) -> None:
        """Whom each is for stands beside its name, or below it where letters are large."""
        below = self.look.scale > 1.2
        for number, (tick, reader) in enumerate(zip(self.ticks.values(), self._readers, strict=True)):
            self._grid.addWidget(tick, 2 * number, 0, 1, 2 if below else 1)
            self._grid.addWidget(reader, 2 * number + below, 0 if below else 1, 1, 2 if below else 1)
            reader.setContentsMargins(round(22 * self.look.scale) if below else 0, 0, 0, 3)

    def readers(self) -> list[str]:
        """Whom each output is for, in order."""
        return [reader.text() for reader in self._readers]

    def _choice(self) -> SheetChoice:
        from planner.jobpack.page.form import SheetChoice

        return SheetChoice(units="imperial" if self.measures.system == "imperial" else "metric",
                           drawings="A3" if self.paper.currentData() == "A3" else "A4")

    def _count(self) -> None:
        chosen = len(self._ticked())
        self.looking.say("Looking up what can be written …" if self.is_looking_up and not self.ticks else "")
        self.head.aside.setText(f"{chosen} of {len(self.ticks)}" if self.ticks else "")
        for widget in (self.all, self.none):
            widget.setEnabled(bool(self.ticks))
        self.write.setEnabled(chosen > 0 and self._task is None)
        self.write.setText(f"Write {count(chosen, 'file')}" if self.ticks else "Write the job pack")

    def _ticked(self) -> list[str]:
        return [name for name, tick in self.ticks.items() if tick.isChecked()]

    def _tick(self, wanted: bool) -> None:
        for tick in self.ticks.values():
            tick.setChecked(wanted)

    # the folder

    def _usual_folder(self) -> Path:
        path = self.document.path
        name = "-".join("".join(c if c.isalnum() else " " for c in self.document.job.name.lower()).split()) or "job"
        return (path.parent if path is not None else Path.home()) / f"{name}-pack"

    def _take_folder(self, text: str) -> None:
        folder = Path(text).expanduser()
        if not text or not folder.is_absolute():
            raise FileTrouble(f"'{text}' is no full path", remedy="type one, or choose a folder")
        if folder.exists() and not folder.is_dir():
            raise FileTrouble("it is a file", where=text, remedy="choose a folder")
        self.folder = folder
        self.folder_field.show_text(str(folder))

    def _choose_folder(self) -> None:
        chosen = QFileDialog.getExistingDirectory(self, "Folder of the job pack", str(self._usual_folder().parent))
        if chosen:
            self.folder = Path(chosen)
            self.folder_field.show_text(chosen)

    # writing

    def write_now(self) -> None:
        """Writes what is ticked, in the background."""
        plan, names = self.document.plan, self._ticked()
        if plan is None or self._task is not None or not names:
            return
        if plan.job is not self.document.job:
            self.refusal.say("The plan is being made anew; write again in a moment.")
            return
        folder = self.folder or self._usual_folder()
        outputs = [output for output in outputs_of(self._choice()) if output.name in names]
        from planner.jobpack.runner import write_outputs

        def write(progress: Progress) -> tuple[tuple[Path, ...], list[Output]]:
            empty = [output for output in outputs if not output.has_content(plan)]
            return write_outputs(plan, folder, [o for o in outputs if o not in empty], progress), empty

        task = Task("writing the job pack", write, self)
        task.progressed.connect(lambda share, _: self.bar.show_share(share))
        task.done.connect(lambda found: self._done(plan, folder, *found))
        task.failed.connect(self._failed)
        task.stopped.connect(lambda: self.result.say("Stopped; files already written stay."))
        task.finished.connect(lambda: self._end(task))
        self._task = task
        self.refusal.say("")
        self.result.say("")
        self.open.hide()
        self.bar.show_share(0.0)
        self.bar.show()
        self.cancel.show()
        self._count()
        self.document.working.emit(task)
        task.start()

    @property
    def is_looking_up(self) -> bool:
        """True while it is not yet known what can be written."""
        return self._loading is not None

    @property
    def is_writing(self) -> bool:
        """True while files are being written."""
        return self._task is not None

    def close_down(self) -> None:
        """Ends background work."""
        self.preview.close_down()
        for task in (self._task, self._loading):
            if task is not None:
                task.cancel()
                task.wait()

    def _done(self, plan: JobPlan, folder: Path, written: Sequence[Path], empty: Sequence[Output]) -> None:
        left_out = "".join(f"\n{output.name} is left out: {output.nothing}" for output in empty)
        self.result.say(f"{count(len(written), 'file')} written into {folder}.{left_out}")
        self.result_folder = folder
        self.open.show()
        if plan.job is self.document.job:
            self._written_for = plan.job
            self.written.emit(folder)

    def _failed(self, trouble: object) -> None:
        if isinstance(trouble, PlannerError):
            self.refusal.say(str(trouble))
        else:
            self.document.troubled.emit(trouble)

    def _end(self, task: Task) -> None:
        self._task = None
        self.bar.hide()
        self.cancel.hide()
        self._count()
        task.deleteLater()

    def _cancel(self) -> None:
        if self._task is not None:
            self._task.cancel()

    def _open_folder(self) -> None:
        if self.result_folder is not None:
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(self.result_folder)))


def outputs_of(choice: SheetChoice) -> tuple[Output, ...]:
    """Everything that the job pack can hold: the drawn sheets first, then tables and files.

    Args:
        choice: Paper and units of the sheets.
    """
    from planner.jobpack.register import OUTPUTS
    from planner.render.outputs import drawn_outputs

    names = {output.name for output in OUTPUTS}
    return (*(o for o in drawn_outputs(choice) if o.name not in names), *OUTPUTS)
