"""The ground that is known now: surveyed points, and the terrain files of the job, opened in the background."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from planner.errors import PlannerError
from planner.job.job import Job
from planner.ui.background import SHOWN_FIRST_MS, Task

if TYPE_CHECKING:
    from planner.files.readers.terrain import Terrain
    from planner.survey.ground import Ground


class KnownGround(QObject):
    """Keeps the terrain files of a job open.

    Args:
        parent: Qt parent.

    Attributes:
        working: Files are being opened; the task.
        troubled: A file could not be opened.
    """

    working = Signal(object)
    troubled = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._terrain: list[Terrain] = []
        self._files = ExitStack()
        self._opened_for: tuple[object, ...] = ()
        self._task: Task | None = None
        self._opened: _Opened | None = None

    @property
    def task(self) -> Task | None:
        """The opening that goes on; None when there is none."""
        return self._task

    @property
    def terrain_names(self) -> tuple[str, ...] | None:
        """Names of the terrain files that are open now; None while they are being opened."""
        return None if self._task is not None else tuple(terrain.name for terrain in self._terrain)

    def is_open_for(self, job: Job) -> bool:
        """Whether what is open, or being opened, is what a job names."""
        return self._opened_for == _wanted(job)

    def open_for(self, job: Job) -> None:
        """Lets go of what is open and opens what a job names, in the background."""
        self._finish()
        self._files.close()
        self._files, self._terrain, self._opened_for = ExitStack(), [], _wanted(job)
        paths = [path for path in map(Path, job.grounds) if path.is_file()]
        if not paths:
            return
        grid, ballpark = job.crs, job.settings.allow_ballpark
        opened = self._opened = _Opened()
        task = Task("opening terrain", lambda progress: opened.open(paths, grid, ballpark), self)
        task.failed.connect(self.troubled)
        task.finished.connect(lambda: self._take(task))
        self._task = task
        self.working.emit(task)
        task.start(after_ms=SHOWN_FIRST_MS)

    def grounds(self, job: Job) -> list[Ground]:
        """What knows ground levels now, best first. Waits for files that are being opened: levels taken without them
        would be worse than those there are.
        """
        from planner.survey.ground import PointGround

        self._finish()
        points = [PointGround(job.points, settings=job.settings)] if job.points else []
        return [*points, *self._terrain]

    def close(self) -> None:
        """Lets go of files."""
        if self._task is not None:
            self._task.cancel()
        self._finish()
        self._files.close()

    def _finish(self) -> None:
        if self._task is not None:
            self._task.wait()
            self._take(self._task)

    def _take(self, task: Task) -> None:
        if self._task is not task or self._opened is None:
            return
        opened, self._opened, self._task = self._opened, None, None
        for terrain in opened.terrain:
            self._files.callback(terrain.close)
        self._terrain = opened.terrain
        for trouble in opened.troubles:
            self.troubled.emit(trouble)
        task.deleteLater()


class _Opened:
    """Terrain that could be opened, and what was wrong with the rest."""

    def __init__(self) -> None:
        self.terrain: list[Terrain] = []
        self.troubles: list[PlannerError] = []

    def open(self, paths: Sequence[Path], grid: str, ballpark: bool) -> None:
        from planner.files.readers.terrain import open_terrain

        for path in paths:
            try:
                self.terrain.append(open_terrain(path, grid=grid, crs=grid, allow_ballpark=ballpark))
            except PlannerError as trouble:
                self.troubles.append(trouble)


def _wanted(job: Job) -> tuple[object, ...]:
    return job.grounds, job.crs, job.settings.allow_ballpark
