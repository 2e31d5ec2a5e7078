"""Mark: water, trees, rock, services, old fences and more, each with what it means for the job."""

from __future__ import annotations

import math

import numpy as np
import shapely
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter
from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from planner.errors import OutOfRange, PlannerError
from planner.job.edits import AddFeature, RemoveFeature
from planner.survey.features import Feature
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.snap import Leg, Snap
from planner.ui.canvas.view import MapView
from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.tools.feature_kinds import BY_KEY, KINDS, FeatureKind, effect_of
from planner.ui.tools.gesture_marks import area, caught_mark, handles, polyline, read_out
from planner.ui.tools.leg_reading import Place
from planner.ui.tools.map_tool import MapTool
from planner.ui.tools.tool_card import ToolCard

HOW = {"point": "Click where it stands.", "line": "Click along it; Enter ends, Backspace takes one back.",
       "area": "Click round it; Enter closes it, Backspace takes one back."}
LEAST = {"point": 1, "line": 2, "area": 3}


class FeatureTool(MapTool):
    """Marks things on the ground.

    Attributes:
        places: Places clicked for the mark in hand. [m]
    """

    def __init__(self, document: Document, canvas: MapCanvas, measures: Measures, look: Theme) -> None:
        super().__init__(document, canvas, measures, look)
        self.places: list[Place] = []
        self.snap: Snap | None = None
        self._at: Place | None = None
        self._under: Feature | None = None
        self._fields: list[QWidget] = []
        self._shapes: list[tuple[Feature, shapely.Geometry]] = []

    def begin(self) -> None:
        """Takes the tool up, with its card."""
        super().begin()
        self.card = ToolCard("Mark on the ground", "", self.look, self.canvas)
        self.kind_box = self.card.choice("It is", [(kind.key, kind.called) for kind in KINDS])
        self.kind_box.activated.connect(lambda _: self._kind_changed())
        self.name = self.card.text("Name", "")
        self.card.show()
        self._kind_changed()
        self._take_shapes()

    def end(self) -> None:
        """Puts the tool down."""
        super().end()
        self.card.put_away()

    @property
    def kind(self) -> FeatureKind:
        """What is being marked."""
        return BY_KEY[self.kind_box.currentData()]

    def choose(self, key: str) -> None:
        """Chooses what is being marked."""
        self.kind_box.setCurrentIndex(self.kind_box.findData(key))
        self._kind_changed()

    def give_up(self) -> bool:
        """Gives up the mark that was begun."""
        had = bool(self.places)
        self.places = []
        return had

    def job_changed(self, job: object) -> None:
        """Marks may be others now."""
        super().job_changed(self.document.job)
        self._take_shapes()

    def _take_shapes(self) -> None:
        self._shapes = [(feature, shapely.from_wkt(feature.wkt)) for feature in self.document.job.features]
        self._under = self._mark_at(*self.pointer) if self.pointer is not None and not self.places else None

    def _kind_changed(self) -> None:
        for old in self._fields:
            self.card.form.removeRow(old)
        self._fields = []
        for field in self.kind.fields:
            if field.choices:
                made: QWidget = self.card.choice(field.label, [(c, c) for c in field.choices], field.value)
            else:
                text = self.measures.length(float(field.value), 0) if field.value else ""
                made = self.card.text(field.label, text)
            self._fields.append(made)
        self.name.setText(self._free_name())
        self.give_up()
        self.card.words.setText(f"{self.kind.means} {HOW[self.kind.shape]}")
        self.card.say("")
        self.say(f"{HOW[self.kind.shape]} Delete takes away the mark under the pointer.")
        self.redraw()

    def _free_name(self) -> str:
        taken = {feature.name for feature in self.document.job.features}
        stem, number = self.kind.called.split(" or ")[0].capitalize(), 1
        while f"{stem} {number}" in taken:
            number += 1
        return f"{stem} {number}"

    # the pointer

    def hover(self, event: QMouseEvent) -> None:
        """Shows where a click would set a place, and which mark lies there."""
        assert self.pointer is not None
        leg = Leg(*self.places[-2], *self.places[-1]) if len(self.places) > 1 else None
        self.snap = self.caught(*self.pointer, leg=leg)
        self._at = (self.snap.x, self.snap.y) if self.snap is not None else self.pointer
        self._under = None if self.places else self._mark_at(*self.pointer)
        self.redraw()

    def _mark_at(self, x: float, y: float) -> Feature | None:
        here = shapely.Point(x, y)
        near = [(shape.distance(here), feature) for feature, shape in self._shapes]
        best = min(near, key=lambda pair: pair[0], default=None)
        return best[1] if best is not None and best[0] <= self.reach_m else None

    def click(self, event: QMouseEvent) -> None:
        """Sets a place; a point is marked at once."""
        self.hover(event)
        if self._at is None or (self.places and math.dist(self.places[-1], self._at) < 1e-3):
            return
        self.places.append(self._at)
        if self.kind.shape == "point":
            self.finish()
        self.redraw()

    def double_click(self, event: QMouseEvent) -> bool:
        """Ends the mark."""
        self._pressed = None
        if self.kind.shape != "point":
            self.finish()
        return True

    def key_press(self, event: QKeyEvent) -> bool:
        """Enter ends, Backspace takes a place back, Delete takes a mark away."""
        key = event.key()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.finish()
        elif key == Qt.Key.Key_Backspace and self.places:
            self.places.pop()
        elif key == Qt.Key.Key_Delete and self._under is not None:
            self.document.do(RemoveFeature(self._under))
        else:
            return super().key_press(event)
        self.redraw()
        return True

    def finish(self) -> None:
        """Marks it."""
        kind = self.kind
        if len(self.places) < LEAST[kind.shape]:
            self.card.say(f"It needs {LEAST[kind.shape]} places." if self.places else "", wrong=True)
            return
        try:
            feature = self._made()
        except PlannerError as trouble:
            self.card.say(str(trouble), wrong=True)
            if kind.shape == "point":
                self.places = []
            return
        if self.document.do(AddFeature(feature)):
            said = effect_of(feature, self.document.job.lines, self.measures.length)
            self.give_up()
            self._take_shapes()
            self.name.setText(self._free_name())
            self.card.say(f"{feature.name} is marked. {said}")

    def _made(self) -> Feature:
        kind = self.kind
        attributes = [("kind", kind.called)]
        for field, widget in zip(kind.fields, self._fields, strict=True):
            if isinstance(widget, QComboBox):
                attributes.append((field.key, str(widget.currentData())))
            elif isinstance(widget, QLineEdit) and widget.text().strip():
                value = self.measures.parse_length(widget.text())
                if not 0.0 < value < 1000.0:
                    raise OutOfRange(f"'{widget.text()}' is no {field.label.lower()}", remedy="type one above zero")
                attributes.append((field.key, f"{value:g}"))
        shape: shapely.Geometry
        if kind.shape == "point":
            shape = shapely.Point(self.places[0])
        elif kind.shape == "line":
            shape = shapely.LineString(self.places)
        else:
            shape = shapely.Polygon(self.places)
            if not shape.is_valid:
                raise OutOfRange("its outline crosses itself", remedy="take places back with Backspace")
        return Feature(self.name.text().strip() or self._free_name(), kind.meaning, shape.wkt, tuple(attributes),
                       "drawn on the map")

    # drawing

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the mark so far and what lies under the pointer."""
        shown = [*self.places, *([self._at] if self._at is not None and self.places else [])]
        xy = np.array(shown).reshape(-1, 2)
        colour = theme.line(self.kind.meaning)
        if self.kind.shape == "area" and len(xy) > 2:
            area(painter, view, xy, colour, 60)
            polyline(painter, view, xy[[-1, 0]], colour, 1.4, dashed=True)
        polyline(painter, view, xy, colour, 2.6, casing=theme.ground)
        handles(painter, view, np.array(self.places).reshape(-1, 2), theme, size=6.0)
        if self._at is None:
            return
        x, y = (float(v) for v in view.to_screen(*self._at))
        if self.snap is not None:
            caught_mark(painter, view, self.snap, theme)
        if self._under is not None:
            read_out(painter, view, (x, y), [("Marked as", self._under.meaning)], self.look, head=self._under.name)
        elif self.snap is not None:
            read_out(painter, view, (x, y), (), self.look, caught=self.snap)
