"""The strip: ground, wires, posts, rises, dips and joins of a stretch of one line, drawn in profile."""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from planner.job.plan import LinePlan
from planner.job.roll_joins import SectionJoin
from planner.jobpack.basis import Basis
from planner.jobpack.ground_bands import BAND_FILL, ground_bands
from planner.jobpack.page.lettering import text_width
from planner.jobpack.page.measures import degrees_text, grouped
from planner.jobpack.page.records import BAND, FAINT, INK, RULE, Area, Mark, Spot, Stroke, Strokes, Symbol, Text, box
from planner.jobpack.page.spread import kept_apart
from planner.jobpack.symbol_words import SYMBOL_OF_JOIN
from planner.sections.posts import Post
from planner.units import FOOT_M, Metre

EXAGGERATIONS = (1.0, 2.0, 4.0, 5.0, 10.0, 20.0)
_TICKS = (1.0, 2.0, 5.0)
_AXIS_MM = 2.2
_SOIL_MM = 4.4
_GROUND_MM = 3.4
_BAND_MM = 5.4
_LABEL_PT = 6.5
_LABEL_STEP = 2.75
_LEVELS_MM = 12.0
_LEAST_PANEL_MM = 0.75


@dataclass(frozen=True, slots=True)
class StripFrame:
    """Where a strip is drawn, and how much of a line.

    Attributes:
        x: Left edge. [mm]
        y: Upper edge. [mm]
        width: Width, the levels at the left included. [mm]
        height: Height, band, axis and labels included. [mm]
        from_m: Chainage at the left. [m]
        to_m: Chainage at the right. [m]
        labels_mm: Height of the upright labels under the axis. [mm] As much as they take when None.
        per_m: Millimetres on paper for a metre along; None to fill the width. [mm/m]
        banded: Whether the sections are named in a band above.
        short: Whether labels give whole metres and leave turns out.
    """

    x: float
    y: float
    width: float
    height: float
    from_m: Metre
    to_m: Metre
    labels_mm: float | None = None
    per_m: float | None = None
    banded: bool = True
    short: bool = False


@dataclass(frozen=True, slots=True)
class DrawnStrip:
    """A strip as drawn.

    Attributes:
        marks: What was drawn.
        exaggeration: How many times taller than long it stands.
        per_m: Millimetres on paper for a metre along. [mm/m]
        left_out: Labels for which there was no room; the tables have them.
    """

    marks: tuple[Mark, ...]
    exaggeration: float
    per_m: float
    left_out: int


_Named: TypeAlias = tuple[float, int, str, str]
"""Chainage, rank, words and symbol of what is named under the axis."""


class _View:
    """From chainage and level to paper."""

    def __init__(self, frame: StripFrame, line: LinePlan, labels_mm: float) -> None:
        self.frame = frame
        self.left = frame.x + _LEVELS_MM
        self.plot_width = frame.width - _LEVELS_MM - 2.0
        self.top = frame.y + (_BAND_MM + 1.0 if frame.banded else 0.5)
        self.base = frame.y + frame.height - labels_mm - _AXIS_MM
        self.soil = _SOIL_MM + (_GROUND_MM if line.stretches and frame.banded else 0.0)
        self.per_m = frame.per_m or self.plot_width / max(frame.to_m - frame.from_m, 1.0)
        ground = line.ground
        inside = ground.chainage_m[(ground.chainage_m > frame.from_m) & (ground.chainage_m < frame.to_m)]
        self.at = np.concatenate(([frame.from_m], inside, [frame.to_m]))
        self.level = ground.level_at(self.at)
        self.low = float(self.level.min())
        high = float(self.level.max()) + line.fence.height_m
        room = max(4.0, self.base - self.top - 3.5 - self.soil)
        fits = [e for e in EXAGGERATIONS if (high - self.low) * self.per_m * e <= room]
        self.exaggeration = fits[-1] if fits else _rounded_down(room / ((high - self.low) * self.per_m))
        self.per_level = self.per_m * self.exaggeration

    def x(self, chainage: float) -> float:
        return self.left + (chainage - self.frame.from_m) * self.per_m

    def y(self, level: float) -> float:
        return self.base - self.soil - (level - self.low) * self.per_level


