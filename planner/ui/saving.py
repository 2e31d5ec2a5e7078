"""Saving: into the job's file in the background, and a copy for the case that the program or the machine stops.

A recovery copy stands in the program's own folder with a small note beside it that says what it holds and when it was
written. It goes once the job is saved or given up; one that is still there at the next start belongs to a run that
ended badly, unless its process still runs.
"""

from __future__ import annotations

import json
import os
import secrets
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from planner.errors import FileTrouble, PlannerError
from planner.job.job import Job
from planner.ui.background import Task
from planner.ui.document import Document, write_with_plan
from planner.ui.measures import count

ENDING = ".job.gpkg"


@dataclass(frozen=True, slots=True)
class Recovered:
    """A copy left by a run that ended badly.

    Attributes:
        copy: The copy.
        name: Name of the job.
        lines: Number of its fence lines.
        path: The job's own file; empty when it never had one.
        written: ISO time of the copy.
        process: Process that wrote it.
    """

    copy: Path
    name: str
    lines: int
    path: str
    written: str
    process: int

    @property
    def words(self) -> str:
        """What it holds and when it was written, in words."""
        at = datetime.fromisoformat(self.written)
        day = "today" if at.date() == datetime.now().date() else f"on {at:%d %B}"
        return f"the job '{self.name}' with {count(self.lines, 'line')}, as it stood {day} at {at:%H:%M}"


