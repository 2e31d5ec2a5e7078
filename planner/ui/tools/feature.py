"""Feature: what stands on the ground, drawn, typed in, opened and changed, each with what it means for the job."""

from __future__ import annotations

import math
from typing import cast

import numpy as np
import shapely
from PySide6.QtCore import QRect, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter

from planner.errors import PlannerError
from planner.job.edits import AddFeature, ChangeFeature, RemoveFeature
from planner.survey.feature_meanings import BY_KEY, MEANINGS, Meaning, Shape
from planner.survey.features import Feature
from planner.survey.typed_places import LEAST, shape_through, typed_places
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.snap import Leg, Snap
from planner.ui.canvas.view import MapView
from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.tools.feature_effect import effect_of
from planner.ui.tools.feature_fields import FactFields, with_facts
from planner.ui.tools.gesture_marks import area, caught_mark, handles, polyline, read_out
from planner.ui.tools.leg_reading import Place
from planner.ui.tools.map_tool import MapTool
from planner.ui.tools.tool_card import ToolCard

HOW: dict[Shape, str] = {
    "point": "Click where it stands.", "line": "Click along it; Enter ends, Backspace takes one back.",
    "area": "Click round it; Enter closes it, Backspace takes one back."}
SHAPES: dict[Shape, str] = {"point": "a point", "line": "a line", "area": "an area"}
UNDER = "Enter opens the one under the pointer, Delete takes it away."


