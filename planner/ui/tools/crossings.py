"""Crossings: spans across water, hung and strained by themselves; proposed where a line meets water."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.job.edits import AddCrossing, ChangeCrossing, RemoveCrossing
from planner.job.edits.edit import Edit
from planner.surroundings.crossing_places import USUAL_M, Proposed, crossing_of, proposals
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.view import MapView
from planner.ui.tools.gesture_marks import Row, polyline, tag
from planner.ui.tools.on_lines import OnLine, free_opening_name, nearest_line, span_on
from planner.ui.tools.openings import OpeningTool
from planner.units import Metre

STEP_M = 1.0
"""Step of plus and minus. [m]"""


class CrossingTool(OpeningTool):
    """Places crossings."""

    word, width_word = "crossing", "Span"

    def begin(self) -> None:
        """Takes the tool up, and looks where lines meet water."""
        self.width_m = USUAL_M
        self.proposed = self._look()
        super().begin()

    def job_changed(self, job: object) -> None:
        """Lines or water may be others now."""
        super().job_changed(self.document.job)
        self.proposed = self._look()
        self.say(self._hint())

    def _look(self) -> tuple[Proposed, ...]:
        plan, job = self.document.plan, self.document.job
        return proposals(job.lines, job.features, {p.line.name: p.ground for p in plan.lines} if plan else None)

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
        name = free_opening_name(self.document.job.lines, "X")
        for one in self.proposed:
            if one.line == line and np.hypot(one.x - x, one.y - y) < 0.01:
                return AddCrossing(line, replace(crossing_of(one, name), x=x, y=y, span_m=self.width_m))
        return AddCrossing(line, Crossing(name, x, y, self.width_m))

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
            if near.depth_m is not None:
                rows.append(("Bed below the banks", self.measures.length(near.depth_m)))
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
            edit = AddCrossing(one.line, crossing_of(one, free_opening_name(job.lines, "X")))
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
