"""What placing gates and crossings have in common: they are shown on the line, placed, dragged, widened, removed."""

from __future__ import annotations

from abc import abstractmethod

import numpy as np
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.errors import OutOfRange
from planner.geometry.lines import chainages
from planner.job.edits.edit import Edit
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.view import MapView
from planner.ui.document import Document, Selection
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.tools.gesture_marks import Row, polyline, read_out
from planner.ui.tools.leg_reading import LegMeter
from planner.ui.tools.map_tool import CLICK_PX, MapTool
from planner.ui.tools.on_lines import OnLine, nearest_line, span_on
from planner.ui.tools.typed_boxes import TypedBoxes
from planner.units import Metre

FAR_PX = 26.0
"""How near to a line the pointer must be. [px]"""
LEAST_M, MOST_M = 0.6, 400.0


class OpeningTool(MapTool):
    """Places openings of one kind.

    Attributes:
        width_m: Width of the next one. [m]
        held: Line and name of the one in hand.
    """

    word = ""
    width_word = ""

    def __init__(self, document: Document, canvas: MapCanvas, measures: Measures, look: Theme) -> None:
        super().__init__(document, canvas, measures, look)
        self.width_m: Metre = 4.2
        self.held: tuple[str, str] | None = None
        self.foot: OnLine | None = None
        self._over: tuple[FenceLine, Gate | Crossing] | None = None
        self._dragged: tuple[FenceLine, Gate | Crossing] | None = None
        self._has_moved = False
        self._meter = LegMeter("", ())

    # what kinds differ in

    @abstractmethod
    def openings_of(self, line: FenceLine) -> tuple[Gate | Crossing, ...]:
        """Those of its kind on a line."""

    @abstractmethod
    def width_of(self, opening: Gate | Crossing) -> Metre:
        """Width of one. [m]"""

    @abstractmethod
    def adding(self, line: str, x: Metre, y: Metre) -> Edit:
        """The edit that places one."""

    @abstractmethod
    def changing(self, line: str, opening: Gate | Crossing, *, x: Metre, y: Metre, width_m: Metre) -> Edit:
        """The edit that moves or widens one."""

    @abstractmethod
    def removing(self, line: str, name: str) -> Edit:
        """The edit that takes one away."""

    @abstractmethod
    def next_width(self, step: int) -> Metre:
        """The next usual width above or below the one in hand. [m]"""

    @abstractmethod
    def told(self, width_m: Metre) -> list[Row]:
        """What is said of one of some width."""

    # taken up and put down

    def begin(self) -> None:
        """Takes the tool up."""
        super().begin()
        self._meter = LegMeter(self.document.job.crs, ())
        self.box = TypedBoxes((self.width_word,), (self._read_width,), self.look, self.canvas)
        self.box.changed.connect(self._width_typed)
        self.box.placed.connect(self._typed_enter)
        self.box.left.connect(self.redraw)
        self.say(self._hint())

    def end(self) -> None:
        """Puts the tool down."""
        super().end()
        self.box.hide()
        self.box.deleteLater()

    def give_up(self) -> bool:
        """Puts back what is dragged, or lets go of what is in hand."""
        had = self._dragged is not None or self.held is not None
        if self._dragged is not None:
            self.document.end_preview()
        self._dragged, self.held, self._pressed = None, None, None
        return had

    def job_changed(self, job: object) -> None:
        """The lines may be others now."""
        super().job_changed(self.document.job)
        self.foot = self._over = None

    def _hint(self) -> str:
        return (f"Click on a line to place a {self.word}; plus, minus or figures change its {self.width_word.lower()}. "
                "Drag moves one, Delete removes it.")

    def _read_width(self, text: str) -> float:
        width = self.measures.parse_length(text)
        if not LEAST_M <= width <= MOST_M:
            raise OutOfRange(f"{self.measures.length(width)} is no {self.width_word.lower()} of a {self.word}",
                             remedy=f"type one from {LEAST_M:g} to {MOST_M:g} m")
        return width

    # the pointer

    def hover(self, event: QMouseEvent) -> None:
        """Shows the opening where a click would place it."""
        assert self.pointer is not None
        self._look_under(*self.pointer)
        if self.foot is not None:
            self.document.point_at(self.foot.line.name, self._chainage(self.foot))
        if self.box.isVisible():
            self.box.follow(event.position().x(), event.position().y(), (self.measures.length(self.width_m),))
        self.redraw()

    def _look_under(self, x: Metre, y: Metre) -> None:
        lines = self.document.job.lines
        self._over = self._opening_at(x, y)
        self.foot = nearest_line(lines, x, y, FAR_PX * self.canvas.view.units_per_px)
        if self.foot is not None:
            near = self.caught(self.foot.x, self.foot.y)
            if near is not None and near.kind in ("fix", "intersection"):
                snapped = nearest_line([self.foot.line], near.x, near.y, 3.0 * self.reach_m)
                self.foot = snapped or self.foot

    def _opening_at(self, x: Metre, y: Metre) -> tuple[FenceLine, Gate | Crossing] | None:
        best = None
        for line in self.document.job.lines:
            for opening in self.openings_of(line):
                off = float(np.hypot(opening.x - x, opening.y - y))
                reach = max(self.reach_m, min(self.width_of(opening) / 2.0, 4.0 * self.reach_m))
                if off <= reach and (best is None or off < best[0]):
                    best = off, line, opening
        return None if best is None else (best[1], best[2])

    def mouse_press(self, event: QMouseEvent) -> bool:
        """Takes hold of one that stands there."""
        if event.button() == Qt.MouseButton.LeftButton:
            found = self._opening_at(*self.place(event))
            if found is not None:
                self._dragged, self._has_moved, self._pressed = found, False, event.position()
                self.held = (found[0].name, found[1].name)
                self.width_m = self.width_of(found[1])
                return True
        return super().mouse_press(event)

    def mouse_move(self, event: QMouseEvent) -> bool:
        """Moves the one that is held along its line."""
        if self._dragged is None or self._pressed is None:
            return super().mouse_move(event)
        if not self._has_moved and (event.position() - self._pressed).manhattanLength() <= CLICK_PX:
            return True
        self._has_moved = True
        line = self._dragged[0]
        self.foot = nearest_line([line], *self.place(event), np.inf)
        if self.foot is not None:
            self.document.preview(self._moved(), line.name)
            self.document.point_at(line.name, self._chainage(self.foot))
        self.redraw()
        return True

    def _moved(self) -> Edit:
        assert self._dragged is not None
        assert self.foot is not None
        line, opening = self._dragged
        return self.changing(line.name, opening, x=self.foot.x, y=self.foot.y, width_m=self.width_of(opening))

    def mouse_release(self, event: QMouseEvent) -> bool:
        """Puts the held one down: one edit."""
        if self._dragged is None:
            return super().mouse_release(event)
        edit = self._moved() if self._has_moved and self.foot is not None else None
        self._dragged, self._pressed = None, None
        if edit is not None and not self.document.do(edit):
            self.document.end_preview()
        self.redraw()
        return True

    def click(self, event: QMouseEvent) -> None:
        """Places one where the pointer stands on a line."""
        self._look_under(*self.place(event))
        self.put(self.foot)

    def put(self, foot: OnLine | None) -> None:
        """Places one on a line; nothing where no line is near."""
        if foot is None:
            self.say(f"There is no fence line there. {self._hint()}")
            return
        edit = self.adding(foot.line.name, foot.x, foot.y)
        if self.document.do(edit):
            line = next(line for line in self.document.job.lines if line.name == foot.line.name)
            self.held = (line.name, self.openings_of(line)[-1].name)
            self.document.select(Selection(line.name))
        self.box.clear()
        self.box.hide()

    # keys

    def key_press(self, event: QKeyEvent) -> bool:
        """Plus and minus go through the usual widths, figures are typed, Delete removes, Enter places."""
        key = event.key()
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus, Qt.Key.Key_Underscore):
            self.set_width(self.next_width(1 if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal) else -1))
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self._remove()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.put(self.foot)
        elif event.text() and event.text() in "0123456789." and self.box.take_key(event):
            return True
        else:
            return super().key_press(event)
        self.redraw()
        return True

    def tab(self, backwards: bool) -> bool:
        """Tab goes into the box."""
        if self.foot is None and self.held is None:
            return False
        self.box.enter(0)
        return True

    def set_width(self, width_m: Metre) -> None:
        """Gives the next one, or the one in hand, another width. [m]"""
        self.width_m = width_m
        found = self._in_hand()
        if found is not None:
            line, opening = found
            self.document.do(self.changing(line.name, opening, x=opening.x, y=opening.y, width_m=width_m))

    def _width_typed(self) -> None:
        width = self.box.value(0)
        if width is not None and self._in_hand() is None:
            self.width_m = width
            self.redraw()

    def _typed_enter(self) -> None:
        width = self.box.value(0)
        if width is not None:
            self.set_width(width)
        self.box.clear()
        self.box.hide()
        self.canvas.setFocus()
        self.redraw()

    def _in_hand(self) -> tuple[FenceLine, Gate | Crossing] | None:
        if self.held is None:
            return None
        line = next((line for line in self.document.job.lines if line.name == self.held[0]), None)
        found = [opening for opening in self.openings_of(line) if opening.name == self.held[1]] if line else []
        return (line, found[0]) if line is not None and found else None

    def _remove(self) -> None:
        target = self._in_hand() or self._over
        if target is not None:
            self.document.do(self.removing(target[0].name, target[1].name))
            self.held = None

    # drawing

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the opening on its line, with its figures."""
        found = self._in_hand()
        if found is not None and self._dragged is None:
            line, opening = found
            at = nearest_line([line], opening.x, opening.y, np.inf)
            if at is not None:
                polyline(painter, view, span_on(line, at.at_m, self.width_of(opening)), theme.accent, 5.0,
                         casing=theme.ground)
        foot = self.foot
        if foot is None or (self._over is not None and self._dragged is None):
            if self._over is not None:
                line, opening = self._over
                x, y = (float(v) for v in view.to_screen(opening.x, opening.y))
                read_out(painter, view, (x, y), [(self.width_word, self.measures.length(self.width_of(opening)))],
                         self.look, head=f"{self.word.capitalize()} {opening.name}")
            return
        width = self.width_of(self._dragged[1]) if self._dragged else self.width_m
        grid = width * self._meter.scale_at((foot.x, foot.y))
        polyline(painter, view, span_on(foot.line, foot.at_m, grid), theme.accent, 6.0, casing=theme.ground)
        x, y = (float(v) for v in view.to_screen(foot.x, foot.y))
        read_out(painter, view, (x, y), [*self.told(width), *self._where(foot)], self.look, beside=self.box.place)

    def _where(self, foot: OnLine) -> list[Row]:
        along = chainages(foot.line.xy)
        scale = self._meter.scale_at((foot.x, foot.y))
        corner = int(np.abs(along - foot.at_m).argmin())
        off = float(abs(along[corner] - foot.at_m)) / scale
        return [("On", foot.line.name), ("From its start", self.measures.length(self._chainage(foot))),
                (f"From corner {corner + 1}", self.measures.length(off))]

    def _chainage(self, foot: OnLine) -> Metre:
        plan = self.document.plan
        own = next((p for p in plan.lines if p.line.name == foot.line.name), None) if plan is not None else None
        if own is None or len(own.ground.vertices) != len(foot.line.xy):
            return foot.at_m / self._meter.scale_at((foot.x, foot.y))
        return float(np.interp(foot.at_m, chainages(foot.line.xy), own.ground.chainage_m[own.ground.vertices]))
