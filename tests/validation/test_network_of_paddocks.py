"""Areas of paddocks against the ellipsoid, faces against Euler's formula, what long paddocks cost, pulls that balance.

Sources:
    Area on the ellipsoid: C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013), through PROJ (pyproj.Geod).
    At sea level, ground is the ellipsoid. Tolerance: the scale of the grid is taken from the edges of each paddock, and
    varies over it by less than 1e-6.
    Faces of a plane graph: Euler, E - V + C = faces without the outer one.
    D. Scott, Consideration of paddock shape and access in subdivision fencing, New Zealand Grassland Association: a
    paddock twice as long as wide takes 6 % more fence than a square one, four times as long 25 % more.
"""

from __future__ import annotations

import math

import numpy as np
import pyproj
import pytest
import shapely

from planner.alignment.line import FenceLine
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.surroundings.faces import polygonized
from planner.surroundings.shape_checks import LONG_AND_THIN


@pytest.mark.parametrize("east", [500_000.0, 320_000.0, 750_000.0])
def test_area_on_the_ground_is_that_on_the_ellipsoid(east: float):
    xy = np.array([(0, 0), (900, -40), (1300, 700), (400, 1100), (-200, 300), (0, 0)]) + np.array([east, 6_000_000.0])
    (paddock,) = plan_job(Job("J", "EPSG:7855", (FenceLine("Ring", "general-mesh", xy, closed=True),))).paddocks
    lon, lat = pyproj.Transformer.from_crs("EPSG:7855", "EPSG:7844", always_xy=True).transform(xy[:, 0], xy[:, 1])
    area, around = pyproj.Geod(ellps="GRS80").polygon_area_perimeter(lon, lat)
    assert paddock.area_m2 == pytest.approx(abs(area), rel=2e-5)
    assert paddock.perimeter_m == pytest.approx(around, rel=1e-5)


@pytest.mark.parametrize("seed", range(8))
def test_as_many_faces_as_euler_counts(seed: int):
    """Random straight fences across a block: every crossing is a place, every stretch between two an edge."""
    rng = np.random.default_rng(seed)
    block = shapely.box(0, 0, 1000, 1000)
    fences = [block.exterior]
    while len(fences) < 12:
        one, other = rng.uniform(0, 4000, 2)
        line = shapely.LineString([block.exterior.interpolate(one), block.exterior.interpolate(other)])
        if line.length > 400:
            fences.append(line)
    found = polygonized(np.array([shapely.LineString(f.coords) for f in fences], dtype=object), planned=len(fences))
    noded = shapely.get_parts(shapely.union_all(np.array(fences, dtype=object), grid_size=1e-3))
    places = {tuple(np.round(xy, 3)) for part in noded for xy in (part.coords[0], part.coords[-1])}
    slivers = sum(2 * face.area / face.length < 1.0 for face in shapely.get_parts(shapely.polygonize(noded)))
    assert len(found.shapes) + slivers == len(noded) - len(places) + 1
    assert shapely.area(found.shapes).sum() == pytest.approx(1e6, rel=1e-3)


def test_what_long_paddocks_cost_in_fence():
    def more(ratio: float) -> float:
        return (ratio + 1.0) / (2.0 * math.sqrt(ratio)) - 1.0

    assert more(2.0) == pytest.approx(0.06, abs=0.005)
    assert more(LONG_AND_THIN) == pytest.approx(0.25, abs=1e-9)


def test_pulls_of_three_equal_fences_at_equal_angles_balance():
    """Statics: three equal forces 120 degrees apart are in equilibrium; two 90 degrees apart leave the root of two."""
    def star(*bearings: float) -> float:
        lines = tuple(FenceLine(f"L{k}", "general-mesh", np.array([(0.0, 0.0), (
            200 * math.sin(math.radians(b)), 200 * math.cos(math.radians(b)))]) + np.array([500_000.0, 6_000_000.0]))
            for k, b in enumerate(bearings))
        plan = plan_job(Job("J", "EPSG:7855", lines))
        node = next(n for n in plan.nodes if len(n.lines) == len(bearings))
        return node.resultant_n / plan.lines[0].fence.pull_n

    assert star(0, 120, 240) == pytest.approx(0.0, abs=1e-6)
    assert star(30, 120) == pytest.approx(math.sqrt(2.0), rel=1e-6)
    assert star(30, 210) == pytest.approx(0.0, abs=1e-6)
