"""Corners of the lines and curves of a drawing: arcs and splines become straight sides close to the curve."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from planner.geometry.arrays import Floats

SAGITTA_M = 0.01
_SPLINE_FRAME = 16


def corners_of(entity: Any, sagitta: float) -> Floats | None:
    """Corners of one entity in world coordinates; None when it is neither line nor curve. Shape (n, 3), level NaN at 0.

    Args:
        entity: Entity of the model space.
        sagitta: Farthest that a straight side may lie off the curve, in units of the drawing. Above zero.
    """
    kind = entity.dxftype()
    if kind == "LINE":
        return _levelled([entity.dxf.start, entity.dxf.end])
    if kind in ("ARC", "CIRCLE"):
        return _levelled(
            _closed_ends(list(entity.flattening(_within(sagitta, entity.dxf.radius))), full=kind == "CIRCLE")
        )
    if kind in ("ELLIPSE", "SPLINE"):
        return _levelled(_closed_ends(list(entity.flattening(sagitta))))
    if kind == "LWPOLYLINE":
        xyb = np.array([(x, y, b) for x, y, b in entity.get_points("xyb")], dtype=np.float64).reshape(-1, 3)
        return _flat(entity, xyb, float(entity.dxf.elevation), bool(entity.closed), sagitta)
    if kind == "POLYLINE" and (entity.is_2d_polyline or entity.is_3d_polyline):
        return _old_polyline(entity, sagitta)
    return None


def _within(sagitta: float, radius: float) -> float:
    return min(sagitta, abs(radius) / 2.0)


def _closed_ends(points: list[Any], *, full: bool = False) -> list[Any]:
    """The first point again at the end where the curve comes back to it."""
    if len(points) > 3 and (full or (points[0] - points[-1]).magnitude < 1e-9 * (1.0 + points[0].magnitude)):
        points[-1] = points[0]
    return points


def _levelled(points: list[Any]) -> Floats:
    xyz = np.array([(p.x, p.y, p.z) for p in points], dtype=np.float64).reshape(-1, 3)
    if not xyz[:, 2].any():
        xyz[:, 2] = np.nan
    return xyz


def _old_polyline(entity: Any, sagitta: float) -> Floats:
    vertices = [v for v in entity.vertices if not int(v.dxf.get("flags", 0)) & _SPLINE_FRAME]
    places = [v.dxf.location for v in vertices]
    if entity.is_3d_polyline:
        return _levelled([*places, *(places[:1] if entity.is_closed else [])])
    xyb = np.array(
        [(p.x, p.y, v.dxf.get("bulge", 0.0)) for p, v in zip(places, vertices, strict=True)], dtype=np.float64
    ).reshape(-1, 3)
    raised = entity.dxf.get("elevation")
    return _flat(entity, xyb, float(raised.z) if raised is not None else 0.0, bool(entity.is_closed), sagitta)


def _flat(entity: Any, xyb: Floats, elevation: float, closed: bool, sagitta: float) -> Floats:
    if closed and len(xyb):
        xyb = np.concatenate((xyb, xyb[:1]))
    pieces = [xyb[:1, :2]]
    for (x, y, bulge), end in zip(xyb[:-1], xyb[1:, :2], strict=True):
        pieces.append(bulged(np.array([x, y]), end, float(bulge), sagitta) if bulge else end[None, :])
    xy = np.concatenate(pieces)
    ocs = entity.ocs()
    if not ocs.transform:
        return np.column_stack((xy, np.full(len(xy), elevation or np.nan)))
    return _levelled(list(ocs.points_to_wcs([(x, y, elevation) for x, y in xy.tolist()])))


def bulged(start: Floats, end: Floats, bulge: float, sagitta: float) -> Floats:
    """Corners along the arc of a bulged side, without its start. Shape (k, 2).

    Args:
        start: Start of the side. Shape (2,).
        end: End of the side. Shape (2,).
        bulge: Tangent of a quarter of the arc's angle; positive turns left on the way. Not zero.
        sagitta: Farthest that a straight side may lie off the arc. Above zero.

    Source:
        Half-angle formulas of the circle. The angle is 4 atan(bulge), the radius chord (1 + b^2) / (4 |b|), and a
        chord over the angle a lies radius (1 - cos(a/2)) off its arc.

    Example:
        >>> import numpy as np
        >>> half = bulged(np.array([0.0, 0.0]), np.array([100.0, 0.0]), 1.0, 0.01)
        >>> round(float(half[len(half) // 2 - 1, 1]), 1)
        -50.0
    """
    chord = end - start
    length = float(np.hypot(*chord))
    if length == 0.0 or not math.isfinite(bulge):
        return end[None, :]
    angle = 4.0 * math.atan(bulge)
    radius = length * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    step = 2.0 * math.acos(max(1.0 - sagitta / radius, 0.0))
    count = max(1, min(10_000, math.ceil(abs(angle) / step)))
    middle = start + chord / 2.0 + np.array([-chord[1], chord[0]]) * (1.0 - bulge * bulge) / (4.0 * bulge)
    turn = angle * np.arange(1, count) / count
    off = start - middle
    along = np.column_stack(
        (off[0] * np.cos(turn) - off[1] * np.sin(turn), off[0] * np.sin(turn) + off[1] * np.cos(turn))
    )
    return np.concatenate((middle + along, end[None, :]))
