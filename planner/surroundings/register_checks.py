"""Mapped layers against points that were checked on the ground: whether one lies off, by how much, which way."""

from __future__ import annotations

import math

import numpy as np
import shapely

from planner.findings import Finding, Place
from planner.geometry.arrays import Floats
from planner.sources import COMMON_PRACTICE, Source
from planner.surroundings.along import SAME_M
from planner.surroundings.situation import Situation
from planner.survey.feature_meanings import number_of
from planner.units import Metre

RULES = {
    "register-01": "a mapped layer lies where the ground is",
    "register-02": "what is mapped lies off the ground by one and the same shift",
    "register-03": "a mapped layer is checked at two places at least",
}
CHANCE = 0.95
"""Chance at which an offset counts as more than the scatter of its points. Common practice, no source."""
LEAST_M: Metre = 0.3
"""A smaller offset moves no fence. [m] Common practice, no source."""
_GAUSS = Source("mean of two-dimensional offsets of equal variance (Hotelling)", place="any textbook of statistics")
_STEP_M, _STEP_DEG = (1.4, 1.9), (10.0, 50.0)


def offset_limit_m(offsets: Floats) -> Metre:
    """The mean offset that scatter alone would stay below at ``CHANCE``. [m]

    Args:
        offsets: East and north of each point, mapped less ground. [m] Shape (n, 2), n >= 2.

    Source:
        With one variance s2 for east and north, n m2 / (2 s2) of the mean m follows F(2, 2 (n - 1)), whose quantile has
        a closed form for two degrees of freedom above. Any textbook; checked against scipy in
        tests/unit/surroundings/test_register_checks.py.
    """
    n = len(offsets)
    below = 2 * (n - 1)
    variance = float(((offsets - offsets.mean(axis=0)) ** 2).sum()) / below
    quantile = below / 2.0 * ((1.0 - CHANCE) ** (-2.0 / below) - 1.0)
    return math.sqrt(2.0 * variance * quantile / n)


def check_register(situation: Situation) -> list[Finding]:
    """Layers whose ground-checked points say that they lie off.

    Args:
        situation: The situation.
    """
    layers: dict[str, list[tuple[float, float, float, float]]] = {}
    for feature, shape in situation.around.of("control point"):
        east, north = number_of(feature, "east"), number_of(feature, "north")
        if east is not None and north is not None:
            at = shapely.centroid(shape)
            layers.setdefault(feature.fact("of"), []).append((at.x, at.y, east - at.x, north - at.y))
    findings = []
    for layer, rows in layers.items():
        points = np.array(rows)
        finding = _one_point(layer, points) if len(points) == 1 else _several(layer, points, situation)
        if finding is not None:
            findings.append(finding)
    return findings


def _named(layer: str) -> str:
    return f"The mapped layer '{layer}'" if layer else "The mapped layer that ground-checked points do not name"


def _one_point(layer: str, points: Floats) -> Finding | None:
    x, y, east, north = points[0]
    return Finding(
        "register-03", "note", f"{_named(layer)}: its one ground-checked point lies off the ground by "
        f"{_way(east, north)}; one point cannot tell an offset of the layer from a slip at the point.",
        "Check a second point, far from the first.", Place(x=round(float(x), 2), y=round(float(y), 2)),
        COMMON_PRACTICE) if math.hypot(east, north) >= LEAST_M - SAME_M else None


def _several(layer: str, points: Floats, situation: Situation) -> Finding | None:
    offsets = points[:, 2:]
    east, north = offsets.mean(axis=0)
    size, limit = math.hypot(east, north), offset_limit_m(offsets)
    left = np.hypot(*(offsets - offsets.mean(axis=0)).T)
    place = Place(x=round(float(points[0, 0]), 2), y=round(float(points[0, 1]), 2))
    if size >= LEAST_M - SAME_M and size > limit:
        from_it = sum(layer != "" and layer in f.origin for f in situation.around.features)
        what = f" and with it the {from_it} things read from it" if from_it > 1 else ""
        datum = (" In Australia that is just the step between the datums GDA94 and GDA2020: look there first."
                 if _may_be_datum(east, north) else "")
        return Finding(
            "register-01", "warning", f"{_named(layer)} lies off the ground by {_way(east, north)}{what}, in the mean "
            f"of {len(points)} ground-checked points, of which the furthest lies {left.max():.1f} m from that mean."
            + datum, f"Shift what came from it by {-east:+.2f} m east and {-north:+.2f} m north, or read it again in "
            "the right coordinate system, before a distance to it is relied on.", place, _GAUSS)
    if left.max() >= 2.0 * LEAST_M and np.hypot(*offsets.T).max() >= 2.0 * LEAST_M:
        return Finding(
            "register-02", "warning", f"{_named(layer)}: its {len(points)} ground-checked points lie up to "
            f"{np.hypot(*offsets.T).max():.1f} m off the ground, each another way, so that no one shift mends it.",
            "Take distances to it as uncertain by that much, or measure what matters on the ground.", place, _GAUSS)
    return None


def _way(east: float, north: float) -> str:
    return (f"{math.hypot(east, north):.2f} m ({abs(east):.2f} m {'east' if east >= 0 else 'west'}, "
            f"{abs(north):.2f} m {'north' if north >= 0 else 'south'})")


def _may_be_datum(east: float, north: float) -> bool:
    """Source: the shift is 1.5 to 1.8 m across Australia, to the north-east: ICSM, GDA2020 Technical Manual."""
    bearing = math.degrees(math.atan2(east, north)) % 180.0
    return _STEP_M[0] <= math.hypot(east, north) <= _STEP_M[1] and _STEP_DEG[0] <= bearing <= _STEP_DEG[1]
