"""Crossings: spans across water, hung and strained by themselves; proposed where a line meets water."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.geometry.lines import nearest_on, points_along
from planner.job.edits import AddCrossing, ChangeCrossing, RemoveCrossing
from planner.job.edits.edit import Edit
from planner.survey.features import Feature
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.view import MapView
from planner.ui.tools.gesture_marks import Row, polyline, tag
from planner.ui.tools.on_lines import OnLine, free_opening_name, nearest_line, span_on
from planner.ui.tools.openings import OpeningTool
from planner.units import Metre

USUAL_M, BANK_M, STEP_M = 20.0, 2.0, 1.0
"""Span where nothing tells the width of the water; clear of each bank; step of plus and minus. [m] Common practice."""
END_M = 1.0
"""A meeting nearer to a line's end than this is no crossing. [m]"""
SAME_WATER_M = 40.0
"""Meetings with one water nearer to each other than this are its two banks. [m]"""


@dataclass(frozen=True, slots=True)
class Proposed:
    """A crossing that a line seems to need.

    Attributes:
        line: Name of the line.
        at_m: Grid distance of its middle along the line. [m]
        x: East of it. [m]
        y: North of it. [m]
        span_m: Its span. [m]
        water: What is crossed.
        is_measured: True when the span comes from the banks; False when it is only the usual one.
    """

    line: str
    at_m: Metre
    x: Metre
    y: Metre
    span_m: Metre
    water: str
    is_measured: bool


def proposals(lines: Sequence[FenceLine], features: Sequence[Feature]) -> tuple[Proposed, ...]:
    """Crossings where fence lines meet water and have none yet.

    Water drawn as an area, or as two banks, gives its width along the line, and two metres are added on each side;
    water drawn as one line gives the usual span, which is a guess.

    Args:
        lines: Fence lines.
        features: What stands on the ground.
    """
    found: list[Proposed] = []
    waters = [(f, shapely.from_wkt(f.wkt)) for f in features if f.meaning == "water"]
    for line in lines:
        fence = shapely.LineString(line.xy)
        for feature, shape in waters:
            if shape.is_empty or not fence.intersects(shape):
                continue
            for low, high in _meetings(line, fence, shape):
                known = _known_width(feature)
                measured = high - low > 0.5 or known is not None
                span = max(high - low, known or 0.0) + 2.0 * BANK_M if measured else USUAL_M
                at = (low + high) / 2.0
                if not line.closed and (at < END_M or at > fence.length - END_M):
                    continue  # a line that ends at the water does not cross it
                x, y = (float(v) for v in points_along(line.xy, np.array([at]))[0])
                if not any(abs(nearest_on(line.xy, (c.x, c.y))[0] - at) <= max(c.span_m, span) / 2.0
                           for c in line.crossings):
                    found.append(Proposed(line.name, at, x, y, float(np.ceil(span)), feature.name, measured))
    return tuple(found)


def _meetings(line: FenceLine, fence: shapely.LineString, shape: shapely.Geometry) -> list[tuple[Metre, Metre]]:
    """Grid distances along a line between which it meets one water."""
    spans: list[tuple[Metre, Metre]] = []
    for part in shapely.get_parts(fence.intersection(shape)):
        at = [nearest_on(line.xy, (float(x), float(y)))[0] for x, y in shapely.get_coordinates(part)]
        spans.append((min(at), max(at)))
    joined: list[tuple[Metre, Metre]] = []
    for low, high in sorted(spans):
        if joined and low - joined[-1][1] <= SAME_WATER_M:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def _known_width(feature: Feature) -> Metre | None:
    for key, text in feature.attributes:
        if key.lower() in ("width", "width_m", "bank width"):
            try:
                return float(text)
            except ValueError:
                return None
    return None


