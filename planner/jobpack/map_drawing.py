"""The map: fence lines with their posts, gates and joins over what else is on the ground."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from planner.geometry.sound_shapes import sound_shape
from planner.job.plan import LinePlan
from planner.jobpack.basis import Basis
from planner.jobpack.ground_bands import BAND_FILL, ground_bands
from planner.jobpack.map_view import MapView, grid_marks
from planner.jobpack.page.records import (
    FAINT,
    INK,
    PAPER,
    WATER,
    Area,
    Dash,
    Mark,
    Spot,
    Stroke,
    Strokes,
    Symbol,
    Text,
    Weight,
)
from planner.jobpack.page.spread import Room, around, text_shape
from planner.jobpack.symbol_words import SYMBOL_OF_FEATURE, SYMBOL_OF_JOIN, SYMBOL_WORDS, symbol_of_post
from planner.sections.strains import Section
from planner.survey.features import Feature

FEATURE_LINES: dict[str, tuple[float, Dash, str]] = {
    "water": (0.5, "solid", WATER), "boundary": (0.35, "dash-dot-dot", INK), "vegetation": (0.3, "dotted", INK),
    "track": (0.3, "dashed", FAINT), "service": (0.3, "dash-dot", INK), "existing fence": (0.25, "solid", FAINT),
    "flood": (0.3, "dashed", WATER), "trees": (0.5, "dotted", INK), "ground": (0.5, "dashed", FAINT),
    "road reserve": (0.5, "dash-dot", FAINT), "paddock": (0.2, "dotted", FAINT), "yard": (0.4, "solid", FAINT),
    "protected": (0.5, "dash-dot-dot", FAINT)}
"""Width [mm], dash and colour by meaning; told apart by dash and width alone."""
_OTHER_FEATURE: tuple[float, Dash, str] = (0.25, "dashed", FAINT)
_NAME_ALONE = frozenset({"paddock"})
"""Meanings whose points have no symbol: their name stands there."""
_ALWAYS = frozenset({"end", "corner", "gate", "junction", "crossing"})
_SYMBOL_MM = {"end": 2.3, "corner": 2.8, "gate": 3.8, "junction": 2.8, "crossing": 3.4, "rise": 2.2, "dip": 2.3,
              "deviation": 2.4, "join": 2.9, "sight": 3.0}
_FENCE_MM = 0.75
_BAND_MM = 2.4
_SHORT_NAME = 28
"""Letters of a feature's name that are kept where the whole of it has no room."""


@dataclass
class DrawnMap:
    """A map as drawn.

    Attributes:
        marks: What lies inside the frame.
        numbers: Grid numbers outside it.
        symbols: Symbols used, for the legend.
        features: Meanings of features seen, for the legend.
        left_out: Labels for which there was no room.
        grounds: Whether the ground under a line is toned, for the legend.
    """

    marks: list[Mark] = field(default_factory=list)
    numbers: list[Mark] = field(default_factory=list)
    symbols: set[str] = field(default_factory=set)
    features: set[str] = field(default_factory=set)
    left_out: int = 0
    grounds: bool = False


class _Drawing:
    """A map while it is drawn: lines first, then symbols, then labels where there is room."""

    def __init__(self, basis: Basis, view: MapView) -> None:
        self.basis = basis
        self.view = view
        self.drawn = DrawnMap()
        self.room = Room()
        self.spots: dict[str, tuple[Spot, ...]] = {}
        self.frame = shapely.box(view.x + 0.8, view.y + 0.8, view.x + view.width - 0.8, view.y + view.height - 0.8)
        west, south, east, north = view.bounds
        self.sight = shapely.box(west, south, east, north)

    def add(self, mark: Mark) -> None:
        self.drawn.marks.append(mark)

    def symbol(self, kind: str, spot: Spot, size: float) -> None:
        self.add(Symbol(kind, spot[0], spot[1], size))
        self.drawn.symbols.add(kind)
        self.room.take(shapely.box(spot[0] - size / 2, spot[1] - size / 2, spot[0] + size / 2, spot[1] + size / 2))

    def label(self, texts: list[Text]) -> bool:
        placed = self.room.place(texts, self.frame)
        if placed is None:
            self.drawn.left_out += 1
            return False
        outline = shapely.get_coordinates(text_shape(placed, rim=0.25).exterior)[:-1]
        self.add(Area(tuple(map(tuple, np.round(outline, 3).tolist())), PAPER, ""))
        self.add(placed)
        return True


