"""The strip widget: shows the long section, follows and moves the chainage cursor, selects and edits."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from PySide6.QtCore import QEvent, QLineF, QPointF, QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPixmap, QResizeEvent
from PySide6.QtWidgets import QWidget

from planner.alignment.corners import Opening, openings
from planner.job.edits import ChangeCrossing, ChangeGate
from planner.job.plan import LinePlan
from planner.job.roll_joins import section_joins
from planner.jobpack.ground_bands import ground_bands
from planner.ui.document import Document, Selection
from planner.ui.measures import Measures
from planner.ui.strip.painting import BAND_PX, LANE_PX, LEAN_SHOWN, MARK_HEAD_PX, StripPainter
from planner.ui.strip.reading import reading_at, run_figures
from planner.ui.strip.scale import StripScale
from planner.ui.theme import Theme
from planner.ui.way_state import StepKey

_LEFT, _RIGHT, _TOP, _BOTTOM = 78.0, 14.0, 8.0, 20.0
_GRAB_PX = 7.0
_DRAG_PX = 4.0


class Strip(QWidget):
    """The long section of the line in hand.

    Point at it and the same place lights up on the map; click to take a section, a post or a join in hand; drag a gate
    or a crossing along the line; double-click to see one section alone, and again to see the whole line. With the
    keyboard: left and right go from post to post, up and down from section to section.

    Args:
        document: The job in hand.
        look: Theme.
        measures: How lengths are told.
        parent: Qt parent.
    """

    def __init__(self, document: Document, look: Theme, measures: Measures | None = None,
                 parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._look, self._measures = document, look, measures or Measures()
        self._plan: LinePlan | None = None
        self._painter: StripPainter | None = None
        self._picture: QPixmap | None = None
        self._is_fresh, self._drawn_at = False, QSize()
        self._draw_soon = QTimer(self)
        self._draw_soon.setSingleShot(True)
        self._draw_soon.setInterval(0)
        self._draw_soon.timeout.connect(self._draw)
        self._cursor_m: float | None = None
        self._alone = ""
        self._step: StepKey = "sections"
        self._gaps: tuple[Opening, ...] = ()
        self._dragged: tuple[str, str] | None = None
        self._drag_m = 0.0
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(150)
        self.setAccessibleName("Long section of the line in hand")
        document.plan_changed.connect(self._plan_changed)
        document.previewed.connect(self._previewed)
        document.selection_changed.connect(self._selection_changed)
        document.cursor_moved.connect(self._cursor_moved)
        self._plan_changed(document.plan)

    # what others call

    def set_theme(self, look: Theme) -> None:
        """Takes other colours."""
        self._look = look
        self._renew()

    def set_measures(self, measures: Measures) -> None:
        """Tells lengths in another way."""
        self._measures = measures
        self._renew()

    def light(self, step: StepKey) -> None:
        """Lights up what a step is about; sight lines are drawn while pegs are set out."""
        if step != self._step:
            self._step = step
            self._repaint()

    @property
    def is_settled(self) -> bool:
        """True when what is seen is the line as it is now."""
        return self._is_fresh or self._plan is None

    @property
    def cursor_m(self) -> float | None:
        """Chainage under the cursor. [m] None when it stands elsewhere."""
        return self._cursor_m

    def scale(self) -> StripScale | None:
        """How the line lies on the strip now; None when there is none."""
        if self._plan is None:
            return None
        ground = self._plan.ground
        from_m, to_m = 0.0, float(ground.chainage_m[-1])
        shown = next((s for s in self._plan.sections if s.id == self._alone), None)
        if shown is not None:
            room = max(0.04 * (shown.to_m - shown.from_m), 2.0)
            from_m, to_m = max(shown.from_m - room, 0.0), min(shown.to_m + room, to_m)
        inside = ground.level_m[(ground.chainage_m >= from_m) & (ground.chainage_m <= to_m)]
        low, high = float(inside.min()), float(inside.max()) + self._plan.fence.height_m
        room = max(0.12 * (high - low), 1.5)
        field = QRectF(_LEFT, _TOP + BAND_PX, max(self.width() - _LEFT - _RIGHT, 20.0),
                       max(self.height() - _TOP - BAND_PX - LANE_PX - _BOTTOM, 20.0))
        low -= 0.8 * room
        over = (high - low) * MARK_HEAD_PX / max(field.height() - MARK_HEAD_PX, MARK_HEAD_PX)  # marks stand up there
        return StripScale(field, from_m, to_m, low, high + max(room, over))

    def sizeHint(self) -> QSize:
        """Wide and low."""
        return QSize(900, 220)

    # what it listens to

    def _plan_changed(self, plan: object) -> None:
        self._take(self._document.line if plan is not None else None)

    def _previewed(self, plan: LinePlan | None) -> None:
        self._take(plan or self._document.line)

    def _selection_changed(self, selection: Selection) -> None:
        line = self._document.line
        if line is not None and line is not self._plan and not self._dragged:
            self._take(line)
        if self._alone and selection.section != self._alone:
            self._alone = ""
        self._repaint()

    def _cursor_moved(self, line: str, chainage_m: float) -> None:
        mine = self._plan is not None and line == self._plan.line.name
        self._cursor_m = chainage_m if mine else None
        self.update()

    def _take(self, plan: LinePlan | None) -> None:
        if plan is not None and self._plan is not None and plan.line.name != self._plan.line.name:
            self._alone, self._cursor_m = "", None
        self._plan = plan
        self._renew()

    def _repaint(self) -> None:
        """Another picture of the same figures; it is drawn in a turn of its own, the one before is seen till then."""
        self._is_fresh = False
        self.update()

    def _renew(self) -> None:
        if self._plan is None:
            self._painter, self._gaps, self._picture = None, (), None
        else:
            self._gaps = openings(self._plan.line, self._plan.ground)
            whole = self._document.plan
            rolls, classes = (whole.roll_plans, whole.catalogue.grounds) if whole else ({}, {})
            self._painter = StripPainter(self._plan, section_joins([self._plan], rolls), run_figures(self._plan),
                                         self._look, self._measures, ground_bands(self._plan, classes))
        self._repaint()

    # drawing

    def paintEvent(self, _: QPaintEvent) -> None:
        """Draws the kept picture and the cursor over it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = self.scale()
        if scale is None or self._painter is None or self._plan is None:
            painter.fillRect(self.rect(), QColor(self._look.card))
            painter.setFont(self._look.font(10))
            painter.setPen(QColor(self._look.soft_ink))
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter,
                             self._without_line())
            return
        if not self._is_fresh:
            self._draw_soon.start()
            painter.fillRect(self.rect(), QColor(self._look.card))
        if self._picture is None:
            return
        painter.drawPixmap(0, 0, self._picture)
        if self._cursor_m is not None and scale.from_m <= self._cursor_m <= scale.to_m:
            self._draw_cursor(painter, scale, self._cursor_m)
        if self._dragged is not None:
            self._draw_dragged(painter, scale)

    def _without_line(self) -> str:
        """What is said while there is no line to draw."""
        lines = self._document.job.lines
        return ("The long section shows here once the plan is made." if lines else
                "Draw or import a line to see its long section.")

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another size needs another picture."""
        super().resizeEvent(event)
        self._is_fresh = self._is_fresh and self._drawn_at == self.size()

    def _draw(self) -> None:
        scale = self.scale()
        if scale is not None:
            self._picture, self._drawn_at, self._is_fresh = self._drawn(scale), self.size(), True
            self.update()

    def _drawn(self, scale: StripScale) -> QPixmap:
        assert self._painter is not None
        ratio = self.devicePixelRatioF()
        picture = QPixmap(self.size() * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(QColor(self._look.card))
        painter = QPainter(picture)
        self._painter.draw(painter, scale, self._document.selection, self._step)
        painter.setFont(self._look.font(7.5))
        painter.setPen(QColor(self._look.soft_ink))
        room, words = scale.field.adjusted(0, 3, -6, 0), _drawn_words(scale.exaggeration)
        side = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop
        ground = QColor(self._look.card)
        ground.setAlphaF(0.85)  # marks may stand behind it
        painter.fillRect(painter.boundingRect(room, side, words).adjusted(-4, -1, 4, 1), ground)
        painter.drawText(room, side, words)
        painter.end()
        return picture

    def _draw_cursor(self, painter: QPainter, scale: StripScale, at: float) -> None:
        assert self._painter is not None
        assert self._plan is not None
        x = float(scale.x(at))
        painter.setPen(QPen(QColor(self._look.accent), 1.2))
        painter.drawLine(QLineF(x, scale.field.top(), x, scale.field.bottom() + LANE_PX))
        told = reading_at(self._plan, self._painter.figures, at)  # type: ignore[arg-type]
        texts = [f"{self._measures.length(told.chainage_m)}   level {self._measures.length(told.level_m)}",
                 f"grade {told.grade_deg:+.1f}°".replace("-", "−") + ("" if told.lean_deg is None else
                                                    f"   lean {abs(told.lean_deg):.1f}°")
                 + ("" if told.tension is None else f"   pull left {100 * told.tension:.0f} %")]
        painter.setFont(self._look.font(8.5))
        metrics = painter.fontMetrics()
        wide, line = max(metrics.horizontalAdvance(t) for t in texts) + 16, metrics.height()
        left = x - wide - 8 if x - wide - 8 > scale.field.left() else x + 8
        card = QRectF(left, scale.field.top() + 6, wide, 2 * line + 10)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(self._look.way))
        painter.drawRoundedRect(card, 4, 4)
        painter.setPen(QColor(self._look.way_ink))
        for number, text in enumerate(texts):
            painter.drawText(QPointF(card.left() + 8, card.top() + 4 + metrics.ascent() + number * line), text)

    def _draw_dragged(self, painter: QPainter, scale: StripScale) -> None:
        x = float(scale.x(self._drag_m))
        painter.setPen(QPen(QColor(self._look.accent), 2, Qt.PenStyle.DashLine))
        painter.drawLine(QLineF(x, scale.field.top(), x, scale.field.bottom()))

    # doing

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Moves the cursor, here and on the map."""
        scale = self.scale()
        if scale is None or self._plan is None:
            return
        at = scale.chainage(event.position().x())
        if self._dragged is not None:
            self._drag_m = at
        elif self._opening_at(scale, event.position().x()) is not None:
            self.setCursor(Qt.CursorShape.SizeHorCursor)
        else:
            self.unsetCursor()
        self._document.point_at(self._plan.line.name, at)
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        """Takes the cursor away."""
        super().leaveEvent(event)
        if self._dragged is None:
            self._document.point_at("", 0.0)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Takes what is under the pointer in hand; grabs a gate or a crossing."""
        scale = self.scale()
        if scale is None or self._plan is None or event.button() != Qt.MouseButton.LeftButton:
            return
        x = event.position().x()
        self._dragged = self._opening_at(scale, x)
        self._drag_m, self._pressed_px = scale.chainage(x), x
        self._document.select(self._under(scale, event.position()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Puts a dragged gate or crossing down."""
        if self._dragged is None or self._plan is None:
            return
        (kind, name), self._dragged = self._dragged, None
        if abs(event.position().x() - self._pressed_px) < _DRAG_PX:  # a click picks; only a drag moves
            self.update()
            return
        at = np.array([self._drag_m])
        x, y = (float(v[0]) for v in self._plan.ground.place_at(at))
        line = self._plan.line
        if kind == "gate":
            gate = next(g for g in line.gates if g.name == name)
            if np.hypot(gate.x - x, gate.y - y) > 0.5:
                self._document.do(ChangeGate(line.name, name, replace(gate, x=x, y=y)))
        else:
            crossing = next(c for c in line.crossings if c.name == name)
            if np.hypot(crossing.x - x, crossing.y - y) > 0.5:
                self._document.do(ChangeCrossing(line.name, name, replace(crossing, x=x, y=y)))
        self.update()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Shows one section alone, or the whole line again."""
        scale = self.scale()
        if scale is None:
            return
        self._dragged = None
        section = self._section_at(scale.chainage(event.position().x()))
        self._alone = "" if self._alone else section
        self._repaint()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Goes along the line from post to post, or from section to section; Escape lets a dragged thing go."""
        key = event.key()
        if self._plan is None:
            super().keyPressEvent(event)
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self._step_post(1 if key == Qt.Key.Key_Right else -1)
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self._step_section(1 if key == Qt.Key.Key_Down else -1)
        elif key == Qt.Key.Key_Escape and (self._dragged is not None or self._alone):
            self._dragged, self._alone = None, ""
            self._repaint()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._alone = "" if self._alone else self._document.selection.section
            self._repaint()
        else:
            super().keyPressEvent(event)

    def _step_post(self, way: int) -> None:
        assert self._plan is not None
        posts = self._plan.posts
        if not posts:
            return
        names = self._plan.post_names
        chosen = self._document.selection.post
        now = names.index(chosen) if chosen in names else (-1 if way > 0 else len(posts))
        index = min(max(now + way, 0), len(posts) - 1)
        self._document.select(Selection(self._plan.line.name, posts[index].section, names[index]))
        self._document.point_at(self._plan.line.name, posts[index].chainage_m)

    def _step_section(self, way: int) -> None:
        assert self._plan is not None
        ids = [s.id for s in self._plan.sections]
        chosen = self._document.selection.section
        now = ids.index(chosen) if chosen in ids else (-1 if way > 0 else len(ids))
        section = self._plan.sections[min(max(now + way, 0), len(ids) - 1)]
        self._document.select(Selection(self._plan.line.name, section.id))
        self._document.point_at(self._plan.line.name, (section.from_m + section.to_m) / 2)

    def _under(self, scale: StripScale, place: QPointF) -> Selection:
        assert self._plan is not None
        assert self._painter is not None
        at = scale.chainage(place.x())
        section = self._section_at(at)
        grab = _GRAB_PX / scale.px_per_m
        joins = [j.chainage_m for j in self._painter.joins.get(section, ())]
        near = min(joins, key=lambda j: abs(j - at), default=None)
        if near is not None and abs(near - at) <= grab:
            return Selection(self._plan.line.name, section, join_m=near)
        drawn = self._painter.shows_line_posts(scale)
        for is_line, reach in ((False, grab), (True, grab / 2.0)):  # what is not drawn is not taken in hand
            posts = [(abs(p.chainage_m - at), i) for i, p in enumerate(self._plan.posts)
                     if (p.kind == "line") is is_line]
            off, index = min(posts, default=(math.inf, 0))
            if off <= reach and (drawn or not is_line):
                return Selection(self._plan.line.name, self._plan.posts[index].section, self._plan.post_names[index])
        return Selection(self._plan.line.name, section)

    def _section_at(self, chainage: float) -> str:
        assert self._plan is not None
        return next((s.id for s in self._plan.sections if s.from_m <= chainage <= s.to_m), "")

    def _opening_at(self, scale: StripScale, x: float) -> tuple[str, str] | None:
        for gap in self._gaps:
            left, right = float(scale.x(gap.from_m)) - _GRAB_PX, float(scale.x(gap.to_m)) + _GRAB_PX
            if left <= x <= right:
                return gap.kind, gap.name
        return None


def _drawn_words(exaggeration: float) -> str:
    """How heights and leans are drawn."""
    times = f"{exaggeration:.0f} times" if exaggeration >= 9.5 else f"{exaggeration:.1f} times"
    return f"heights drawn {times}, leans {LEAN_SHOWN:.0f} times"