def draw_strip(basis: Basis, line: LinePlan, frame: StripFrame) -> DrawnStrip:
    """A stretch of a line in profile.

    The vertical exaggeration is the greatest round one that fits; say it beside the drawing.

    Args:
        basis: Basis of the sheets.
        line: The line.
        frame: Where, and which stretch.
    """
    named = sorted(_named(basis, line, frame), key=lambda label: label[0])
    tallest = max((text_width(words, size_pt=_LABEL_PT) for _, _, words, _ in named), default=0.0)
    view = _View(frame, line, tallest + 5.2 if frame.labels_mm is None else frame.labels_mm)
    marks: list[Mark] = [*_bands(basis, line, view), *_levels(basis, view), *_ground(view),
                         *_ground_classes(basis, line, view), *_fence(line, view)]
    marks += _joins(basis, line, view)
    marks += _axis(basis, view)
    labels, left_out = _labels(named, view)
    return DrawnStrip((*marks, *labels), view.exaggeration, view.per_m, left_out)


def exaggeration_words(times: float) -> str:
    """How heights are drawn, for the words beside a strip.

    Args:
        times: The exaggeration.

    Example:
        >>> exaggeration_words(5.0), exaggeration_words(1.0)
        ('heights drawn 5 times as large', 'heights drawn to the same scale')
    """
    if times == 1.0:
        return "heights drawn to the same scale"
    return f"heights drawn {grouped(times, 0 if times > 1.0 else 2)} times as large"


def _rounded_down(value: float) -> float:
    """A share below one with one significant figure, for cliffs steeper than the paper."""
    step = 10.0 ** math.floor(math.log10(value))
    return math.floor(value / step) * step


def _bands(basis: Basis, line: LinePlan, view: _View) -> list[Mark]:
    """Sections in turn on a tint and without, named above where their name fits."""
    marks: list[Mark] = []
    if not view.frame.banded:
        return marks
    for number, section in enumerate(line.sections):
        low, high = max(section.from_m, view.frame.from_m), min(section.to_m, view.frame.to_m)
        if high <= low:
            continue
        x, width = view.x(low), (high - low) * view.per_m
        if number % 2 == 0:
            marks.append(box(x, view.frame.y, width, view.base - view.frame.y, fill=BAND, edge=""))
        length = basis.measures.length(section.slope_length_m)
        what = "gate" if section.is_gate else "crossing" if section.is_crossing else ""
        for words in (f"{section.id} {what or length} {basis.measures.length(section.slope_length_m) if what else ''}",
                      f"{section.id} {what or length}", section.id):
            if text_width(words.strip(), size_pt=7.5, weight="semibold") < width - 1.0:
                marks.append(Text(x + width / 2, view.frame.y + 3.8, words.strip(), 7.5, "semibold", "middle"))
                break
    return marks


def _levels(basis: Basis, view: _View) -> list[Mark]:
    metres = 1.0 if basis.measures.is_metric else FOOT_M
    high = view.low + (view.base - view.soil - view.top) / view.per_level
    step = _tick_step(5.5 / (view.per_level * metres))
    marks: list[Mark] = []
    lines = []
    for k in range(math.ceil(view.low / metres / step), math.floor(high / metres / step) + 1):
        y = view.y(k * step * metres)
        lines.append((view.left, y, view.x(view.frame.to_m), y))
        marks.append(Text(view.left - 1.2, y + 0.8, grouped(k * step, 0 if step >= 1 else 1), 6.5, "regular", "right",
                          FAINT))
    return [Strokes(tuple(lines), 0.1, RULE), *marks] if lines else marks


def _ground(view: _View) -> list[Mark]:
    places = [(view.x(a), view.y(z)) for a, z in zip(view.at.tolist(), view.level.tolist(), strict=True)]
    line = tuple(_thinned(places))
    under = (*line, (line[-1][0], view.base), (line[0][0], view.base))
    return [Area(under, "#dcd9cc", ""), Stroke(line, 0.35, INK)]


