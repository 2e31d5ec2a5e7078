"""The live plan: what a line would become while it is dragged, worked out beside the gesture; the latest wish wins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from planner.errors import PlannerError
from planner.job.job import Job
from planner.progress import Progress
from planner.ui.background import Task

if TYPE_CHECKING:
    from planner.job.edits.edit import Edit
    from planner.job.plan import JobPlan, LinePlan
    from planner.survey.ground import Ground, RecordedLevels


class LivePlan(QObject):
    """Plans one line of a job as an edit would leave it.

    Args:
        parent: Qt parent.

    Attributes:
        planned: The plan of the line that was asked about last.
        levels: The levels that it rests on, so that the edit itself need not look them up again.
    """

    planned = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.levels: RecordedLevels | None = None
        self._task: Task | None = None
        self._next: tuple[object, ...] | None = None
        self._wanted = False

    @property
    def is_busy(self) -> bool:
        """True while a plan is being worked out."""
        return self._task is not None

    def ask(self, job: Job, edit: Edit, line: str, plan: JobPlan | None, grounds: Sequence[Ground]) -> None:
        """Asks for the plan of a line after an edit; an answer to an earlier question is thrown away.

        Args:
            job: The job before the edit.
            edit: The edit.
            line: Name of the line.
            plan: The plan of the job, for its catalogue.
            grounds: What knows levels.
        """
        self._wanted = True
        self._next = (job, edit, line, plan, tuple(grounds))
        if self._task is None:
            self._begin()

    def stop(self) -> None:
        """Wants no more answers. The work in hand ends by itself; nobody waits for it."""
        self._wanted, self._next = False, None
        if self._task is not None:
            self._task.cancel()

    def wait(self) -> None:
        """Waits for the thread to end, so that nobody else asks the grounds at the same time."""
        if self._task is not None:
            self._task.wait()

    def _begin(self) -> None:
        if self._next is None:
            return
        question, self._next = self._next, None
        task = Task("planning ahead", lambda progress: _planned(progress, *question), self)  # type: ignore[arg-type]
        task.done.connect(self._take)
        task.finished.connect(lambda: self._ended(task))
        self._task = task
        task.start()

    def _take(self, found: tuple[LinePlan, RecordedLevels | None]) -> None:
        if self._wanted:
            plan, self.levels = found
            self.planned.emit(plan)

    def _ended(self, task: Task) -> None:
        if self._task is task:
            self._task = None
        task.deleteLater()
        if self._next is not None:
            self._begin()


def _planned(progress: Progress, job: Job, edit: Edit, name: str, plan: JobPlan | None,
             grounds: Sequence[Ground]) -> tuple[LinePlan, RecordedLevels | None]:
    """The plan of a line after an edit, and the levels along it."""
    from planner.alignment.junctions import find_junctions
    from planner.job.derive import catalogue_of
    from planner.job.derive_line import plan_line
    from planner.job.plan import LineInputs
    from planner.profile.ground_line import record_levels
    from planner.profile.moved_ground import moved_levels
    from planner.setout.numbering import line_code
    from planner.spec.catalogue import choose_fence
    from planner.surroundings.old_fences import old_fences_along
    from planner.surroundings.situation import areas_under, around

    after = edit.apply(job)
    number, line = next((i, line) for i, line in enumerate(after.lines) if line.name == name)
    levels = after.levels.get(name)
    progress.stop_if_cancelled()
    step, known = job.settings.profile_step_m, job.levels.get(name)
    spliced = moved_levels(known, line.xy, grounds, step_m=step, closed=line.closed) if known and grounds else None
    if spliced is not None:
        levels = spliced
    elif grounds:
        try:
            levels = record_levels(line.xy, grounds, step_m=step, closed=line.closed, progress=progress)
        except PlannerError:
            levels = after.levels.get(name)
    progress.stop_if_cancelled()
    catalogue = plan.catalogue if plan is not None else catalogue_of(job)
    junctions = find_junctions(after.lines).get(name, ())
    nearby = plan.around if plan is not None else around(job.features)
    areas = areas_under([line], nearby).get(name, ())
    inputs = LineInputs(line, line_code(number), choose_fence(catalogue, line.fence), levels, junctions, job.settings,
                        job.crs, areas, old_fences_along([line], nearby).get(name, ()))
    # what was spliced is for the eye: once the gesture ends, levels are taken along the whole line
    return plan_line(inputs, catalogue), levels if spliced is None else None


def with_line(plan: JobPlan, line: LinePlan) -> JobPlan:
    """A plan with one of its lines as it would become; sums are left as they were.

    Args:
        plan: The plan.
        line: The line as it would become.
    """
    return replace(plan, lines=tuple(line if own.line.name == line.line.name else own for own in plan.lines))
