"""Area inside closed lines, each piece of land once."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planner.job.comparison import _area_inside
from planner.survey.datum import ellipsoidal_area
from tests.plain_jobs import EAST, NORTH

CRS = "EPSG:7855"


def box(west: float, south: float, east: float, north: float) -> np.ndarray:
    return shapely.get_coordinates(shapely.box(EAST + west, NORTH + south, EAST + east, NORTH + north).exterior)


def test_one_ring_is_its_area_on_the_ellipsoid():
    ring = box(0, 0, 100, 100)
    assert _area_inside([ring], CRS) == pytest.approx(ellipsoidal_area(ring, CRS)[0], rel=1e-9)


@pytest.mark.parametrize(("rings", "whole"), [
    ([box(0, 0, 100, 100), box(40, 40, 60, 60)], 1.0),  # a clump fenced off
    ([box(0, 0, 100, 100), box(0, 0, 100, 100)], 1.0),  # drawn twice
    ([box(0, 0, 100, 100), box(50, 0, 150, 100)], 1.5),
    ([box(0, 0, 100, 100), box(200, 0, 300, 100)], 2.0)])
def test_land_inside_several_rings_is_counted_once(rings, whole):
    assert _area_inside(rings, CRS) == pytest.approx(whole * _area_inside(rings[:1], CRS), rel=1e-6)


def test_land_between_rings_that_meet_is_inside_none():
    sides = [box(0, 0, 100, 10), box(0, 90, 100, 100), box(0, 0, 10, 100), box(90, 0, 100, 100)]
    assert _area_inside(sides, CRS) == pytest.approx(0.36 * _area_inside([box(0, 0, 100, 100)], CRS), rel=1e-6)