class Saving(QObject):
    """Saves the job of a document and keeps a recovery copy of it.

    Args:
        document: The document.
        folder: The program's own folder; it is made when it is not there.
        after_seconds: How long after a change a copy is kept. [s]
        parent: Qt parent.

    Attributes:
        saved: A job was saved; its path.
        failed: It could not be; a PlannerError.
        kept: A recovery copy was written.
        working: Saving began; its task.
    """

    saved = Signal(object)
    failed = Signal(object)
    kept = Signal()
    working = Signal(object)

    def __init__(self, document: Document, folder: Path, *, after_seconds: int = 20,
                 parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document, self._folder = document, folder / "recovery"
        self._copy = self._folder / f"{os.getpid()}-{secrets.token_hex(4)}{ENDING}"
        self._kept: Job | None = None
        self._tasks: list[Task] = []
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(after_seconds * 1000)
        self._later.timeout.connect(self.keep_copy)
        document.job_changed.connect(self._changed)
        document.saved_changed.connect(self._saved_or_not)

    def set_interval(self, seconds: int) -> None:
        """How long after a change a copy is kept. [s]"""
        self._later.setInterval(seconds * 1000)

    # saving

    def save(self, path: Path | None = None) -> Task | None:
        """Saves the job in the background; ``saved`` or ``failed`` tells how it went.

        Args:
            path: Where; its own file when None.

        Returns:
            The work; None when the job has no file yet and none is given.
        """
        target = path or self._document.path
        if target is None:
            self.failed.emit(FileTrouble("the job has no file yet", remedy="choose one with 'save as'"))
            return None
        target, job, plan = with_ending(target), self._document.job, self._document.plan
        was = self._document.was(target)
        task = Task("saving", lambda progress: write_with_plan(target, job, plan, was=was), self)
        task.done.connect(lambda _: self._was_saved(job, target))
        task.failed.connect(self.failed)
        self._begin(task)
        self.working.emit(task)
        return task

    def save_now(self, path: Path | None = None) -> bool:
        """Saves the job before it returns, for the moment of closing; a refusal is told by ``failed``."""
        try:
            self._document.save(with_ending(path) if path is not None else None)
        except PlannerError as trouble:
            self.failed.emit(trouble)
            return False
        self.drop_copy()
        self.saved.emit(self._document.path)
        return True

    # the recovery copy

    def keep_copy(self) -> Task | None:
        """Writes the recovery copy in the background when the job is not saved and has changed since the last one."""
        job = self._document.job
        if self._document.is_saved or job is self._kept or not _holds_something(job):
            return None
        note = Recovered(self._copy, job.name, len(job.lines), str(self._document.path or ""),
                         datetime.now().isoformat(timespec="seconds"), os.getpid())
        task = Task("keeping a copy", lambda progress: _write_copy(note, job), self)
        task.done.connect(lambda _: self._was_kept(job))
        task.failed.connect(self.failed)
        self._begin(task)
        return task

    def keep_copy_now(self) -> bool:
        """Writes the recovery copy before it returns; for the moment a bug is met. False when it could not be."""
        job = self._document.job
        if self._document.is_saved or not _holds_something(job):
            return False
        try:
            _write_copy(Recovered(self._copy, job.name, len(job.lines), str(self._document.path or ""),
                                  datetime.now().isoformat(timespec="seconds"), os.getpid()), job)
        except PlannerError:
            return False
        self._kept = job
        return True

    def drop_copy(self) -> None:
        """Takes the recovery copy away: the job is saved, or given up."""
        self._later.stop()
        for task in self._tasks:
            if task.title == "keeping a copy":
                task.wait()
        self._kept = None
        forget(self._copy)

    def left_behind(self) -> list[Recovered]:
        """Copies of runs that ended badly, the latest first."""
        found = []
        for copy in sorted(self._folder.glob(f"*{ENDING}")) if self._folder.is_dir() else ():
            note = _note_of(copy)
            if note is not None and copy != self._copy and not _is_running(note.process):
                found.append(note)
        return sorted(found, key=lambda note: note.written, reverse=True)

    def close(self) -> None:
        """Waits for work that is going on."""
        self._later.stop()
        for task in list(self._tasks):
            task.wait()

    def _begin(self, task: Task) -> None:
        self._tasks.append(task)
        task.finished.connect(lambda: self._end(task))
        task.start()

    def _end(self, task: Task) -> None:
        if task in self._tasks:
            self._tasks.remove(task)
            task.deleteLater()

    def _was_saved(self, job: Job, path: Path) -> None:
        self._document.note_saved(job, path)
        self.saved.emit(path)

    def _was_kept(self, job: Job) -> None:
        self._kept = job
        if self._document.is_saved:
            self.drop_copy()
        else:
            self.kept.emit()

    def _changed(self, _: Job) -> None:
        if not self._document.is_saved and not self._later.isActive():
            self._later.start()

    def _saved_or_not(self) -> None:
        if self._document.is_saved and (self._kept is not None or self._later.isActive()):
            self.drop_copy()


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


def forget(copy: Path) -> None:
    """Takes a recovery copy and its note away.

    Args:
        copy: The copy.
    """
    copy.unlink(missing_ok=True)
    _note_path(copy).unlink(missing_ok=True)


def _write_copy(note: Recovered, job: Job) -> None:
    from planner.files.atomic_save import write_text
    from planner.files.job_file import write_job

    try:
        note.copy.parent.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise FileTrouble(f"no copy of the job can be kept ({trouble.strerror})", where=str(note.copy.parent),
                          remedy="save the job yourself, and often") from trouble
    write_job(note.copy, job)
    write_text(_note_path(note.copy), json.dumps({**asdict(note), "copy": note.copy.name}, indent=1))


def _note_path(copy: Path) -> Path:
    return copy.with_name(copy.name + ".json")


def _note_of(copy: Path) -> Recovered | None:
    """The note beside a copy; one that cannot be read is made up from the file, so that no copy is passed over."""
    try:
        kept = json.loads(_note_path(copy).read_text(encoding="utf-8"))
        datetime.fromisoformat(kept["written"])
        return Recovered(copy, str(kept["name"]), int(kept["lines"]), str(kept["path"]), str(kept["written"]),
                         int(kept["process"]))
    except (OSError, ValueError, KeyError, TypeError):
        try:
            at = datetime.fromtimestamp(copy.stat().st_mtime).isoformat(timespec="seconds")
        except OSError:
            return None
        return Recovered(copy, copy.name, 0, "", at, 0)


def _is_running(process: int) -> bool:
    if process <= 0:
        return False
    if process == os.getpid():
        return True
    if os.name == "nt":
        import ctypes

        handle = ctypes.windll.kernel32.OpenProcess(0x1000, False, process)  # type: ignore[attr-defined]
        if handle:
            ctypes.windll.kernel32.CloseHandle(handle)  # type: ignore[attr-defined]
        return bool(handle)
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def _holds_something(job: Job) -> bool:
    return bool(job.lines or job.features or job.points or job.own_fences or job.waivers or job.notes)
