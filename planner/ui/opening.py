"""Opening: jobs taken up from a file, the sample farm, what a bad end left, or empty. In the background."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from planner.job.job import Job
from planner.progress import Progress
from planner.ui.background import Task
from planner.ui.document import Document
from planner.ui.holding import Holding, Taken, taken
from planner.ui.saving import ENDING
from planner.ui.step_panels import PANELS

if TYPE_CHECKING:
    from planner.files.journal_records import LeftJournal
    from planner.files.lock import Holder


@dataclass(frozen=True, slots=True)
class Opened:
    """A job that was opened.

    Attributes:
        job: The job.
        path: Its own file; None when it has none.
        is_saved: True when it stands in that file as it is.
        words: What to say about it; empty for nothing.
        lock: How taking its lock went; None when it has no file.
        left: The journal that it was brought back from; None when it was not.
    """

    job: Job
    path: Path | None
    is_saved: bool
    words: str = ""
    lock: Taken | None = None
    left: LeftJournal | None = None

    @property
    def holder(self) -> Holder | None:
        """Who else has it open; None when nobody has."""
        return self.lock.holder if self.lock is not None else None


NEEDED = ("planner.files.job_file", "planner.job.derive", "planner.ui.work_page", "planner.files.readers.terrain",
          "planner.files.sample_farm", "rasterio", "scipy.optimize",
          *(f"planner.ui.panels.{module}" for module, _ in PANELS.values()))
"""What a job needs as soon as it is opened; loaded while a person looks at the first page."""
ALSO_NEEDED = ("planner.files.journal_writer", "planner.jobpack.register", "planner.render.outputs")
"""What its first edit and its job pack need; a job that is opened does not wait for it."""


class Opening(QObject):
    """Opens jobs, one at a time; asking for another gives up the one before.

    Args:
        document: The document that takes the job up.
        holding: The lock of its job.
        parent: Qt parent.

    Attributes:
        working: Opening began; its task.
        opened: A job was taken up.
        failed: It could not be.
        ended: Opening ended, however it did.
    """

    working = Signal(object)
    opened = Signal(object)
    failed = Signal(object)
    ended = Signal()

    def __init__(self, document: Document, holding: Holding, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document, self._holding = document, holding
        self._task: Task | None = None

    @property
    def is_running(self) -> bool:
        """True while a job is being opened."""
        return self._task is not None

    def open_file(self, path: Path) -> None:
        """Opens a job file."""
        self._begin(f"opening {path.name}", lambda progress: _from_file(path, progress))

    def open_sample(self) -> None:
        """Builds the sample job."""
        self._begin("building the sample job", _from_sample)

    def open_recovered(self, left: LeftJournal) -> None:
        """Opens a job with the edits that a bad end left in its journal; it counts as not saved."""
        self._begin(f"bringing back {left.name}", lambda progress: _from_journal(left, progress))

    def open_blank(self, crs: str) -> None:
        """Takes up an empty job.

        Args:
            crs: Its working grid.
        """
        from planner.files.survey_in import new_job
        from planner.settings import Settings

        job = new_job("New job", Settings())
        self._take(Opened(Job(job.name, crs, made_at=job.made_at), None, is_saved=True))

    def close(self) -> None:
        """Gives up what is being opened."""
        if self._task is not None:
            self._task.cancel()
            self._task.wait()
            self._task = None

    def _begin(self, title: str, work: Callable[[Progress], Opened]) -> None:
        if self._task is not None:
            self._task.cancel()
        task = Task(title, work, self)
        task.done.connect(lambda opened: self._take(opened) if task is self._task else self._drop(opened))
        task.failed.connect(self.failed)
        task.finished.connect(lambda: self._end(task))
        self._task = task
        self.working.emit(task)
        task.start()

    def _take(self, opened: Opened) -> None:
        lock = opened.lock
        self._holding.keep(opened.path, opened.holder, is_held=lock is not None and lock.is_held)
        self._document.start(opened.job, opened.path, saved=opened.is_saved)
        self.opened.emit(opened)

    def _drop(self, opened: Opened) -> None:
        """A job that nobody waits for any more."""
        if opened.lock is not None and opened.lock.is_new and opened.path is not None:
            from planner.files.lock import release

            release(opened.path)

    def _end(self, task: Task) -> None:
        if task is self._task:
            self._task = None
            self.ended.emit()
        task.deleteLater()


def warm_up(progress: Progress, modules: Sequence[str] = (*NEEDED, *ALSO_NEEDED)) -> None:
    """Loads what will be needed, while a person looks at the first page.

    Args:
        progress: Asked whether to stop.
        modules: Names of what is loaded.
    """
    for module in modules:
        progress.stop_if_cancelled()
        importlib.import_module(module)


def is_job(path: Path) -> bool:
    """Whether a path is named as a job file.

    Args:
        path: The path.
    """
    return path.name.lower().endswith(ENDING)


def _from_file(path: Path, progress: Progress) -> Opened:
    warm_up(progress, NEEDED)
    from planner.files.job_file import open_job

    own = path.resolve()
    with _locked(own) as lock:
        opened = open_job(path)
    return Opened(opened.job, own, is_saved=True, words=". ".join(opened.notes), lock=lock)


def _from_sample(progress: Progress) -> Opened:
    warm_up(progress, NEEDED)
    from planner.files.sample_farm import sample_job

    return Opened(sample_job(progress), None, is_saved=True)


def _from_journal(left: LeftJournal, progress: Progress) -> Opened:
    warm_up(progress, NEEDED)
    from planner.files.journal import recovered

    path = left.job_path
    if path is None:
        found, lock = recovered(left), None
    else:
        with _locked(path) as lock:
            found = recovered(left)
    if found is not None:
        return Opened(found.job, path, is_saved=False, lock=lock, left=left, words=". ".join(
            (f"Brought back: {left.words}; not saved yet", *found.notes)))
    assert path is not None, "a job that is in its file has one"
    return replace(_from_file(path, progress), left=left, words="Every edit of the journal stands in the job already")


@contextmanager
def _locked(path: Path) -> Iterator[Taken]:
    """Takes the lock of a job before it is read; it is given up when the job cannot be."""
    lock = taken(path)
    try:
        yield lock
    except BaseException:
        if lock.is_new:
            from planner.files.lock import release

            release(path)
        raise