def _ground_classes(basis: Basis, line: LinePlan, view: _View) -> list[Mark]:
    """The ground toned and named where its class was said."""
    marks: list[Mark] = []
    if not view.frame.banded:
        return marks
    for band in ground_bands(line, basis.plan.catalogue.grounds):
        low, high = max(band.from_m, view.frame.from_m), min(band.to_m, view.frame.to_m)
        if high <= low:
            continue
        at = np.concatenate(([low], view.at[(view.at > low) & (view.at < high)], [high]))
        top = _thinned([(view.x(a), view.y(float(z))) for a, z in zip(at.tolist(), line.ground.level_at(at),
                                                                      strict=True)])
        left, right = top[0][0], top[-1][0]
        marks += [Area((*top, (right, view.base), (left, view.base)), BAND_FILL, ""), Stroke(tuple(top), 0.35, INK)]
        marks += [Stroke(((x, y), (x, view.base)), 0.2, FAINT) for x, y in (top[0], top[-1])]
        name = next((n for n in band.names if text_width(n, size_pt=6.8, weight="italic") < right - left - 1.0), "")
        if name:
            marks.append(Text((left + right) / 2, view.base - 4.6, name, 6.8, "italic", "middle"))
    return marks


def _posts_within(line: LinePlan, frame: StripFrame) -> tuple[int, int]:
    """First of the posts of the stretch, and the one after the last."""
    return (bisect.bisect_left(line.posts, frame.from_m - 1e-6, key=lambda p: p.chainage_m),
            bisect.bisect_right(line.posts, frame.to_m + 1e-6, key=lambda p: p.chainage_m))


def _thinned(places: Sequence[Spot]) -> list[Spot]:
    """Profile points a third of a millimetre apart; the highest and lowest between them are kept."""
    kept: list[Spot] = [places[0]]
    group: list[Spot] = []
    for place in places[1:-1]:
        group.append(place)
        if place[0] - kept[-1][0] >= 0.35:
            kept += sorted({min(group, key=lambda p: p[1]), max(group, key=lambda p: p[1]), place})
            group = []
    return [*kept, *group, places[-1]]


def _fence(line: LinePlan, view: _View) -> list[Mark]:
    """Posts standing on the ground, the top wire from post to post; gate openings have none."""
    marks: list[Mark] = []
    first, last = _posts_within(line, view.frame)
    inside = [(post, view.x(post.chainage_m)) for post in line.posts[first:last]]
    tall = line.fence.height_m * view.per_level
    top = max(tall, 2.2)
    thin: list[tuple[float, float, float, float]] = []
    thick: list[tuple[float, float, float, float]] = []
    levels = line.ground.level_at(np.array([post.chainage_m for post, _ in inside]))
    for (post, x), level in zip(inside, levels.tolist(), strict=True):
        y = view.y(level)
        (thin if post.kind == "line" else thick).append((x, y, x, y - top))
    spacing = (view.x(view.frame.to_m) - view.left) / max(len(inside), 1)
    if thin and spacing >= _LEAST_PANEL_MM:
        marks.append(Strokes(tuple(thin), 0.15, INK))
    if thick:
        marks.append(Strokes(tuple(thick), 0.35, INK))
    for section in line.sections:
        low, high = max(section.from_m, view.frame.from_m), min(section.to_m, view.frame.to_m)
        if high <= low or section.is_gate:
            continue
        stops = [low, *(p.chainage_m for p, _ in inside if low < p.chainage_m < high), high]
        wire = [(view.x(at), view.y(float(z)) - top) for at, z in zip(stops, line.ground.level_at(np.array(stops)),
                                                                      strict=True)]
        if section.is_crossing:
            wire = [wire[0], wire[-1]]
        marks.append(Stroke(tuple(wire), 0.25, INK, "dashed" if section.is_crossing else "solid"))
        bars = [at for at in (section.from_m, section.to_m) if low - 1e-6 <= at <= high + 1e-6]
        for at in bars:
            y = view.y(float(line.ground.level_at(at)))
            marks.append(Stroke(((view.x(at), y + 1.0), (view.x(at), y - top - 1.2)), 0.9, INK))
    return marks


def _joins(basis: Basis, line: LinePlan, view: _View) -> list[Mark]:
    marks: list[Mark] = []
    top = max(line.fence.height_m * view.per_level, 2.2)
    for section in line.sections:
        for join in basis.joins.get(section.id, ()):
            if view.frame.from_m <= join.chainage_m <= view.frame.to_m:
                y = view.y(float(line.ground.level_at(join.chainage_m)))
                marks.append(Symbol(SYMBOL_OF_JOIN[join.kind], view.x(join.chainage_m), y - top / 2, 3.4))
    return marks


