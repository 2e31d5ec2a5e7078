"""The fence over the map: sections in turning tones, what is in hand in the accent, posts, joins, gates and labels."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPen

from planner.geometry.arrays import Booleans, Floats, Integers
from planner.render.fonts import load_fonts
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.fence_shapes import FenceShapes, Mark, SectionShape, apart, fence_shapes, places_at
from planner.ui.canvas.labels import Label, Placed, card_size, draw_labels, place_labels
from planner.ui.canvas.painting import SymbolStore, draw_lines, screen_segments, touching
from planner.ui.canvas.view import Bounds, MapView

if TYPE_CHECKING:
    from planner.job.plan import JobPlan
    from planner.profile.ground_line import GroundLine

LINE_POST_PX = 12.0
"""Line posts are drawn once neighbours stand farther apart than this on the screen. [px]"""
APART_PX = 15.0
"""Symbols nearer to each other than this hide the lighter one. [px]"""
FAR_M_PX = 1.5
LIGHT_MARKS = frozenset({"rise", "dip", "deviation", "sight peg"})
"""Marks drawn smaller where a pixel covers more than ``FAR_M_PX``, so that ends and corners stand out."""
LEAST_LEAF_PX, FAR_GATE_M_PX = 5.0, 0.8
"""A gate's leaf is drawn swung open where it can be seen, [px], and the map is no smaller than this. [m / px]"""
PARTS = frozenset({"bands", "posts", "line posts", "joins", "labels", "pegs"})


@dataclass(frozen=True)
class Hit:
    """What lies under a place of the window.

    Attributes:
        what: post, join, peg or section.
        id: Name of the post or peg; section id of a join or section.
        line: Name of the line.
        section: Section id.
        chainage_m: Ground plan distance. [m]
    """

    what: str
    id: str
    line: str
    section: str
    chainage_m: float


