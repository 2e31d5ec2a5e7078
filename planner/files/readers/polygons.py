"""What is wrong with polygons, what was mended, and what was left as it came."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from planner.files.readers.grids import Grid
from planner.files.readers.rules import Troubles
from planner.geometry.arrays import Floats
from planner.survey.fixes import MeasuredLine
from planner.wording import counted

SLIVER_WIDTH_M = 0.3
SMALLEST_ROUND_M = 2.0
_STRAIGHT_BACK = 1e-6
_DEGREE_SLACK = 0.01  # a degree is taken as one length all over the earth


def mended(geometries: Any, rows: list[int], grid: Grid, troubles: Troubles) -> Any:
    """Polygons with spikes taken off and holes made of shells that lie inside others; other faults are only said.

    Args:
        geometries: Shapes of any type, None among them. Shape (n,).
        rows: Row of each.
        grid: Grid of the file.
        troubles: Where trouble is noted.

    Returns:
        The shapes, of the same number and order.
    """
    kind = shapely.get_type_id(geometries)
    with np.errstate(all="ignore"):
        broken = np.flatnonzero(np.isin(kind, (3, 6)) & ~shapely.is_valid(geometries))
    if not len(broken):
        return geometries
    geometries = geometries.copy()
    for i in broken:
        if grid.reaches(shapely.get_coordinates(geometries[i])).all():
            geometries[i] = _mended(geometries[i], rows[i], grid, troubles)
    return geometries


def _mended(shape: Any, row: int, grid: Grid, troubles: Troubles) -> Any:
    polygons = [_without_spikes(p, row, troubles) for p in shapely.get_parts(shape)]
    if len(polygons) > 1:
        polygons = _with_holes(polygons, row, grid, troubles)
    for polygon in polygons:
        if not polygon.is_valid:
            _say_fault(polygon, row, grid, troubles)
    if len(polygons) > 1:
        _say_overlap(polygons, row, grid, troubles)
    return polygons[0] if len(polygons) == 1 else shapely.multipolygons(polygons)


def _without_spikes(polygon: Any, row: int, troubles: Troubles) -> Any:
    if polygon.is_valid:
        return polygon
    rings, changed = [], False
    for ring in shapely.get_rings(polygon):
        xyz = shapely.get_coordinates(ring, include_z=bool(ring.has_z))
        kept = _spikes_off(xyz)
        if 4 <= len(kept) < len(xyz):
            tips = [p for p in xyz.tolist() if p not in kept.tolist()]
            tip = tips[0] if tips else kept[0]
            troubles.add(
                "survey-50",
                f"the ring runs out to {tip[0]:.9g}, {tip[1]:.9g} and back over itself; that spike is taken off.",
                row=row,
                at=tip,
            )
            rings.append(kept)
            changed = True
        else:
            rings.append(xyz)
    return shapely.Polygon(rings[0], rings[1:]) if changed else polygon


def _spikes_off(xyz: Floats) -> Floats:
    """Corners at which the ring turns straight back are left out, again and again; the ring stays closed."""
    ring = xyz[:-1]
    while len(ring) >= 3:
        ring = ring[(ring[:, :2] != np.roll(ring[:, :2], 1, axis=0)).any(axis=1)]
        if len(ring) < 3:
            break
        back, on = ring[:, :2] - np.roll(ring[:, :2], 1, axis=0), np.roll(ring[:, :2], -1, axis=0) - ring[:, :2]
        cross = back[:, 0] * on[:, 1] - back[:, 1] * on[:, 0]
        dot = (back * on).sum(axis=1)
        spike = (dot < 0) & (np.abs(cross) <= _STRAIGHT_BACK * np.abs(dot))
        if not spike.any():
            return np.concatenate((ring, ring[:1]))
        ring = np.delete(ring, int(np.argmax(spike)), axis=0)
    return ring[:0]


def _with_holes(polygons: list[Any], row: int, grid: Grid, troubles: Troubles) -> list[Any]:
    """Shells that lie inside another part become its holes."""
    order = np.argsort([-abs(p.area) for p in polygons], kind="stable")
    kept: dict[int, Any] = {}
    inside: list[int] = []
    before = sum(p.area for p in polygons)
    for i in order.tolist():
        owner = next(
            (k for k, p in kept.items() if p.is_valid and polygons[i].is_valid and p.contains_properly(polygons[i])),
            None,
        )
        if owner is None:
            kept[i] = polygons[i]
        else:
            shell = kept[owner]
            kept[owner] = shapely.Polygon(shell.exterior, [*shell.interiors, polygons[i].exterior])
            inside.append(i)
    result = [kept[i] for i in sorted(kept)]
    if inside:
        around = shapely.get_coordinates(polygons[0])
        areas = [grid.area_m2(a, around) for a in (before, sum(p.area for p in result))]
        troubles.add(
            "survey-52",
            f"{counted(len(inside), 'ring')} wound as outer lies inside another and is taken as a hole; the area "
            f"goes from {areas[0]:.0f} to {areas[1]:.0f} m2.",
            row=row,
        )
    return result


def _say_fault(polygon: Any, row: int, grid: Grid, troubles: Troubles) -> None:
    around = shapely.get_coordinates(polygon)
    if len(np.unique(around, axis=0)) < 3:
        return
    reason = shapely.is_valid_reason(polygon)
    place = _place_in(reason)
    true = shapely.area(shapely.make_valid(polygon, method="structure", keep_collapsed=False))
    before, after = (grid.area_m2(a, around) for a in (polygon.area, float(true)))
    areas = f"its area is {before:.0f} m2 by its corners and {after:.0f} m2 by its outline"
    if reason.startswith(("Self-intersection", "Ring Self-intersection")):
        where = f" at {place[0]:.9g}, {place[1]:.9g}" if place else ""
        touches = reason.startswith("Ring")
        troubles.add(
            "survey-48",
            f"the ring {'touches' if touches else 'crosses'} itself{where}; {areas}; left as it is.",
            row=row,
            at=place,
            severity="warning" if touches else None,
        )
    else:
        troubles.add("survey-54", f"the polygon is not sound ({reason}); {areas}; left as it is.", row=row, at=place)


def _place_in(reason: str) -> tuple[float, float] | None:
    inner = reason.partition("[")[2].rstrip("]").split()
    return (float(inner[0]), float(inner[1])) if len(inner) >= 2 else None


def _say_overlap(polygons: list[Any], row: int, grid: Grid, troubles: Troubles) -> None:
    sound = [p for p in polygons if p.is_valid]
    tree = shapely.STRtree(sound)
    pairs = [(i, j) for i, j in tree.query(sound, predicate="intersects").T.tolist() if i < j]
    if not pairs:
        return
    common = [shapely.intersection(sound[i], sound[j]) for i, j in pairs]
    shared = max(float(c.area) for c in common)
    along = max(float(c.length) for c in common)
    around = shapely.get_coordinates(sound[0])
    total, union = (grid.area_m2(a, around) for a in (sum(p.area for p in sound), shapely.union_all(sound).area))
    if shared > 0:
        troubles.add(
            "survey-53",
            f"parts of one feature overlap: their areas add to {total:.0f} m2, together they cover {union:.0f} m2.",
            row=row,
        )
    elif along > 0:
        troubles.add(
            "survey-53",
            f"parts of one feature share a side: one fence stands where two rings run ({total:.0f} m2 in all).",
            row=row,
        )


def say_slivers(
    lines: list[MeasuredLine], grid: Grid, troubles: Troubles, crossed: frozenset[int] = frozenset()
) -> list[MeasuredLine]:
    """Rings that can hold stock, with those too thin named; a ring less than two metres round is left out.

    Args:
        lines: Lines as cleaned.
        grid: Grid of the file.
        troubles: Where slivers are noted.
        crossed: Rows whose rings cross themselves and so have no width to speak of.

    Returns:
        The lines without the smallest rings.
    """
    if _read_like_degrees(lines, grid, troubles):
        return lines
    kept = []
    for line in lines:
        if line.kind != "ring" or line.row in crossed:
            kept.append(line)
            continue
        xy = grid.as_plane(line.xy)
        step = np.diff(xy, axis=0)
        round_m = float(np.hypot(step[:, 0], step[:, 1]).sum())
        area = abs(float(xy[:-1, 0] @ xy[1:, 1] - xy[1:, 0] @ xy[:-1, 1])) / 2.0
        if 2.0 * area >= SLIVER_WIDTH_M * (1.0 + _DEGREE_SLACK * grid.geographic) * round_m:
            kept.append(line)
            continue
        if round_m >= SMALLEST_ROUND_M and not shapely.LinearRing(xy).is_simple:
            troubles.add(
                "survey-48",
                f"{line.name} crosses itself; its area is {area:.0f} m2 by its corners; left as it is.",
                row=line.row,
                line=line.name,
                at=line.xy[0],
            )
            kept.append(line)
            continue
        gone = round_m < SMALLEST_ROUND_M
        fate = "left out" if gone else "kept"
        troubles.add(
            "survey-49",
            f"{line.name} is {round_m:.3g} m round and holds {area:.3g} m2: a sliver; {fate}.",
            row=line.row,
            line=line.name,
            at=line.xy[0],
        )
        if not gone:
            kept.append(line)
    return kept


def _read_like_degrees(lines: list[MeasuredLine], grid: Grid, troubles: Troubles) -> bool:
    """True when all positions of a grid of lengths could be longitudes and latitudes; no width can be told then."""
    if grid.geographic or not lines:
        return False
    reach = np.max([np.abs(line.xy).max(axis=0) for line in lines], axis=0)
    if not (reach[0] <= 180.0 and reach[1] <= 90.0):
        return False
    fine = any((line.xy != np.round(line.xy, 3)).any() for line in lines)
    if grid.crs or fine:
        stated = f"although the file states {' '.join(grid.crs.split())[:60]}" if grid.crs else "and no grid is stated"
        troubles.add(
            "survey-59",
            f"all positions read like longitude and latitude in degrees, {stated}.",
            severity="error" if grid.crs else "warning",
            remedy="Say which longitude and latitude system they are in, such as EPSG:4326.",
        )
    return True
