"""Divide: a paddock into parts of equal or given areas, worked out while the fields change."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QMouseEvent, QPainter

from planner.errors import OutOfRange
from planner.geometry.lines import nearest_on
from planner.job.edits.lines import free_name
from planner.job.land_inside import grid_words, land_inside
from planner.numerals import decimal_of
from planner.progress import Progress
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.view import MapView
from planner.ui.measures import parse_bearing
from planner.ui.tools.card_tool import CardTool
from planner.ui.tools.gesture_marks import area, handles, polyline, tag
from planner.ui.tools.leg_reading import Place
from planner.ui.tools.new_line import all_lines, fence_choices, usual_fence
from planner.ui.tools.on_lines import nearest_line
from planner.ui.tools.tool_card import Figure, ToolCard

if TYPE_CHECKING:
    from planner.alignment.division import Division
    from planner.alignment.line import FenceLine

WAYS = (("best", "parallel, least fence"), ("bearing", "parallel, on a bearing"), ("point", "from a point"),
        ("lane", "off a lane through it"))
_NEAR_M = 1.0
_WATER = ("trough", "water")


class DivideTool(CardTool):
    """Divides a closed line."""

    title = "Divide"
    words = "Click in the paddock that is to be divided."
    apply_word = "Add the fences"
    cursor = Qt.CursorShape.PointingHandCursor

    def fill(self, card: ToolCard) -> None:
        """Its fields."""
        job = self.document.job
        self._point: Place | None = None
        closed = [(line.name, line.name) for line in job.lines if line.closed]
        self.paddock = card.choice("Paddock", closed)
        self.parts = card.text("Parts", "2", "How many equal parts, or their areas in hectares: 5; 7.5; rest")
        self.way = card.choice("Fences run", WAYS)
        self.bearing = card.text("Bearing", "0")
        self.width = card.text("Lane width", self.measures.length(6.0, 0))
        self.carries = card.choice("Carry", fence_choices(job), usual_fence(job))

    def click(self, event: QMouseEvent) -> None:
        """Chooses the paddock under the pointer, or the point that fences run from."""
        x, y = self.place(event)
        if self.way.currentData() == "point":
            snap = self.caught(x, y)
            self._point = (snap.x, snap.y) if snap is not None else (x, y)
            self.work_out()
            return
        here = shapely.Point(x, y)
        inside = [line for line in self.document.job.lines if line.closed and shapely.Polygon(line.xy).covers(here)]
        if inside:
            smallest = min(inside, key=lambda line: float(shapely.Polygon(line.xy).area))
            self.paddock.setCurrentIndex(self.paddock.findData(smallest.name))
            self.work_out()

    def _line(self) -> FenceLine:
        name = self.paddock.currentData()
        found = next((line for line in self.document.job.lines if line.name == name), None)
        if found is None:
            raise OutOfRange("there is no closed line in the job", remedy="draw or import the paddock's boundary")
        return found

    def question(self) -> Callable[[Progress], Any] | None:
        """The division that the fields ask for."""
        way = self.way.currentData()
        self.card.shows(self.bearing, way == "bearing")
        self.card.shows(self.width, way == "lane")
        line = self._line()
        areas, parts = self._parts()
        waters, gates = self._waters(), self._gates(line)
        if way == "point" and self._point is None:
            self.card.show_figures(())
            self.card.say("Click where the fences run from, such as a trough.")
            return None
        bearing = parse_bearing(self.bearing.text()) if way == "bearing" else None
        width = self.length(self.width, "lane width", least=1.0) if way == "lane" else 0.0
        land, point = land_inside(line, self.document.job.lines).shape, self._point
        return lambda _: _divided(land, parts, areas, way, bearing, point, width, waters, gates)

    def _parts(self) -> tuple[list[float | None] | None, int]:
        text = self.parts.text().strip()
        words = [word.strip().lower() for word in text.replace(";", " ").split() if word.strip()]
        if len(words) == 1 and words[0].isdigit():
            return None, int(words[0])
        areas: list[float | None] = []
        for word in words:
            if word == "rest":
                areas.append(None)
            else:
                hectares = decimal_of(word)
                if hectares is None:
                    raise OutOfRange(f"'{word}' is no area", remedy="type a number of parts, or hectares such as "
                                     "5; 7.5; rest")
                areas.append(float(hectares))
        if len(areas) < 2:
            raise OutOfRange("nothing says into how many parts", remedy="type 2 or more, or their areas")
        return areas, len(areas)

    def _waters(self) -> dict[str, Place]:
        found = {p.name: (p.x, p.y) for p in self.document.job.points if p.code.strip().lower().startswith(_WATER)}
        for feature in self.document.job.features:
            shape = shapely.from_wkt(feature.wkt)
            if feature.meaning in _WATER and shape.geom_type == "Point":
                found[feature.name] = (float(shape.x), float(shape.y))
        return found

    def _gates(self, line: FenceLine) -> dict[str, Place]:
        return {gate.name: (gate.x, gate.y) for other in self.document.job.lines for gate in other.gates
                if nearest_on(line.xy, (gate.x, gate.y))[1] <= _NEAR_M}

    def show_result(self) -> None:
        """The parts, and the fence that they take."""
        division: Division = self.result
        m = self.measures
        figures: list[Figure] = [("New fence", m.length(division.new_fence_m)), ("Fences", str(len(division.fences)))]
        if division.bearing_deg is not None:
            figures.append(("Bearing", m.bearing(division.bearing_deg)))
        for part in division.parts[:8]:
            figures.append((f"Part {part.number}", f"{m.area(part.area_m2)}, {part.ratio:.1f} : 1"))
        if len(division.parts) > 8:
            figures.append((f"and {len(division.parts) - 8} more", ""))
        self.card.show_figures(figures)
        line, job = self._line(), self.document.job
        inside = land_inside(line, job.lines)
        said = [*inside.words, grid_words(inside.shape, line.name, job), *(f.message for f in division.findings[:3])]
        self.card.say(" ".join(words for words in said if words))

    def apply(self) -> None:
        """Adds the division fences, the lane's with their gates."""
        division: Division | None = self.result
        if division is None:
            return
        paddock = self._line()
        made = division_lines(division, paddock, self.carries.currentData())
        from planner.job.edits import AddLine

        job, edits = self.document.job, []
        for line in made:
            edit = AddLine(replace(line, name=free_name(line.name, job)))
            job = edit.apply(job)
            edits.append(edit)
        if edits and self.document.do(all_lines(f"divide {paddock.name}", edits)):
            self.ended.emit()

    def paint(self, painter: QPainter, view: MapView, dirty: QRect, theme: MapColours) -> None:
        """Draws the parts and the new fences."""
        if self._point is not None and self.way.currentData() == "point":
            handles(painter, view, np.array([self._point]), theme, chosen=0)
        if self.result is None:
            line = next((own for own in self.document.job.lines if own.name == self.paddock.currentData()), None)
            if line is not None:
                area(painter, view, line.xy, theme.accent, 22)
            return
        division: Division = self.result
        for part in division.parts:
            tone = QColor(theme.sections[part.number % len(theme.sections)])
            for piece in shapely.get_parts(part.land):
                area(painter, view, shapely.get_coordinates(piece.exterior), tone, 34)
            at = shapely.point_on_surface(part.land)
            x, y = (float(v) for v in view.to_screen(at.x, at.y))
            tag(painter, x, y + 12.0, f"{part.number} · {self.measures.area(part.area_m2)}", self.look)
        for xy in division.fences:
            polyline(painter, view, xy, theme.accent, 3.0, casing=theme.ground)
            handles(painter, view, xy, theme, size=6.0)


