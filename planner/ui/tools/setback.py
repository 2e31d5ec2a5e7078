"""Set back: the cheapest fence that stays clear of water or vegetation, worked out while the fields change."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QMouseEvent, QPainter

from planner.errors import OutOfRange
from planner.job.edits.lines import free_name
from planner.job.touching import touching
from planner.progress import Progress
from planner.survey.feature_meanings import number_of, part_drawn
from planner.survey.features import Feature
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.view import MapView
from planner.ui.measures import count
from planner.ui.tools.card_tool import CardTool, number, refill
from planner.ui.tools.gesture_marks import handles, polyline, tag
from planner.ui.tools.new_line import all_lines, drawn, fence_choices, usual_fence
from planner.ui.tools.tool_card import Figure, ToolCard

if TYPE_CHECKING:
    from planner.alignment.setback_line import SetbackResult

BANKS = (("both", "both banks"), ("left", "left, looking downstream"), ("right", "right, looking downstream"),
         ("around", "all round"))
BASELINES = (("", "choose what was drawn"), ("centreline", "the centreline"), ("edge", "the water's edge"),
             ("bank-top", "the top of the bank"))
MEANINGS = ("water", "vegetation")
ALONE, TOUCHING = "", "touching"


class SetbackTool(CardTool):
    """Finds set-back lines."""

    title = "Set back"
    words = "Click on water or vegetation; Shift-click takes more along. Say what the set-back is counted from."
    apply_word = "Add the lines"
    cursor = Qt.CursorShape.PointingHandCursor

    def fill(self, card: ToolCard) -> None:
        """Its fields."""
        job = self.document.job
        self._by_hand: set[int] = set()
        self.of = card.choice("From", self._list_features())
        self.along = card.choice("Take along", ((ALONE, "only what is clicked"),), "",
                                 "Stretches of one creek that were drawn in pieces are fenced as one. Shift-click "
                                 "takes one along, or leaves it out.")
        self.baseline = card.choice("Drawn is", BASELINES, "", "What the set-back is counted from is asked: it moves "
                                    "the fence by the width of the water.")
        self.bank = card.choice("Fence", BANKS)
        self.distance = card.text("Set-back", self.measures.length(10.0, 0), "Least distance from it.")
        self.give = card.text("May give", self.measures.length(15.0, 0),
                              "How much farther away the fence may be, where that saves corners.")
        self.half = card.text("Half its width", self.measures.length(0.0, 0),
                              "From the drawn centreline to the edge the set-back is counted from.")
        closed = [("", "none")] + [(line.name, line.name) for line in job.lines if line.closed]
        self.paddock = card.choice("Stay inside", closed, closed[1][0] if len(closed) == 2 else "")
        self.corner_cost, self.metre_cost, self.land_cost = card.figures_row("Prices", (
            ("of a corner", "450", "What a corner costs. Common practice, no source: put your own price."),
            ("of a metre", "9", "What a metre of fence costs. Common practice, no source: put your own price."),
            ("of a hectare", "0", "What a hectare given up is worth.")))
        self.carries = card.choice("Carries", fence_choices(job), usual_fence(job))
        self.of.currentIndexChanged.connect(lambda _: self._another())
        self.along.currentIndexChanged.connect(lambda _: self._take_along())
        self._another()

    def _list_features(self) -> list[tuple[str, str]]:
        """What can be kept clear of, with its shapes."""
        self._job_features = self.document.job.features
        self._rows = [feature for feature in self._job_features if feature.meaning in MEANINGS]
        self._shapes = [shapely.from_wkt(feature.wkt) for feature in self._rows]
        return [(str(row), feature.name) for row, feature in enumerate(self._rows)]

    def job_changed(self, job: object) -> None:
        """The features may be others now, as after an undo."""
        super().job_changed(self.document.job)
        if self.document.job.features is not self._job_features:
            name = self.of.currentText()
            rows = self._list_features()
            refill(self.of, rows, next((key for key, called in rows if called == name), ""))
            self._another()
            self.work_out()

    def _another(self) -> None:
        """Another feature is chosen: nothing is taken along by hand, and what touches it is offered."""
        self._by_hand = set()
        row = self.of.currentIndex()
        self._near = frozenset(touching(self._shapes, row)) if row >= 0 else frozenset()
        offered = [(ALONE, "only what is clicked")]
        if self._near:
            offered.append((TOUCHING, f"the {len(self._near)} that touch" if len(self._near) > 1 else
                            f"{self._rows[min(self._near)].name}, which touches"))
        refill(self.along, offered)
        self.card.shows(self.along, bool(self._near))
        self._take_facts()

    def _take_along(self) -> None:
        """What is taken along is chosen anew; what was taken by hand goes with what was chosen before."""
        self._by_hand = set()
        self._take_facts()

    @property
    def taken(self) -> list[Feature]:
        """What is kept clear of: the one chosen, and what is taken along."""
        return [self._rows[row] for row in self._taken_rows()]

    def _taken_rows(self) -> list[int]:
        row = self.of.currentIndex()
        if row < 0:
            return []
        along = self._near if self.along.currentData() == TOUCHING else frozenset()
        return [row, *sorted((along ^ self._by_hand) - {row})]

    def _take_facts(self) -> None:
        """Takes what the features say of themselves: what was drawn where all say the same, and the widest of their
        widths; silence leaves the question."""
        taken = self.taken
        if not taken:
            return
        self.baseline.setCurrentIndex(max(self.baseline.findData(part_drawn(taken)), 0))
        widths = [width for feature in taken if (width := number_of(feature, "width")) is not None]
        if widths:
            self.half.setText(self.measures.length(max(widths) / 2.0))

    def hover(self, event: QMouseEvent) -> None:
        """Lights up what a click would take."""
        self.redraw()

    def click(self, event: QMouseEvent) -> None:
        """Takes the water or vegetation under the pointer; with Shift, takes it along or leaves it out."""
        off = shapely.distance(self._shapes, shapely.Point(*self.place(event)))
        if not len(off) or float(off.min()) > 2.0 * self.reach_m:
            return
        row = int(off.argmin())
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier and row != self.of.currentIndex():
            self._by_hand ^= {row}
            self._take_facts()
        else:
            self.of.setCurrentIndex(row)
        self.work_out()

    def question(self) -> Callable[[Progress], Any] | None:
        """The search that the fields ask for."""
        job = self.document.job
        self.card.shows(self.half, self.baseline.currentData() == "centreline")
        if not self.taken:
            raise OutOfRange("no water and no vegetation is marked",
                             remedy="mark it with the tool Feature, or import it")
        baseline = self.baseline.currentData()
        if not baseline:
            self.card.show_figures(())
            self.card.say("Say what was drawn: the set-back is counted from there.")
            return None
        line = next((line for line in job.lines if line.name == self.paddock.currentData()), None)
        wanted: dict[str, Any] = {
            "setback_m": self.length(self.distance, "set-back", least=0.1), "give_m": self.length(self.give, "give"),
            "bank": self.bank.currentData(), "baseline": baseline,
            "half_width_m": self.length(self.half, "half width") if baseline == "centreline" else 0.0,
            "corner_cost": number(self.corner_cost, "price of a corner"),
            "metre_cost": number(self.metre_cost, "price of a metre"),
            "land_cost_per_ha": number(self.land_cost, "value of a hectare"),
            "corner_deg": job.settings.corner_deg}
        shapes = [self._shapes[row] for row in self._taken_rows()]
        inside = line.xy if line is not None else None
        return lambda progress: _searched(shapes, inside, wanted, progress)

    def show_result(self) -> None:
        """The figures of the lines, beside those of following the edge."""
        result: SetbackResult = self.result
        m = self.measures
        figures: list[Figure] = [("", " | ".join(line.bank for line in result.lines))] if len(result.lines) > 1 else []
        found = [line.figures for line in result.lines]
        for label, values in (
                ("Length", [m.length(f.length_m, 0) for f in found]), ("Corners", [str(f.corners) for f in found]),
                ("Slight turns", [str(f.slight_turns) for f in found]),
                ("Nearest to it", [m.length(f.least_setback_m) for f in found]),
                ("Land given up", [m.area(f.given_up_m2) for f in found]),
                ("Cost", [f"{f.cost:,.0f}" for f in found]),
                ("Along the edge", [f"{f.saved:+,.0f}" if f.saved is not None else "–" for f in result.lines])):
            figures.append((label, " | ".join(values)))
        self.card.show_figures(figures)
        self.card.say("Along the edge: what the dashed line would cost more.")

    def apply(self) -> None:
        """Adds the lines."""
        result: SetbackResult | None = self.result
        if result is None:
            return
        job, (of, *others) = self.document.job, self.taken
        whole = of.name + (f" and {count(len(others), 'other')}" if others else "")
        edits = []
        for line in result.lines:
            name = free_name(f"{of.name} {line.bank} set-back", job)
            edit = drawn(name, self.carries.currentData(), line.xy, "traced", closed=line.closed,
                         origin=f"set-back of {result.setback_m:g} m from {whole}")
            job = edit.apply(job)
            edits.append(edit)
        if edits and self.document.do(all_lines(f"set back from {whole}", edits)):
            self.ended.emit()

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the lines found, over the edge that they keep clear of."""
        for row in self._taken_rows():
            for xy in _outlines(self._shapes[row]):
                soft = QColor(theme.accent)
                soft.setAlpha(90)
                polyline(painter, view, xy, soft, 8.0)
        if self.result is None:
            return
        result: SetbackResult = self.result
        for line in result.lines:
            if line.follow_xy is not None:
                polyline(painter, view, line.follow_xy, theme.faint, 1.4, dashed=True)
            polyline(painter, view, line.xy, theme.accent, 3.0, casing=theme.ground)
            handles(painter, view, line.xy, theme, size=6.0)
            share = 0.35 if line.bank == "left" else 0.65
            x, y = (float(v) for v in view.to_screen(*line.xy[int(len(line.xy) * share)]))
            tag(painter, x, y, f"{line.bank}: {self.measures.length(line.figures.length_m, 0)}", self.look)


def _searched(shapes: list[Any], inside: Any, wanted: dict[str, Any], progress: Progress) -> SetbackResult:
    from planner.alignment.setback_line import setback_line

    paddock = shapely.Polygon(inside) if inside is not None else None
    return setback_line(shapes, paddock=paddock, progress=progress, **wanted)


def _outlines(shape: Any) -> list[Any]:
    found = []
    for part in shapely.get_parts(shape):
        rings = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
        found += [np.asarray(shapely.get_coordinates(ring)) for ring in rings]
    return found
