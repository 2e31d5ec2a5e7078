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
from planner.progress import Progress
from planner.survey.feature_meanings import choice_of, number_of
from planner.survey.features import Feature
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.view import MapView
from planner.ui.tools.card_tool import CardTool, number
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


class SetbackTool(CardTool):
    """Finds set-back lines."""

    title = "Set back"
    words = "Click on water or vegetation, and say what the set-back is counted from."
    apply_word = "Add the lines"
    cursor = Qt.CursorShape.PointingHandCursor

    def fill(self, card: ToolCard) -> None:
        """Its fields."""
        job = self.document.job
        names = [(str(i), f.name) for i, f in enumerate(job.features) if f.meaning in MEANINGS]
        self.of = card.choice("From", names)
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
        self.of.currentIndexChanged.connect(lambda _: self._take_facts())
        self._take_facts()

    def _take_facts(self) -> None:
        """Takes what the feature says of itself: what was drawn, and how wide it is; silence leaves the question."""
        if self.of.currentIndex() < 0:
            return
        feature = self._feature(self.of.currentIndex())
        part = choice_of(feature, "part").replace(" ", "-") if feature.fact("part") else ""
        self.baseline.setCurrentIndex(max(self.baseline.findData(part), 0))
        width = number_of(feature, "width")
        if width is not None:
            self.half.setText(self.measures.length(width / 2.0))

    def hover(self, event: QMouseEvent) -> None:
        """Lights up what a click would take."""
        self.redraw()

    def click(self, event: QMouseEvent) -> None:
        """Takes the water or vegetation under the pointer."""
        here = shapely.Point(*self.place(event))
        best: tuple[float, int] | None = None
        for row in range(self.of.count()):
            off = shapely.from_wkt(self._feature(row).wkt).distance(here)
            if off <= 2.0 * self.reach_m and (best is None or off < best[0]):
                best = off, row
        if best is not None:
            self.of.setCurrentIndex(best[1])
            self.work_out()

    def _feature(self, row: int) -> Feature:
        return self.document.job.features[int(self.of.itemData(row))]

    def question(self) -> Callable[[Progress], Any] | None:
        """The search that the fields ask for."""
        job = self.document.job
        self.card.shows(self.half, self.baseline.currentData() == "centreline")
        if self.of.currentData() is None:
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
        wkt = self._feature(self.of.currentIndex()).wkt
        inside = line.xy if line is not None else None
        return lambda progress: _searched(wkt, inside, wanted, progress)

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
        job, of = self.document.job, self._feature(self.of.currentIndex())
        edits = []
        for line in result.lines:
            name = free_name(f"{of.name} {line.bank} set-back", job)
            edit = drawn(name, self.carries.currentData(), line.xy, "traced", closed=line.closed,
                         origin=f"set-back of {result.setback_m:g} m from {of.name}")
            job = edit.apply(job)
            edits.append(edit)
        if edits and self.document.do(all_lines(f"set back from {of.name}", edits)):
            self.ended.emit()

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the lines found, over the edge that they keep clear of."""
        if self.of.currentData() is not None:
            for xy in _outlines(self._feature(self.of.currentIndex())):
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


def _searched(wkt: str, inside: Any, wanted: dict[str, Any], progress: Progress) -> SetbackResult:
    from planner.alignment.setback_line import setback_line

    paddock = shapely.Polygon(inside) if inside is not None else None
    return setback_line([shapely.from_wkt(wkt)], paddock=paddock, progress=progress, **wanted)


def _outlines(feature: Feature) -> list[Any]:
    shape = shapely.from_wkt(feature.wkt)
    found = []
    for part in shapely.get_parts(shape):
        rings = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
        found += [np.asarray(shapely.get_coordinates(ring)) for ring in rings]
    return found