@dataclass(frozen=True, slots=True)
class Seam:
    """Where the next sheet begins.

    Attributes:
        stroke: The match line.
        texts: Its name at several places, the best first.
    """

    stroke: Stroke
    texts: tuple[Text, ...]


def draw_map(basis: Basis, view: MapView, *, detailed: bool, lengths: bool = True,
             seams: Sequence[Seam] = (), taken: Sequence[shapely.Geometry] = (),
             names: Collection[str] | None = None, besides: Sequence[Feature] = ()) -> DrawnMap:
    """What the map shows through a window.

    Args:
        basis: Basis of the sheets.
        view: The window.
        detailed: Whether rise and dip posts, joins and pegs are shown and named, and not ends, gates and crossings
            alone.
        lengths: Whether section labels give the slope length.
        seams: Match lines.
        taken: Parts of the paper that no label may lie on. [mm]
        names: Meanings of the features that are called by name; all when None.
        besides: What a sheet marks on its own map and the job does not hold.
    """
    drawing = _Drawing(basis, view)
    for shape in taken:
        drawing.room.take(shape)
    lines, drawing.drawn.numbers = grid_marks(view)
    drawing.drawn.marks += lines
    named = [texts if names is None or feature.meaning in names else [] for feature, texts in
             [(feature, _feature(drawing, feature)) for feature in (*basis.plan.job.features, *besides)]]
    for seam in seams:
        drawing.add(seam.stroke)
    grounds = [texts for line in basis.plan.lines for texts in _grounds(drawing, line)]
    for line in basis.plan.lines:
        _fence(drawing, line, detailed)
    for line in basis.plan.lines:
        _symbols(drawing, line, detailed)
    for seam in seams:
        drawing.label(list(seam.texts))
    for texts in filter(None, named):
        drawing.label([*texts, *(replace(t, text=shorter(t.text)) for t in texts if len(t.text) > _SHORT_NAME)])
    for line in basis.plan.lines:
        _opening_labels(drawing, line)
    for line in basis.plan.lines:
        _section_labels(drawing, line, lengths)
    for texts in grounds:
        drawing.label(texts)
    if detailed:
        for line in basis.plan.lines:
            _peg_labels(drawing, line)
    return drawing.drawn


def shorter(name: str) -> str:
    """A name cut after its last whole word that has room on a crowded map.

    Args:
        name: The name.

    Example:
        >>> shorter("Water main of the upper holding, as laid")
        'Water main of the upper…'
    """
    if len(name) <= _SHORT_NAME:
        return name
    kept = name[:_SHORT_NAME].rsplit(" ", 1)[0] if " " in name[:_SHORT_NAME] else name[:_SHORT_NAME - 1]
    return kept.rstrip(" ,;:-") + "…"


def job_extent(basis: Basis) -> tuple[float, float, float, float]:
    """West, south, east and north of all fence lines. [m]

    Args:
        basis: Basis of the sheets.
    """
    every = np.vstack([line.line.xy for line in basis.plan.lines])
    west, south = every.min(axis=0)
    east, north = every.max(axis=0)
    return float(west), float(south), float(east), float(north)


def _feature(drawing: _Drawing, feature: Feature) -> list[Text]:
    """Draws a feature; gives its name at several places."""
    seen = sound_shape(feature.wkt).intersection(drawing.sight.buffer(5.0 / drawing.view.per_m))
    width, dash, colour = FEATURE_LINES.get(feature.meaning, _OTHER_FEATURE)
    longest: tuple[float, tuple[Spot, ...]] = (0.0, ())
    points: list[Text] = []
    for part in _parts(seen):
        if part.geom_type == "Point":
            spot = drawing.view.spot(part.x, part.y)
            if feature.meaning in _NAME_ALONE:
                points += [Text(*spot, feature.name, 7.0, "italic", "middle"),
                           *around(*spot, feature.name, away=1.0, size_pt=7.0, weight="italic")] if feature.name else []
                continue
            drawing.symbol(SYMBOL_OF_FEATURE.get(feature.meaning, "control mark"), spot, 3.0)
            points += [text for away in (2.4, 4.5, 7.0) * bool(feature.name) for text in
                       around(*spot, feature.name, away=away, size_pt=7.0, weight="italic")]
            continue
        ring = part.exterior if part.geom_type == "Polygon" else part
        spots = drawing.view.spots(shapely.get_coordinates(ring.simplify(0.1 / drawing.view.per_m)))
        drawing.add(Stroke(spots, width, colour, dash))
        if feature.meaning == "existing fence":
            drawing.add(existing_fence_crosses(spots))
        drawing.drawn.features.add(feature.meaning)
        longest = max(longest, (ring.length, spots), key=lambda one: one[0])
    spots = longest[1]
    if len(spots) < 2 or not feature.name or longest[0] * drawing.view.per_m < 25.0:
        return points
    line = shapely.LineString(spots)
    at = [line.interpolate(share, normalized=True) for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)]
    return [text for place in at for text in
            around(place.x, place.y, feature.name, away=1.8, size_pt=7.0, weight="italic", colour=colour)]


