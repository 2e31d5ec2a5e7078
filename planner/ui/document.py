"""The document: the job in hand, its plan, what is selected. Every view listens to it; nobody else changes the job.

The engine and the file formats are imported where they are first used: the window is painted before they are loaded.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from planner.errors import PlannerError
from planner.job.history import History
from planner.job.job import Job
from planner.ui.background import SHOWN_FIRST_MS, Task
from planner.ui.known_ground import KnownGround
from planner.ui.live_plan import LivePlan

if TYPE_CHECKING:
    from planner.files.job_file import FileState
    from planner.job.edits.edit import Edit
    from planner.job.plan import JobPlan, LinePlan
    from planner.survey.features import Feature
    from planner.survey.ground import Ground, RecordedLevels


@dataclass(frozen=True)
class Selection:
    """What is in hand. Empty texts and None for nothing.

    Attributes:
        line: Name of the fence line.
        section: Section id.
        post: Name of the post.
        join_m: Chainage of a selected join. [m]
        corner: Number of a selected corner, from 0.
        feature: A selected feature.
    """

    line: str = ""
    section: str = ""
    post: str = ""
    join_m: float | None = None
    corner: int | None = None
    feature: Feature | None = None


class Document(QObject):
    """The job in hand.

    Signals:
        job_changed(Job): after every edit, undo, redo, open.
        plan_changed(JobPlan | None): a plan of the job now is there; None while there is none.
        previewed(LinePlan | None): plan of a line while it is being dragged; None when the gesture ends.
        selection_changed(Selection).
        cursor_moved(str, float): line and chainage under the pointer; an empty name for none.
        saved_changed(): saved or not, or the path.
        troubled(object): a PlannerError to show; anything else is a bug.
        working(Task): background work began.
    """

    job_changed = Signal(object)
    plan_changed = Signal(object)
    previewed = Signal(object)
    selection_changed = Signal(object)
    cursor_moved = Signal(str, float)
    saved_changed = Signal()
    troubled = Signal(object)
    working = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.history = History(Job(name="Untitled", crs=""))
        self.path: Path | None = None
        self._file_state: FileState | None = None
        self.plan: JobPlan | None = None
        self.selection = Selection()
        self._ground = KnownGround(self)
        self._ground.working.connect(self.working)
        self._ground.troubled.connect(self.troubled)
        self._task: Task | None = None
        self._plan_again = False
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._again.setInterval(0)
        self._again.timeout.connect(self._plan_now)
        self._live = LivePlan(self)
        self._live.planned.connect(self.previewed)

    # what it is

    @property
    def job(self) -> Job:
        """The job now."""
        return self.history.job

    @property
    def is_saved(self) -> bool:
        """True when the job now stands in its file."""
        return self.history.is_saved

    @property
    def line(self) -> LinePlan | None:
        """Plan of the line in hand, or of the first line when none is; None when there is no plan."""
        if self.plan is None or not self.plan.lines:
            return None
        chosen = [p for p in self.plan.lines if p.line.name == self.selection.line]
        return chosen[0] if chosen else self.plan.lines[0]

    # changing it

    def start(self, job: Job, path: Path | None = None, *, saved: bool = True) -> None:
        """Takes up another job."""
        self._drop_plan()
        self.history, self.path, self.selection = History(job, saved=saved), path, Selection()
        self._note_file(path)
        self.selection_changed.emit(self.selection)
        self._changed()
        self.saved_changed.emit()

    def do(self, edit: Edit) -> bool:
        """Applies an edit, with the ground recorded anew along lines it moved; a refusal is shown, not raised."""
        try:
            before = self.job
            self._live.stop()
            after = edit.apply(before)
            if after is before:
                return False
            self.history.do(_Given(edit.label, self._with_ground(after)))
        except PlannerError as trouble:
            self.troubled.emit(trouble)
            return False
        self._changed()
        return True

    def preview(self, edit: Edit, line: str) -> None:
        """Asks what a line would become if an edit were made; the answer comes by ``previewed``, the latest alone.

        Args:
            edit: The edit, which is not made.
            line: Name of the line.
        """
        if self._ground.task is None:
            self._live.ask(self.job, edit, line, self.plan, self.grounds())

    def end_preview(self) -> None:
        """The gesture is over: the plan of the job stands again."""
        self._live.stop()
        self.previewed.emit(None)

    @property
    def known_grounds(self) -> list[Ground]:
        """What knows ground levels and is open already; nobody waits for terrain that is being opened."""
        return [] if self._ground.task is not None else self.grounds()

    @property
    def is_previewing(self) -> bool:
        """True while the answer to a preview is being worked out."""
        return self._live.is_busy

    def undo(self) -> None:
        """Takes the last edit back."""
        self.history.undo()
        self._changed()

    def redo(self) -> None:
        """Does again what was taken back."""
        self.history.redo()
        self._changed()

    def select(self, selection: Selection) -> None:
        """Takes something in hand."""
        if selection != self.selection:
            self.selection = selection
            self.selection_changed.emit(selection)

    def point_at(self, line: str, chainage_m: float) -> None:
        """Moves the chainage cursor, which stands on map and strip alike."""
        self.cursor_moved.emit(line, chainage_m)

    # files

    def was(self, target: Path) -> FileState | None:
        """State of the job's own file when it was opened or last saved; None for any other file.

        Args:
            target: The file that is about to be written.
        """
        return self._file_state if self.path is not None and target.resolve() == self.path.resolve() else None

    @property
    def is_unchanged_on_disk(self) -> bool:
        """True when the job's own file is as it was when it was opened or last saved."""
        from planner.files.job_file import state_of

        return self.path is not None and self._file_state is not None and state_of(self.path) == self._file_state

    def _note_file(self, path: Path | None) -> None:
        if path is None or not path.is_file():
            self._file_state = None
            return
        from planner.files.job_file import state_of

        self._file_state = state_of(path)

    def note_saved(self, job: Job, path: Path) -> None:
        """Takes note that a job stands in a file.

        Args:
            job: The job that was written, which may be an earlier one than the job now.
            path: The file.
        """
        self.path = path
        self._note_file(path)
        self.history.mark_saved(job)
        self.saved_changed.emit()

    # planning

    def replan(self) -> None:
        """Asks for a plan of the job now; asking often costs one plan."""
        self._again.start()

    def wait_for_plan(self, seconds: float = 60.0) -> None:
        """Waits until the plan of the job now is there. For tests and for saving."""
        from PySide6.QtCore import QCoreApplication, QDeadlineTimer

        end = QDeadlineTimer(int(seconds * 1000))
        while (self._again.isActive() or self._task or self._ground.task) and not end.hasExpired():
            QCoreApplication.processEvents()
            for task in (self._task, self._ground.task):
                if task is not None:
                    task.wait(0.01)

    def close(self) -> None:
        """Ends background work and lets go of files."""
        self._again.stop()
        self._live.stop()
        self._live.wait()
        if self._task is not None:
            self._task.cancel()
            self._task.wait()
            self._task = None
        self._ground.close()

    def grounds(self) -> list[Ground]:
        """What knows ground levels now: surveyed points and the terrain files that could be opened, best first."""
        return self._ground.grounds(self.job)

    @property
    def terrain_names(self) -> tuple[str, ...] | None:
        """Names of the terrain files that are open now; None while they are being opened."""
        return self._ground.terrain_names

    def _changed(self) -> None:
        self._open_terrain()
        self.job_changed.emit(self.job)
        self.saved_changed.emit()
        self.replan()

    def _drop_plan(self) -> None:
        if self._task is not None:
            self._task.cancel()
        self.plan = None

    def _plan_now(self) -> None:
        from planner.job.derive import plan_job

        if self._task is not None:
            self._task.cancel()  # its answer is for an old snapshot; the next plan starts once it has stopped
            self._plan_again = True
            return
        job, previous = self.job, self.plan
        if not job.lines:
            self.plan = None
            self.plan_changed.emit(None)
            return
        task = Task("planning", lambda progress: plan_job(job, previous=previous, today=date.today(),
                                                          progress=progress), self)
        task.done.connect(self._take_plan)
        task.failed.connect(self._plan_failed)
        task.finished.connect(lambda: self._forget(task))
        self._task = task
        self.working.emit(task)
        task.start(after_ms=SHOWN_FIRST_MS if previous is None else 0)

    def _take_plan(self, plan: JobPlan) -> None:
        if plan.job is self.job:
            self.plan = plan
            self.plan_changed.emit(plan)

    def _plan_failed(self, trouble: object) -> None:
        self.plan = None
        self.plan_changed.emit(None)
        self.troubled.emit(trouble)

    def _forget(self, task: Task) -> None:
        if self._task is task:
            self._task = None
            if self._plan_again:
                self._plan_again = False
                self.replan()
        task.deleteLater()

    # ground

    def _open_terrain(self) -> None:
        """Opens the terrain that the job names when it is not what is open already."""
        if not self._ground.is_open_for(self.job):
            self._live.stop()
            self._live.wait()
            self._live.levels = None
            self._ground.open_for(self.job)

    def _with_ground(self, job: Job) -> Job:
        """The job with levels recorded along every line that moved; lines without known ground stay as they are."""
        from planner.profile.ground_line import is_stale, record_levels

        if job.grounds != self.job.grounds or job.crs != self.job.crs:
            return job
        moved = [line for line in job.lines if line.name not in job.levels or is_stale(line.xy, job.levels[line.name])]
        if not moved:
            return job
        self._live.stop()
        self._live.wait()  # files that know levels are asked by one thread at a time
        grounds = self.grounds()
        levels: dict[str, RecordedLevels] = dict(job.levels)
        ahead = self._live.levels
        for line in moved:
            if ahead is not None and not is_stale(line.xy, ahead):
                levels[line.name] = ahead
            elif grounds:
                levels[line.name] = record_levels(line.xy, grounds, step_m=job.settings.profile_step_m,
                                                  closed=line.closed)
        return job if levels == dict(job.levels) else replace(job, levels=levels)


@dataclass(frozen=True)
class _Given:
    """An edit whose job is known already."""

    label: str
    job: Job

    def apply(self, _: Job) -> Job:
        return self.job


def write_with_plan(path: Path, job: Job, plan: JobPlan | None, *, was: FileState | None = None) -> None:
    """Writes a job, with the layers derived from it where its plan is there.

    Args:
        path: Where it shall stand.
        job: The job.
        plan: A plan; used only when it is one of this very job.
        was: State of the file that it replaces; when that has changed meanwhile, it is not overwritten.

    Raises:
        PlannerError: It cannot be written.
    """
    from planner.files.derived_layers import derived_layers
    from planner.files.job_file import write_job

    write_job(path, job, derived_layers(plan) if plan is not None and plan.job is job else (), was=was)
