"""Draws the long section: ground, wires, pickets, posts, bands of sections, joins, tension."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from planner.geometry.arrays import Floats
from planner.job.plan import LinePlan
from planner.job.roll_joins import SectionJoin
from planner.jobpack.ground_bands import GroundBand
from planner.render.symbols import SYMBOL_OF_JOIN, draw_symbol
from planner.sections.strains import Section
from planner.ui.canvas.painting import draw_lines
from planner.ui.document import Selection
from planner.ui.measures import Measures
from planner.ui.strip.ground import draw_ground_classes
from planner.ui.strip.reading import RunFigures
from planner.ui.strip.scale import StripScale, round_places
from planner.ui.theme import Theme
from planner.ui.way_state import StepKey
from planner.units import Metre

BAND_PX = 20.0
LANE_PX = 26.0
_PICKET_PX = 9.0
_LEAST_POST_PX = 5.0
LEAN_SHOWN = 3.0
"""Leans are drawn this many times as large as they are, so that a few degrees can be seen."""
_LANE_FOOT, _LANE_TOP = 0.6, 1.0
"""Share of the pull at the foot and at the top of its lane."""
_MARK_ROOM_PX = 10.0
_ALWAYS, _CHOSEN = 1000.0, 2000.0
_LARGEST_MARK_PX = 16.0
_MARK_RISE = 0.85
"""How far the middle of a mark stands over the top wire, in its own sizes."""
MARK_HEAD_PX = _LARGEST_MARK_PX * (_MARK_RISE + 0.5) + 2.0
"""Room that marks take over the top wire of the highest ground."""
LIT: Mapping[StepKey, frozenset[str]] = {
    "survey": frozenset({"posts"}),
    "line": frozenset({"wires", "posts", "openings"}),
    "profile": frozenset({"posts", "breaks"}),
    "sections": frozenset({"wires", "posts", "breaks", "joins", "openings", "pull"}),
    "setout": frozenset({"posts", "breaks", "joins", "openings", "sight"}),
    "loads": frozenset({"wires", "posts", "breaks", "pull"}),
    "materials": frozenset({"wires", "posts", "joins", "openings"}),
    "jobpack": frozenset({"wires", "posts", "breaks", "joins", "openings", "pull"}),
}
"""Step to what of the strip is lit for it; the rest recedes."""
_FAINT, _FAINT_IN_CONTRAST = 0.28, 0.5
_LEAST_OF_WORDS = 0.75
"""Words recede less than lines, so that they can still be read."""


@dataclass(frozen=True)
class _Mark:
    """A symbol that stands on the strip."""

    chainage_m: Metre
    symbol: str
    size_px: float
    weight: float
    part: str


class StripPainter:
    """Draws one line's long section.

    Args:
        plan: Plan of the line.
        joins: Section id to its joins.
        figures: Lean and tension along its sub-runs.
        look: Theme.
        measures: How lengths are told.
        grounds: Stretches of which the ground was said.
    """

    def __init__(self, plan: LinePlan, joins: dict[str, tuple[SectionJoin, ...]], figures: Sequence[RunFigures],
                 look: Theme, measures: Measures, grounds: Sequence[GroundBand] = ()) -> None:
        self.plan, self.joins, self.figures, self.look, self.measures = plan, joins, figures, look, measures
        fence, self.grounds = plan.fence, grounds
        self.height_m = fence.height_m
        self.faint = _FAINT_IN_CONTRAST if look.name == "contrast" else _FAINT
        self.low_wire_m = (fence.mesh.gap_below_m if fence.mesh else min(s.height_m for s in fence.strands))

    def draw(self, painter: QPainter, scale: StripScale, selection: Selection, step: StepKey = "sections") -> None:
        """Draws everything but the cursor.

        Args:
            painter: Where.
            scale: How the line lies there.
            selection: What is in hand.
            step: The step whose things are lit.
        """
        lit = LIT[step]
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._bands(painter, scale, selection)
        self._levels(painter, scale)
        self._ground(painter, scale)
        painter.save()
        painter.setClipRect(scale.field.adjusted(-4, 0, 4, LANE_PX))
        painter.setOpacity(1.0 if "wires" in lit else self.faint)
        for section in self.plan.sections:
            if section.to_m >= scale.from_m and section.from_m <= scale.to_m:
                self._fence(painter, scale, section, selection)
        painter.setOpacity(1.0)
        self._posts(painter, scale, selection)
        if "sight" in lit:
            self._sight_lines(painter, scale)
        self._marks(painter, scale, selection, lit)
        painter.restore()
        painter.setOpacity(1.0 if "pull" in lit else self.faint)
        self._tension(painter, scale)
        painter.setOpacity(1.0)

    def _bands(self, painter: QPainter, scale: StripScale, selection: Selection) -> None:
        colours = self.look.map
        painter.setFont(self.look.font(8.5))
        for number, section in enumerate(self.plan.sections):
            left, right = float(scale.x(section.from_m)), float(scale.x(section.to_m))
            if right < scale.field.left() or left > scale.field.right():
                continue
            left, right = max(left, scale.field.left()), min(right, scale.field.right())
            band = QRectF(left, scale.field.top() - BAND_PX, right - left, scale.field.height() + BAND_PX)
            in_hand = section.id == selection.section
            tone = QColor(colours.soft if in_hand else colours.sections[number % len(colours.sections)])
            tone.setAlphaF(0.85 if in_hand else 0.10)
            painter.fillRect(band, tone)
            painter.setPen(QColor(self.look.accent if in_hand else self.look.soft_ink))
            self._band_text(painter, section, QRectF(left, band.top(), right - left, BAND_PX), in_hand)

    def _band_text(self, painter: QPainter, section: Section, room: QRectF, in_hand: bool) -> None:
        if section.is_gate:
            return
        wide = painter.fontMetrics()
        length = self.measures.length(section.slope_length_m)
        texts = [section.id]
        if section.is_crossing:
            texts = [f"{section.id}  crossing  {length}", f"{section.id} crossing", section.id]
        elif section.id in self.plan.joins:
            pull = self.measures.force(self.plan.fence.pull_n, 1)
            texts = [f"{section.id}   {length}   {pull}", f"{section.id}  {length}", section.id]
        text = next((t for t in texts if wide.horizontalAdvance(t) < room.width() - 8), "")
        if text:
            font = painter.font()
            font.setWeight(font.Weight.DemiBold if in_hand else font.Weight.Normal)
            painter.setFont(font)
            painter.drawText(room, Qt.AlignmentFlag.AlignCenter, text)

    def _levels(self, painter: QPainter, scale: StripScale) -> None:
        painter.setFont(self.look.font(8.0))
        field = scale.field
        unit_m = self.measures.unit_m
        for level, figure in round_places(scale.low_m, scale.high_m, max(int(field.height() / 26), 2), unit_m):
            y = float(scale.y(level))
            painter.setPen(QPen(QColor(self.look.map.grid), 1))
            painter.drawLine(QLineF(field.left(), y, field.right(), y))
            if y > field.bottom() - painter.fontMetrics().height():
                continue  # there the upper end of the lane under it is told
            painter.setPen(QColor(self.look.soft_ink))
            painter.drawText(QRectF(0, y - 8, field.left() - 6, 16), Qt.AlignmentFlag.AlignRight
                             | Qt.AlignmentFlag.AlignVCenter, figure)
        for at, figure in round_places(scale.from_m, scale.to_m, max(int(field.width() / 90), 2), unit_m):
            x = float(scale.x(at))
            painter.setPen(QPen(QColor(self.look.edge), 1))
            painter.drawLine(QLineF(x, field.bottom(), x, field.bottom() + 4))
            painter.setPen(QColor(self.look.soft_ink))
            painter.drawText(QRectF(x - 45, field.bottom() + LANE_PX + 3, 90, 15), Qt.AlignmentFlag.AlignCenter, figure)

    def _ground(self, painter: QPainter, scale: StripScale) -> None:
        x, y = _thinned(self.plan.ground.chainage_m, self.plan.ground.level_m, scale)
        outline = [QPointF(a, b) for a, b in zip(x.tolist(), y.tolist(), strict=True)]
        soil = QColor(self.look.map.lines["contour"])
        soil.setAlphaF(0.9)
        painter.save()
        painter.setClipRect(scale.field.adjusted(0, -BAND_PX, 0, 1))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(soil)
        under = QPolygonF([QPointF(x[0], scale.field.bottom()), *outline, QPointF(x[-1], scale.field.bottom())])
        painter.drawPolygon(under)
        draw_ground_classes(painter, self.grounds, scale, under, self.look)
        painter.setPen(QPen(QColor(self.look.map.lines["index contour"]), 1.4))
        draw_lines(painter, _legs(x, y))
        painter.restore()

    def _fence(self, painter: QPainter, scale: StripScale, section: Section, selection: Selection) -> None:
        if section.is_gate:
            return
        chain = self.plan.chain
        inside = (chain.chainage_m > section.from_m) & (chain.chainage_m < section.to_m)
        at = np.concatenate(([section.from_m], chain.chainage_m[inside], [section.to_m]))
        foot = np.interp(at, chain.chainage_m, chain.level_m)
        in_hand = section.id == selection.section
        ink = QColor(self.look.accent if in_hand else self.look.ink)
        if section.is_crossing:
            ink = QColor(self.look.map.lines["water"])
        self._pickets(painter, scale, section, ink)
        painter.setPen(QPen(ink, 1.4 if in_hand else 1.1))
        for height in (self.low_wire_m, self.height_m):
            draw_lines(painter, _legs(scale.x(at), scale.y(foot + height)))

    def _pickets(self, painter: QPainter, scale: StripScale, section: Section, ink: QColor) -> None:
        """Pickets, or where there is no mesh nothing; each leans as the mesh does, many times as far."""
        mesh = self.plan.fence.mesh
        if mesh is None or section.is_crossing:
            return
        step = max(_PICKET_PX / scale.px_per_m, mesh.picket_spacing_m)
        faint = QColor(ink)
        faint.setAlphaF(0.5)
        painter.setPen(QPen(faint, 1.0))
        for run in self.figures:
            if run.section != section.id:
                continue
            at = np.arange(run.at_m[0] + step / 2, run.at_m[-1], step)
            foot = np.interp(at, self.plan.chain.chainage_m, self.plan.chain.level_m)
            low, high = scale.y(foot + self.low_wire_m), scale.y(foot + self.height_m)
            shift = np.tan(np.radians(LEAN_SHOWN * np.interp(at, run.at_m, run.lean_deg))) * (low - high) / 2
            x = scale.x(at)
            draw_lines(painter, np.column_stack((x + shift, low, x - shift, high)))

    def _posts(self, painter: QPainter, scale: StripScale, selection: Selection) -> None:
        plan = self.plan
        if not plan.posts:
            return
        at = np.array([post.chainage_m for post in plan.posts])
        level = plan.ground.level_at(at)
        x, foot, head = scale.x(at), scale.y(level), scale.y(level + self.height_m + 0.1)
        seen = (x >= scale.field.left() - 1) & (x <= scale.field.right() + 1)
        near = not self.shows_line_posts(scale)
        ink = QColor(self.look.ink)
        thin = QPen(ink, 1.2)
        for i in np.flatnonzero(seen).tolist():
            post, column = plan.posts[i], float(x[i])
            chosen = plan.post_names[i] == selection.post
            if post.kind == "line":
                if not near or chosen:
                    painter.setPen(QPen(QColor(self.look.accent), 2.4) if chosen else thin)
                    painter.drawLine(QLineF(column, float(foot[i]) + 2, column, float(head[i])))
                continue
            if post.kind not in ("rise", "dip", "deviation"):
                painter.fillRect(QRectF(column - 2.5, float(head[i]) - 3, 5, float(foot[i] - head[i]) + 8),
                                 QColor(self.look.accent) if chosen else ink)

    def _sight_lines(self, painter: QPainter, scale: StripScale) -> None:
        """From the eye at each peg to the target on the next; heavier where a peg had to be added for it."""
        settings = self.plan.inputs.settings
        extra = self.plan.sight.chainage_m
        for plain in (True, False):
            lines = []
            for start, to, seen in self.plan.sight.sees:
                if seen is not plain or to < scale.from_m or start > scale.to_m:
                    continue
                stops = np.concatenate(([start], extra[(extra > start) & (extra < to)], [to]))
                level, x = self.plan.ground.level_at(stops), scale.x(stops)
                eye, target = scale.y(level + settings.eye_height_m), scale.y(level + settings.peg_target_m)
                lines += [QLineF(*ends) for ends in zip(x[:-1].tolist(), eye[:-1].tolist(), x[1:].tolist(),
                                                        target[1:].tolist(), strict=True)]
            painter.setPen(QPen(QColor(self.look.soft_ink if plain else self.look.accent), 1.0 if plain else 1.8,
                                Qt.PenStyle.DashLine if plain else Qt.PenStyle.SolidLine))
            painter.drawLines(lines)

    def shows_line_posts(self, scale: StripScale) -> bool:
        """True where the posts between ends stand far enough apart to be drawn.

        Args:
            scale: How the line lies on the strip.
        """
        at = np.array([post.chainage_m for post in self.plan.posts])
        return len(at) < 2 or float(np.median(np.diff(at))) * scale.px_per_m >= _LEAST_POST_PX

    def _marks(self, painter: QPainter, scale: StripScale, selection: Selection, lit: frozenset[str]) -> None:
        """Joins, gates, rises, dips and deviations; where there is no room for all, the weightier ones."""
        taken: dict[tuple[bool, int], list[float]] = {}  # by stretches as wide as a mark
        marks = self._all_marks(selection)
        if "sight" in lit:
            marks += [_Mark(at, "sight peg", 13.0, _ALWAYS, "sight") for at in self.plan.sight.chainage_m.tolist()]
        for mark in sorted(marks, key=lambda m: (m.part not in lit, -m.weight)):
            x = float(scale.x(mark.chainage_m))
            above = mark.symbol != "dip"
            if not scale.field.left() - 4 <= x <= scale.field.right() + 4:
                continue
            cell = int(x // _MARK_ROOM_PX)
            near = (other for k in (-1, 0, 1) for other in taken.get((above, cell + k), ()))
            if mark.weight < _ALWAYS and any(abs(x - other) < _MARK_ROOM_PX for other in near):
                continue
            taken.setdefault((above, cell), []).append(x)
            level = float(self.plan.ground.level_at(mark.chainage_m))
            y = (float(scale.y(level + self.height_m)) - mark.size_px * _MARK_RISE if above
                 else float(scale.y(level)) + 8)
            painter.setOpacity(1.0 if mark.part in lit or mark.weight >= _CHOSEN else self.faint)
            draw_symbol(painter, mark.symbol, QPointF(x, y), size_px=mark.size_px,
                        ink=self.look.accent if mark.weight >= _CHOSEN else self.look.ink, ground=self.look.card)
        painter.setOpacity(1.0)

    def _all_marks(self, selection: Selection) -> list[_Mark]:
        marks = [_Mark(post.chainage_m, post.kind, 10.0,
                       _CHOSEN if name == selection.post else abs(post.break_deg) + abs(post.turn_deg), "breaks")
                 for post, name in zip(self.plan.posts, self.plan.post_names, strict=True)
                 if post.kind in ("rise", "dip", "deviation")]
        for join in (join for found in self.joins.values() for join in found):
            chosen = selection.join_m is not None and abs(selection.join_m - join.chainage_m) < 0.01
            size = 11.0 if join.kind == "roll" else _LARGEST_MARK_PX
            marks.append(_Mark(join.chainage_m, SYMBOL_OF_JOIN[join.kind], size,
                               _CHOSEN if chosen else 1.5 if join.kind == "roll" else _ALWAYS, "joins"))
        for section in self.plan.sections:
            if section.is_gate or section.is_crossing:
                marks.append(_Mark((section.from_m + section.to_m) / 2.0, "gate" if section.is_gate else "crossing",
                                   14.0, _CHOSEN if section.id == selection.section else _ALWAYS, "openings"))
        return marks

    def _tension(self, painter: QPainter, scale: StripScale) -> None:
        """Tension left along each sub-run, in a lane under the ground; the lane is 60 % to 100 % of the pull."""
        lane = QRectF(scale.field.left(), scale.field.bottom() + 4, scale.field.width(), LANE_PX - 6)
        painter.save()
        painter.setClipRect(lane.adjusted(0, -1, 0, 1))
        least = self.plan.inputs.settings.far_end_ratio_min
        painter.setPen(QPen(QColor(self.look.map.faint), 1, Qt.PenStyle.DotLine))
        painter.drawLine(QLineF(lane.left(), _in_lane(lane, least), lane.right(), _in_lane(lane, least)))
        painter.setPen(QPen(QColor(self.look.map.sections[1]), 1.6))
        for run in self.figures:
            steps = np.flatnonzero(np.diff(run.tension) != 0.0)  # it falls at posts and is even between them
            kept = np.unique(np.concatenate(([0], steps, steps + 1, [len(run.tension) - 1])))
            draw_lines(painter, _legs(scale.x(run.at_m[kept]), np.asarray(_in_lane(lane, run.tension[kept]))))
        painter.restore()
        self._lane_figures(painter, lane)

    def _lane_figures(self, painter: QPainter, lane: QRectF) -> None:
        """What the lane of the pull left measures, and its ends."""
        painter.setOpacity(max(painter.opacity(), _LEAST_OF_WORDS))
        painter.setFont(self.look.font(7.5))
        painter.setPen(QColor(self.look.soft_ink))
        right, line = Qt.AlignmentFlag.AlignRight, painter.fontMetrics().height()
        room = QRectF(0, lane.top() - line / 2 + 2, lane.left() - 6, lane.height() + line - 4)
        painter.drawText(room, right | Qt.AlignmentFlag.AlignTop, f"{100 * _LANE_TOP:.0f} %")
        painter.drawText(room, right | Qt.AlignmentFlag.AlignBottom, f"{100 * _LANE_FOOT:.0f} %")
        taken = painter.fontMetrics().horizontalAdvance("100 % ")
        room.setRight(room.right() - taken)
        wide = painter.fontMetrics().horizontalAdvance
        name = next((text for text in ("pull left", "pull") if wide(text) <= room.width()), "")
        painter.drawText(room, right | Qt.AlignmentFlag.AlignVCenter, name)


def _in_lane(lane: QRectF, share: Any) -> Any:
    """How far down the lane of the pull left a share stands, or shares do. [px]"""
    return lane.bottom() - (share - _LANE_FOOT) / (_LANE_TOP - _LANE_FOOT) * lane.height()


def _legs(x: Floats, y: Floats) -> Floats:
    """The straight pieces of a polyline. Shape (n - 1, 4)."""
    return np.column_stack((x[:-1], y[:-1], x[1:], y[1:]))


def _thinned(chainage: Floats, level: Floats, scale: StripScale) -> tuple[Floats, Floats]:
    """The profile in pixels, no more than two points to a pixel column: its lowest and its highest."""
    first = max(int(np.searchsorted(chainage, scale.from_m)) - 1, 0)
    last = min(int(np.searchsorted(chainage, scale.to_m)) + 1, len(chainage))
    x, y = scale.x(chainage[first:last]), scale.y(level[first:last])
    if len(x) < 3 * scale.field.width():
        return x, y
    column = np.floor(x).astype(np.int64)
    starts = np.flatnonzero(np.concatenate(([True], np.diff(column) > 0)))
    low, high = np.minimum.reduceat(y, starts), np.maximum.reduceat(y, starts)
    return np.repeat(x[starts], 2), np.column_stack((high, low)).ravel()
