"""Keeps the foot line up to date: the place under the pointer, the ground there, the scale, work, saved or not."""

from __future__ import annotations

import math
from datetime import datetime
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtGui import QGuiApplication

from planner.errors import PlannerError
from planner.jobpack.page.measures import grouped
from planner.ui.background import Task
from planner.ui.document import Document
from planner.ui.foot_line import SHOW_AFTER_MS, FootLine
from planner.ui.holding import Holding
from planner.ui.preferences import Preferences
from planner.units import INCH_M

if TYPE_CHECKING:
    from planner.ui.canvas.map_canvas import MapCanvas


class FootWriter(QObject):
    """Writes the foot line.

    Args:
        foot: The line.
        document: The document.
        preferences: How places are written.
        holding: Whether the job is open elsewhere.
    """

    def __init__(self, foot: FootLine, document: Document, preferences: Preferences, holding: Holding) -> None:
        super().__init__(foot)
        self._holding = holding
        self._foot, self._document, self._preferences = foot, document, preferences
        self._canvas: MapCanvas | None = None
        self._tasks: list[Task] = []
        self._told: dict[int, tuple[float, str]] = {}
        self._saved_at = ""
        self._grid: tuple[str, str] = ("", "")
        self._place: tuple[float, float] | None = None
        self._place_later = QTimer(self)
        self._place_later.setSingleShot(True)
        self._place_later.setInterval(30)
        self._place_later.timeout.connect(self._write_place)
        self._show_later = QTimer(self)
        self._show_later.setSingleShot(True)
        self._show_later.setInterval(SHOW_AFTER_MS)
        self._show_later.timeout.connect(self._write_work)
        foot.cancelled.connect(self._cancel)

    def follow(self, canvas: MapCanvas) -> None:
        """Follows the pointer over a map, and its scale."""
        self._canvas = canvas
        canvas.pointed.connect(self._point)
        canvas.left.connect(self._leave)
        canvas.view_changed.connect(lambda _: self.write_scale())
        self.write_scale()
        self._leave()

    def close(self) -> None:
        """Writes no more."""
        self._place_later.stop()
        self._show_later.stop()

    # place and scale

    def _point(self, x: float, y: float) -> None:
        self._place = (x, y)
        if not self._place_later.isActive():
            self._place_later.start()

    def _leave(self) -> None:
        self._place_later.stop()
        self._place = None
        self._foot.show_place("E –", "N –", self._grid_words())

    def write_grid(self) -> None:
        """Writes the job's grid while the pointer is not on the map: another job or another grid is in hand."""
        if self._place is None:
            self._leave()

    def _write_place(self) -> None:
        if self._place is None:
            return
        measures = self._preferences.measures()
        x, y = self._place
        try:
            east, north = measures.place(x, y, self._document.job.crs)
        except PlannerError:
            east, north = "", ""
        known = self._known_to(x, y)
        grid = self._grid_words()
        self._foot.show_place(east, north, f"{grid} · {known}" if grid and known else grid or known)

    def _grid_words(self) -> str:
        crs = self._document.job.crs
        if not crs:
            return ""
        if self._grid[0] != crs:
            from planner.survey.datum import grid_name

            try:
                self._grid = (crs, grid_name(crs))
            except PlannerError:
                self._grid = (crs, "")
        return self._grid[1]

    def _known_to(self, x: float, y: float) -> str:
        """How well the level at the pointer is known, told from the line it is near; empty where none is near."""
        plan, canvas = self._document.plan, self._canvas
        if plan is None or canvas is None:
            return ""
        reach = 12.0 * canvas.view.units_per_px
        best, level, sd = reach, float("nan"), float("nan")
        for line in plan.lines:
            ground = line.ground
            off = (ground.x - x) ** 2 + (ground.y - y) ** 2
            at = int(off.argmin())
            if math.sqrt(off[at]) < best:
                best, level, sd = math.sqrt(off[at]), float(ground.level_m[at]), float(ground.sd_m[at])
        if not math.isfinite(level):
            return ""
        measures = self._preferences.measures()
        spread = f" ± {measures.length(sd, 2)}" if math.isfinite(sd) else ", how well is not known"
        return f"level {measures.length(level, 1)}{spread}"

    def write_scale(self) -> None:
        """Writes the scale of the map, true on this screen as far as the screen says its own size."""
        if self._canvas is None:
            return
        screen = self._canvas.screen() or QGuiApplication.primaryScreen()
        dots = screen.physicalDotsPerInchX() if screen is not None else 96.0
        ratio = self._canvas.view.units_per_px / (INCH_M / (dots if 40.0 < dots < 400.0 else 96.0))
        digits = 2 if ratio >= 100.0 else 1
        step = 10.0 ** max(0, len(str(int(ratio))) - digits)
        self._foot.show_scale(f"scale 1 : {grouped(round(ratio / step) * step, 0)}")

    # saved

    def note_saved(self) -> None:
        """The job has just been saved."""
        self._saved_at = datetime.now().strftime("%H:%M")
        self.write_saved()

    def forget_saved(self) -> None:
        """Another job is in hand."""
        self._saved_at = ""

    def write_saved(self) -> None:
        """Writes whether the job stands in its file."""
        document = self._document
        if self._holding.is_read_only:
            text = "read only" if document.is_saved else "read only, changed here"
        elif document.is_saved:
            text = f"saved {self._saved_at}".strip() if document.path is not None else "in no file yet"
        else:
            text = "not saved" if document.path is None else "changed, not saved"
        self._foot.show_saved(text, is_saved=document.is_saved)

    # work

    def watch(self, task: Task) -> None:
        """Shows a piece of work while it goes on, if that is longer than a blink."""
        self._tasks.append(task)
        key = id(task)
        self._told[key] = (0.0, task.title)
        task.progressed.connect(lambda fraction, text: self._hear(task, fraction, text))
        task.finished.connect(lambda: self._end(task))
        if not self._show_later.isActive():
            self._show_later.start()

    def _hear(self, task: Task, fraction: float, text: str) -> None:
        self._told[id(task)] = (fraction, text)
        if self._foot.bar.isVisible():
            self._write_work()

    def _end(self, task: Task) -> None:
        if task in self._tasks:
            self._tasks.remove(task)
        self._told.pop(id(task), None)
        if not self._tasks:
            self._show_later.stop()
            self._foot.show_work(None, 0.0, "")
        elif self._foot.bar.isVisible():
            self._write_work()

    def _write_work(self) -> None:
        if self._tasks:
            task = self._tasks[0]
            self._foot.show_work(task, *self._told.get(id(task), (0.0, task.title)))

    def _cancel(self) -> None:
        for task in list(self._tasks):
            task.cancel()