class CrossingTool(OpeningTool):
    """Places crossings."""

    word, width_word = "crossing", "Span"

    def begin(self) -> None:
        """Takes the tool up, and looks where lines meet water."""
        self.width_m = USUAL_M
        self.proposed = proposals(self.document.job.lines, self.document.job.features)
        super().begin()

    def job_changed(self, job: object) -> None:
        """Lines or water may be others now."""
        super().job_changed(self.document.job)
        self.proposed = proposals(self.document.job.lines, self.document.job.features)
        self.say(self._hint())

    def _hint(self) -> str:
        hint = super()._hint()
        count = len(self.proposed)
        if not count:
            return hint
        where = "1 place" if count == 1 else f"{count} places"
        return f"{where} without one where a line meets water: click it, or A takes all. {hint}"

    def openings_of(self, line: FenceLine) -> tuple[Gate | Crossing, ...]:
        """The crossings on a line."""
        return line.crossings

    def width_of(self, opening: Gate | Crossing) -> Metre:
        """Span. [m]"""
        return opening.span_m if isinstance(opening, Crossing) else opening.width_m

    def adding(self, line: str, x: Metre, y: Metre) -> Edit:
        """Places a crossing under the next free name."""
        return AddCrossing(line, Crossing(free_opening_name(self.document.job.lines, "X"), x, y, self.width_m))

    def changing(self, line: str, opening: Gate | Crossing, *, x: Metre, y: Metre, width_m: Metre) -> Edit:
        """Moves a crossing or changes its span."""
        assert isinstance(opening, Crossing)
        return ChangeCrossing(line, opening.name, replace(opening, x=x, y=y, span_m=width_m))

    def removing(self, line: str, name: str) -> Edit:
        """Takes a crossing away."""
        return RemoveCrossing(line, name)

    def next_width(self, step: int) -> Metre:
        """A metre more or less. [m]"""
        return max(2.0, round(self.width_m) + step * STEP_M)

    def told(self, width_m: Metre) -> list[Row]:
        """The span, and where it comes from."""
        rows: list[Row] = [("Span", self.measures.length(width_m))]
        near = self._proposed_near()
        if near is not None:
            rows += [("Across", near.water),
                     ("Span from", "the banks, 2 m clear of each" if near.is_measured else "guessed: no bank is known")]
        return rows

    def _proposed_near(self) -> Proposed | None:
        if self.foot is None or self._dragged is not None:
            return None
        for one in self.proposed:
            if one.line == self.foot.line.name and abs(one.at_m - self.foot.at_m) <= max(one.span_m, self.reach_m * 2):
                return one
        return None

    def hover(self, event: QMouseEvent) -> None:
        """Takes the proposed place and span where the pointer is near one."""
        super().hover(event)
        near = self._proposed_near()
        if near is not None and self.foot is not None and not self.box.isVisible():
            self.foot = self._foot_of(near)
            self.width_m = near.span_m
            self.redraw()

    def click(self, event: QMouseEvent) -> None:
        """Places a crossing, at the proposed place where one is near."""
        self._look_under(*self.place(event))
        near = self._proposed_near()
        if near is not None:
            self.foot, self.width_m = self._foot_of(near), near.span_m
        self.put(self.foot)

    def _foot_of(self, one: Proposed) -> OnLine | None:
        line = next(line for line in self.document.job.lines if line.name == one.line)
        return nearest_line([line], one.x, one.y, np.inf)

    def key_press(self, event: QKeyEvent) -> bool:
        """A takes every proposal."""
        if event.key() == Qt.Key.Key_A and not event.modifiers() and self.proposed:
            self.take_all()
            return True
        return super().key_press(event)

    def take_all(self) -> None:
        """Places every proposed crossing as one step."""
        from planner.ui.tools.new_line import Together

        job, edits = self.document.job, []
        for one in self.proposed:
            edit = AddCrossing(one.line, Crossing(free_opening_name(job.lines, "X"), one.x, one.y, one.span_m))
            job = edit.apply(job)
            edits.append(edit)
        self.document.do(Together("place the proposed crossings", tuple(edits)))

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the proposals under the opening in hand."""
        near = self._proposed_near()
        for one in self.proposed:
            line = next((line for line in self.document.job.lines if line.name == one.line), None)
            if line is None or one is near:
                continue
            polyline(painter, view, span_on(line, one.at_m, one.span_m), theme.line("water"), 5.0, dashed=True,
                     casing=theme.ground)
            x, y = (float(v) for v in view.to_screen(one.x, one.y))
            about = "" if one.is_measured else "about "
            tag(painter, x, y, f"proposed: {about}{self.measures.length(one.span_m, 0)}", self.look)
        super().paint(painter, view, dirty, theme)
