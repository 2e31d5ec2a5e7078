"""The desk: where jobs are opened, saved, imported into and left, with the questions that this asks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from planner.errors import JobTrouble, PlannerError
from planner.ui.background import Task
from planner.ui.document import Document
from planner.ui.holding import Holding
from planner.ui.journalling import Journalling
from planner.ui.messages import Choice, Messages
from planner.ui.opening import Opened, Opening, is_job, warm_up
from planner.ui.preferences import Preferences
from planner.ui.saving import Saving

if TYPE_CHECKING:
    from planner.files.journal_records import LeftJournal
    from planner.files.lock import Holder

Answer = Literal["save", "leave", "stay"]
JOB_FILES = "Jobs (*.job.gpkg)"
USUAL_GRID = "EPSG:7855"


class JobDesk(QObject):
    """Opens, saves, imports and leaves jobs.

    Args:
        document: The document.
        messages: Where to say how it went.
        preferences: Recent jobs.
        folder: The program's own folder.
        window: Parent of dialogs.

    Attributes:
        working: Background work began; its task.
        opened: A job was taken up.
        closed: The job was left for the first page.
        saved: The job was saved.
        opening_failed: A job could not be opened.
        fault: A bug was met in the background.
    """

    working = Signal(object)
    opened = Signal(object)
    closed = Signal()
    saved = Signal()
    opening_failed = Signal(object)
    fault = Signal(object)
    warm = Signal()

    def __init__(self, document: Document, messages: Messages, preferences: Preferences, folder: Path,
                 window: QWidget) -> None:
        super().__init__(window)
        self._document, self._messages, self._preferences, self._window = document, messages, preferences, window
        self.holding = Holding(self)
        self.saving = Saving(document, self.holding, self)
        self.opening = Opening(document, self.holding, self)
        self.journal = Journalling(document, self.holding, folder, self)
        self.ask_unsaved: Callable[[str, str], Answer] = self._ask_unsaved
        self._warming: Task | None = None
        for part in (self.saving, self.opening):
            part.working.connect(self.working)
        self.opening.failed.connect(self._failed)
        self.journal.failed.connect(self._failed)
        self.saving.failed.connect(self._save_failed)
        self.holding.freed.connect(self._freed)
        self.holding.lost.connect(self._lost)
        self.opening.failed.connect(self.opening_failed)
        self.opening.opened.connect(self._opened)
        self.saving.saved.connect(self._saved)

    # opening

    def open(self, path: Path) -> None:
        """Opens a job file, after asking about the one in hand."""
        if self.may_leave("opening another job"):
            self.opening.open_file(path)

    def open_sample(self) -> None:
        """Opens the sample job."""
        if self.may_leave("opening the sample job"):
            self.opening.open_sample()

    def offer_left(self, left: LeftJournal) -> None:
        """Offers to bring back the edits that a bad end left in a journal."""
        self.journal.leave_alone(left)
        self._messages.offer(
            f"The program ended without warning, and its journal holds {left.words}",
            "They are not in the job until you bring them back",
            [Choice("Bring them back", lambda: self.open_recovered(left)),
             Choice("Throw them away", lambda: left.path.unlink(missing_ok=True))])

    def open_recovered(self, left: LeftJournal) -> None:
        """Opens a job with the edits that a bad end left."""
        if self.may_leave("bringing back the edits"):
            self.opening.open_recovered(left)

    def open_blank(self) -> None:
        """Starts an empty job on a grid that is asked for."""
        if not self.may_leave("starting a new job"):
            return
        from planner.ui.dialogs.grid_dialog import GridDialog

        dialog = GridDialog(self._document.job.crs or USUAL_GRID, self._window)
        if dialog.exec():
            self.opening.open_blank(dialog.crs)
        dialog.deleteLater()

    def choose_and_open(self) -> None:
        """Asks for a job file and opens it."""
        name, _ = QFileDialog.getOpenFileName(self._window, "Open a job", self._folder(), JOB_FILES)
        if name:
            self.open(Path(name))

    def start_from_file(self) -> None:
        """Asks for files: a job is opened, anything else goes to the import."""
        names, _ = QFileDialog.getOpenFileNames(self._window, "Start from a file", self._folder(), "Everything (*)")
        self.take_files([Path(name) for name in names])

    def choose_and_import(self) -> None:
        """Asks for files and brings them in."""
        names, _ = QFileDialog.getOpenFileNames(self._window, "Bring in files", self._folder(), "Everything (*)")
        self.bring_in([Path(name) for name in names])

    def take_files(self, paths: Sequence[Path]) -> None:
        """Takes files that were dropped or chosen: one job is opened, anything else is brought in."""
        jobs = [path for path in paths if is_job(path)]
        if jobs:
            self.open(jobs[0])
        elif paths:
            self.bring_in(paths)

    def bring_in(self, paths: Sequence[Path]) -> None:
        """Shows the import with some files."""
        if not paths:
            return
        from planner.ui.dialogs.import_dialog import ImportDialog

        if not self._document.job.made_at:  # the first page: there is no job yet
            from planner.files.survey_in import new_job
            from planner.settings import Settings

            self._document.start(new_job("New job", Settings()))
        dialog = ImportDialog(self._document, list(paths), self._preferences.text("fence"), self._window)
        if dialog.exec():
            self.opened.emit(None)
        dialog.deleteLater()

    def warm_up(self) -> None:
        """Loads the engine in the background, so that the first plan does not wait for it."""
        task = Task("getting ready", warm_up, self)
        task.failed.connect(self.fault)
        task.finished.connect(self._warm)
        self._warming = task
        task.start()

    # saving

    def save(self) -> None:
        """Saves the job into its file, which is asked for when it has none."""
        if self._document.path is None:
            self.save_as()
        else:
            self.saving.save()

    def save_as(self) -> None:
        """Asks for a file and saves the job into it."""
        path = self._choose_target()
        if path is not None:
            self.saving.save(path)

    # leaving

    def close_job(self) -> None:
        """Goes back to the first page."""
        if self.may_leave("closing the job"):
            from planner.job.job import Job

            self.holding.keep(None)
            self._document.start(Job("Untitled", ""))
            self.closed.emit()

    def may_leave(self, what: str) -> bool:
        """True when the job in hand is saved, is now saved, or may be given up.

        Args:
            what: What will happen then, as a clause: ``closing the window``.
        """
        if self._document.is_saved:
            return True
        answer = self.ask_unsaved(self._document.job.name, what)
        if answer == "stay":
            return False
        if answer == "save":
            own = None if self.holding.is_read_only else self._document.path
            path = own or self._choose_target()
            return path is not None and self.saving.save_now(path)
        self.journal.give_up()
        return True

    def close(self) -> None:
        """Ends background work and gives the job free."""
        self.opening.close()
        if self._warming is not None:
            self._warming.cancel()
            self._warming.wait()
        self.saving.close()
        self.journal.close()
        self.holding.close()

    def _ask_unsaved(self, name: str, what: str) -> Answer:
        from planner.ui.dialogs.unsaved_dialog import ask_unsaved

        return ask_unsaved(name, what, self._window)

    def _choose_target(self) -> Path | None:
        suggested = str(Path(self._folder()) / f"{_file_name(self._document.job.name)}.job.gpkg")
        name, _ = QFileDialog.getSaveFileName(self._window, "Save the job as", suggested, JOB_FILES)
        return Path(name) if name else None

    def _folder(self) -> str:
        recent = self._preferences.recent()
        own = self._document.path or (recent[0] if recent else None)
        return str(own.parent if own is not None else Path.home())

    def _opened(self, opened: Opened) -> None:
        if opened.path is not None:
            self._preferences.remember_job(opened.path)
        if opened.words:
            self._messages.done(opened.words)
        if opened.left is not None:
            self._brought_back(opened.left)
        if opened.holder is not None:
            self._messages.offer(
                f"This job is open elsewhere ({opened.holder.words}), so it is read only here",
                "Look, plan and try things out; to keep what you change, save it elsewhere",
                [Choice("Save elsewhere", self.save_as)])
        elif opened.left is None and opened.path is not None and (left := self.journal.left_of(opened.path)):
            self.offer_left(left)
        self.opened.emit(opened)

    def _saved(self, path: Path) -> None:
        self._preferences.remember_job(path)
        self._messages.done(f"Saved as {path.name}")
        self.saved.emit()

    def _brought_back(self, left: LeftJournal) -> None:
        """Edits are in hand again: their journal goes once they stand in the new one."""
        if self.journal.flush() and self.journal.path != left.path:
            left.path.unlink(missing_ok=True)

    def _freed(self) -> None:
        """Whoever had the job open has closed it."""
        path = self._document.path
        if path is None or path != self.holding.path:
            return
        if self._document.is_unchanged_on_disk:
            self._messages.offer(f"{path.name} is free now", "You may take it over; what you changed here stays",
                                 [Choice("Take it over", self._take_over)])
        else:
            self._messages.offer(
                f"{path.name} is free now, and was saved by whoever had it",
                "Open it as it is now to go on with it; to keep what you changed here, save it elsewhere",
                [Choice("Open it as it is now", lambda: self.open(path)), Choice("Save elsewhere", self.save_as)])

    def _take_over(self) -> None:
        if self.holding.take_over():
            self._messages.done("The job is yours to save now")
        elif self.holding.holder is not None:
            self._messages.trouble(JobTrouble(f"somebody was quicker ({self.holding.holder.words})",
                                              remedy="save it elsewhere, or wait"))

    def _lost(self, holder: Holder) -> None:
        self._messages.trouble(JobTrouble(f"the job was taken over by {holder.words}; it is read only here now",
                                          remedy="save it elsewhere to keep what you changed"),
                               Choice("Save elsewhere", self.save_as))

    def _save_failed(self, trouble: object) -> None:
        if isinstance(trouble, PlannerError):
            self._messages.trouble(trouble, Choice("Save elsewhere", self.save_as))
        else:
            self.fault.emit(trouble)

    def _failed(self, trouble: object) -> None:
        if isinstance(trouble, PlannerError):
            self._messages.trouble(trouble)
        else:
            self.fault.emit(trouble)

    def _warm(self) -> None:
        if self._warming is not None:
            self._warming.deleteLater()
            self._warming = None
            self.warm.emit()


def _file_name(name: str) -> str:
    kept = "".join(letter if letter.isalnum() or letter in " -_" else " " for letter in name)
    return "-".join(kept.lower().split()) or "job"