def _parts(shape: shapely.Geometry) -> Iterable[shapely.Geometry]:
    return [part for part in shapely.get_parts(shape) if not part.is_empty]


def existing_fence_crosses(spots: tuple[Spot, ...]) -> Strokes:
    """Small crosses along a fence that stands already.

    Args:
        spots: The fence on paper. [mm]
    """
    line = shapely.LineString(spots)
    crosses = []
    for k in range(max(1, int(line.length / 6.0))):
        at = line.interpolate(6.0 * k + min(3.0, line.length / 2))
        crosses += [(at.x - .6, at.y - .6, at.x + .6, at.y + .6), (at.x - .6, at.y + .6, at.x + .6, at.y - .6)]
    return Strokes(tuple(crosses), 0.2, FAINT)


def _grounds(drawing: _Drawing, line: LinePlan) -> list[list[Text]]:
    """Tones the ground under a line where its class was said; gives the names of each stretch at several places."""
    named: list[list[Text]] = []
    corners = line.ground.chainage_m[line.ground.vertices]
    for band in ground_bands(line, drawing.basis.plan.catalogue.grounds):
        at = np.concatenate(([band.from_m], corners[(corners > band.from_m) & (corners < band.to_m)], [band.to_m]))
        seen = shapely.LineString(np.column_stack(line.ground.place_at(at))).intersection(drawing.sight)
        for part in _parts(seen):
            if part.geom_type != "LineString":
                continue
            spots = drawing.view.spots(shapely.get_coordinates(part))
            drawing.add(Stroke(spots, _BAND_MM, BAND_FILL))
            drawing.drawn.grounds = True
            on_paper = shapely.LineString(spots)
            if on_paper.length > 4.0:
                named.append([text for share in (0.5, 0.3, 0.7, 0.15, 0.85) for name in band.names[-1:]
                              for text in _beside(on_paper, share, name, away=2.8, size_pt=6.8, weight="italic")])
    return named


def _section_spots(drawing: _Drawing, line: LinePlan, section: Section) -> tuple[Spot, ...]:
    """A section on paper; empty where it lies outside the window. Looked up once for each map."""
    if section.id not in drawing.spots:
        drawing.spots[section.id] = _spots_in_sight(drawing, line, section)
    return drawing.spots[section.id]


def _spots_in_sight(drawing: _Drawing, line: LinePlan, section: Section) -> tuple[Spot, ...]:
    ground = line.ground
    corners = ground.chainage_m[ground.vertices]
    at = np.concatenate(([section.from_m], corners[(corners > section.from_m) & (corners < section.to_m)],
                         [section.to_m]))
    x, y = ground.place_at(at)
    if not shapely.LineString(np.column_stack((x, y))).intersects(drawing.sight):
        return ()
    return drawing.view.spots(np.column_stack((x, y)))


def _fence(drawing: _Drawing, line: LinePlan, detailed: bool) -> None:
    for section in line.sections:
        spots = _section_spots(drawing, line, section)
        if not spots:
            continue
        drawing.room.take(shapely.LineString(spots).buffer(0.6))
        if section.is_gate:
            continue
        dash: Dash = "dashed" if section.is_crossing else "solid"
        drawing.add(Stroke(spots, _FENCE_MM if dash == "solid" else 0.5, INK, dash))
    spacing = line.fence.posts.spacing_m * drawing.view.per_m
    if detailed and spacing >= 1.2:
        _post_ticks(drawing, line)


