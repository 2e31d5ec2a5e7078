"""The work of an import, beside the window: files read, placed in one grid, and brought into the job."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QDeadlineTimer, QObject, Signal

from planner.errors import PlannerError
from planner.findings import Finding
from planner.job.job import Job
from planner.ui.background import Task
from planner.ui.dialogs.import_bringing import bring_in
from planner.ui.dialogs.import_choices import Choices
from planner.ui.dialogs.import_placing import Placed, place
from planner.ui.dialogs.import_reading import FileRead, read_file

UNNAMED = ("Untitled", "New job")
"""Names of jobs that nobody has named yet."""


class ImportWork(QObject):
    """Reads files, finds out where they lie, and brings them in; each in a thread, the latest wish alone.

    Args:
        job: The job they are brought into.
        parent: Qt parent.

    Attributes:
        changed: A file was read, or where the files lie is known.
        progressed: Share done, and of what.
        failed: A PlannerError, or a bug.
        brought: The job with what was chosen, and what to call it.
        paths: The files.
        files: What each turned out to be; None while it is being read.
        placed: Where they lie; None until that is known.
        stated: Coordinate system that was said for files that state none.
        columns: Number of a file to what was said about its columns.
    """

    changed = Signal()
    progressed = Signal(float, str)
    failed = Signal(object)
    brought = Signal(object, str)

    def __init__(self, job: Job, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.job = job
        self.paths: list[Path] = []
        self.files: list[FileRead | None] = []
        self.placed: Placed | None = None
        self.stated = ""
        self.columns: dict[int, dict[str, str]] = {}
        self._tasks: list[Task] = []
        self._placing: Task | None = None
        self._bringing: Task | None = None

    # files

    def add(self, path: Path) -> bool:
        """Reads one more file; False when it is there already."""
        if path in self.paths:
            return False
        self.paths.append(path)
        self.files.append(None)
        self._read(len(self.paths) - 1)
        return True

    def drop(self, number: int) -> None:
        """Leaves a file out."""
        self.paths.pop(number)
        self.files.pop(number)
        self.columns = {i - (i > number): said for i, said in self.columns.items() if i != number}
        self.place()

    def say_columns(self, number: int, columns: dict[str, str]) -> None:
        """Reads a table again with what was said about its columns."""
        self.columns[number] = columns
        self._read(number)

    def say_grid(self, code: str) -> None:
        """Takes note of the coordinate system of files that state none."""
        self.stated = code
        self.place()

    @property
    def known(self) -> list[FileRead]:
        """Files that were read."""
        return [one for one in self.files if one is not None]

    def _read(self, number: int) -> None:
        path, columns, job = self.paths[number], dict(self.columns.get(number, {})), self.job
        self.files[number] = None
        self._begin(Task(f"reading {path.name}", lambda progress: read_file(path, job, columns, progress), self),
                    partial(self._take_file, path))

    def _take_file(self, path: Path, found: FileRead) -> None:
        if path not in self.paths:
            return
        number = self.paths.index(path)
        if dict(found.columns) == self.columns.get(number, {}):
            self.files[number] = found
            if all(one is not None for one in self.files):
                self.place()
            self.changed.emit()

    # places

    def place(self) -> None:
        """Finds out where everything lies."""
        if self._placing is not None:
            self._placing.cancel()
        files, job, stated = self.known, self.job, self.stated
        self._placing = self._begin(Task("placing", lambda progress: place(files, job, stated, progress), self),
                                    partial(self._take_placed, stated))

    def _take_placed(self, stated: str, placed: Placed) -> None:
        if stated == self.stated:
            self.placed = placed
            self.changed.emit()

    # states

    def state_of(self, one: FileRead | None) -> str:
        """How a file stands: waiting, fine, look or wrong."""
        if one is None:
            return "waiting"
        if one.trouble is not None or one.kind == "nothing" or self.terrain_trouble(one) is not None:
            return "wrong"
        return "look" if any(f.severity != "note" for f in self.findings_of(one)) else "fine"

    def terrain_trouble(self, one: FileRead) -> PlannerError | None:
        """Why a terrain file cannot be used; None when it can, or is none."""
        return None if self.placed is None else self.placed.terrain_troubles.get(str(one.path))

    def findings_of(self, one: FileRead) -> list[Finding]:
        """What was wrong with a file, and with bringing it into the grid."""
        found = list(one.findings)
        if self.placed is not None and self.placed.survey is not None and one.reading is not None:
            found += [f for f in self.placed.survey.findings if f.place.file == one.reading.file and f not in found]
        return found

    @property
    def usable(self) -> list[FileRead]:
        """Files of which something can be used."""
        return [one for one in self.known if self.state_of(one) in ("fine", "look")]

    @property
    def is_ready(self) -> bool:
        """True when something can be brought in now."""
        placed = self.placed
        return (bool(self.usable) and all(one is not None for one in self.files) and placed is not None
                and placed.trouble is None and self._placing is None and self._bringing is None)

    @property
    def is_busy(self) -> bool:
        """True while a thread works."""
        return bool(self._tasks)

    @property
    def is_bringing(self) -> bool:
        """True while files are being brought in."""
        return self._bringing is not None

    # bringing in

    def bring(self, choices: Choices) -> None:
        """Brings in what was chosen."""
        files, job = self.usable, self._starting_job()
        task = Task("bringing in", lambda progress: bring_in(job, files, choices, progress), self)
        self._bringing = self._begin(task, lambda found: self.brought.emit(*found))

    def _starting_job(self) -> Job:
        """The job now; a job that was never begun takes the name of the first file."""
        job = self.job
        if job.name not in UNNAMED or job.lines or job.features or job.points:
            return job
        from planner.files.survey_in import new_job

        named = new_job(self.paths[0].stem.replace("_", " ").capitalize(), job.settings)
        return replace(job, name=named.name, made_at=job.made_at or named.made_at)

    def stop_bringing(self) -> None:
        """Asks the bringing in to stop; nothing of it is kept."""
        if self._bringing is not None:
            self._bringing.cancel()

    # threads

    def _begin(self, task: Task, take: Callable[..., object]) -> Task:
        task.done.connect(take)
        task.failed.connect(self.failed)
        task.progressed.connect(self.progressed)
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
            self.changed.emit()

    def close(self) -> None:
        """Ends every thread."""
        tasks: Sequence[Task] = tuple(self._tasks)
        for task in tasks:
            task.cancel()
        for task in tasks:
            task.wait()

    def wait(self, seconds: float = 30.0) -> None:
        """Waits until nothing is being read. For tests."""
        end = QDeadlineTimer(int(seconds * 1000))
        while self._tasks and not end.hasExpired():
            QCoreApplication.processEvents()
            if self._tasks:
                self._tasks[0].wait(0.01)