class FeatureTool(MapTool):
    """Marks things on the ground, and opens those that are marked.

    Attributes:
        places: Places clicked for the feature in hand. [m]
        opened: The feature that is open in the card; None while a new one is drawn.
    """

    def __init__(self, document: Document, canvas: MapCanvas, measures: Measures, look: Theme) -> None:
        super().__init__(document, canvas, measures, look)
        self.places: list[Place] = []
        self.opened: Feature | None = None
        self.snap: Snap | None = None
        self._at: Place | None = None
        self._under: Feature | None = None
        self._shapes: list[tuple[Feature, shapely.Geometry]] = []

    def begin(self) -> None:
        """Takes the tool up, with its card."""
        super().begin()
        self.card = ToolCard("Mark on the ground", "", self.look, self.canvas, apply="Keep the changes")
        self.kind_box = self.card.choice("It is", [(meaning.key, meaning.label) for meaning in MEANINGS])
        self.kind_box.activated.connect(lambda _: self._kind_changed())
        self.shape_box = self.card.choice("Drawn as", [])
        self.shape_box.activated.connect(lambda _: self._shape_changed())
        self.name = self.card.text("Name", "")
        self.typed = self.card.text("Places", "", "Instead of clicking: east and north, or longitude and latitude, in "
                                    "pairs. Enter marks it.")
        self.typed.setPlaceholderText("typed or pasted: E N; E N")
        self.typed.returnPressed.connect(self.finish)
        plan = self.document.plan
        grounds = {key: ground.description for key, ground in plan.catalogue.grounds.items()} if plan else {}
        self.facts = FactFields(self.card, self.measures, grounds)
        self.card.applied.connect(self.keep)
        self.card.show()
        self._kind_changed()
        self._take_shapes()
        self._open_chosen()

    def end(self) -> None:
        """Puts the tool down."""
        super().end()
        self.card.put_away()

    @property
    def meaning(self) -> Meaning:
        """What is being marked."""
        return BY_KEY[self.kind_box.currentData()]

    @property
    def shape(self) -> Shape:
        """How it is drawn."""
        return cast("Shape", self.shape_box.currentData())

    def choose(self, key: str, shape: Shape | None = None) -> None:
        """Chooses what is being marked, and how it is drawn."""
        self.kind_box.setCurrentIndex(self.kind_box.findData(key))
        self._kind_changed()
        if shape is not None:
            self.shape_box.setCurrentIndex(self.shape_box.findData(shape))
            self._shape_changed()

    def give_up(self) -> bool:
        """Gives up what was begun: places that were clicked, else the feature that is open."""
        had = bool(self.places) or self.opened is not None
        self.places = []
        if self.opened is not None:
            self._show(None)
        return had

    def job_changed(self, job: object) -> None:
        """Features may be others now."""
        super().job_changed(self.document.job)
        self._take_shapes()
        if self.opened is not None and self.opened not in self.document.job.features:
            self._show(None)

    def _take_shapes(self) -> None:
        self._shapes = [(feature, shapely.from_wkt(feature.wkt)) for feature in self.document.job.features]
        self._under = self._mark_at(*self.pointer) if self.pointer is not None and not self.places else None

    def _kind_changed(self) -> None:
        if self.opened is None:
            self._show(None)
        else:
            self.facts.show(self.meaning, self.opened)
            self.card.words.setText(self.meaning.means)

    def _show(self, feature: Feature | None) -> None:
        """Shows a feature in the card, or an empty card for a new one."""
        self.opened = feature
        self.places = []
        if feature is not None:
            self.kind_box.setCurrentIndex(self.kind_box.findData(feature.meaning))
        meaning = BY_KEY.get(str(self.kind_box.currentData()))
        if meaning is None:
            self.kind_box.setCurrentIndex(0)
            meaning = self.meaning
        self.shape_box.clear()
        for shape in meaning.shapes:
            self.shape_box.addItem(SHAPES[shape], shape)
        self.facts.show(meaning, feature)
        self.name.setText(feature.name if feature is not None else self._free_name())
        self.card.title.setText("Change a feature" if feature is not None else "Mark on the ground")
        self.card.apply_button.setVisible(feature is not None)
        self.card.may_apply(feature is not None)
        self.card.shows(self.shape_box, feature is None and len(meaning.shapes) > 1)
        self.card.shows(self.typed, feature is None)
        self.card.say("")
        self._shape_changed()
        QTimer.singleShot(0, self.card, self.card.settle)  # the new fields are shown by then

    def _shape_changed(self) -> None:
        self.places = []
        how = "" if self.opened is not None else f" {HOW[self.shape]}"
        self.card.words.setText(f"{self.meaning.means}{how}")
        self.say(f"{how} {UNDER}".strip())
        self.redraw()

    def _free_name(self) -> str:
        taken = {feature.name for feature in self.document.job.features}
        stem, number = self.meaning.label, 1
        while f"{stem} {number}" in taken:
            number += 1
        return f"{stem} {number}"

    # opening

    def open(self, feature: Feature) -> None:
        """Opens a feature of the job in the card."""
        self._show(feature)
        self.card.say(effect_of(feature, self.document.job.lines, self.measures.length))
        self.redraw()

    def _open_chosen(self) -> None:
        """Opens the feature that was pointed at in a list before the tool was taken up."""
        chosen = self.document.selection.feature
        if chosen is not None and chosen in self.document.job.features:
            self.open(chosen)

    def keep(self) -> None:
        """Keeps what the card says of the feature that is open."""
        if self.opened is None:
            return
        try:
            instead = Feature(self.name.text().strip() or self.opened.name, self.meaning.key, self.opened.wkt,
                              with_facts(self.opened, self.meaning, self.facts.read()), self.opened.origin)
        except PlannerError as trouble:
            self.card.say(str(trouble), wrong=True)
            return
        if instead == self.opened or self.document.do(ChangeFeature(self.opened, instead)):
            self._show(None)
            means = effect_of(instead, self.document.job.lines, self.measures.length)
            self.card.say(f"{instead.name} is kept. {means}")

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
        near = [(shape.distance(here), feature, shape) for feature, shape in self._shapes]
        met = [one for one in near if one[0] <= self.reach_m]  # a tree in a paddock is what is meant, not the paddock
        best = min(met, key=lambda one: (shapely.get_dimensions(one[2]), one[2].area, one[0]), default=None)
        return best[1] if best is not None else None

    def click(self, event: QMouseEvent) -> None:
        """Sets a place; a point is marked at once."""
        self.hover(event)
        if self.opened is not None or self._at is None or (self.places and math.dist(self.places[-1], self._at) < 1e-3):
            return
        self.places.append(self._at)
        if self.shape == "point":
            self.finish()
        self.redraw()

    def double_click(self, event: QMouseEvent) -> bool:
        """Ends the mark."""
        self._pressed = None
        if self.opened is None and self.shape != "point":
            self.finish()
        return True

    def key_press(self, event: QKeyEvent) -> bool:
        """Enter ends or opens, Backspace takes a place back, Delete takes a feature away."""
        key = event.key()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.opened is not None:
                self.keep()
            elif not self.places and self._under is not None:
                self.open(self._under)
            else:
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
        """Marks it, through the places that were clicked, else those that were typed."""
        typed = self.typed.text().strip() if not self.places else ""
        if not typed and len(self.places) < LEAST[self.shape]:
            self.card.say(f"It needs {LEAST[self.shape]} places." if self.places else "", wrong=True)
            return
        try:
            job = self.document.job
            places = typed_places(typed, job.crs, allow_ballpark=job.settings.allow_ballpark) if typed else np.array(
                self.places, dtype=np.float64)
            feature = Feature(self.name.text().strip() or self._free_name(), self.meaning.key,
                              shape_through(places, self.shape).wkt, tuple(self.facts.read().items()),
                              "typed in" if typed else "drawn on the map")
        except PlannerError as trouble:
            self.card.say(str(trouble)[:1].upper() + str(trouble)[1:], wrong=True)
            if self.shape == "point":
                self.places = []
            return
        if self.document.do(AddFeature(feature)):
            self.places = []
            self.typed.clear()
            self._take_shapes()
            self.name.setText(self._free_name())
            self.card.say(f"{feature.name} is marked. "
                          f"{effect_of(feature, self.document.job.lines, self.measures.length)}")

    # drawing

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the mark so far and what lies under the pointer."""
        shown = [*self.places, *([self._at] if self._at is not None and self.places else [])]
        xy = np.array(shown).reshape(-1, 2)
        colour = theme.line(self.meaning.key)
        if self.opened is not None:
            for part in shapely.get_parts(shapely.from_wkt(self.opened.wkt)):
                edge = part.exterior if part.geom_type == "Polygon" else part
                polyline(painter, view, shapely.get_coordinates(edge), theme.accent, 3.0, casing=theme.ground)
                if part.geom_type == "Point":
                    handles(painter, view, shapely.get_coordinates(part), theme, chosen=0)
        if self.shape == "area" and len(xy) > 2:
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
            meaning = BY_KEY.get(self._under.meaning)
            read_out(painter, view, (x, y), [("Marked as", meaning.label if meaning else self._under.meaning)],
                     self.look, head=self._under.name)
        elif self.snap is not None:
            read_out(painter, view, (x, y), (), self.look, caught=self.snap)
