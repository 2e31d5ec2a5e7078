"""Divisions of random paddocks keep their promises, whatever the shape."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.alignment.division import How, OffLane, Parallel, Radiating, divide_paddock
from planner.errors import OutOfRange

FAR = np.array([455_200.0, 5_951_800.0])


@st.composite
def paddocks(draw: st.DrawFn) -> shapely.Polygon:
    """Indented rings round a middle, some with a hole."""
    radii = draw(st.lists(st.floats(40.0, 400.0), min_size=3, max_size=14))
    turns = 2 * np.pi * (np.arange(len(radii)) + 0.5) / len(radii)
    ring = np.column_stack((np.cos(turns), np.sin(turns))) * np.array(radii)[:, None] + FAR
    land = shapely.Polygon(ring)
    if draw(st.booleans()):
        land = land - shapely.box(FAR[0] - 6.0, FAR[1] - 6.0, FAR[0] + 9.0, FAR[1] + 4.0)
    return land if land.geom_type == "Polygon" else shapely.Polygon(ring)


@st.composite
def hows(draw: st.DrawFn) -> How:
    kind = draw(st.integers(0, 3))
    if kind == 0:
        return Parallel("best")
    if kind == 1:
        return Parallel(draw(st.floats(0.0, 360.0)))
    x, y = draw(st.tuples(st.floats(-500.0, 500.0), st.floats(-500.0, 500.0)))
    if kind == 2:
        return Radiating(FAR[0] + x, FAR[1] + y)
    angle = draw(st.floats(0.0, np.pi))
    step = np.array([np.cos(angle), np.sin(angle)]) * 300.0
    middle = FAR + np.array([x, y]) / 20.0
    return OffLane(np.array([middle - step, middle + step]), draw(st.floats(3.0, 25.0)))


@settings(max_examples=60, deadline=None)
@given(paddocks(), hows(), st.integers(2, 6))
def test_parts_tile_with_their_areas_and_fence_is_counted_once(land: shapely.Polygon, how: How, parts: int) -> None:
    try:
        division = divide_paddock(land, parts=parts, how=how)
    except OutOfRange as trouble:
        assert isinstance(how, OffLane), trouble  # noqa: PT017 - only a lane may not fit
        return
    for part in division.parts:
        assert part.area_m2 == pytest.approx(part.wanted_m2, abs=1.0)
    lands = [part.land for part in division.parts] + ([division.lane] if division.lane is not None else [])
    assert shapely.symmetric_difference(shapely.union_all(lands), land).area < 1e-6 * land.area
    assert sum(piece.area for piece in lands) == pytest.approx(land.area, rel=1e-6)
    around = sum(piece.length for piece in lands)
    assert division.new_fence_m == pytest.approx((around - land.length) / 2, abs=0.02)
    for fence in division.fences:
        assert shapely.LineString(fence).difference(shapely.buffer(land, 1e-3)).length < 1e-6
