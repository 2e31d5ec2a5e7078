"""Division and shared boundaries on open paddock polygons of New Zealand and Austria.

Source: irrigated land 2020 (Aqualinc for the New Zealand Ministry for the Environment, CC BY 4.0); field parcels 2025
(AMA Austria, INVEKOS, CC BY 4.0). tests/bench/division.py divides all 200 into 2, 3 and 7 parts;
here every fifth of them is. Pairs of neighbours were counted with shapely alone: pairs of outlines that share a length
of edge or overlap, 49 in Austria and 3 in New Zealand.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely

from planner.alignment.division import Parallel, divide_paddock
from planner.alignment.division_sweeps import ParallelSweep, cut_at, edges_of
from planner.alignment.shared_boundaries import BoundaryNetwork, network_lines, shared_boundaries

pytestmark = pytest.mark.open_data
NZ, AT = "nz_irrigated_2020.shp", "at_invekos_2025.gpkg"


@cache
def paddocks(folder: Path, file: str) -> list[shapely.Polygon]:
    import pyogrio

    return list(shapely.from_wkb(pyogrio.raw.read(folder / "parcel" / file)[2]))


@cache
def network(folder: Path, file: str, within_m: float, close: bool) -> BoundaryNetwork:
    rings = [(f"paddock {i}", land) for i, land in enumerate(paddocks(folder, file), 1)]
    return shared_boundaries(rings, within_m=within_m, close=close)


@pytest.mark.parametrize("file", [NZ, AT])
@pytest.mark.parametrize("parts", [2, 3, 7])
def test_areas_tiling_and_least_fence(open_data: Path, file: str, parts: int) -> None:
    for paddock in paddocks(open_data, file)[::5]:
        division = divide_paddock(paddock, parts=parts)
        for part in division.parts:
            assert part.area_m2 == pytest.approx(paddock.area / parts, abs=1.0)
        whole = shapely.union_all([part.land for part in division.parts])
        assert shapely.symmetric_difference(whole, paddock).area < 1e-6 * paddock.area
        assert sum(part.area_m2 for part in division.parts) == pytest.approx(paddock.area, rel=1e-6)
        edges = sum(part.perimeter_m for part in division.parts)
        assert division.new_fence_m == pytest.approx((edges - paddock.length) / 2, abs=0.01)
        near = shapely.transform(paddock, lambda xy: xy - np.rint(xy.mean(axis=0)))
        sweep = ParallelSweep(*edges_of(near), np.arange(180.0))
        at = cut_at(sweep, near.area / parts * np.arange(1, parts))
        assert division.new_fence_m <= sweep.fence(at).sum(axis=1).min() + 0.001


def test_fence_of_a_bearing_against_shapely(open_data: Path) -> None:
    for paddock in paddocks(open_data, AT)[::20]:
        for bearing in (0.0, 37.0, 118.0):
            division = divide_paddock(paddock, parts=3, how=Parallel(bearing))
            angle = np.radians(bearing)
            for fence in division.fences:
                step = fence[-1] - fence[0]
                assert abs(step @ [np.cos(angle), -np.sin(angle)]) < 1e-6
                assert shapely.LineString(fence).difference(shapely.buffer(paddock, 1e-6)).length < 1e-6


@pytest.mark.parametrize(("file", "pairs"), [(NZ, 3), (AT, 49)])
def test_shared_pairs(open_data: Path, file: str, pairs: int) -> None:
    assert len(network(open_data, file, 0.0, False).shared_pairs) == pairs


@pytest.mark.parametrize(("file", "within_m", "pairs"), [(NZ, 0.01, 3), (AT, 0.05, 54)])
def test_when_closed_each_shared_stretch_is_one_line(open_data: Path, file: str, within_m: float, pairs: int) -> None:
    """Austrian outlines that only cross or stop a few centimetres short of each other become neighbours as well."""
    closed = network(open_data, file, within_m, True)
    assert closed.shared_pairs >= network(open_data, file, 0.0, False).shared_pairs
    assert len(closed.shared_pairs) == pairs
    stretches: dict[tuple[str, ...], list[shapely.LineString]] = {}
    for line in closed.lines:
        if line.is_shared:
            assert len(line.left) == len(line.right) == 1
            stretches.setdefault(tuple(sorted(line.left + line.right)), []).append(shapely.LineString(line.xy))
    for lines in stretches.values():
        apart = [(a, b) for i, a in enumerate(lines) for b in lines[i + 1:]]
        meeting = [shapely.intersection(a, b) for a, b in apart]
        assert all(place.length == 0.0 for place in meeting)
    assert max(map(len, stretches.values())) <= 3


@pytest.mark.parametrize("file", [NZ, AT])
def test_no_edge_is_drawn_twice_or_lost(open_data: Path, file: str) -> None:
    lines = [shapely.LineString(line.xy) for line in network(open_data, file, 0.0, False).lines]
    outlines = shapely.union_all([shapely.boundary(land) for land in paddocks(open_data, file)])
    assert sum(line.length for line in lines) == pytest.approx(outlines.length, abs=0.01)
    named = network_lines(network(open_data, file, 0.0, False), fence="general-mesh")
    assert len({line.name for line in named}) == len(named) == len(lines)


def test_misfits_are_told_with_place_and_size(open_data: Path) -> None:
    found = network(open_data, AT, 0.05, False).misfits
    overlaps = [misfit for misfit in found if misfit.kind == "overlap"]
    assert overlaps[0].area_m2 == pytest.approx(0.366, abs=0.001)
    assert all(misfit.width_m < 0.05 for misfit in found if misfit.kind == "gap")
    lands = paddocks(open_data, AT)
    for misfit in overlaps:
        one, other = (lands[int(name.split()[1]) - 1] for name in misfit.paddocks)
        assert shapely.intersection(one, other).distance(shapely.Point(misfit.x, misfit.y)) < 1e-6
