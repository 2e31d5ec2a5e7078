"""What the map shows, and how a rectangle of it is drawn step by step, so that no step keeps a person waiting."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from time import perf_counter
from typing import NamedTuple, cast

import numpy as np
import shiboken6
from PySide6.QtCore import QLineF, QRect, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPixmap

from planner.geometry.arrays import Floats
from planner.ui.canvas.colours import LIGHT, MapColours
from planner.ui.canvas.protocols import Backdrop, Frame
from planner.ui.canvas.pyramid import Level, Pyramid

BATCH = 6144
"""Segments handed to the painter at once: about a millisecond's work."""
_scratch = np.empty((BATCH, 4))
_lines = cast(QLineF, shiboken6.wrapInstance(_scratch.ctypes.data, QLineF))


@dataclass
class Pace:
    """How long one segment has taken to draw of late. [s]"""

    per_segment: float = 150e-9

    def note(self, segments: int, seconds: float) -> None:
        """Takes in one measurement."""
        if segments > 2000:
            self.per_segment += 0.3 * (seconds / segments - self.per_segment)


class Step(NamedTuple):
    """One step of drawing: a batch of segments, a backdrop, or, with neither, the paper.

    Attributes:
        pyramid: Whose segments.
        level: The level they are taken from.
        start: First segment.
        stop: One past the last.
        backdrop: The backdrop to draw.
    """

    pyramid: Pyramid | None = None
    level: Level | None = None
    start: int = 0
    stop: int = 0
    backdrop: Backdrop | None = None


class Scene:
    """Backdrops and layers in the order they are drawn, and their colours."""

    def __init__(self, theme: MapColours = LIGHT) -> None:
        self.theme = theme
        self.pyramids: tuple[Pyramid, ...] = ()
        self.backdrops: tuple[Backdrop, ...] = ()
        self.pace = Pace()

    def seconds_for(self, frame: Frame, rects: Sequence[QRect]) -> float:
        """How long some rectangles of a frame will take to draw. [s]"""
        paper = sum(r.width() * r.height() for r in rects) * 1.2e-9 * (1 + 2 * len(self.backdrops))
        segments = sum(step.stop - step.start for rect in rects for step in self._strokes(frame, rect))
        return paper + self.pace.per_segment * segments

    def steps(self, frame: Frame, rect: QRect) -> list[Step]:
        """The steps in which a rectangle of a frame is drawn: paper, backdrops, then lines a batch at a time."""
        return [Step(), *(Step(backdrop=backdrop) for backdrop in self.backdrops), *self._strokes(frame, rect)]

    def _strokes(self, frame: Frame, rect: QRect) -> Iterator[Step]:
        west, south, east, north = frame.bounds(rect.adjusted(-2, -2, 2, 2))
        for pyramid in self.pyramids:
            level = pyramid.level_for(frame.units_per_px)
            x, y = pyramid.layer.origin
            if level is not None:
                for a, b in level.in_sight(west - x, south - y, east - x, north - y):
                    for start in range(a, b, BATCH):
                        yield Step(pyramid, level, start, min(start + BATCH, b))

    def draw(self, painter: QPainter, frame: Frame, rect: QRect, step: Step, before: Step | None) -> None:
        """Draws one step; the painter is clipped to the rectangle, and has the pen of the step before it."""
        if step.pyramid is None or step.level is None:
            if step.backdrop is None:
                painter.fillRect(rect, QColor(self.theme.ground))
            else:
                step.backdrop.draw(painter, frame, rect, self.theme)
            return
        if before is None or before.pyramid is not step.pyramid:
            painter.setPen(self._pen(step.pyramid))
        x, y = step.pyramid.layer.origin
        part = step.level.segments[step.start:step.stop]
        ready = _scratch[:len(part)]
        np.multiply(part, np.array([1.0, -1.0, 1.0, -1.0]) / frame.units_per_px, out=ready)
        ready += np.array([x - frame.left, frame.top - y] * 2) / frame.units_per_px
        painter.drawLines(_lines, _only_in(ready, rect))

    def _pen(self, pyramid: Pyramid) -> QPen:
        pen = QPen(self.theme.line(pyramid.layer.role), pyramid.layer.width_px)
        pen.setCosmetic(True)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap if pyramid.layer.width_px <= 1.0 else Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.BevelJoin)
        return pen


class Drawing:
    """Rectangles of one frame being drawn into a pixmap, a slice at a time.

    Args:
        scene: What to draw.
        target: Where.
        frame: The ground under the pixmap.
        rects: Rectangles of the pixmap, in the order they are wanted.
    """

    def __init__(self, scene: Scene, target: QPixmap, frame: Frame, rects: Sequence[QRect]) -> None:
        self.target, self.frame = target, frame
        self.finished: list[QRect] = []
        self._scene, self._waiting = scene, deque(rects)
        self._rect: QRect | None = None
        self._steps: deque[Step] = deque()

    @property
    def is_done(self) -> bool:
        """True when nothing is left to draw."""
        return self._rect is None and not self._waiting

    def run(self, seconds: float) -> bool:
        """Draws until the time is over. True when everything is drawn. [s]"""
        painter = QPainter(self.target)
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.SmoothPixmapTransform)
        started = perf_counter()
        drawing, segments, before = 0.0, 0, None
        while not self.is_done and perf_counter() - started < seconds:
            if self._rect is None:
                self._rect = self._waiting.popleft()
                self._steps = deque(self._scene.steps(self.frame, self._rect))
                painter.setClipRect(self._rect)
            elif before is None:
                painter.setClipRect(self._rect)
            step = self._steps.popleft()
            begun = perf_counter()
            self._scene.draw(painter, self.frame, self._rect, step, before)
            if step.level is not None:
                drawing, segments = drawing + perf_counter() - begun, segments + step.stop - step.start
            before = step
            if not self._steps:
                self.finished.append(self._rect)
                self._rect = None
        painter.end()
        self._scene.pace.note(segments, drawing)
        return self.is_done


def _only_in(lines: Floats, rect: QRect) -> int:
    """Moves the lines that may touch a rectangle to the front and gives their number."""
    x1, y1, x2, y2 = lines.T
    out = (np.maximum(x1, x2) < rect.left() - 1) | (np.minimum(x1, x2) > rect.right() + 2)
    out |= (np.maximum(y1, y2) < rect.top() - 1) | (np.minimum(y1, y2) > rect.bottom() + 2)
    kept = np.flatnonzero(~out)
    if len(kept) < len(lines):
        lines[:len(kept)] = lines[kept]
    return len(kept)
