from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.survey.datum import bring, from_lonlat, geodesic, point_scale, suggest_grid, to_lonlat, usable_as_grid

longitudes, latitudes = st.floats(-180.0, 180.0), st.floats(-80.0, 84.0)


@given(longitudes, latitudes)
def test_every_place_between_the_polar_limits_has_a_grid_that_serves(longitude: float, latitude: float) -> None:
    lonlat = np.array([[longitude, latitude]])
    choice = suggest_grid(lonlat)
    assert usable_as_grid(choice.crs) == ""
    at = from_lonlat(lonlat, choice.crs)
    assert 0.9985 < point_scale(at, choice.crs)[0] < 1.0025  # a zone's own scale; the widest is New Zealand's
    back = to_lonlat(at, choice.crs)[0]
    off = (back - lonlat[0] + 180.0) % 360.0 - 180.0
    assert np.abs(off).max() < 1e-8


@given(longitudes, st.floats(-79.0, 79.0), st.floats(0.0, 360.0), st.floats(1.0, 2000.0))
def test_grid_length_over_scale_is_the_length_on_the_ellipsoid(
        longitude: float, latitude: float, azimuth: float, length: float) -> None:
    crs = suggest_grid(np.array([[longitude, latitude]])).crs
    start = from_lonlat(np.array([[longitude, latitude]]), crs)[0]
    end = start + length * np.array([np.sin(np.radians(azimuth)), np.cos(np.radians(azimuth))])
    _, _, true = geodesic(tuple(start), tuple(end), crs)
    scale = float(point_scale(np.array([(start + end) / 2.0]), crs)[0])
    assert length / scale == pytest.approx(true, rel=1e-8, abs=1e-6)


@given(st.floats(116.0, 152.0), st.floats(-38.0, -20.0))
def test_gda94_and_gda2020_are_never_one(longitude: float, latitude: float) -> None:
    at = np.array([[longitude, latitude]])
    there = bring(at, source="EPSG:4283", target="EPSG:7844").xy
    _, _, shift = geodesic((longitude, latitude), tuple(there[0]), "EPSG:7844")
    assert 1.4 < shift < 1.9
    np.testing.assert_allclose(bring(there, source="EPSG:7844", target="EPSG:4283").xy, at, rtol=0, atol=1e-9)
