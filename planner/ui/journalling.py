"""Writes every edit of the document into its journal, as soon as it is made; nothing waits for it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal

from planner.files.journal_records import ENDING, LeftJournal, journal_of, look_at
from planner.files.lock import holder_of
from planner.job.job import Job
from planner.ui.document import Document
from planner.ui.holding import Holding

if TYPE_CHECKING:
    from planner.files.journal_writer import JournalWriter


class Journalling(QObject):
    """Keeps the journal of the job in hand.

    Args:
        document: The document.
        holding: Whether its job is held, and the journal may stand beside it.
        folder: The program's own folder.
        parent: Qt parent.

    Attributes:
        written: Edits stand in the journal; how many.
        failed: They could not be written; a PlannerError, or a bug.
    """

    written = Signal(int)
    failed = Signal(object)
    _told = Signal(int)
    _refused = Signal(object)

    def __init__(self, document: Document, holding: Holding, folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document, self._holding, self._folder = document, holding, folder / "recovery"
        self._made: JournalWriter | None = None
        self._told.connect(self.written, Qt.ConnectionType.QueuedConnection)
        self._refused.connect(self.failed, Qt.ConnectionType.QueuedConnection)
        self._history: object = document.history
        self._stood = (document.history.saved, document.path)
        self._last: Job = document.job
        document.job_changed.connect(self._changed)
        document.saved_changed.connect(self._saved_or_not)

    @property
    def path(self) -> Path | None:
        """Where the journal stands; None while there is none."""
        return self._made.path if self._made is not None else None

    def flush(self) -> bool:
        """Waits until every edit is written, and says whether it is."""
        return self._made is None or self._made.flush()

    def give_up(self) -> None:
        """Takes the journal away: what is in hand is given up."""
        if self._made is not None:
            self._stand_on()
            self._made.flush()

    def close(self) -> None:
        """Waits until every edit is written, and ends."""
        if self._made is not None:
            self._made.close()

    def leave_alone(self, left: LeftJournal) -> None:
        """A journal of an earlier run, which is offered, is not to be written over."""
        self._writer.leave_alone(left.path)

    def left_behind(self, jobs: Sequence[Path] = ()) -> list[LeftJournal]:
        """Journals of runs that ended badly, the latest first.

        Args:
            jobs: Job files that may have one beside them; those in the program's own folder are found without.
        """
        own = sorted(self._folder.glob(f"*{ENDING}")) if self._folder.is_dir() else []
        beside = [journal_of(path) for path in jobs]
        looked = [look_at(path) for path in dict.fromkeys([*own, *beside]) if path.is_file()]
        found = [left for left in looked if left is not None and left.is_left and not _is_held_elsewhere(left)]
        return sorted(found, key=lambda left: left.at, reverse=True)

    def left_of(self, job_path: Path) -> LeftJournal | None:
        """The journal that a bad end left of a job; None when there is none.

        Args:
            job_path: The job's file.
        """
        return next((left for left in self.left_behind([job_path]) if left.job_path == job_path), None)

    @property
    def _writer(self) -> JournalWriter:
        """The writer, which needs the engine and is made when there is something to write."""
        if self._made is None:
            from planner.files.journal_writer import JournalWriter

            self._made = JournalWriter(self._folder, written=lambda count, _: self._told.emit(count),
                                       failed=self._refused.emit)
        return self._made

    def _stand_on(self) -> None:
        """Tells the writer what the edits that follow stand on."""
        from planner.files.journal_writer import Standing

        document = self._document
        path = document.path
        self._stood = (document.history.saved, path)
        self._writer.stand_on(Standing(document.history.saved, path, document.was(path) if path is not None else None,
                                       path is not None and self._holding.holds(path)))

    def _changed(self, job: Job) -> None:
        if self._document.history is not self._history:
            self._history = self._document.history
            if self._made is not None or self._document.path is not None or not self._document.is_saved:
                self._stand_on()
            else:
                self._stood = (self._document.history.saved, None)
            if not self._document.is_saved:
                self._writer.add(job, "bring back edits")
        elif job is self._document.history.saved:
            self._stand_on()
        elif job is not self._last:
            if self._made is None:
                self._stand_on()
            self._writer.add(job, self._document.history.told)
        self._last = job

    def _saved_or_not(self) -> None:
        saved, path = self._stood
        if self._document.history.saved is not saved or self._document.path != path:
            self._stand_on()


def _is_held_elsewhere(left: LeftJournal) -> bool:
    holder = holder_of(left.job_path) if left.job_path is not None else None
    return holder is not None and not holder.is_this_process
