"""Straighten: the fewest corners within a tolerance of a traced line, or the straights behind a walked one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QMouseEvent, QPainter

from planner.alignment.line import FenceLine
from planner.errors import OutOfRange
from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages, repeated
from planner.job.edits.edit import on_line
from planner.job.edits.lines import with_openings_carried
from planner.job.job import Job
from planner.progress import Progress
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.view import MapView
from planner.ui.document import Selection
from planner.ui.tools.card_tool import CardTool
from planner.ui.tools.gesture_marks import handles, polyline
from planner.ui.tools.on_lines import nearest_line
from planner.ui.tools.tool_card import Figure, ToolCard

WAYS = (("straighten", "traced: fewest corners"), ("fit", "walked: straights behind it"))


@dataclass(frozen=True)
class ThroughCorners:
    """Puts a line through other corners.

    Attributes:
        name: Name of the line.
        xy: Corners. [m] Shape (n, 2).
        what: What was done, as a verb.
    """

    name: str
    xy: Floats
    what: str

    @property
    def label(self) -> str:
        """What to call it in the undo list."""
        return f"{self.what} {self.name}"

    def apply(self, job: Job) -> Job:
        """The job with the line through them."""
        closed = len(self.xy) > 3 and bool((self.xy[0] == self.xy[-1]).all())
        return on_line(job, self.name, lambda line: replace(with_openings_carried(line, self.xy),
                                                               closed=closed))


@dataclass(frozen=True)
class Found:
    """Corners that were found, and what is said of them.

    Attributes:
        xy: Corners. [m] Shape (n, 2).
        figures: Figures for the card.
        note: What is said under them.
    """

    xy: Floats
    figures: tuple[Figure, ...]
    note: str = ""


class StraightTool(CardTool):
    """Straightens lines and fits walks."""

    title = "Straighten"
    words = "Click on the line that wanders."
    apply_word = "Straighten it"
    cursor = Qt.CursorShape.PointingHandCursor

    def fill(self, card: ToolCard) -> None:
        """Its fields."""
        job = self.document.job
        chosen = self.document.selection.line
        self.line = card.choice("Line", [(line.name, line.name) for line in job.lines], chosen)
        self.way = card.choice("It was", WAYS)
        self.tolerance = card.text("Stay within", self.measures.length(3.0, 0),
                                   "Greatest distance from the line as it is; empty for a walk takes the likeliest.")

    def click(self, event: QMouseEvent) -> None:
        """Takes the line under the pointer."""
        found = nearest_line(self.document.job.lines, *self.place(event), 2.0 * self.reach_m)
        if found is not None:
            self.line.setCurrentIndex(self.line.findData(found.line.name))
            self.document.select(Selection(found.line.name))
            self.work_out()

    def _chosen(self) -> FenceLine:
        name = self.line.currentData()
        found = next((line for line in self.document.job.lines if line.name == name), None)
        if found is None:
            raise OutOfRange("there is no line in the job", remedy="draw or import one")
        return found

    def question(self) -> Callable[[Progress], Any] | None:
        """The corners that the fields ask for."""
        line, way, m = self._chosen(), self.way.currentData(), self.measures
        typed = self.tolerance.text().strip()
        if way == "fit":
            tolerance = self.length(self.tolerance, "tolerance", least=0.01) if typed else None
            return lambda _: _fitted(line.xy, line.closed, tolerance, m.length)
        within = self.length(self.tolerance, "tolerance")
        return lambda _: _straightened(line.xy, within, m.length)

    def show_result(self) -> None:
        """How many corners fewer, how much longer, how far off."""
        found: Found = self.result
        self.card.show_figures(found.figures)
        self.card.say(found.note)
        self.card.may_apply(len(found.xy) >= 2 and not np.array_equal(found.xy, self._chosen().xy))

    def apply(self) -> None:
        """Puts the line through the corners found."""
        found: Found | None = self.result
        if found is None:
            return
        verb = "fit" if self.way.currentData() == "fit" else "straighten"
        if self.document.do(ThroughCorners(self._chosen().name, found.xy, verb)):
            self.ended.emit()

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the line as it would be over the line as it is."""
        if self.result is not None:
            found: Found = self.result
            polyline(painter, view, self._chosen().xy, theme.faint, 1.4, dashed=True)
            polyline(painter, view, found.xy, theme.accent, 2.8)  # a casing would cut the signs under it apart
            handles(painter, view, found.xy, theme, size=7.0)


def _straightened(xy: Floats, tolerance: float, length: Callable[[float], str]) -> Found:
    from planner.alignment.straighten import straighten

    found = straighten(xy, tolerance_m=tolerance)
    added = found.metres_added
    return Found(found.xy, (
        ("Corners", f"{_count(xy)} to {_count(found.xy)}"),
        ("Length", f"{length(abs(added))} {'longer' if added > 0 else 'shorter'}"),
        ("Greatest shift", length(found.greatest_shift_m))),
        "" if found.corners_saved else "No corner can be saved within that distance.")


def _fitted(xy: Floats, closed: bool, tolerance: float | None, length: Callable[[float], str]) -> Found:
    from planner.survey.track_fit import fit_track

    fit = fit_track(xy, closed=closed or None, tolerance_m=tolerance)
    corners = np.asarray(fit.corners[~repeated(fit.corners, within=0.001)])
    before = float(chainages(xy)[-1])
    removed = sum(part.count for part in fit.removed)
    return Found(corners, (
        ("Corners", f"{_count(xy)} to {_count(corners)}"),
        ("Length", f"{length(before)} to {length(fit.fitted_length_m)}"),
        ("known to", f"± {length(fit.fitted_length_sd_m)}"), ("Noise of a fix", length(fit.noise_m)),
        ("Fixes left out", str(removed))), "; ".join(part.text for part in fit.removed[:3]))


def _count(xy: Floats) -> int:
    """Number of corners; the last of a ring is its first."""
    return len(xy) - (1 if len(xy) > 3 and bool((xy[0] == xy[-1]).all()) else 0)