class FenceOverlay:
    """Draws a plan.

    Args:
        length_text: How a length in metres is written in labels.

    Attributes:
        parts: What is shown, of ``PARTS``; the rest recedes.
        in_hand: Id of the section in hand; empty when none is.
        line_in_hand: Name of the line in hand; the others are drawn thinner. Empty for all alike.
        selected: The post, join or peg that has a ring.
        cursor: Name of a line and chainage at which the cursor stands. [m]
    """

    def __init__(self, length_text: Callable[[float], str] = lambda metres: f"{metres:.0f} m") -> None:
        self.length_text = length_text
        self.parts: frozenset[str] = PARTS - {"pegs"}
        self.in_hand = ""
        self.line_in_hand = ""
        self.selected: tuple[str, str, float] | None = None
        self.cursor: tuple[str, float] | None = None
        self._kept_clear: Floats = np.zeros((0, 2))
        self._plan: JobPlan | None = None
        self._shapes: FenceShapes | None = None
        self._labels: list[Label] = []
        self._placed: tuple[tuple[object, ...], tuple[Placed, ...]] = ((), ())
        self._kept: tuple[tuple[object, ...], Integers] = ((), np.zeros(0, np.int64))
        self._ring: tuple[object, object, tuple[float, float] | None] = (None, None, None)
        self._store = SymbolStore()
        self._font = QFont(load_fonts())
        self._font.setPointSizeF(9.5)

    # -- what it shows ------------------------------------------------------------------------------------------

    def set_plan(self, plan: JobPlan | None) -> None:
        """Shows another plan; None shows nothing."""
        if plan is self._plan:
            return
        self._plan, self._shapes = plan, fence_shapes(plan) if plan is not None else None
        lengths = {s.id: s.slope_length_m for line in plan.lines for s in line.sections} if plan is not None else {}
        self._labels = [_label(shape, f"{shape.text} · {self.length_text(lengths[shape.id])}", lengths[shape.id])
                        for shape in (self._shapes.sections if self._shapes else ()) if shape.kind != "gate"]
        self._placed, self._kept = ((), ()), ((), np.zeros(0, np.int64))

    @property
    def is_bare(self) -> bool:
        """True while there is no plan to draw."""
        return self._plan is None

    def set_font_size(self, points: float) -> None:
        """Size of labels. [pt]"""
        self._font.setPointSizeF(points)
        self._placed = ((), ())

    def keep_clear(self, places: Floats) -> None:
        """Places that no label covers: those of other symbols. [m] Shape (n, 2)."""
        self._kept_clear, self._placed = places, ((), ())

    @property
    def bounds(self) -> Bounds | None:
        """West, south, east, north of the fence. [m]"""
        return self._shapes.bounds if self._shapes is not None else None

    def used_symbols(self) -> set[str]:
        """Names of the symbols in the plan, for a legend."""
        shapes = self._shapes
        if shapes is None:
            return set()
        return {mark.symbol for mark in shapes.marks} | ({"line post"} if shapes.line_posts else set())

    def bounds_px(self, view: MapView) -> QRect:
        """What of the window it may touch."""
        if self.bounds is None:
            return QRect()
        west, south, east, north = self.bounds
        left, top = view.to_screen(west, north)
        right, foot = view.to_screen(east, south)
        window = QRectF(-100, -100, view.width + 200, view.height + 200)
        return (QRectF(left - 100, top - 60, right - left + 200, foot - top + 120) & window).toAlignedRect()

    def place_of(self, line: str, chainage_m: float) -> tuple[float, float] | None:
        """East and north at a chainage of a line. [m] None where there is no such line."""
        ground = self._shapes.grounds.get(line) if self._shapes is not None else None
        if ground is None:
            return None
        x, y = places_at(ground, np.array([chainage_m]))[0].tolist()
        return x, y

    # -- drawing ------------------------------------------------------------------------------------------------

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws what of the fence lies in a rectangle."""
        shapes = self._shapes
        if shapes is None or not len(shapes.segments):
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        lines = screen_segments(shapes.segments, view)
        seen = touching(lines, dirty, 12.0)
        self._lines(painter, shapes, lines, seen, theme)
        self._gates(painter, shapes, view, dirty, theme)
        if "line posts" in self.parts and shapes.spacing_m / view.units_per_px > LINE_POST_PX:
            self._line_posts(painter, shapes, view, dirty, theme)
        self._marks(painter, shapes, view, dirty, theme)
        if "labels" in self.parts:
            draw_labels(painter, self._labels_at(view), view, QRectF(dirty), theme, self._font)
        self._rings(painter, shapes, view, theme)

    def _lines(self, painter: QPainter, shapes: FenceShapes, lines: Floats, seen: Booleans,
               theme: MapColours) -> None:
        runs = seen & ~shapes.mask_of_kind("gate")
        in_hand = np.array([s.id == self.in_hand for s in shapes.sections])[shapes.section_of] & seen
        if in_hand.any():
            soft = QColor(theme.soft)
            soft.setAlpha(215)
            painter.setPen(_pen(soft, 13.0))
            draw_lines(painter, lines[in_hand])
        painter.setPen(_pen(QColor(theme.ground), 5.0))
        draw_lines(painter, lines[runs])
        tone = np.array([s.tone % len(theme.sections) for s in shapes.sections])[shapes.section_of]
        dimmed = np.array([bool(self.line_in_hand) and s.line != self.line_in_hand
                           for s in shapes.sections])[shapes.section_of]
        crossing = shapes.mask_of_kind("crossing")
        if "bands" not in self.parts:
            tone = np.zeros_like(tone)
        for number, colour in enumerate(theme.sections):
            for quiet, width in ((True, 1.4), (False, 2.4)):
                painter.setPen(_pen(QColor(colour), width))
                draw_lines(painter, lines[runs & (tone == number) & ~in_hand & ~crossing & (dimmed == quiet)])
        painter.setPen(_pen(QColor(theme.line("water")), 2.4, Qt.PenStyle.DashLine))
        draw_lines(painter, lines[runs & crossing])
        if in_hand.any():
            painter.setPen(_pen(QColor(theme.accent), 3.4))
            draw_lines(painter, lines[in_hand])

    def _gates(self, painter: QPainter, shapes: FenceShapes, view: MapView, dirty: QRect, theme: MapColours) -> None:
        if not len(shapes.swings):
            return
        gates = screen_segments(shapes.swings, view)
        for x1, y1, x2, y2 in gates[touching(gates, dirty, 40.0)].tolist():
            leaf = math.hypot(x2 - x1, y2 - y1)
            if leaf < LEAST_LEAF_PX or view.units_per_px >= FAR_GATE_M_PX:
                continue
            path = QPainterPath(QPointF(x1, y1))
            turn = math.atan2(y2 - y1, x2 - x1) - math.radians(60.0)
            path.lineTo(x1 + leaf * math.cos(turn), y1 + leaf * math.sin(turn))
            box = QRectF(x1 - leaf, y1 - leaf, 2 * leaf, 2 * leaf)
            start = -math.degrees(math.atan2(y2 - y1, x2 - x1))
            arc = QPainterPath()
            arc.arcMoveTo(box, start + 60.0)
            arc.arcTo(box, start + 60.0, -60.0)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(theme.faint), 1.0, Qt.PenStyle.DashLine))
            painter.drawPath(arc)
            painter.setPen(_pen(QColor(theme.ink), 2.0))
            painter.drawPath(path)

    def _line_posts(self, painter: QPainter, shapes: FenceShapes, view: MapView, dirty: QRect,
                    theme: MapColours) -> None:
        at = view.screen_xy(shapes.line_post_xy)
        near = at[_inside(at, dirty, 6)]
        size = float(np.clip(shapes.spacing_m / view.units_per_px * 0.16, 4.0, 8.0))
        dots = np.concatenate((np.subtract(near, (0.01, 0.0)), np.add(near, (0.01, 0.0))), axis=1)
        for colour, width in ((theme.ground, size + 2.0), (theme.ink, size)):
            painter.setPen(_pen(QColor(colour), width))
            draw_lines(painter, dots)

    def _marks(self, painter: QPainter, shapes: FenceShapes, view: MapView, dirty: QRect, theme: MapColours) -> None:
        kept = self._kept_marks(view)
        at = view.screen_xy(shapes.mark_xy[kept])
        for k in reversed(np.flatnonzero(_inside(at, dirty, 24)).tolist()):
            mark = shapes.marks[int(kept[k])]
            accent = mark.section == self.in_hand and mark.what == "join"
            leaf = mark.symbol == "gate" and view.units_per_px < FAR_GATE_M_PX  # its leaf is drawn, this is its post
            light = mark.symbol in LIGHT_MARKS and view.units_per_px > FAR_M_PX
            self._store.draw(painter, "end" if leaf else mark.symbol, float(at[k, 0]), float(at[k, 1]),
                             size_px=9.0 if leaf or light else None,
                             ink=theme.accent if accent else theme.ink, ground=theme.ground)

    def _kept_marks(self, view: MapView) -> Integers:
        """Marks that are shown at this scale: of the parts asked for, none on top of another."""
        key = (view.units_per_px, self.parts)
        if self._shapes is not None and self._kept[0] != key:
            wanted = {"post": "posts", "join": "joins", "peg": "pegs"}
            shown = np.array([i for i, m in enumerate(self._shapes.marks) if wanted[m.what] in self.parts], np.int64)
            self._kept = (key, shown[apart(self._shapes.mark_xy[shown] / view.units_per_px, APART_PX)])
        return self._kept[1]

    def _labels_at(self, view: MapView) -> tuple[Placed, ...]:
        key = (view.units_per_px, self.in_hand, self.parts)
        if self._placed[0] != key and self._shapes is not None:
            labels = [label if label.key != self.in_hand else
                      Label(label.text, label.x, label.y, 1e12, label.places, True, label.key)
                      for label in self._labels if self._has_room(label, view)]
            to_px = np.array([1.0, -1.0]) / view.units_per_px
            blocked = [QRectF(x - half, y - half, 2 * half, 2 * half) for half, places in (
                (8.0, self._shapes.mark_xy[self._kept_marks(view)]), (10.0, self._kept_clear))
                for x, y in (places * to_px).tolist()]
            sizes = [card_size(label.text, self._font) for label in labels]
            self._placed = (key, place_labels(labels, sizes, view.units_per_px, blocked=blocked))
        return self._placed[1]

    def _has_room(self, label: Label, view: MapView) -> bool:
        return label.key == self.in_hand or label.priority / view.units_per_px > 34.0

    def _rings(self, painter: QPainter, shapes: FenceShapes, view: MapView, theme: MapColours) -> None:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for place, radius, width in ((self._selected_place(shapes), 13.0, 2.4), (self._cursor_place(), 6.0, 2.6)):
            if place is not None:
                at = QPointF(*view.to_screen(*place))
                painter.setPen(QPen(QColor(theme.ground), width + 2.4))
                painter.drawEllipse(at, radius, radius)
                painter.setPen(QPen(QColor(theme.accent), width))
                painter.drawEllipse(at, radius, radius)

    def _selected_place(self, shapes: FenceShapes) -> tuple[float, float] | None:
        if self.selected is None:
            return None
        if self._ring[0] is not shapes or self._ring[1] != self.selected:
            self._ring = (shapes, self.selected, shapes.place_of_mark(*self.selected))
        return self._ring[2]

    def _cursor_place(self) -> tuple[float, float] | None:
        return self.place_of(*self.cursor) if self.cursor is not None else None

    # -- what is under the pointer ------------------------------------------------------------------------------

    def hit(self, view: MapView, sx: float, sy: float, *, radius_px: float = 9.0) -> Hit | None:
        """What lies under a place of the window: a shown mark first, then a line post, then a section.

        Args:
            view: The view.
            sx: Pixels right.
            sy: Pixels down.
            radius_px: How near counts. [px]
        """
        shapes = self._shapes
        if shapes is None or not len(shapes.segments):
            return None
        kept = self._kept_marks(view)
        mark = _nearest(view.screen_xy(shapes.mark_xy[kept]), sx, sy, radius_px)
        if mark is not None:
            return _as_hit(shapes.marks[int(kept[mark])])
        if "line posts" in self.parts and shapes.spacing_m / view.units_per_px > LINE_POST_PX:
            post = _nearest(view.screen_xy(shapes.line_post_xy), sx, sy, radius_px * 0.7)
            if post is not None:
                return _as_hit(shapes.line_posts[post])
        return self._section_under(shapes, view, sx, sy, radius_px)

    @staticmethod
    def _section_under(shapes: FenceShapes, view: MapView, sx: float, sy: float, radius_px: float) -> Hit | None:
        lines = screen_segments(shapes.segments, view)
        start, step = lines[:, :2], lines[:, 2:] - lines[:, :2]
        share = np.clip(((np.array([sx, sy]) - start) * step).sum(axis=1)
                        / np.maximum((step**2).sum(axis=1), 1e-12), 0, 1)
        off = np.hypot(*(start + share[:, None] * step - (sx, sy)).T)
        best = int(off.argmin())
        if off[best] > radius_px:
            return None
        section = shapes.sections[int(shapes.section_of[best])]
        ground = shapes.grounds[section.line]
        x, y = view.to_map(*(start[best] + share[best] * step[best]))
        return Hit("section", section.id, section.line, section.id, _chainage_of(ground, float(x), float(y)))


def _chainage_of(ground: GroundLine, x: float, y: float) -> float:
    at = ground.vertices
    xs, ys, chainage = ground.x[at], ground.y[at], ground.chainage_m[at]
    dx, dy = np.diff(xs), np.diff(ys)
    share = np.clip(((x - xs[:-1]) * dx + (y - ys[:-1]) * dy) / np.maximum(dx**2 + dy**2, 1e-12), 0.0, 1.0)
    leg = int(np.hypot(xs[:-1] + share * dx - x, ys[:-1] + share * dy - y).argmin())
    return float(chainage[leg] + share[leg] * (chainage[leg + 1] - chainage[leg]))


def _inside(at: Floats, rect: QRect, slack: float) -> Booleans:
    """Which places lie in a rectangle or near it."""
    return np.asarray((at[:, 0] > rect.left() - slack) & (at[:, 0] < rect.right() + slack)
                      & (at[:, 1] > rect.top() - slack) & (at[:, 1] < rect.bottom() + slack))


def _nearest(at: Floats, sx: float, sy: float, radius: float) -> int | None:
    if not len(at):
        return None
    off = np.hypot(at[:, 0] - sx, at[:, 1] - sy)
    best = int(off.argmin())
    return best if off[best] <= radius else None


def _as_hit(mark: Mark) -> Hit:
    return Hit(mark.what, mark.id, mark.line, mark.section, mark.chainage_m)


def _label(shape: SectionShape, text: str, length_m: float) -> Label:
    """A label beside the middle of a section, above the line where there is room, else below or farther along."""
    dx, dy = shape.direction[0], -shape.direction[1]
    side = np.array([dy, -dx]) if dx >= 0 else np.array([-dy, dx])
    away = 20.0 + 16.0 * abs(side[0])
    along = np.array([dx, dy])
    places = tuple((float(p[0]), float(p[1])) for p in (
        side * away, -side * away, side * away + along * 40.0, side * away - along * 40.0, -side * away + along * 40.0,
        -side * away - along * 40.0))
    return Label(text, *shape.middle, length_m, places, False, shape.id)


def _pen(colour: QColor, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    return QPen(colour, width, style, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
