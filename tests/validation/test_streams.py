"""Set-back lines of real water.

Sources: drainage network of the Brompton catchment, North Yorkshire (R package dynatopmodel 1.2.1, EPSG:27700); bank
line of the Meuse near Stein (R package sp 1.6, EPSG:28992). Distances measured by the GEOS library.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pyogrio
import pytest
import shapely
from setback_checks import assert_in_band

from planner.alignment.setback_line import setback_line

pytestmark = pytest.mark.open_data


def shapes(path: Path) -> list[Any]:
    return list(shapely.from_wkb(pyogrio.raw.read(path)[2]))


@pytest.mark.parametrize("number", [0, 2, 7, 23])
def test_banks_of_a_drain(open_data: Path, number: int) -> None:
    stream = shapes(open_data / "stream" / "brompton_drainage_epsg27700.gpkg")[number]
    lines = setback_line([stream], setback_m=10.0, give_m=20.0, bank="both", baseline="edge").lines
    assert [line.bank for line in lines] == ["left", "right"]
    for line in lines:
        assert_in_band(line, stream, near_m=10.0, give_m=20.0)
        assert line.follow is not None


def test_the_whole_network_is_gone_round(open_data: Path) -> None:
    drains = shapes(open_data / "stream" / "brompton_drainage_epsg27700.gpkg")[:6]
    for line in setback_line(drains, setback_m=10.0, give_m=20.0, bank="around", baseline="edge", fineness=0).lines:
        assert line.closed
        assert_in_band(line, shapely.union_all(drains), near_m=10.0, give_m=20.0)


def test_round_the_meuse(open_data: Path) -> None:
    river, = shapes(open_data / "stream" / "meuse_river_polygon_epsg28992.gpkg")
    line, = setback_line([river], setback_m=20.0, give_m=50.0, bank="around", baseline="edge", fineness=0).lines
    assert_in_band(line, river, near_m=20.0, give_m=50.0)
    assert line.figures.given_up_m2 == pytest.approx(shapely.Polygon(line.xy).area - river.area, rel=1e-6)
    assert line.follow is not None
