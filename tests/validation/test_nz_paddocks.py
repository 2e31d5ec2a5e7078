"""Areas of 100 irrigated paddocks: plane in NZTM2000, and on the ellipsoid.

Source: Irrigated land area 2020, Aqualinc for the New Zealand Ministry for the Environment, CC BY 4.0: its own area
column for the plane areas. Ellipsoidal figures computed with PROJ's geodesic routines beforehand.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from planner.survey.datum import ellipsoidal_area, to_code

pytestmark = pytest.mark.open_data
HECTARE = 10_000.0


def test_the_largest_paddock_and_the_whole_file(open_data: Path) -> None:
    import pyogrio

    meta, _, shapes, columns = pyogrio.raw.read(open_data / "parcel" / "nz_irrigated_2020.shp")
    crs = to_code(meta["crs"])
    assert crs == "EPSG:2193"
    official = columns[list(meta["fields"]).index("area_ha")]
    paddocks = shapely.from_wkb(shapes)
    np.testing.assert_allclose(shapely.area(paddocks) / HECTARE, official, rtol=0, atol=0.1 / HECTARE)
    biggest = paddocks[np.argmax(shapely.area(paddocks))]
    area, length = _on_the_ellipsoid(biggest, crs)
    assert biggest.area / HECTARE == pytest.approx(132.43443964, abs=1e-5)
    assert area / HECTARE == pytest.approx(132.17518862, abs=1e-5)
    assert (biggest.length, length) == pytest.approx((5179.416, 5174.352), abs=0.001)
    whole = sum(_on_the_ellipsoid(paddock, crs)[0] for paddock in paddocks)
    assert whole / HECTARE == pytest.approx(904.599, abs=0.001)


def _on_the_ellipsoid(shape: shapely.Geometry, crs: str) -> tuple[float, float]:
    area = length = 0.0
    for part in shapely.get_parts(shape):
        outer = ellipsoidal_area(shapely.get_coordinates(part.exterior), crs)
        inner = [ellipsoidal_area(shapely.get_coordinates(ring), crs) for ring in part.interiors]
        area += outer[0] - sum(hole[0] for hole in inner)
        length += outer[1] + sum(hole[1] for hole in inner)
    return area, length
