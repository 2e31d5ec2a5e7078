"""The grant sheet: fence along water by bank, area left to it, set-backs, and points to take photographs from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from planner.errors import PlannerError
from planner.geometry.bearings import bearing_of, parse_direction
from planner.geometry.sound_shapes import sound_shape
from planner.job.plan import JobPlan
from planner.jobpack.basis import Basis
from planner.jobpack.map_figure import Extent, map_figure
from planner.jobpack.money import money_text
from planner.jobpack.page.blanks import blank_line, loud_box
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import TICK, Column, Row, Table
from planner.jobpack.stretches import Stretch, stretches_beside
from planner.surroundings.water_checks import half_width_m
from planner.survey.datum import grid_convergence, lonlat_datum, to_lonlat
from planner.survey.feature_meanings import choice_of
from planner.survey.features import Feature
from planner.units import Degree, Metre, SquareMetre

BESIDE_M = 60.0
"""Distance from water within which a fence counts as running along it. [m] Common practice, no source."""
_PHOTO_EVERY_M = 250.0
_MAP_MM = 90.0
_BANKS = {"left": "left bank", "right": "right bank", "around": "all round", "inside": "in it", "outside": "beside it"}


@dataclass(frozen=True, slots=True)
class PhotoPoint:
    """A point to take photographs from, before and after.

    Attributes:
        name: Its name.
        line: Name of the fence line it stands on; empty for a point that is marked on the ground.
        chainage_m: Where along it. [m]
        x: East. [m]
        y: North. [m]
        along_deg: Grid bearing along the fence; None for a marked point. [deg]
        water_deg: Grid bearing to the nearest water. [deg]
        towards_deg: Grid bearing in which a marked point looks; None where none was said. [deg]
    """

    name: str
    line: str
    chainage_m: Metre
    x: Metre
    y: Metre
    along_deg: Degree | None
    water_deg: Degree
    towards_deg: Degree | None = None


@dataclass(frozen=True, slots=True)
class GrantFigures:
    """What a funder asks of a stretch of fence beside water.

    Attributes:
        counted_from: From what it is counted: edge, bank top or middle.
        least_m: Least set-back on the ground. [m]
        mean_m: Mean set-back. [m]
        excluded_m2: Land between the fence and the water; the water itself is no part of it. [m2]
    """

    counted_from: str
    least_m: Metre
    mean_m: Metre
    excluded_m2: SquareMetre


def has_grant(plan: JobPlan) -> bool:
    """Whether a fence line runs beside water that is marked.

    Args:
        plan: The plan.
    """
    return bool(_stretches(plan))


def grant_pages(basis: Basis) -> tuple[Page, ...]:
    """The grant sheet; nothing where no fence runs beside water.

    Args:
        basis: Basis of the sheets.
    """
    stretches = _stretches(basis.plan)
    if not stretches:
        return ()
    flow = Flow(Form("A4"), "Grant sheet")
    blank_line(flow, ("Landholder", "Title"))
    blank_line(flow, ("Programme", "Application no.", "Set-back asked for"))
    blank_line(flow, ("Approved on", "Agreement until", "Maintained for"))
    loud_box(flow, "Work that starts before the approval is dated may not be paid for.", size_pt=9.0)
    points = photo_points(stretches)
    map_figure(basis, flow, _extent(stretches), height=_MAP_MM,
               besides=[Feature(p.name, "photo point", f"POINT ({p.x} {p.y})") for p in points])
    _banks(basis, stretches, flow)
    _sums(basis, stretches, flow)
    _photos(basis, (*marked_points(stretches, basis.plan.job.features), *points), flow)
    return flow.pages()


def _stretches(plan: JobPlan) -> tuple[Stretch, ...]:
    return stretches_beside(plan, ("water",), within_m=BESIDE_M, parts_by_side=True)


def _extent(stretches: Sequence[Stretch]) -> Extent:
    lines = [shapely.LineString(s.line.line.xy) for s in stretches]
    west, south, east, north = shapely.union_all(lines).bounds
    return west, south, east, north


def _banks(basis: Basis, stretches: Sequence[Stretch], flow: Flow) -> None:
    measures = basis.measures
    unit = measures.length_unit
    rows = [Row((s.feature.name or "water", _BANKS[s.found.side], f"{s.line.line.name}, {s.line.fence.name}",
                 f"{measures.number(s.from_m)} to {measures.number(s.to_m)}", measures.number(s.slope_m),
                 f.counted_from, f"{measures.number(f.least_m)} at {measures.number(s.least_at_m, 0)}",
                 measures.number(f.mean_m), measures.area(f.excluded_m2)))
            for s, f in ((s, grant_figures(s)) for s in stretches)]
    flow.heading("Fence along water, bank by bank")
    flow.table(Table((
        Column("Water", weight="semibold"), Column("Bank", grow=0), Column("Fence"),
        Column(f"Chainage, {unit}", grow=0), Column(f"Length, {unit}", "right", "semibold", 0),
        Column("Counted from", grow=0), Column(f"Least set-back, {unit}", "right", grow=0),
        Column("Mean", "right", grow=0), Column("Area excluded", "right", "semibold", 0)), tuple(rows), size_pt=7.8))
    flow.text(f"Length along the ground, of fence within {measures.length(BESIDE_M, 0)} of the water. Set-back and "
              "area are counted from the edge or the bank top as it is drawn, from the edge that lies half the marked "
              "width from a drawn middle, or from the middle itself where no width is marked. Banks are seen looking "
              "the way the water is drawn. 'at': chainage of the least.",
              size_pt=7.4, colour=FAINT)


def grant_figures(stretch: Stretch) -> GrantFigures:
    """Set-back and excluded land of a stretch, counted from the edge of the water as well as it is known.

    Where the middle of a stream is drawn with its width, half of it is left to the water all along.

    Args:
        stretch: Stretch of fence beside water.
    """
    part, found = choice_of(stretch.feature, "part"), stretch.found
    is_line = found.side in ("left", "right")
    half = half_width_m(stretch.feature) if is_line else 0.0
    base = part if part == "bank top" else "middle" if is_line and part == "centreline" and not half else "edge"
    whole = stretch.ground_area(found.left_m2 + found.right_m2)
    return GrantFigures(base, max(0.0, stretch.ground(found.least_m) - half),
                        max(0.0, stretch.ground(found.mean_m) - half),
                        max(0.0, whole - half * stretch.ground(_course_m(stretch)) if half else whole))


def _course_m(stretch: Stretch) -> Metre:
    """Grid length of the water that a stretch runs beside. [m]"""
    at = np.array([stretch.from_m, stretch.to_m])
    ends = shapely.points(np.column_stack(stretch.line.ground.place_at(at)))
    parts = shapely.get_parts(sound_shape(stretch.feature.wkt))
    nearest = min(parts, key=lambda part: float(shapely.distance(part, ends).sum()))
    feet = shapely.line_locate_point(nearest, ends)
    return abs(float(feet[1] - feet[0]))


def _sums(basis: Basis, stretches: Sequence[Stretch], flow: Flow) -> None:
    measures, plan = basis.measures, basis.plan
    banks: dict[str, float] = {}
    for s in stretches:
        banks[_BANKS[s.found.side]] = banks.get(_BANKS[s.found.side], 0.0) + s.slope_m
    figures = [grant_figures(s) for s in stretches]
    least, at = min(zip(figures, stretches, strict=True), key=lambda both: both[0].least_m)
    length = sum(s.slope_m for s in stretches)
    mean = sum(f.mean_m * s.slope_m for f, s in zip(figures, stretches, strict=True)) / length
    cost = plan.estimate
    money = money_text(cost.total, cost.currency)
    rows = [Row((f"Fence, {bank}", measures.length(metres))) for bank, metres in banks.items()]
    rows += [Row(("Fence along water in all", measures.length(length)), "strong"),
             Row(("Area excluded", measures.area(sum(f.excluded_m2 for f in figures))), "strong"),
             Row(("Least set-back", f"{measures.length(least.least_m)}, {at.line.line.name} at "
                  f"{measures.length(at.least_at_m)}")),
             Row(("Mean set-back", measures.length(mean))),
             Row(("Cost of the whole job, tax included", money if cost.complete else f"INCOMPLETE, from {money}")),
             Row(("Person-hours of the whole job", f"{sum(r.hours for r in plan.labour):,.0f}".replace(",", "\u202f")))]
    flow.heading("In all")
    flow.table(Table((Column("", grow=1), Column("", "right", "semibold", 0)), tuple(rows), size_pt=9.0), width=130.0)
    blank_line(flow, ("Off-stream water", "Own hours given"))


def photo_points(stretches: Sequence[Stretch]) -> tuple[PhotoPoint, ...]:
    """Points to take photographs from: both ends of every stretch, where it is nearest, and every 250 m between.

    Args:
        stretches: Stretches beside water.
    """
    found: list[PhotoPoint] = []
    for s in stretches:
        count = max(1, int((s.to_m - s.from_m) // _PHOTO_EVERY_M))
        places = sorted({*np.round(np.linspace(s.from_m, s.to_m, count + 1), 1).tolist(), round(s.least_at_m, 1)})
        water = shapely.from_wkt(s.feature.wkt)
        for at in places:
            x, y = (float(v) for v in s.line.ground.place_at(at))
            low, high = max(0.0, at - 1.0), min(float(s.line.ground.chainage_m[-1]), at + 1.0)
            xs, ys = s.line.ground.place_at(np.array([low, high]))
            nearest = shapely.shortest_line(shapely.Point(x, y), water)
            (_, (to_x, to_y)) = shapely.get_coordinates(nearest)
            found.append(PhotoPoint(f"PH{len(found) + 1:02d}", s.line.line.name, at, x, y,
                                    bearing_of(float(xs[1] - xs[0]), float(ys[1] - ys[0])),
                                    bearing_of(float(to_x - x), float(to_y - y)) if nearest.length > 0.01 else 0.0))
    return tuple(found)


def marked_points(stretches: Sequence[Stretch], features: Sequence[Feature]) -> tuple[PhotoPoint, ...]:
    """The photo points that are marked on the ground, with where they look and where the nearest water lies.

    Args:
        stretches: Stretches beside water.
        features: Features of the job.
    """
    waters = [shapely.from_wkt(s.feature.wkt) for s in stretches]
    found = []
    for feature in features:
        if feature.meaning != "photo point":
            continue
        for x, y in shapely.get_coordinates(shapely.from_wkt(feature.wkt)).tolist():
            at = shapely.Point(x, y)
            nearest = min((shapely.shortest_line(at, water) for water in waters), key=lambda line: float(line.length))
            (_, (to_x, to_y)) = shapely.get_coordinates(nearest)
            found.append(PhotoPoint(feature.name or "photo point", "", 0.0, x, y, None,
                                    bearing_of(float(to_x - x), float(to_y - y)) if nearest.length > 0.01 else 0.0,
                                    _looks(feature)))
    return tuple(found)


def _looks(feature: Feature) -> Degree | None:
    try:
        return parse_direction(feature.fact("bearing"))
    except PlannerError:
        return None


def _photos(basis: Basis, points: Sequence[PhotoPoint], flow: Flow) -> None:
    crs, measures = basis.plan.job.crs, basis.measures
    lonlat = to_lonlat(np.array([(p.x, p.y) for p in points]), crs)
    rows = tuple(Row((p.name, f"{p.line} at {measures.number(p.chainage_m, 0)}" if p.line else "marked",
                      f"{p.x:,.0f}".replace(",", "\u202f"),
                      f"{p.y:,.0f}".replace(",", "\u202f"), f"{lat:.6f}", f"{lon:.6f}", _bearing(p.along_deg),
                      _bearing(p.water_deg), _bearing(p.towards_deg), TICK, TICK))
                 for p, (lon, lat) in zip(points, lonlat.tolist(), strict=True))
    flow.heading("Photo points")
    flow.table(Table((
        Column("Point", weight="semibold", grow=0.6), Column(f"On, {measures.length_unit}"),
        Column("East, m", "right", grow=0), Column("North, m", "right", grow=0), Column("Latitude", "right", grow=0),
        Column("Longitude", "right", grow=0), Column("Along the fence", "right", grow=0),
        Column("To the water", "right", grow=0), Column("Looks", "right", grow=0), Column("Before", "middle", grow=0),
        Column("After", "middle", grow=0)), rows, size_pt=7.4, tall=5.0))
    turn = float(grid_convergence(np.array([(points[0].x, points[0].y)]), crs)[0])
    flow.text(f"Grid bearings; true bearing = grid bearing {'−' if turn > 0 else '+'} {abs(turn):.1f}° here. A "
              f"magnetic compass is off by the local declination besides. Longitude and latitude on "
              f"{lonlat_datum(crs)}. Take each photograph standing on the point, the same way before and after. "
              "'Looks': the way a marked point is said to look.",
              size_pt=7.4, colour=FAINT)


def _bearing(degrees: Degree | None) -> str:
    return "–" if degrees is None else f"{round(degrees) % 360}°"
