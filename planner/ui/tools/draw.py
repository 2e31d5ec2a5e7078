"""Draw: a fence line by clicks, by typed bearings and distances, along an existing line, or beside one."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter

from planner.errors import OutOfRange, PlannerError
from planner.geometry.arrays import Floats
from planner.geometry.bearings import step_along
from planner.geometry.lines import nearest_on
from planner.geometry.offsets import mitred_offset
from planner.job.edits.edit import Edit
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.snap import Leg, Snap
from planner.ui.canvas.view import MapView
from planner.ui.document import Document, Selection
from planner.ui.measures import Measures, parse_bearing
from planner.ui.theme import Theme
from planner.ui.tools.catching import stretch_between
from planner.ui.tools.gesture_marks import Row, caught_mark, handles, polyline, read_out
from planner.ui.tools.leg_reading import POST_WORDS, LegMeter, LineFigures, Place, turn_words
from planner.ui.tools.map_tool import MapTool
from planner.ui.tools.new_line import ACCURACIES, OnGrid, drawn, fence_choices, next_name, usual_fence
from planner.ui.tools.tool_card import ToolCard
from planner.ui.tools.typed_boxes import TypedBoxes

FIRST = "Click the first corner, or press O to draw beside a line."
NEXT = "Click or type the next corner. Shift follows a line, Backspace takes one back, Enter ends, Escape gives up."
BESIDE = "Point at a line and click: the new line runs beside it. Type the distance. O or Escape goes back."


class DrawTool(MapTool):
    """Draws a fence line.

    Attributes:
        corners: Corners placed. [m]
        ask_grid: Asks for the working grid of a job that has none; an empty text gives up.
    """

    def __init__(self, document: Document, canvas: MapCanvas, measures: Measures, look: Theme) -> None:
        super().__init__(document, canvas, measures, look)
        self.corners: list[Place] = []
        self.ask_grid: Callable[[], str] = self._ask_grid
        self.snap: Snap | None = None
        self.is_beside = False
        self._target: Place | None = None
        self._way: Floats | None = None
        self._guide: Floats | None = None
        self._beside: Floats | None = None
        self._figures: LineFigures | None = None
        self._crs = ""
        self._meter = LegMeter("", ())

    # taken up and put down

    def begin(self) -> None:
        """Takes the tool up, with its card."""
        super().begin()
        job = self.document.job
        self.card = ToolCard("New line", "", self.look, self.canvas)
        self.card.words.hide()
        self.name = self.card.text("Name", next_name(job))
        self.fence = self.card.choice("Fence", fence_choices(job), usual_fence(job))
        self.accuracy = self.card.choice("Corners", list(ACCURACIES), "traced",
                                         "How well the corners are known; lengths carry that doubt.")
        self.card.show()
        self.card.settle()
        self.boxes = TypedBoxes(("Bearing", "Distance"), (parse_bearing, self._distance), self.look, self.canvas)
        self.offset = TypedBoxes(("Distance off",), (self._distance,), self.look, self.canvas)
        for boxes in (self.boxes, self.offset):
            boxes.changed.connect(self._aim)
            boxes.placed.connect(self._place)
            boxes.left.connect(self.redraw)
        self.say(FIRST)
        self._take_grounds()
        self.document.plan_changed.connect(self._take_grounds)

    def end(self) -> None:
        """Puts the tool down."""
        self.document.plan_changed.disconnect(self._take_grounds)
        super().end()
        for part in (self.boxes, self.offset):
            part.hide()
            part.deleteLater()
        self.card.put_away()

    def job_changed(self, job: object) -> None:
        """Another job, or another line in it."""
        super().job_changed(self.document.job)
        self._take_grounds()

    def give_up(self) -> bool:
        """Gives up the line that was begun."""
        had = bool(self.corners) or self.is_beside
        self.corners, self.is_beside = [], False
        self._target = self._way = self._beside = self._figures = None
        self.boxes.clear()
        self.offset.clear()
        self.boxes.hide()
        self.offset.hide()
        self.catcher.refresh()
        self.say(FIRST)
        return had

    def _take_grounds(self, *_: object) -> None:
        self._meter = LegMeter(self.document.job.crs or self._crs, self.document.known_grounds)

    def _distance(self, text: str) -> float:
        value = self.measures.parse_length(text)
        if value <= 0.0:
            raise OutOfRange(f"a distance of {text} leads nowhere", remedy="type one above zero")
        return value

    # the pointer

    def hover(self, event: QMouseEvent) -> None:
        """Shows where a click would place the next corner."""
        self._aim(event.modifiers())

    def _aim(self, keys: Qt.KeyboardModifier | None = None) -> None:
        if self.pointer is None:
            return
        if self.is_beside:
            self._aim_beside()
            return
        leg = Leg(*self.corners[-2], *self.corners[-1]) if len(self.corners) > 1 else None
        self.snap = self._caught_first(self.caught(*self.pointer, leg=leg))
        at = (self.snap.x, self.snap.y) if self.snap is not None else self.pointer
        self._way = None
        if self.corners:
            at = self._typed(at)
            follows = keys is not None and bool(keys & Qt.KeyboardModifier.ShiftModifier)
            self._way = self._along(at) if follows else None
            self._figures = self._measured(at)
            self._follow(at)
        self._target = at
        self.redraw()

    def _caught_first(self, snap: Snap | None) -> Snap | None:
        """The first corner is caught before anything else, so that a ring can be closed."""
        if len(self.corners) > 2 and self.pointer is not None:
            off = math.dist(self.corners[0], self.pointer)
            if off <= self.reach_m:
                return Snap("corner", *self.corners[0], "this line, which closes it", off)
        return snap

    def _typed(self, at: Place) -> Place:
        """The place with what is typed in place of what the pointer says."""
        bearing, distance = self.boxes.value(0), self.boxes.value(1)
        if bearing is None and distance is None:
            return at
        self.snap = None
        start = self.corners[-1]
        dx, dy = at[0] - start[0], at[1] - start[1]
        if bearing is None:
            bearing = math.degrees(math.atan2(dx, dy))
        scale = self._meter.scale_at(start)
        east, north = step_along(bearing, 1.0)
        length = max(dx * east + dy * north, 0.0) if distance is None else distance * scale
        return start[0] + east * length, start[1] + north * length

    def _along(self, at: Place) -> Floats | None:
        """The corners from the last one to a place along a line that runs through both; None where none does."""
        for _, xy in self.catcher.lines_near(*self.corners[-1], 0.05):
            if nearest_on(xy, self.corners[-1])[1] <= 0.05 and nearest_on(xy, at)[1] <= self.reach_m:
                end = at if nearest_on(xy, at)[1] <= 0.05 else None
                way = stretch_between(xy, self.corners[-1], end or at)
                return way if len(way) > 1 else None
        return None

    def _measured(self, at: Place) -> LineFigures | None:
        if math.dist(self.corners[-1], at) < 1e-6:
            return None
        corners = self.corners
        if self._way is not None:
            corners = [*corners, *((float(x), float(y)) for x, y in self._way[1:-1])]
        return self._meter.line(corners, at, self.document.job.settings)

    def _follow(self, at: Place) -> None:
        x, y = (float(v) for v in self.canvas.view.to_screen(*at))
        figures = self._figures
        live = ("", "") if figures is None else (self.measures.bearing(figures.bearing_deg),
                                                self.measures.length(figures.leg.ground_m))
        self.boxes.follow(x, y, live)

    # beside a line

    def _aim_beside(self) -> None:
        assert self.pointer is not None
        x, y = self.pointer
        found = self.catcher.line_at(x, y, 60.0 * self.canvas.view.units_per_px)
        if found is not None:
            self._guide = found[1]
        self._beside = None
        if self._guide is not None:
            off = nearest_on(self._guide, self.pointer)[1]
            typed = self.offset.value(0)
            wanted = off if typed is None else typed * self._meter.scale_at(self.pointer)
            if wanted > 1e-6:
                try:
                    self._beside = mitred_offset(_open(self._guide), distance=wanted * _side(self._guide, self.pointer))
                except PlannerError:
                    self._beside = None
            sx, sy = (float(v) for v in self.canvas.view.to_screen(x, y))
            self.offset.follow(sx, sy, (self.measures.length(off / self._meter.scale_at(self.pointer)),))
        self.redraw()

    # placing

    def click(self, event: QMouseEvent) -> None:
        """Places a corner."""
        self._aim(event.modifiers())
        self._place()

    def double_click(self, event: QMouseEvent) -> bool:
        """Ends the line; the first press of the two has placed its last corner."""
        self._pressed = None
        self.finish()
        return True

    def _place(self) -> None:
        if self.is_beside:
            if self._beside is not None:
                self._add(self._beside, closed=False)
            return
        if self._target is None or (not self.corners and not self._has_grid()):
            return
        at = self._target
        if self.corners and math.dist(at, self.corners[-1]) < 1e-3:
            return
        if self._way is not None:
            self.corners += [(float(x), float(y)) for x, y in self._way[1:-1]]
        if len(self.corners) > 2 and math.dist(at, self.corners[0]) < 1e-6:
            self._add(np.array([*self.corners, self.corners[0]]), closed=True)
            return
        self.corners.append(at)
        self._way = None
        self.boxes.clear()
        self.canvas.setFocus()
        self.catcher.add(np.array(self.corners))
        self.say(NEXT)
        self._aim()

    def finish(self) -> None:
        """Ends the line."""
        if len(self.corners) < 2:
            if self.corners:
                self.say("A line needs two corners. " + NEXT)
            return
        self._add(np.array(self.corners), closed=False)

    def _add(self, xy: Floats, *, closed: bool) -> None:
        name = self.name.text().strip() or next_name(self.document.job)
        edit: Edit = drawn(name, self.fence.currentData(), xy, self.accuracy.currentData(), closed=closed)
        if self._crs and not self.document.job.crs:
            edit = OnGrid(self._crs, edit)
        if self.document.do(edit):
            self.document.select(Selection(line=self.document.job.lines[-1].name))
            self.give_up()
            self.name.setText(next_name(self.document.job))

    def _has_grid(self) -> bool:
        if self.document.job.crs or self._crs:
            return True
        self._crs = self.ask_grid()
        self._take_grounds()
        return bool(self._crs)

    def _ask_grid(self) -> str:
        from planner.ui.dialogs.grid_dialog import GridDialog

        dialog = GridDialog("EPSG:7855", self.canvas.window())
        crs = dialog.crs if dialog.exec() else ""
        dialog.deleteLater()
        return crs

    # keys

    def key_press(self, event: QKeyEvent) -> bool:
        """Figures begin a typed leg; Backspace takes a corner back, Enter ends, O draws beside a line."""
        key = event.key()
        if key == Qt.Key.Key_O and not self.corners:
            self.is_beside = not self.is_beside
            self._guide = self._beside = None
            self.offset.hide()
            self.say(BESIDE if self.is_beside else FIRST)
            self._aim()
        elif key == Qt.Key.Key_Backspace:
            self._take_back()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.is_beside:
                self._place()
            else:
                self.finish()
        elif (self.is_beside and self.offset.take_key(event)) or (self.corners and self.boxes.take_key(event)):
            return True
        else:
            return super().key_press(event)
        self.redraw()
        return True

    def tab(self, backwards: bool) -> bool:
        """Tab goes into the boxes while a leg is being drawn."""
        if self.is_beside:
            self.offset.enter(0)
        elif self.corners:
            self.boxes.enter(1 if backwards else 0)
        else:
            return False
        return True

    def _take_back(self) -> None:
        if self.corners:
            self.corners.pop()
            self.catcher.add(np.array(self.corners).reshape(-1, 2))
            self.boxes.clear()
            if not self.corners:
                self.boxes.hide()
                self.say(FIRST)
            self._aim()

    # drawing

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the line so far, the leg in hand, what is caught, and the figures."""
        if self.is_beside:
            self._paint_beside(painter, view, theme)
            return
        placed = np.array(self.corners).reshape(-1, 2)
        polyline(painter, view, placed, theme.accent, 2.8, casing=theme.ground)
        if self.corners and self._target is not None:
            way = self._way if self._way is not None else np.array([self.corners[-1], self._target])
            polyline(painter, view, way, theme.accent, 2.0, dashed=self._way is None)
        handles(painter, view, placed, theme)
        if self.snap is not None and not self.boxes.is_typing:
            caught_mark(painter, view, self.snap, theme)
        if self._target is None:
            return
        at = tuple(float(v) for v in view.to_screen(*self._target))
        if self.corners and self._figures is not None:
            read_out(painter, view, (at[0], at[1]), self.rows(), self.look, caught=self.snap, beside=self.boxes.place)
        elif self.snap is not None:
            read_out(painter, view, (at[0], at[1]), (), self.look, caught=self.snap)

    def rows(self) -> list[Row]:
        """The live figures, as the read-out shows them."""
        figures, m = self._figures, self.measures
        if figures is None:
            return []
        slope = m.length(figures.slope_m) if figures.slope_m is not None else "no levels here"
        rows: list[Row] = [("Line so far", m.length(figures.total_m)), ("Along the ground", slope)]
        if figures.leg.grade_deg is not None:
            rows.append(("Grade of this leg", m.angle(figures.leg.grade_deg)))
        if figures.turn_deg is not None:
            rows += [("Turn", turn_words(figures.turn_deg)), ("Makes the last one", POST_WORDS[figures.post])]
        else:
            rows.append(("Starts with", POST_WORDS["end"]))
        return rows

    def _paint_beside(self, painter: QPainter, view: MapView, theme: MapColours) -> None:
        if self._guide is not None:
            polyline(painter, view, self._guide, theme.soft, 6.0)
        if self._beside is not None:
            polyline(painter, view, self._beside, theme.accent, 2.6, casing=theme.ground)
            handles(painter, view, self._beside, theme, size=6.0)


def _open(xy: Floats) -> Floats:
    """The corners without repeats."""
    step = np.hypot(*np.diff(xy, axis=0).T)
    return np.asarray(xy[np.concatenate(([True], step > 1e-6))])


def _side(xy: Floats, place: Place) -> float:
    """1 where a place lies left of a line, -1 where it lies right."""
    at, _ = nearest_on(xy, place)
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(xy, axis=0).T))))
    leg = min(int(np.searchsorted(along, at, side="right")) - 1, len(xy) - 2)
    (ax, ay), (bx, by) = xy[leg], xy[leg + 1]
    return 1.0 if (bx - ax) * (place[1] - ay) - (by - ay) * (place[0] - ax) >= 0.0 else -1.0