def _axis(basis: Basis, view: _View) -> list[Mark]:
    metres = 1.0 if basis.measures.is_metric else FOOT_M
    step = _tick_step(13.0 / (view.per_m * metres))
    right = view.x(view.frame.to_m)
    marks: list[Mark] = [Stroke(((view.left, view.base), (right, view.base)), 0.25, INK)]
    first = math.ceil(view.frame.from_m / metres / step - 1e-9)
    for k in range(first, math.floor(view.frame.to_m / metres / step + 1e-9) + 1):
        x = view.x(k * step * metres)
        words = grouped(k * step, 0 if step >= 1 else 1)
        half = text_width(words, size_pt=6.5) / 2
        marks.append(Stroke(((x, view.base), (x, view.base - 0.9)), 0.2, INK))
        place = min(max(x, view.left + half + 0.6), right - half - 0.6)
        marks.append(Text(place, view.base - 1.5, words, 6.5, "regular", "middle"))
    marks.append(Text(view.left - 1.2, view.base - 0.4, basis.measures.length_unit, 6.5, "regular", "right", FAINT))
    return marks


def _tick_step(least: float) -> float:
    """The first of 1, 2, 5, 10, ... that is at least this, never below a tenth."""
    power = 10.0 ** math.floor(math.log10(max(least, 0.1)))
    return next(step for step in (power * t for t in (*_TICKS, 10.0)) if step >= least - 1e-9)


def _labels(named: list[_Named], view: _View) -> tuple[list[Mark], int]:
    """Upright labels under the axis, each led to its place; those that matter least go when there is no room."""
    most = max(1, int((view.x(view.frame.to_m) - view.left) / _LABEL_STEP))
    left_out = max(0, len(named) - most)
    if left_out:
        kept = sorted(sorted(range(len(named)), key=lambda k: (named[k][1], k))[:most])
        named = [named[k] for k in kept]
    wanted = [view.x(at) for at, _, _, _ in named]
    places = kept_apart(wanted, least=_LABEL_STEP, low=view.left - 1.0, high=view.x(view.frame.to_m) + 1.0)
    marks: list[Mark] = []
    top = view.base + _AXIS_MM
    for (_, _, words, symbol), x, at in zip(named, wanted, places, strict=True):
        marks.append(Stroke(((x, view.base), (x, view.base + 0.9), (at, top), (at, top + 1.0)), 0.12, FAINT))
        y = top + 1.4
        if symbol:
            marks.append(Symbol(symbol, at, y + 1.0, 2.3))
            y += 2.6
        marks.append(Text(at + 0.8, y, words, _LABEL_PT, "regular", "right", INK, 90.0))
    return marks, left_out


def _named(basis: Basis, line: LinePlan, frame: StripFrame) -> list[_Named]:
    """What is named under the axis."""
    measures, digits = basis.measures, 0 if frame.short else 1
    found: list[_Named] = []
    seen_ends: set[float] = set()
    first, last = _posts_within(line, frame)
    for post, load in zip(line.posts[first:last], line.loads[first:last], strict=True):
        if post.kind == "line":
            continue
        at = round(post.chainage_m, 3)
        if at in seen_ends:
            continue
        seen_ends.add(at)
        found.append((post.chainage_m, _rank(post, load.hold_down != "none"),
                      _label(basis, post, frame.short), post.kind))
    joins: list[SectionJoin] = [j for s in line.sections for j in basis.joins.get(s.id, ())]
    found += [(j.chainage_m, 1, f"{measures.number(j.chainage_m, digits)} join", "") for j in joins
              if frame.from_m <= j.chainage_m <= frame.to_m]
    return found


def _rank(post: Post, held: bool) -> int:
    if post.kind in ("rise", "dip") and not held:
        return 3 if abs(post.break_deg) < 4.0 else 2
    return 0 if post.kind not in ("deviation", "rise") else 2


def _label(basis: Basis, post: Post, short: bool) -> str:
    at = basis.measures.number(post.chainage_m, 0 if short else 1)
    if post.kind in ("rise", "dip"):
        return f"{at} {degrees_text(post.break_deg)}"
    turn = f" {degrees_text(post.turn_deg, 0)}" if abs(post.turn_deg) >= 0.5 else ""
    return post.kind if short else f"{at} {post.kind}{turn}"
