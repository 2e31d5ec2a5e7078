"""Options and stages side by side, worked out in the background each time the job changes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QBoxLayout, QWidget

from planner.errors import PlannerError
from planner.job.options import chosen_option
from planner.ui.background import Task
from planner.ui.panels.cards import Card, Words
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable

if TYPE_CHECKING:
    from planner.job.comparison import Comparison, Figures
    from planner.job.job import Job
    from planner.job.plan import JobPlan
    from planner.progress import Progress
    from planner.ui.main_window import MainWindow

_WAIT_MS = 350
_MOST_ACROSS = 4
_TITLE_PX, _COLUMN_PX = 220, 180


class SideBySide(Card):
    """What each option and each stage comes to.

    Args:
        window: The window.
        parent: Qt parent.

    Attributes:
        tables: The tables shown: options, then stages.
    """

    def __init__(self, window: MainWindow, parent: QWidget | None = None) -> None:
        super().__init__("Side by side", parent)
        self._window = window
        self._task: Task | None = None
        self._of: Job | None = None
        self.tables: list[RowTable] = []
        self.words = Words(soft=False)
        self.rows = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self.rows.setSpacing(34)
        self.add(self.words)
        self.body.addLayout(self.rows)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_WAIT_MS)
        self._timer.timeout.connect(self._start)
        window.document.plan_changed.connect(self._ask)
        window.document.job_changed.connect(self._ask)
        self._ask()

    @property
    def is_busy(self) -> bool:
        """True while figures are being worked out, or about to be."""
        return self._task is not None or self._timer.isActive()

    def close_down(self) -> None:
        """Ends background work."""
        self._timer.stop()
        if self._task is not None:
            self._task.cancel()
            self._task.wait()

    def _ask(self, *_: object) -> None:
        document = self._window.document
        job, plan = document.job, document.plan
        if not job.options and not job.stages:
            self.close_down()
            self._of = None
            self._show((), "Nothing to compare yet: make two options, or stages.")
        elif plan is None or plan.job is not job:
            self.words.say("Working out…")
        elif self._of is not job:
            self._timer.start()

    def _start(self) -> None:
        plan = self._window.document.plan
        if self._task is not None:
            self._task.cancel()
            self._timer.start()
            return
        if plan is None or plan.job is not self._window.document.job:
            return
        self.words.say("Working out…")
        task = Task("setting options side by side", lambda progress: _worked_out(plan, progress), self)
        task.done.connect(lambda found: self._take(plan, *found))
        task.failed.connect(self._failed)
        task.finished.connect(lambda: self._end(task))
        self._task = task
        task.start()

    def _end(self, task: Task) -> None:
        self._task = None
        task.deleteLater()

    def _failed(self, trouble: object) -> None:
        if isinstance(trouble, PlannerError):
            self.words.say(f"Not worked out: {trouble}")
        else:
            self._window.document.troubled.emit(trouble)

    def _take(self, plan: JobPlan, options: Comparison | None, stages: Sequence[Figures]) -> None:
        if plan.job is not self._window.document.job:
            return
        self._of = plan.job
        chosen = chosen_option(plan.job)
        tables: list[tuple[str, Sequence[Figures], str]] = []
        said = []
        if options is not None:
            tables.append(("Options", options.columns, chosen.name if chosen is not None else ""))
            cheapest = options.cheapest
            said.append(f"Least cost: {cheapest.name}." if cheapest is not None else
                        "Not every option is fully priced, so the cheapest is not named.")
        if stages:
            tables.append(("Stages", stages, ""))
            said.append("Each stage is bought by itself, so packs and rolls are rounded up for each; an assembly where "
                        "two stages meet is counted with the earlier one.")
            ready = [f.message for f in plan.findings if f.rule == "stage-01" and not f.waived]
            said += [f"To build now for a later stage: {message}" for message in ready]
        self._show(tables, "\n".join(said))

    def _show(self, tables: Sequence[tuple[str, Sequence[Figures], str]], words: str) -> None:
        from planner.jobpack.comparison_rows import comparison_rows
        from planner.jobpack.page.measures import Measures

        while (item := self.rows.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.deleteLater()
        self.tables = []
        many = sum(len(columns) for _, columns, _ in tables) > _MOST_ACROSS
        self.rows.setDirection(QBoxLayout.Direction.TopToBottom if many else QBoxLayout.Direction.LeftToRight)
        measures = Measures("imperial" if self._window.measures.system == "imperial" else "metric")
        for name, columns, chosen in tables:
            rows = comparison_rows(columns, measures)
            table = RowTable(f"{name} side by side", (
                Column(name.lower(), lambda row: row[0], stretch=True),
                *(_column(k, f"{column.name} (chosen)" if column.name == chosen else column.name)
                  for k, column in enumerate(columns, 1))),
                key=lambda row: row[0], most=len(rows), parent=self)
            table.set_theme(self._window.look)
            table.show_rows(rows[:-1])  # the lines of each stand in the card above
            table.setMaximumWidth(round((_TITLE_PX + _COLUMN_PX * len(columns)) * self._window.look.scale))
            self.rows.addWidget(table, len(columns) + 1)
            self.tables.append(table)
        self.rows.addStretch(0)
        self.words.say(words)


def _column(k: int, title: str) -> Column:
    return Column(title, lambda row: row[k], right=True)


def _worked_out(plan: JobPlan, progress: Progress) -> Any:
    from datetime import date

    from planner.job.comparison import compare, plan_options, stage_totals

    options = None
    if plan.job.options:
        options = compare(plan_options(plan.job, today=date.today(), previous=plan, progress=progress))
    return options, stage_totals(plan, today=date.today())
