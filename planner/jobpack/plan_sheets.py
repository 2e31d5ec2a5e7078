"""Plan sheets: the map at a true scale on as many tiles as it takes, with an index map and match lines."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from planner.jobpack.basis import Basis, grid_text
from planner.jobpack.ground_bands import BAND_FILL
from planner.jobpack.map_drawing import (
    FEATURE_LINES,
    DrawnMap,
    Seam,
    draw_map,
    existing_fence_crosses,
    job_extent,
    used_symbols,
)
from planner.jobpack.map_view import (
    SCALES,
    MapView,
    grid_step,
    map_frame,
    north_arrow,
    scale_bar,
    scale_to_fit,
)
from planner.jobpack.page.form import Form
from planner.jobpack.page.lettering import line_height, paragraph
from planner.jobpack.page.measures import grouped, scale_text
from planner.jobpack.page.records import FAINT, INK, PAPER, RULE, Mark, Page, Stroke, Symbol, Text, Window, box
from planner.survey.datum import grid_convergence
from planner.survey.feature_meanings import BY_KEY
from planner.wording import counted

PANEL_MM = 50.0
_MOST_TILES = 16
_OVERLAP_MM = 7.0
_MATCH_MM = 1.0
_DETAIL = tuple(scale for scale in SCALES if 2000.0 <= scale <= 10_000.0)


@dataclass(frozen=True, slots=True)
class Tile:
    """One map sheet.

    Attributes:
        number: Its number, from 1.
        column: Place from the west.
        row: Place from the north.
        view: Its window.
    """

    number: int
    column: int
    row: int
    view: MapView


def plan_pages(basis: Basis) -> tuple[Page, ...]:
    """The map: one sheet where the job goes on one, else an index map and its tiles.

    Args:
        basis: Basis of the sheets.
    """
    if not basis.plan.lines:
        return ()
    form = Form(basis.choice.drawings, landscape=True)
    extent = _widened(job_extent(basis))
    tiles = _tiles(basis, form, extent)
    if len(tiles) == 1:
        return (_map_page(basis, form, tiles[0], {}, "Plan"),)
    at = {(tile.column, tile.row): tile for tile in tiles}
    pages = [_index_page(basis, form, extent, tiles)]
    pages += [_map_page(basis, form, tile, at, f"Plan, map {tile.number} of {len(tiles)}") for tile in tiles]
    return tuple(pages)


def frame_of(form: Form) -> tuple[float, float, float, float]:
    """Left and upper edge, width and height of the map on its sheet. [mm]

    Args:
        form: The paper.
    """
    return (form.left + 4.0, form.top + 3.0, form.inner_width - PANEL_MM - 7.0, form.inner_height - 4.0)


def _widened(extent: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    west, south, east, north = extent
    rim = max(10.0, 0.02 * max(east - west, north - south))
    return west - rim, south - rim, east + rim, north + rim


def _tiles(basis: Basis, form: Form, extent: tuple[float, float, float, float]) -> list[Tile]:
    _, _, width, height = frame_of(form)
    whole = scale_to_fit(extent, width=width, height=height)
    for scale in _DETAIL:
        if scale >= whole:
            break
        tiles = _cut(basis, form, extent, scale)
        if len(tiles) <= _MOST_TILES:
            return tiles
    if whole <= _DETAIL[-1]:
        return [_whole(form, extent, whole)]
    return _cut(basis, form, extent, _DETAIL[-1])


def _whole(form: Form, extent: tuple[float, float, float, float], scale: float) -> Tile:
    x, y, width, height = frame_of(form)
    west, south, east, north = extent
    return Tile(1, 0, 0, MapView(x, y, width, height, (west + east) / 2, (south + north) / 2, scale))


def _cut(basis: Basis, form: Form, extent: tuple[float, float, float, float], scale: float) -> list[Tile]:
    """Tiles of one scale that a fence line passes through, numbered from the north-west."""
    x, y, width, height = frame_of(form)
    step_x, step_y = ((width - 2 * _OVERLAP_MM) * scale / 1000.0, (height - 2 * _OVERLAP_MM) * scale / 1000.0)
    west, south, east, north = extent
    columns, rows = math.ceil((east - west) / step_x), math.ceil((north - south) / step_y)
    left = (west + east) / 2 - columns * step_x / 2
    top = (south + north) / 2 + rows * step_y / 2
    fences = shapely.union_all([shapely.LineString(line.line.xy) for line in basis.plan.lines])
    shapely.prepare(fences)
    tiles: list[Tile] = []
    for row in range(rows):
        for column in range(columns):
            core = shapely.box(left + column * step_x, top - (row + 1) * step_y, left + (column + 1) * step_x,
                               top - row * step_y)
            if fences.intersects(core):
                middle = core.centroid
                tiles.append(Tile(len(tiles) + 1, column, row,
                                  MapView(x, y, width, height, middle.x, middle.y, scale)))
    return tiles


def _map_page(basis: Basis, form: Form, tile: Tile, at: dict[tuple[int, int], Tile], title: str) -> Page:
    view = tile.view
    drawn = draw_map(basis, view, detailed=True, seams=_seams(tile, at))
    marks: list[Mark] = [Window(view.x, view.y, view.width, view.height, tuple(drawn.marks)), map_frame(view),
                         *drawn.numbers, *_panel(basis, form, view, drawn, matched=bool(at))]
    return Page(form.width, form.height, title, tuple(marks))


def _index_page(basis: Basis, form: Form, extent: tuple[float, float, float, float], tiles: list[Tile]) -> Page:
    first = tiles[0].view
    halves = (first.width / 2 - _OVERLAP_MM) / first.per_m, (first.height / 2 - _OVERLAP_MM) / first.per_m
    centres = np.array([(tile.view.east, tile.view.north) for tile in tiles])
    around = (*(centres.min(axis=0) - halves), *(centres.max(axis=0) + halves))
    west, south = (min(a, b) for a, b in zip(around[:2], extent[:2], strict=True))
    east, north = (max(a, b) for a, b in zip(around[2:], extent[2:], strict=True))
    x, y, width, height = frame_of(form)
    view = MapView(x, y, width, height, float(west + east) / 2, float(south + north) / 2,
                   scale_to_fit((west, south, east, north), width=width - 4.0, height=height - 4.0))
    under, over, taken = _tile_marks(view, tiles, halves)
    drawn = draw_map(basis, view, detailed=False, lengths=False, taken=taken)
    marks = [Window(view.x, view.y, view.width, view.height, (*under, *drawn.marks, *over)), map_frame(view),
             *drawn.numbers,
             *_panel(basis, form, view, drawn, index=f"Numbers in boxes: map sheets at {scale_text(first.scale)}.")]
    return Page(form.width, form.height, "Plan, index of maps", tuple(marks))


def _tile_marks(view: MapView, tiles: list[Tile], halves: tuple[float, float],
                ) -> tuple[list[Mark], list[Mark], list[shapely.Geometry]]:
    """Outlines of the tiles, their numbers in boxes, and where these boxes stand."""
    under: list[Mark] = []
    over: list[Mark] = []
    taken: list[shapely.Geometry] = []
    for tile in tiles:
        left, top = view.spot(tile.view.east - halves[0], tile.view.north + halves[1])
        under.append(box(left, top, 2 * halves[0] * view.per_m, 2 * halves[1] * view.per_m, edge=FAINT, width_mm=0.3))
        over += [box(left, top, 7.5, 5.5, fill=PAPER, edge=FAINT, width_mm=0.3),
                 Text(left + 3.75, top + 4.1, str(tile.number), 10.0, "bold", "middle")]
        taken.append(shapely.box(left - 0.5, top - 0.5, left + 8.0, top + 6.0))
    return under, over, taken


def _seams(tile: Tile, at: dict[tuple[int, int], Tile]) -> list[Seam]:
    """Where the next sheets begin, with their numbers."""
    view, rim = tile.view, _OVERLAP_MM
    left, right = view.x + rim, view.x + view.width - rim
    top, bottom = view.y + rim, view.y + view.height - rim
    sides = ((0, -1, ((left, top), (right, top))), (0, 1, ((left, bottom), (right, bottom))),
             (-1, 0, ((left, top), (left, bottom))), (1, 0, ((right, top), (right, bottom))))
    seams: list[Seam] = []
    for dx, dy, ends in sides:
        other = at.get((tile.column + dx, tile.row + dy))
        if other is None:
            continue
        (x0, y0), (x1, y1) = ends
        texts = tuple(Text(x0 + share * (x1 - x0) + (-1.6 if dx < 0 else 3.6 if dx > 0 else 0.0),
                           y0 + share * (y1 - y0) + (-1.6 if dy < 0 else 3.6 if dy > 0 else 0.0),
                           f"match line: map {other.number}", 6.8, "semibold", "middle", INK, 90.0 if dx else 0.0)
                      for share in (0.5, 0.3, 0.7, 0.15, 0.85))
        seams.append(Seam(Stroke(ends, _MATCH_MM, RULE), texts))
    return seams


def _panel(basis: Basis, form: Form, view: MapView, drawn: DrawnMap, *, index: str = "",
           matched: bool = False) -> list[Mark]:
    """North, scale and legend beside the map."""
    x, y = form.right - PANEL_MM + 1.0, view.y
    room = PANEL_MM - 1.0
    marks: list[Mark] = [*north_arrow(x + 5.0, y, size=14.0)]
    marks.append(Text(x + 13.0, y + 5.0, scale_text(view.scale), 13.0, "bold"))
    marks += paragraph(x + 13.0, y + 7.5, f"on {form.paper}; {_north_words(basis, view)}", width=room - 13.0,
                       size_pt=6.8, colour=FAINT)
    y += 23.0
    marks += scale_bar(view, basis.measures, x=x + 0.5, y=y, most=room - 4.0)
    y += 8.0
    notes = (f"Grid: {grid_text(basis.plan.job.crs)}, lines every {grouped(grid_step(view), 0)} m.", index,
             f"{counted(drawn.left_out, 'name')} left out for room; pegs are named in the set-out sheet."
             if drawn.left_out else "")
    for note in filter(None, notes):
        texts = paragraph(x, y, note, width=room, size_pt=7.0, colour=FAINT)
        marks += texts
        y += len(texts) * line_height(7.0) + 1.2
    marks.append(Text(x, y + 4.0, "Legend", 9.0, "bold"))
    y += 6.5
    return [*marks, *_legend(drawn, x, y, room, matched, bottom=form.bottom)]


def _north_words(basis: Basis, view: MapView) -> str:
    """Grid north, and how far true north is from it."""
    angle = float(grid_convergence(np.array([[view.east, view.north]]), basis.plan.job.crs)[0])
    if not math.isfinite(angle) or abs(angle) < 0.05:
        return "grid north up"
    side = "east" if angle > 0 else "west"
    return f"grid north up, true north {grouped(abs(angle), 1)}° {side} of it"


def _legend(drawn: DrawnMap, x: float, y: float, room: float, matched: bool, *, bottom: float) -> list[Mark]:
    """What lines and symbols stand for, set closer where there are too many for the page."""
    for pt in (7.2, 6.8, 6.4, 6.0, 5.6, 5.2):
        marks, end = _legend_in(drawn, x, y, room, matched, pt)
        if end <= bottom:
            break
    return marks


def _legend_in(drawn: DrawnMap, x: float, y: float, room: float, matched: bool, pt: float) -> tuple[list[Mark], float]:
    """The legend in letters of a size, and where it ends. [mm]"""
    marks: list[Mark] = []
    close = 1.0 if pt == 7.2 else (pt / 7.2) ** 1.6
    strokes: list[tuple[float, str, str, str]] = [(0.75, "solid", INK, "fence line, with section and slope length"),
                                                  *([(0.5, "dashed", INK, "crossing span")]
                                                    if "crossing" in drawn.symbols else [])]
    if drawn.grounds:
        strokes.append((2.4, "solid", BAND_FILL, "ground class named beside it"))
    if matched:
        strokes.append((_MATCH_MM, "solid", RULE, "match line: the next sheet begins"))
    strokes += [(*FEATURE_LINES.get(meaning, (0.25, "dashed", FAINT)), _called(meaning))
                for meaning in sorted(drawn.features)]
    for width, dash, colour, words in strokes:
        ends = ((x, y + 1.6 * close), (x + 8.5, y + 1.6 * close))
        marks.append(Stroke(ends, width, colour, dash))  # type: ignore[arg-type]  # the words of the tables above
        if words == _called("existing fence"):
            marks.append(existing_fence_crosses(ends))
        texts = paragraph(x + 10.5, y + 0.4, words, width=room - 10.5, size_pt=pt)
        marks += texts
        y += max(4.4 * close, len(texts) * line_height(pt) + 1.2 * close)
    for name, words in used_symbols(drawn):
        marks.append(Symbol(name, x + 4.2, y + 1.8 * close, 3.2 * min(1.0, 1.15 * close)))
        texts = paragraph(x + 10.5, y + 0.4, words, width=room - 10.5, size_pt=pt)
        marks += texts
        y += max(4.6 * close, len(texts) * line_height(pt) + 1.2 * close)
    return marks, y


def _called(meaning: str) -> str:
    return BY_KEY[meaning].label.lower() if meaning in BY_KEY else meaning
