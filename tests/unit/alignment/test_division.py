"""Divided paddocks: areas, tiling, fence counted once, refusals."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planner.alignment.division import Division, How, OffLane, Parallel, Radiating, divide_paddock
from planner.errors import OutOfRange

EAST, NORTH = 455_200.0, 5_951_800.0
BLOCK = shapely.box(EAST, NORTH, EAST + 300.0, NORTH + 100.0)
ELL = shapely.transform(shapely.Polygon([(0, 0), (300, 0), (300, 100), (120, 100), (120, 260), (0, 260)]),
                        lambda xy: xy + np.array([EAST, NORTH]))
HOLED = ELL - shapely.box(EAST + 30, NORTH + 40, EAST + 90, NORTH + 80)
LANE = OffLane(np.array([(EAST, NORTH + 40.0), (EAST + 300.0, NORTH + 60.0)]), 10.0)
HOWS: list[How] = [Parallel(), Parallel(0.0), Parallel(333.3), Radiating(EAST + 60, NORTH + 20),
                   Radiating(EAST + 60, NORTH + 60), Radiating(EAST, NORTH), Radiating(EAST + 120, NORTH + 100),
                   Radiating(EAST + 400, NORTH + 300), Radiating(EAST + 60, NORTH + 20, 45.0)]


def check_tiles(division: Division, paddock: shapely.Polygon) -> None:
    lands = [part.land for part in division.parts] + ([division.lane] if division.lane is not None else [])
    assert shapely.symmetric_difference(shapely.union_all(lands), paddock).area < 1e-6 * paddock.area
    assert sum(land.area for land in lands) == pytest.approx(paddock.area, rel=1e-9)
    for part in division.parts:
        assert part.area_m2 == pytest.approx(part.wanted_m2, abs=1.0)
    edges = sum(land.length for land in lands)
    assert division.new_fence_m == pytest.approx((edges - paddock.length) / 2, abs=0.01)


@pytest.mark.parametrize("how", HOWS, ids=repr)
@pytest.mark.parametrize("paddock", [BLOCK, ELL, HOLED], ids=["block", "ell", "holed"])
def test_parts_tile_the_paddock_and_shared_fence_counts_once(paddock: shapely.Polygon, how: How) -> None:
    division = divide_paddock(paddock, parts=3, how=how)
    assert len(division.parts) == 3
    check_tiles(division, paddock)


@pytest.mark.parametrize("paddock", [BLOCK, ELL, HOLED], ids=["block", "ell", "holed"])
def test_parts_off_a_lane_tile_the_paddock_with_it(paddock: shapely.Polygon) -> None:
    division = divide_paddock(paddock, parts=5, how=LANE)
    check_tiles(division, paddock)
    assert all(shapely.distance(part.land, division.lane) < 1e-6 for part in division.parts)


def test_fences_end_on_the_edge() -> None:
    for fence in divide_paddock(HOLED, parts=4).fences:
        for end in fence[[0, -1]]:
            assert shapely.distance(shapely.boundary(HOLED), shapely.Point(end)) < 1e-6


def test_parts_follow_each_other_to_the_right_of_the_bearing() -> None:
    west_first = divide_paddock(BLOCK, areas_ha=[1.0, 2.0], how=Parallel(0.0))
    east_first = divide_paddock(BLOCK, areas_ha=[1.0, 2.0], how=Parallel(180.0))
    assert west_first.fences[0][0, 0] == pytest.approx(EAST + 100.0)
    assert east_first.fences[0][0, 0] == pytest.approx(EAST + 200.0)


def test_one_area_may_be_the_rest() -> None:
    division = divide_paddock(BLOCK, areas_ha=[0.5, None, 1.5], how=Parallel(0.0))
    assert [part.area_m2 for part in division.parts] == pytest.approx([5000.0, 10000.0, 15000.0], abs=1e-6)


def test_best_bearing_of_unequal_parts_looks_both_ways() -> None:
    wedge = shapely.Polygon([(0, 0), (400, 0), (400, 300), (0, 40)])
    best = divide_paddock(wedge, areas_ha=[1.0, None]).new_fence_m
    for bearing in range(360):
        assert best <= divide_paddock(wedge, areas_ha=[1.0, None], how=Parallel(float(bearing))).new_fence_m + 1e-3


def test_an_odd_best_bearing_is_found() -> None:
    turned = shapely.affinity.rotate(BLOCK, -12.3456, origin=(EAST, NORTH))  # clockwise
    division = divide_paddock(turned, parts=4)
    assert division.bearing_deg == pytest.approx(12.3456, abs=1e-3)
    assert division.new_fence_m == pytest.approx(300.0, abs=1e-4)


@pytest.mark.rules(fires="division-01")
def test_a_cut_in_an_indented_paddock_counts_only_inside() -> None:
    arms = shapely.box(0, 0, 300, 200) - shapely.box(100, 100, 200, 200)
    division = divide_paddock(arms, areas_ha=[None, 1.0], how=Parallel(270.0))  # northward, the arms last
    assert division.new_fence_m == pytest.approx(200.0, abs=1e-6)
    assert len(division.fences) == 2
    assert [part.pieces for part in division.parts] == [1, 2]
    assert [finding.rule for finding in division.findings if "pieces" in finding.message] == ["division-01"]


def test_a_cut_along_an_edge_is_no_new_fence() -> None:
    notched = shapely.Polygon([(0, 0), (300, 0), (300, 200), (200, 200), (200, 100), (0, 100)])
    division = divide_paddock(notched, areas_ha=[None, 1.0], how=Parallel(270.0))
    (fence,) = division.fences
    assert fence == pytest.approx(np.array([[300.0, 100.0], [200.0, 100.0]]), abs=1e-9)


def test_all_parts_meet_at_a_trough_inside() -> None:
    trough = {"trough": (EAST + 60.0, NORTH + 20.0)}
    division = divide_paddock(BLOCK, parts=5, how=Radiating(*trough["trough"]), waters=trough)
    assert all(part.waters == ("trough",) for part in division.parts)
    assert len(division.fences) == 5


@pytest.mark.rules(fires="division-04")
def test_a_part_without_water_is_told() -> None:
    division = divide_paddock(BLOCK, parts=2, how=Parallel(0.0), waters={"dam": (EAST + 1.0, NORTH + 1.0)})
    (finding,) = division.findings
    assert finding.message == "Part 2 of 1.50 ha has no water in it or on its edge."


@pytest.mark.rules(fires="division-05")
def test_gates_lead_from_part_to_part() -> None:
    gates = {"road": (EAST, NORTH + 50.0), "inner": (EAST + 150.0, NORTH + 50.0)}
    assert divide_paddock(BLOCK, parts=2, how=Parallel(0.0), gates=gates).findings == ()
    lone = divide_paddock(BLOCK, parts=2, how=Parallel(0.0), gates={"road": gates["road"]})
    assert [(f.rule, f.severity) for f in lone.findings] == [("division-05", "error")]


@pytest.mark.parametrize(("lies", "north"), [("left", 0.0), ("right", 10.0)])
def test_a_lane_along_a_side_leaves_one_side(lies: str, north: float) -> None:
    line = np.array([(EAST, NORTH + north), (EAST + 300.0, NORTH + north)])
    division = divide_paddock(BLOCK, parts=3, how=OffLane(line, 10.0, lies))  # type: ignore[arg-type]
    assert division.new_fence_m == pytest.approx(300.0 + 2 * 90.0, abs=1e-6)
    assert division.lane_fences == 1
    assert len(division.gates) == 3


def test_areas_off_a_lane_go_left_first() -> None:
    line = np.array([(EAST, NORTH + 50.0), (EAST + 300.0, NORTH + 50.0)])
    division = divide_paddock(BLOCK, areas_ha=[0.5, None, None], how=OffLane(line, 10.0, left_parts=2))
    assert [part.area_m2 for part in division.parts] == pytest.approx([5000.0, 8500.0, 13500.0], abs=1e-6)


@pytest.mark.parametrize(("options", "said"), [
    ({"areas_ha": [1.0, 1.5]}, r"the areas 1, 1.5 ha do not make up the 3.0000 ha"),
    ({"areas_ha": [4.0, None]}, r"the areas 4, rest ha do not make up"),
    ({"areas_ha": [-1.0, 4.0]}, r"do not make up"),
    ({"parts": 1}, r"2 to 100 parts, not 1"),
    ({"parts": 101}, r"2 to 100 parts, not 101"),
    ({"how": OffLane(np.array([(0.0, 0.0), (1.0, 0.0)]), 10.0)}, r"the lane is not in the paddock"),
    ({"how": OffLane(LANE.xy, 0.0)}, r"a lane has a width"),
    ({"how": OffLane(LANE.xy, 500.0)}, r"the lane takes the whole paddock"),
    ({"how": OffLane(LANE.xy[[0, 0]], 10.0)}, r"the lane is no line"),
    ({"parts": 3, "how": OffLane(LANE.xy, 10.0, left_parts=3)}, r"0 parts cannot lie right of the lane"),
])
def test_what_cannot_be_divided_is_said(options: dict[str, object], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        divide_paddock(BLOCK, **options)  # type: ignore[arg-type]


def test_areas_within_a_square_metre_are_taken() -> None:
    assert divide_paddock(BLOCK, areas_ha=[1.0, 1.9999]).parts[0].area_m2 == pytest.approx(10000.0, abs=1.0)
    with pytest.raises(OutOfRange, match="do not make up"):
        divide_paddock(BLOCK, areas_ha=[1.0, 1.9998])


def test_an_outline_that_crosses_itself_is_refused() -> None:
    with pytest.raises(OutOfRange, match="cannot be used"):
        divide_paddock(shapely.Polygon([(0, 0), (100, 100), (100, 0), (0, 100)]), parts=2)
