"""The map joined to the document: what a step is about lights up, what is picked on the map is picked everywhere."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
import shapely
from PySide6.QtCore import QEvent, QObject, QRect, QTimer, Signal
from PySide6.QtGui import QPainter

from planner.findings import Finding
from planner.job.job import Job
from planner.job.plan import JobPlan, LinePlan
from planner.survey.features import Feature
from planner.ui.background import SHOWN_FIRST_MS, Task
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.feature_marks import FeatureMarks, draw_chosen
from planner.ui.canvas.fence_overlay import FenceOverlay, Hit
from planner.ui.canvas.furniture import Furniture, GridLines
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.view import Bounds, MapView
from planner.ui.document import Document, Selection
from planner.ui.live_plan import with_line
from planner.ui.map_content import BLANK_GROUND_M, Relief, bounds_of_job, feature_layers, relief_of, unplanned_lines
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.underlays import Underlays
from planner.ui.way_state import StepKey

PARTS: Mapping[StepKey, frozenset[str]] = {
    "survey": frozenset({"posts"}),
    "line": frozenset({"posts"}),
    "profile": frozenset({"posts"}),
    "sections": frozenset({"bands", "posts", "line posts", "joins", "labels"}),
    "setout": frozenset({"posts", "joins", "pegs"}),
    "loads": frozenset({"bands", "posts", "line posts"}),
    "materials": frozenset({"bands", "posts", "joins", "labels"}),
    "jobpack": frozenset({"bands", "posts", "joins", "labels"}),
}
"""Step to what of the fence is lit for it; the rest recedes."""
BLANK_PLACE = (500_000.0, 6_000_000.0)
"""Where an empty sheet opens: near the middle of most transverse Mercator zones. [m]"""


class MapLink(QObject):
    """Joins a map to a document.

    Args:
        canvas: The map.
        document: The document.
        look: The theme.
        measures: How lengths are written.

    Attributes:
        fence: The fence drawn over the map.
        under: Images and map tiles laid under the lines, for this session.
        working: Terrain is being made ready; its task.
        troubled: Terrain that could not be shown.
    """

    working = Signal(object)
    troubled = Signal(object)

    def __init__(self, canvas: MapCanvas, document: Document, look: Theme, measures: Measures) -> None:
        super().__init__(canvas)
        self.canvas, self._document, self._measures = canvas, document, measures
        self.fence = FenceOverlay(lambda metres: self._measures.length(metres, 0))
        self.grid, self.furniture = GridLines(), Furniture(measures.system)
        self.marks = _Marks()
        for overlay in (self.grid, self.marks, self.fence, self.furniture):
            canvas.add_overlay(overlay)
        self._step: StepKey = "sections"
        self._features: tuple[object, ...] | None = None
        self._relief_for: tuple[object, ...] = ()
        self._relief: Relief | None = None
        self._task: Task | None = None
        self.under = Underlays(document.job.crs, self, around=lambda: bounds_of_job(document.job))
        self.under.changed.connect(self._show_layers)
        self.under.working.connect(self.working)
        self.under.troubled.connect(self.troubled)
        self._fitted: tuple[Bounds, MapView] | None = None
        self.shows_relief = True
        self.rail_px: Callable[[], int] = lambda: 0
        canvas.installEventFilter(self)
        canvas.clicked.connect(self._click)
        canvas.pointed.connect(self._point)
        canvas.left.connect(lambda: document.point_at("", 0.0))
        document.job_changed.connect(self._take_job)
        document.plan_changed.connect(self._take_plan)
        document.previewed.connect(self._take_preview)
        document.selection_changed.connect(self._take_selection)
        document.cursor_moved.connect(self._take_cursor)
        self.set_theme(look)

    @property
    def is_idle(self) -> bool:
        """True while nothing is being made ready for the map."""
        return self._task is None and self.under.is_idle

    # looks

    def set_theme(self, look: Theme) -> None:
        """Takes other colours and sizes."""
        self.canvas.set_theme(look.map)
        self.fence.set_font_size(9.5 * look.scale)
        self.grid.set_text_scale(look.scale)
        self.furniture.set_text_scale(look.scale)
        self.canvas.update()

    def set_measures(self, measures: Measures) -> None:
        """Writes lengths in other units."""
        self._measures = measures
        self.furniture.lengths = measures.system
        plan = self._document.plan
        self.fence.set_plan(None)
        self.fence.set_plan(plan)
        self.canvas.update()

    def light(self, step: StepKey) -> None:
        """Lights up what a step is about."""
        self._step = step
        self.fence.parts = PARTS[step]
        self.canvas.update()

    def show_relief(self, wanted: bool) -> None:
        """Shows or hides shading and contours."""
        self.shows_relief = wanted
        self._show_layers()

    # views

    def fit_next(self) -> None:
        """Shows the whole job: another one was opened."""
        QTimer.singleShot(0, self, self.show_all)

    def show_all(self) -> None:
        """Shows the whole job; an empty sheet where there is nothing in it."""
        bounds = bounds_of_job(self._document.job)
        if bounds is None:
            x, y, half = *BLANK_PLACE, BLANK_GROUND_M / 2.0
            bounds = (x - half, y - half, x + half, y + half)
        self._fit(bounds)

    def show_line(self) -> None:
        """Shows the whole of the line in hand."""
        name = self._document.selection.line
        lines = [line for line in self._document.job.lines if line.name == name] or list(self._document.job.lines[:1])
        if lines:
            (west, south), (east, north) = lines[0].xy.min(axis=0).tolist(), lines[0].xy.max(axis=0).tolist()
            self._fit((west, south, east, north))

    def show_finding(self, finding: Finding) -> None:
        """Shows the place of a finding: its chainage, its section, its position, or its line, as far as is known."""
        place = finding.place
        if place.line and place.chainage_m is not None:
            self.show_stretch(place.line, place.chainage_m - 60.0, place.chainage_m + 60.0)
        elif place.section and (found := self._section(place.section)) is not None:
            self.show_stretch(*found)
        elif place.x is not None and place.y is not None:
            self._fit((place.x - 60.0, place.y - 60.0, place.x + 60.0, place.y + 60.0))
        elif place.line and (plan := self._plan_of(place.line)) is not None:
            self.show_stretch(place.line, 0.0, float(plan.ground.chainage_m[-1]))

    def show_feature(self, feature: Feature) -> None:
        """Shows a feature with some ground around it."""
        shape = shapely.from_wkt(feature.wkt)
        if shape.is_empty:
            return
        west, south, east, north = shape.bounds
        margin = max(60.0, 0.3 * max(east - west, north - south))
        self._fit((west - margin, south - margin, east + margin, north + margin))

    def _section(self, name: str) -> tuple[str, float, float] | None:
        lines = self._document.plan.lines if self._document.plan is not None else ()
        return next(((plan.line.name, section.from_m, section.to_m) for plan in lines for section in plan.sections
                     if section.id == name), None)

    def show_stretch(self, line: str, from_m: float, to_m: float) -> None:
        """Shows a stretch of a line with some ground around it.

        Args:
            line: Name of the line.
            from_m: Chainage. [m]
            to_m: Chainage. [m]
        """
        plan = self._plan_of(line)
        if plan is None:
            return
        margin = max(40.0, 0.15 * (to_m - from_m))
        x, y = plan.ground.place_at(np.linspace(from_m, to_m, 32))
        self._fit((float(x.min()) - margin, float(y.min()) - margin, float(x.max()) + margin, float(y.max()) + margin))

    def _fit(self, bounds: Bounds) -> None:
        """Shows bounds in the part of the map that the tool rail leaves free."""
        view = self.canvas.view.resized(self.canvas.width(), self.canvas.height())
        taken = min(self.rail_px(), view.width // 3)
        free = view.resized(view.width - taken, view.height).fitted(bounds, margin_px=38.0)
        self.canvas.set_view(free.resized(view.width, view.height).panned(taken / 2.0, 0.0))
        self._fitted = (bounds, self.canvas.view)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Fits again what was fitted, when the map takes another size before anybody moved it."""
        if event.type() == QEvent.Type.Resize and self._fitted is not None:
            if self._is_as_fitted():
                QTimer.singleShot(0, self, self._fit_again)
            else:
                self._fitted = None
        return False

    def _is_as_fitted(self) -> bool:
        """True while the map looks where it was made to fit something."""
        if self._fitted is None:
            return False
        then, now = self._fitted[1], self.canvas.view
        near = 2.0 * then.units_per_px
        return now.units_per_px == then.units_per_px and abs(now.x - then.x) < near and abs(now.y - then.y) < near

    def _fit_again(self) -> None:
        """Fits what was fitted, unless somebody has moved the map since its size changed."""
        if self._fitted is not None and self._is_as_fitted():
            self._fit(self._fitted[0])

    def close(self) -> None:
        """Ends background work."""
        if self._task is not None:
            self._task.cancel()
            self._task.wait()
            self._task = None
        self.under.close()
        self.canvas.stop()

    # the document

    def take_up(self) -> None:
        """Shows the document as it is now: the map was made after it."""
        self._take_job(self._document.job)
        self._take_plan(self._document.plan)
        self._take_selection(self._document.selection)

    def _take_job(self, job: Job) -> None:
        if job.features is not self._features or self.fence.is_bare:
            self._features = job.features
            self.marks.now = FeatureMarks(job.features)
            self.fence.keep_clear(self.marks.now.places)
            self._show_layers()
        self.under.take_grid(job.crs)
        self._make_relief(job)

    def _take_plan(self, plan: JobPlan | None) -> None:
        bare = self.fence.is_bare
        self.fence.set_plan(plan)
        if self.fence.is_bare != bare:
            self._show_layers()
        self.canvas.update()

    def _take_preview(self, line: LinePlan | None) -> None:
        """A line as it would become while it is dragged; None when the gesture is over."""
        plan = self._document.plan
        self._take_plan(plan if plan is None or line is None else with_line(plan, line))

    def _take_selection(self, selection: Selection) -> None:
        self.fence.in_hand = selection.section
        self.fence.line_in_hand = selection.line if len(self._document.job.lines) > 1 and not selection.section else ""
        self.fence.selected = self._ringed(selection)
        self.marks.chosen = None if selection.feature is None else shapely.from_wkt(selection.feature.wkt)
        self.canvas.update()

    def _ringed(self, selection: Selection) -> tuple[str, str, float] | None:
        plan = self._plan_of(selection.line)
        if plan is None:
            return None
        if selection.join_m is not None:
            return "join", selection.section, selection.join_m
        if selection.post and selection.post in plan.post_names:
            return "post", selection.post, plan.posts[plan.post_names.index(selection.post)].chainage_m
        return None

    def _take_cursor(self, line: str, chainage_m: float) -> None:
        cursor = (line, chainage_m) if line else None
        if cursor != self.fence.cursor:
            self.fence.cursor = cursor
            self.canvas.dirty(self.fence)

    def _plan_of(self, line: str) -> LinePlan | None:
        plan = self._document.plan
        return next((own for own in plan.lines if own.line.name == line), None) if plan is not None else None

    # the pointer

    def _hit(self, x: float, y: float) -> Hit | None:
        view = self.canvas.view
        sx, sy = view.to_screen(x, y)
        return self.fence.hit(view, float(sx), float(sy))

    def _click(self, x: float, y: float) -> None:
        hit = self._hit(x, y)
        if hit is None:
            self._document.select(Selection(line=self._document.selection.line))
        else:
            self._document.select(Selection(hit.line, hit.section, hit.id if hit.what == "post" else "",
                                            hit.chainage_m if hit.what == "join" else None))

    def _point(self, x: float, y: float) -> None:
        hit = self._hit(x, y)
        if hit is not None:
            self._document.point_at(hit.line, hit.chainage_m)
        elif self.fence.cursor is not None:
            self._document.point_at("", 0.0)

    # layers and terrain

    def _show_layers(self) -> None:
        job = self._document.job
        layers = [*feature_layers(job), *(unplanned_lines(job) if self.fence.is_bare else ())]
        relief = self._relief if self.shows_relief else None
        self.canvas.set_layers([*(relief.contours if relief else ()), *layers])
        self.canvas.set_backdrop(*([relief.shade] if relief and relief.shade is not None else []), *self.under.drawn)

    def _make_relief(self, job: Job) -> None:
        bounds = bounds_of_job(job)
        wanted = (job.grounds, job.crs, _coarse(bounds))
        if wanted == self._relief_for:
            return
        self._relief_for = wanted
        if self._task is not None:
            self._task.cancel()
        if bounds is None or not job.grounds:
            if self._relief is not None:
                self._relief = None
                self._show_layers()
            return
        ballpark = job.settings.allow_ballpark
        task = Task("shading the terrain", lambda progress: relief_of(job.grounds, job.crs, bounds, progress,
                                                                      allow_ballpark=ballpark), self)
        task.done.connect(lambda relief: self._take_relief(task, relief))
        task.failed.connect(self.troubled)
        task.finished.connect(lambda: self._end(task))
        self._task = task
        self.working.emit(task)
        task.start(after_ms=SHOWN_FIRST_MS)

    def _take_relief(self, task: Task, relief: Relief) -> None:
        if task is self._task:
            self._relief = relief
            self._show_layers()
            for trouble in relief.troubles:
                self.troubled.emit(trouble)

    def _end(self, task: Task) -> None:
        if task is self._task:
            self._task = None
        task.deleteLater()


class _Marks:
    """Marks of features that are made anew when there are others, at the same place among the overlays."""

    def __init__(self) -> None:
        self.now = FeatureMarks(())
        self.chosen: shapely.Geometry | None = None

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws them."""
        if self.chosen is not None:
            draw_chosen(painter, view, self.chosen, theme)
        self.now.paint(painter, view, dirty, theme)

    def bounds_px(self, view: MapView) -> QRect:
        """What of the window they may touch."""
        return self.now.bounds_px(view) if self.chosen is None else QRect(0, 0, view.width, view.height)


def _coarse(bounds: Bounds | None) -> tuple[int, ...]:
    """Bounds so coarse that moving a corner by a little does not ask for new shading."""
    if bounds is None:
        return ()
    step = max(200.0, 0.5 * max(bounds[2] - bounds[0], bounds[3] - bounds[1]))
    return tuple(round(edge / step) for edge in bounds)
