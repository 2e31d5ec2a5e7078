"""Corners: dragged, inserted, deleted; a whole section dragged; strip and sections follow while it is in hand."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter

from planner.alignment.line import FenceLine
from planner.errors import PlannerError
from planner.geometry.arrays import Floats
from planner.job.edits import DeleteCorner, InsertCorner, MoveCorner, MoveStretch
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.snap import Snap
from planner.ui.canvas.view import MapView
from planner.ui.document import Document, Selection
from planner.ui.measures import Measures
from planner.ui.theme import Theme
from planner.ui.tools.gesture_marks import Row, caught_mark, handles, polyline, read_out
from planner.ui.tools.leg_reading import POST_WORDS, LegMeter, Place, post_at, turn_between, turn_words
from planner.ui.tools.map_tool import CLICK_PX, MapTool
from planner.ui.tools.on_lines import OnLine, beside_corner, nearest_corner, nearest_line

HINT = ("Drag a corner, or a straight to add one; Shift drags a whole section; Delete removes. N and P step, "
        "Ctrl and arrows move.")
DRAG = "Let go to place it. Escape puts it back."
_ARROWS = {Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, 1), Qt.Key.Key_Down: (0, -1)}
Edit = MoveCorner | InsertCorner | MoveStretch


@dataclass
class _Drag:
    """What is being dragged: a corner, a new corner after one, or a stretch of corners."""

    line: FenceLine
    kind: str
    first: int
    last: int
    from_xy: Place
    has_moved: bool = False


class CornersTool(MapTool):
    """Edits the corners of fence lines."""

    cursor = Qt.CursorShape.ArrowCursor

    def __init__(self, document: Document, canvas: MapCanvas, measures: Measures, look: Theme) -> None:
        super().__init__(document, canvas, measures, look)
        self.snap: Snap | None = None
        self._hovered: tuple[FenceLine, int] | None = None
        self._edge: OnLine | None = None
        self._drag: _Drag | None = None
        self._edit: Edit | None = None
        self._shown: Floats | None = None
        self._at: Place | None = None
        self._meter = LegMeter("", ())

    def begin(self) -> None:
        """Takes the tool up."""
        super().begin()
        self._meter = LegMeter(self.document.job.crs, ())
        self.say(HINT)

    def give_up(self) -> bool:
        """Puts back what is being dragged."""
        if self._drag is None:
            return False
        self._let_go()
        self.document.end_preview()
        return True

    def job_changed(self, job: object) -> None:
        """The lines may be others now."""
        super().job_changed(self.document.job)
        self._hovered = self._edge = None
        if self._drag is not None:
            self._let_go()

    def _let_go(self) -> None:
        self._drag = self._edit = self._shown = self._at = None
        self.snap = None
        self.catcher.refresh()
        self.say(HINT)

    # the pointer

    def hover(self, event: QMouseEvent) -> None:
        """Lights up the corner, or the straight, that would be taken."""
        assert self.pointer is not None
        self._look_under(*self.pointer)
        self.redraw()

    def _look_under(self, x: float, y: float) -> None:
        lines = self.document.job.lines
        self._hovered = nearest_corner(lines, x, y, self.reach_m)
        self._edge = None if self._hovered else nearest_line(lines, x, y, self.reach_m * 0.8)
        self.canvas.setCursor(Qt.CursorShape.SizeAllCursor if self._hovered else
                              Qt.CursorShape.PointingHandCursor if self._edge else Qt.CursorShape.ArrowCursor)

    def mouse_press(self, event: QMouseEvent) -> bool:
        """Takes hold of a corner or of a straight."""
        if event.button() != Qt.MouseButton.LeftButton:
            return super().mouse_press(event)
        at = self.place(event)
        self._look_under(*at)
        if self._hovered is None and self._edge is None:
            return super().mouse_press(event)
        self._pressed = event.position()
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if shift:
            line = self._hovered[0] if self._hovered else self._edge.line  # type: ignore[union-attr]
            self._drag = _Drag(line, "stretch", *self._section_at(line, *at), at)
        elif self._hovered is not None:
            line, corner = self._hovered
            self._drag = _Drag(line, "corner", corner, corner, (float(line.xy[corner, 0]), float(line.xy[corner, 1])))
            self.document.select(Selection(line.name, corner=corner))
        else:
            edge = self._edge
            assert edge is not None
            self._drag = _Drag(edge.line, "insert", edge.leg, edge.leg, (edge.x, edge.y))
        moved = self._drag.first if self._drag.kind == "corner" else None
        self.catcher.refresh(without=None if moved is None else (self._drag.line.name, moved))
        return True

    def mouse_move(self, event: QMouseEvent) -> bool:
        """Moves what is held, and asks what would become of the line."""
        drag = self._drag
        if drag is None or self._pressed is None:
            return super().mouse_move(event)
        if not drag.has_moved and (event.position() - self._pressed).manhattanLength() <= CLICK_PX:
            return True
        drag.has_moved = True
        self.say(DRAG)
        self._drag_to(self.place(event))
        return True

    def mouse_release(self, event: QMouseEvent) -> bool:
        """Puts down what is held: one edit."""
        drag = self._drag
        if drag is None:
            return super().mouse_release(event)
        if event.button() != Qt.MouseButton.LeftButton:
            return True
        self._pressed = None
        edit = self._edit
        if not drag.has_moved and drag.kind == "insert":
            edit = InsertCorner(drag.line.name, drag.first, *drag.from_xy)
        self._let_go()
        if edit is None or not self.document.do(edit):
            self.document.end_preview()
        elif isinstance(edit, InsertCorner):
            self.document.select(Selection(edit.name, corner=edit.after + 1))
        self.redraw()
        return True

    def click(self, event: QMouseEvent) -> None:
        """A click on nothing takes nothing in hand."""
        self.document.select(Selection(self.document.selection.line))

    def _drag_to(self, at: Place) -> None:
        drag = self._drag
        assert drag is not None
        if drag.kind == "stretch":
            self.snap = None
            self._edit = MoveStretch(drag.line.name, drag.first, drag.last, at[0] - drag.from_xy[0],
                                     at[1] - drag.from_xy[1])
        else:
            self.snap = self.caught(*at)
            if self.snap is not None:
                at = (self.snap.x, self.snap.y)
            self._edit = (MoveCorner(drag.line.name, drag.first, *at) if drag.kind == "corner"
                          else InsertCorner(drag.line.name, drag.first, *at))
        self._at = at
        try:
            after = self._edit.apply(self.document.job)
        except PlannerError:
            self._edit = None
            return
        self._shown = next(line.xy for line in after.lines if line.name == drag.line.name)
        self.document.preview(self._edit, drag.line.name)
        self.redraw()

    def _section_at(self, line: FenceLine, x: float, y: float) -> tuple[int, int]:
        """First and last corner of the section at a place: all that lie on it, and those its ends lie between."""
        foot = nearest_line([line], x, y, math.inf)
        assert foot is not None
        plan = self.document.plan
        own = next((p for p in plan.lines if p.line is line), None) if plan is not None else None
        if own is None:
            return foot.leg, foot.leg + 1
        at = own.ground.chainage_m[own.ground.vertices]
        share = np.interp(foot.at_m, np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line.xy, axis=0).T)))), at)
        section = next((s for s in own.sections if s.from_m <= share <= s.to_m), own.sections[-1])
        first = int(np.flatnonzero(at <= section.from_m + 0.01)[-1])
        last = int(np.flatnonzero(at >= section.to_m - 0.01)[0])
        return first, max(last, first + 1)

    # keys

    def key_press(self, event: QKeyEvent) -> bool:
        """Deletes, goes from corner to corner, or moves the one in hand."""
        key, chosen = event.key(), self._chosen()
        if key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self._drag is None:
            target = self._hovered or chosen
            if target is not None:
                self.document.do(DeleteCorner(target[0].name, target[1]))
                self.document.select(Selection(target[0].name))
        elif key in (Qt.Key.Key_N, Qt.Key.Key_P) and not event.modifiers():
            self._step(1 if key == Qt.Key.Key_N else -1)
        elif key == Qt.Key.Key_Insert and chosen is not None:
            self._insert_after(*chosen)
        elif key in _ARROWS and event.modifiers() & Qt.KeyboardModifier.ControlModifier and chosen is not None:
            far = 10.0 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1.0
            line, corner = chosen
            east, north = _ARROWS[Qt.Key(key)]
            self.document.do(MoveCorner(line.name, corner, float(line.xy[corner, 0]) + east * far,
                                        float(line.xy[corner, 1]) + north * far))
        elif key == Qt.Key.Key_Escape and self._drag is not None:
            self._pressed = None
            return super().key_press(event)
        else:
            return super().key_press(event)
        self.redraw()
        return True

    def _chosen(self) -> tuple[FenceLine, int] | None:
        selection = self.document.selection
        line = next((line for line in self.document.job.lines if line.name == selection.line), None)
        if line is None or selection.corner is None or not 0 <= selection.corner < len(line.xy):
            return None
        return line, selection.corner

    def _step(self, way: int) -> None:
        lines = self.document.job.lines
        if not lines:
            return
        selection = self.document.selection
        line = next((line for line in lines if line.name == selection.line), lines[0])
        count = len(line.xy) - (1 if line.closed else 0)
        corner = 0 if selection.corner is None else (selection.corner + way) % count
        self.document.select(Selection(line.name, corner=corner))

    def _insert_after(self, line: FenceLine, corner: int) -> None:
        if corner + 1 < len(line.xy):
            x, y = (line.xy[corner] + line.xy[corner + 1]) / 2.0
            if self.document.do(InsertCorner(line.name, corner, float(x), float(y))):
                self.document.select(Selection(line.name, corner=corner + 1))

    # drawing

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the corners that can be taken, and what is dragged over where it was."""
        drag = self._drag
        if drag is not None and drag.has_moved and self._shown is not None:
            polyline(painter, view, drag.line.xy, theme.faint, 1.4, dashed=True)
            polyline(painter, view, self._shown, theme.accent, 2.4, casing=theme.ground)
            handles(painter, view, self._shown, theme, chosen=None if drag.kind == "stretch" else self._held())
            if self.snap is not None:
                caught_mark(painter, view, self.snap, theme)
            if self._at is not None:
                x, y = (float(v) for v in view.to_screen(*self._at))
                read_out(painter, view, (x, y), self.rows(), self.look, caught=self.snap)
            return
        chosen = self._chosen()
        named = {line.name for line in (self._hovered and self._hovered[0], self._edge and self._edge.line,
                                        chosen and chosen[0]) if line}
        for line in self.document.job.lines:
            if line.name in named or (not named and len(self.document.job.lines) <= 12):
                lit = self._hovered if self._hovered else chosen
                handles(painter, view, line.xy, theme, size=7.0,
                        chosen=lit[1] if lit is not None and lit[0].name == line.name else None)
        if self._edge is not None:
            x, y = (float(v) for v in view.to_screen(self._edge.x, self._edge.y))
            caught_mark(painter, view, Snap("edge", self._edge.x, self._edge.y, "", 0.0), theme)
            read_out(painter, view, (x, y), (("Adds a corner to", self._edge.line.name),), self.look)

    def _held(self) -> int:
        assert self._drag is not None
        return self._drag.first + (1 if self._drag.kind == "insert" else 0)

    def rows(self) -> list[Row]:
        """Figures of the legs beside the corner that is dragged."""
        drag, xy, m = self._drag, self._shown, self.measures
        if drag is None or xy is None or self._at is None:
            return []
        if drag.kind == "stretch":
            east, north = self._at[0] - drag.from_xy[0], self._at[1] - drag.from_xy[1]
            return [("Moved", m.length(math.hypot(east, north))),
                    ("Towards", m.bearing(math.degrees(math.atan2(east, north))))]
        line, held = drag.line.with_corners(xy), self._held()
        before, after = beside_corner(line, min(held, len(xy) - 1))
        here = (float(xy[held, 0]), float(xy[held, 1])) if held < len(xy) else self._at
        rows: list[Row] = []
        for word, other in (("Leg before", before), ("Leg after", after)):
            if other is not None and other < len(xy):
                leg = self._meter.leg(here, (float(xy[other, 0]), float(xy[other, 1])))
                rows.append((word, m.length(leg.ground_m)))
        turn = None
        if before is not None and after is not None and after < len(xy):
            turn = turn_between((float(xy[before, 0]), float(xy[before, 1])), here,
                                (float(xy[after, 0]), float(xy[after, 1])))
            rows.append(("Turn", turn_words(turn)))
        rows.append(("Stands here", POST_WORDS[post_at(turn, self.document.job.settings)]))
        return rows