def division_lines(division: Division, paddock: FenceLine, fence: str) -> list[FenceLine]:
    """The new fences as lines, the lane's with their gates.

    Args:
        division: The division.
        paddock: The closed line that was divided.
        fence: Fence type key.
    """
    from planner.alignment.line import FenceLine

    lines = []
    for count, xy in enumerate(division.fences):
        is_lane = count < division.lane_fences
        counted = count + 1 if is_lane else count + 1 - division.lane_fences
        lines.append(FenceLine(f"{paddock.name} {'lane fence' if is_lane else 'division'} {counted}", fence, xy, False,
                               paddock.accuracy, origin=f"division of {paddock.name}"))
    for gate in division.gates:
        foot = nearest_line(lines[:division.lane_fences], gate.x, gate.y, np.inf)
        if foot is not None:
            at = lines.index(foot.line)
            named = replace(gate, name=f"{paddock.name} {gate.name}", x=foot.x, y=foot.y)
            lines[at] = replace(lines[at], gates=(*lines[at].gates, named))
    return lines


def _divided(land: shapely.Polygon, parts: int, areas: list[float | None] | None, way: str, bearing: float | None,
             point: Place | None, width: float, waters: Mapping[str, Place], gates: Mapping[str, Place]) -> Division:
    from planner.alignment.division import How, OffLane, Parallel, Radiating, divide_paddock
    from planner.alignment.division_lane import middle_lane

    how: How = Parallel("best" if bearing is None else bearing)
    if way == "point" and point is not None:
        how = Radiating(*point)
    elif way == "lane":
        how = OffLane(middle_lane(land), width)
    return divide_paddock(land, parts=parts, areas_ha=areas, how=how, waters=waters, gates=gates)

