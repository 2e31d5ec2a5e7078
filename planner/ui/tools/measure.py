"""Measure: lengths on plan and along the ground, bearings, grades and areas; nothing in the job changes."""

from __future__ import annotations

import math

import numpy as np
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter

from planner.errors import PlannerError
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.snap import Leg, Snap
from planner.ui.canvas.view import MapView
from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.tools.gesture_marks import Row, area, caught_mark, handles, polyline, read_out
from planner.ui.tools.leg_reading import LegMeter, LineFigures, Place, turn_words
from planner.ui.tools.map_tool import MapTool
from planner.units import SquareMetre

HINT = "Click from place to place. Backspace takes one back, Enter begins anew, Escape ends."


class MeasureTool(MapTool):
    """Measures.

    Attributes:
        places: Places clicked. [m]
    """

    def __init__(self, document: Document, canvas: MapCanvas, measures: Measures, look: Theme) -> None:
        super().__init__(document, canvas, measures, look)
        self.places: list[Place] = []
        self.snap: Snap | None = None
        self.figures: LineFigures | None = None
        self._at: Place | None = None
        self._is_done = False
        self._meter = LegMeter("", ())

    def begin(self) -> None:
        """Takes the tool up."""
        super().begin()
        self._meter = LegMeter(self.document.job.crs, self.document.known_grounds)
        self.say(HINT)

    def give_up(self) -> bool:
        """Forgets what was measured."""
        had = bool(self.places)
        self.places, self.figures, self._is_done = [], None, False
        return had

    def hover(self, event: QMouseEvent) -> None:
        """Measures to the pointer."""
        assert self.pointer is not None
        if self._is_done:
            return
        leg = Leg(*self.places[-2], *self.places[-1]) if len(self.places) > 1 else None
        self.snap = self.caught(*self.pointer, leg=leg)
        self._at = (self.snap.x, self.snap.y) if self.snap is not None else self.pointer
        self.figures = None
        if self.places and math.dist(self.places[-1], self._at) > 1e-6:
            self.figures = self._meter.line(self.places, self._at, self.document.job.settings)
        self.redraw()

    def click(self, event: QMouseEvent) -> None:
        """Sets a place."""
        if self._is_done:
            self.give_up()
        self.hover(event)
        if self._at is not None and (not self.places or math.dist(self.places[-1], self._at) > 1e-6):
            self.places.append(self._at)
        self.redraw()

    def double_click(self, event: QMouseEvent) -> bool:
        """Keeps the figures in sight until the next click."""
        self._pressed = None
        self._finish()
        return True

    def key_press(self, event: QKeyEvent) -> bool:
        """Backspace takes a place back, Enter keeps the figures in sight."""
        if event.key() == Qt.Key.Key_Backspace and self.places:
            self.places.pop()
            self.figures = None
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._finish()
        else:
            return super().key_press(event)
        self.redraw()
        return True

    def _finish(self) -> None:
        if len(self.places) > 1:
            self._at, self._is_done = self.places[-1], True
            self.figures = self._meter.line(self.places[:-1], self.places[-1], self.document.job.settings)

    def area(self) -> tuple[SquareMetre, float] | None:
        """Area within the places, and the length round it. [m2] and [m] None for fewer than three."""
        from planner.survey.datum import ellipsoidal_area

        ring = [*self.places, *([self._at] if self._at is not None and not self._is_done else [])]
        if len(ring) < 3 or not self.document.job.crs:
            return None
        try:
            return ellipsoidal_area(np.array(ring), self.document.job.crs)
        except PlannerError:
            return None

    def rows(self) -> list[Row]:
        """What was measured."""
        figures, m = self.figures, self.measures
        if figures is None:
            return []
        rows: list[Row] = [("Length", m.length(figures.leg.ground_m, 2)), ("Bearing", m.bearing(figures.bearing_deg))]
        if figures.leg.slope_m is not None and figures.leg.grade_deg is not None and figures.leg.rise_m is not None:
            rows += [("Along the ground", m.length(figures.leg.slope_m, 2)),
                     ("Grade", f"{m.angle(figures.leg.grade_deg)}, {m.length(figures.leg.rise_m)}")]
        if figures.turn_deg is not None:
            rows += [("Turn", turn_words(figures.turn_deg)), ("All legs", m.length(figures.total_m))]
            if figures.slope_m is not None:
                rows.append(("All along the ground", m.length(figures.slope_m)))
        inside = self.area()
        if inside is not None:
            rows += [("Area", m.area(inside[0])), ("Round it", m.length(inside[1]))]
        return rows

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws what is measured, with its figures."""
        shown = [*self.places, *([self._at] if self._at is not None and self.places and not self._is_done else [])]
        xy = np.array(shown).reshape(-1, 2)
        if len(xy) > 2:
            area(painter, view, xy, theme.accent, 30)
            polyline(painter, view, xy[[-1, 0]], theme.accent, 1.2, dashed=True)
        polyline(painter, view, xy, theme.accent, 2.2, casing=theme.ground)
        handles(painter, view, np.array(self.places).reshape(-1, 2), theme, size=6.0)
        if self.snap is not None and not self._is_done:
            caught_mark(painter, view, self.snap, theme)
        if self._at is not None and (self.figures is not None or self.snap is not None):
            x, y = (float(v) for v in view.to_screen(*self._at))
            read_out(painter, view, (x, y), self.rows(), self.look, caught=None if self._is_done else self.snap)
