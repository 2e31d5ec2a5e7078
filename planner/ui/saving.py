"""Saving: into the job's file in the background, under its lock."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from planner.errors import FileTrouble, JobTrouble, PlannerError
from planner.ui.background import Task
from planner.ui.document import Document, write_with_plan
from planner.ui.holding import Holding

ENDING = ".job.gpkg"


class Saving(QObject):
    """Saves the job of a document.

    Args:
        document: The document.
        holding: The lock of its job.
        parent: Qt parent.

    Attributes:
        saved: A job was saved; its path.
        failed: It could not be; a PlannerError. The job stays in memory as it is.
        working: Saving began; its task.
    """

    saved = Signal(object)
    failed = Signal(object)
    working = Signal(object)

    def __init__(self, document: Document, holding: Holding, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document, self._holding = document, holding
        self._tasks: list[Task] = []

    def save(self, path: Path | None = None) -> Task | None:
        """Saves the job in the background; ``saved`` or ``failed`` tells how it went.

        Args:
            path: Where; its own file when None.

        Returns:
            The work; None when the job has no file yet and none is given, or is held by another.
        """
        target = path or self._document.path
        if target is None:
            self.failed.emit(FileTrouble("the job has no file yet", remedy="choose one with 'save as'"))
            return None
        target, job, plan = with_ending(target).resolve(), self._document.job, self._document.plan
        if trouble := self._not_mine(target):
            self.failed.emit(trouble)
            return None
        was = self._document.was(target)
        task = Task("saving", lambda progress: _written(
            target, lambda: write_with_plan(target, job, plan, was=was)), self)
        task.done.connect(lambda _: self._was_saved(target, lambda: self._document.note_saved(job, target)))
        task.failed.connect(self.failed)
        self._begin(task)
        self.working.emit(task)
        return task

    def save_now(self, path: Path | None = None) -> bool:
        """Saves the job before it returns, for the moment of closing; a refusal is told by ``failed``."""
        target = with_ending(path).resolve() if path is not None else self._document.path
        try:
            if target is None:
                raise FileTrouble("the job has no file yet", remedy="choose one with 'save as'")
            if trouble := self._not_mine(target):
                raise trouble
            job, was = self._document.job, self._document.was(target)
            _written(target, lambda: write_with_plan(target, job, self._document.plan, was=was))
        except PlannerError as trouble:
            self.failed.emit(trouble)
            return False
        self._was_saved(target, lambda: self._document.note_saved(job, target))
        return True

    def close(self) -> None:
        """Waits for work that is going on."""
        for task in list(self._tasks):
            task.wait()

    def _not_mine(self, target: Path) -> JobTrouble | None:
        holder = self._holding.holder
        if holder is None or target != self._holding.path:
            return None
        return JobTrouble(f"it is open elsewhere ({holder.words}), so it is read only here", where=str(target),
                          remedy="save it elsewhere to keep what you changed")

    def _begin(self, task: Task) -> None:
        self._tasks.append(task)
        task.finished.connect(lambda: self._end(task))
        task.start()

    def _end(self, task: Task) -> None:
        if task in self._tasks:
            self._tasks.remove(task)
            task.deleteLater()

    def _was_saved(self, path: Path, note: Callable[[], None]) -> None:
        self._holding.keep(path)
        note()
        self.saved.emit(path)


def with_ending(path: Path) -> Path:
    """A path named as a job file.

    Args:
        path: What was typed or chosen.

    Example:
        >>> with_ending(Path("hill.gpkg")).name, with_ending(Path("hill.job.gpkg")).name
        ('hill.job.gpkg', 'hill.job.gpkg')
    """
    name = path.name
    return path if name.lower().endswith(ENDING) else path.with_name(name.removesuffix(".gpkg") + ENDING)


def _written(target: Path, write: Callable[[], None]) -> None:
    """Writes a job under its lock, which stays; one that was taken for this is given up when the job is not written."""
    from planner.files.lock import release, take

    is_new = take(target)
    try:
        write()
    except BaseException:
        if is_new:
            release(target)
        raise