def _post_ticks(drawing: _Drawing, line: LinePlan) -> None:
    at = np.array([p.chainage_m for p in line.posts if p.kind == "line"])
    if not len(at):
        return
    x, y = line.ground.place_at(at)
    x_on, y_on = line.ground.place_at(at + 0.05)
    ticks = []
    for east, north, dx, dy in zip(x.tolist(), y.tolist(), (x_on - x).tolist(), (y_on - y).tolist(), strict=True):
        if drawing.view.sees(east, north) and (dx or dy):
            px, py = drawing.view.spot(east, north)
            size = 0.75 / math.hypot(dx, dy)
            ticks.append((px + dy * size, py + dx * size, px - dy * size, py - dx * size))
    if ticks:
        drawing.add(Strokes(tuple(ticks), 0.18, INK))


def _symbols(drawing: _Drawing, line: LinePlan, detailed: bool) -> None:
    names = sorted((peg for peg in line.pegs), key=lambda p: p.kind in _ALWAYS)
    for peg in names:
        if not (detailed or peg.kind in _ALWAYS) or not drawing.view.sees(peg.x, peg.y):
            continue
        if peg.kind == "join":
            continue
        drawing.symbol(symbol_of_post(peg.kind), drawing.view.spot(peg.x, peg.y),
                       _SYMBOL_MM.get(peg.kind, 2.2) * (1.0 if detailed else 0.85))
    if not detailed:
        return
    for section in line.sections:
        for join in drawing.basis.joins.get(section.id, ()):
            x, y = line.ground.place_at(join.chainage_m)
            if drawing.view.sees(float(x), float(y)):
                drawing.symbol(SYMBOL_OF_JOIN[join.kind], drawing.view.spot(float(x), float(y)), _SYMBOL_MM["join"])


def _opening_labels(drawing: _Drawing, line: LinePlan) -> None:
    measures = drawing.basis.measures
    for gate in line.line.gates:
        if drawing.view.sees(gate.x, gate.y):
            _opening_label(drawing, gate.x, gate.y, gate.name, measures.length(gate.width_m))
    for crossing in line.line.crossings:
        if drawing.view.sees(crossing.x, crossing.y):
            _opening_label(drawing, crossing.x, crossing.y, crossing.name, measures.length(crossing.span_m))


def _opening_label(drawing: _Drawing, x: float, y: float, name: str, wide: str) -> None:
    spot = drawing.view.spot(x, y)
    drawing.label([text for called in dict.fromkeys((name, shorter(name))) for text in
                   around(*spot, f"{called} {wide}", away=3.0, size_pt=7.2, weight="semibold")])


def _section_labels(drawing: _Drawing, line: LinePlan, lengths: bool) -> None:
    for section in line.sections:
        if section.is_gate or section.is_crossing:
            continue
        spots = _section_spots(drawing, line, section)
        seen = shapely.LineString(spots).intersection(drawing.frame) if spots else None
        if seen is None or seen.length < 4.0:
            continue
        longest = max(_parts(seen), key=lambda part: part.length)
        words = [section.id]
        if lengths:
            words.insert(0, f"{section.id}  {drawing.basis.measures.length(section.slope_length_m)}")
        texts = [text for word in words for share in (0.5, 0.35, 0.65, 0.2, 0.8)
                 for text in _beside(longest, share, word)]
        drawing.label(texts)


def _beside(part: shapely.LineString, share: float, word: str, *, away: float = 2.0, size_pt: float = 7.6,
            weight: Weight = "bold") -> list[Text]:
    """A label on either side of a line, square to it."""
    at, on = part.interpolate(share, normalized=True), part.interpolate(min(1.0, share + 0.01), normalized=True)
    dx, dy = on.x - at.x, on.y - at.y
    far = math.hypot(dx, dy) or 1.0
    across = (-dy / far, dx / far)
    return [around(at.x, at.y, word, away=away, size_pt=size_pt, weight=weight, first=first)[k]
            for first in (across, (-across[0], -across[1])) for k in (0, 1)]


def _peg_labels(drawing: _Drawing, line: LinePlan) -> None:
    order = sorted(line.pegs, key=lambda p: (p.kind not in _ALWAYS, p.chainage_m))
    for peg in order:
        if drawing.view.sees(peg.x, peg.y, rim_mm=1.0):
            drawing.label(around(*drawing.view.spot(peg.x, peg.y), peg.name, away=2.1, size_pt=5.8, colour=FAINT))


def used_symbols(drawn: DrawnMap) -> list[tuple[str, str]]:
    """Symbols of a map with what the legend says of each.

    Args:
        drawn: The map.
    """
    return [(name, words) for name, words in SYMBOL_WORDS.items() if name in drawn.symbols]
