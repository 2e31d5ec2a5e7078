"""Bearings: a line from typed bearings and distances, with what it fails to close by before it is added."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast

import numpy as np
from PySide6.QtCore import QRect
from PySide6.QtGui import QMouseEvent, QPainter
from PySide6.QtWidgets import QPlainTextEdit

from planner.errors import OutOfRange
from planner.findings import Finding
from planner.geometry.arrays import Floats
from planner.progress import Progress
from planner.survey.fixes import Accuracy
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.view import MapView
from planner.ui.document import Selection
from planner.ui.tools.card_tool import CardTool
from planner.ui.tools.gesture_marks import handles, polyline, tag
from planner.ui.tools.leg_reading import Place
from planner.ui.tools.new_line import ACCURACIES, drawn, fence_choices, next_name, usual_fence
from planner.ui.tools.tool_card import Figure, ToolCard

if TYPE_CHECKING:
    from planner.survey.traverse import TraverseResult

UNITS = (("m", "metres"), ("ft", "feet"), ("chain", "chains"))
CLOSES = (("", "found out"), ("start", "closes on its start"), ("none", "stays open"))
EXAMPLE = "90°00'00\", 120.5\n180 00 00, 80\nS 45 E, 12c 34l"


@dataclass(frozen=True)
class Run:
    """A traverse, and the line it gives.

    Attributes:
        result: The traverse.
        xy: Corners of the line. [m] Shape (n, 2).
        closed: True when it is a ring.
        findings: What was assumed about its rows.
    """

    result: TraverseResult
    xy: Floats
    closed: bool
    findings: tuple[Finding, ...]


class BearingsTool(CardTool):
    """Makes a line of typed legs."""

    title = "Bearings and distances"
    words = "Click where it starts, and type a leg a row: bearing, distance. Grid bearings, grid distances."
    apply_word = "Add the line"

    def fill(self, card: ToolCard) -> None:
        """Its fields."""
        job = self.document.job
        self._start_at: Place | None = None
        self.legs = QPlainTextEdit(card)
        self.legs.setAccessibleName("Legs")
        self.legs.setPlaceholderText(EXAMPLE)
        self.legs.setFixedHeight(round(112 * self.look.scale))
        self.legs.setTabChangesFocus(True)
        self.legs.textChanged.connect(card.wait_a_moment)
        card.form.addRow(self.legs)
        self.unit = card.choice("Bare figures", UNITS, "chain" if self.measures.system == "chains" else
                                "ft" if self.measures.system == "imperial" else "m")
        self.close = card.choice("Its end", CLOSES)
        self.adjust = card.choice("Misclose", (("", "is left"), ("share", "is shared out")),
                                  "", "Compass rule: shared out among the legs by their length.")
        self.name = card.text("Name", next_name(job))
        self.carries = card.choice("Fence", fence_choices(job), usual_fence(job))
        self.accuracy = card.choice("Corners", list(ACCURACIES), "unknown")

    def click(self, event: QMouseEvent) -> None:
        """Sets the start."""
        x, y = self.place(event)
        snap = self.caught(x, y)
        self._start_at = (snap.x, snap.y) if snap is not None else (x, y)
        self.work_out()
        if not self.legs.toPlainText():
            self.legs.setFocus()

    def question(self) -> Callable[[Progress], Any] | None:
        """The traverse of the rows that can be read."""
        from planner.survey.traverse_legs import parse_legs

        text = self.legs.toPlainText()
        if self._start_at is None or not text.strip():
            self.card.show_figures(())
            self.card.say("" if self._start_at is not None else "No start yet.")
            return None
        table = parse_legs(text, unit=self.unit.currentData())
        bad = [f for f in table.findings if f.severity == "error"]
        if bad:
            where = f"row {bad[0].place.row}: " if bad[0].place.row else ""
            raise OutOfRange(f"{where}{bad[0].message.rstrip('.')}", remedy="mend it; a leg that is missing moves all "
                             "that follow")
        start, closes, adjust = self._start_at, self.close.currentData(), bool(self.adjust.currentData())
        return lambda _: _run(table.legs, start, closes, adjust, table.findings)

    def show_result(self) -> None:
        """Length, misclose, area, and the leg that may be wrong."""
        run: Run = self.result
        result, m = run.result, self.measures
        figures: list[Figure] = [("Legs", str(len(result.legs))), ("Length", m.length(result.perimeter_m, 2))]
        if result.misclose_m is None:
            figures.append(("Misclose", "open: nothing checks it"))
        else:
            share = "" if not result.misclose_m else f", 1 : {result.accuracy:,.0f}"
            figures.append(("Misclose", f"{m.length(result.misclose_m, 3)}{share}"))
        if result.area_m2 is not None:
            figures.append(("Area", m.area(result.area_m2)))
        self.card.show_figures(figures)
        said = [f.message for f in run.findings] + [suspect.message for suspect in result.suspects[:2]]
        if result.misclose_m is not None and not run.closed:
            said.insert(0, "It does not close well enough to be a ring, so it is left open.")
        if result.hidden:
            said.insert(0, result.hidden)
        self.card.say(" ".join(said))

    def apply(self) -> None:
        """Adds the line."""
        run: Run | None = self.result
        if run is None:
            return
        accuracy = cast("Accuracy", self.accuracy.currentData())
        name = self.name.text().strip() or next_name(self.document.job)
        edit = drawn(name, self.carries.currentData(), run.xy, accuracy, closed=run.closed,
                     origin="bearings and distances, transcribed, not a survey", noticed=run.findings)
        if self.document.do(edit):
            self.document.select(Selection(self.document.job.lines[-1].name))
            self.ended.emit()

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the legs, and the gap where it fails to close."""
        if self._start_at is not None:
            handles(painter, view, np.array([self._start_at]), theme, chosen=0)
        if self.result is None:
            return
        run: Run = self.result
        polyline(painter, view, run.xy, theme.accent, 2.8, casing=theme.ground)
        handles(painter, view, run.result.stations, theme, size=6.0)
        if run.result.misclose_m and not run.closed and run.result.misclose_m > 0.05:
            gap = run.result.stations[[-1, 0]]
            polyline(painter, view, gap, self.look.wrong, 1.8, dashed=True)
            x, y = (float(v) for v in view.to_screen(*gap.mean(axis=0)))
            tag(painter, x, y, f"misclose {self.measures.length(run.result.misclose_m, 2)}", self.look)


def _run(legs: Any, start: Place, closes: str, adjust: bool, findings: tuple[Finding, ...]) -> Run:
    from planner.survey.traverse import closes_on_start, traverse
    from planner.survey.traverse_suspects import GROSS_ACCURACY

    result = traverse(legs, start=start, close_on=None if closes == "none" else "start")
    if closes == "" and not closes_on_start(result):
        result = traverse(legs, start=start, close_on=None)
    if adjust and result.misclose_m is not None:
        result = traverse(legs, start=start, close_on="start", adjust=True)
    is_ring = result.area_m2 is not None and (result.adjusted or (result.accuracy or 0.0) >= GROSS_ACCURACY)
    xy = result.corners
    if is_ring and len(xy) > 3:
        xy = np.concatenate((xy[:-1], xy[:1]))
    return Run(result, np.asarray(xy), is_ring and len(xy) > 3, findings)
