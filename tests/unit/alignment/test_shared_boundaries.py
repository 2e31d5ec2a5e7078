"""Networks of paddock outlines: each shared edge one line, misfits told and closed."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import shapely.affinity

from planner.alignment.junctions import shared_stretches
from planner.alignment.shared_boundaries import network_lines, shared_boundaries
from planner.errors import OutOfRange

WEST, EAST, NORTH = shapely.box(0, 0, 100, 100), shapely.box(100, 0, 200, 100), shapely.box(0, 100, 200, 180)
THREE = [("West", WEST), ("East", EAST), ("North", NORTH)]


def test_every_edge_is_one_line() -> None:
    network = shared_boundaries(THREE)
    assert sum(line.length_m for line in network.lines) == pytest.approx(
        shapely.union_all([shapely.boundary(land) for _, land in THREE]).length)
    assert network.shared_pairs == {("East", "West"), ("East", "North"), ("North", "West")}
    assert sum(line.is_shared for line in network.lines) == 3
    assert len(network.lines) == 6
    assert network.misfits == ()


def test_sides_are_left_and_right_of_the_way_the_line_runs() -> None:
    for line in shared_boundaries(THREE).lines:
        a, b = line.xy[0], line.xy[1]
        left = shapely.Point((a + b) / 2 + np.array([-(b - a)[1], (b - a)[0]]) * 1e-3)
        assert line.left == tuple(name for name, land in THREE if land.contains(left))


def test_lines_do_not_run_on_top_of_each_other() -> None:
    lines = network_lines(shared_boundaries(THREE), fence="general-mesh")
    assert shared_stretches(lines) == ()
    assert len({line.name for line in lines}) == len(lines)


def test_a_paddock_by_itself_is_a_closed_line() -> None:
    (line,) = network_lines(shared_boundaries([("Alone", WEST)]), fence="general-mesh", origin="file, row 1")
    assert (line.name, line.closed, line.origin) == ("Alone", True, "file, row 1")


def test_a_hole_is_a_line_too() -> None:
    network = shared_boundaries([("Ring", WEST - shapely.box(40, 40, 60, 60))])
    assert sorted(line.length_m for line in network.lines) == [80.0, 400.0]


def test_two_stretches_between_two_paddocks_are_two_lines_with_two_names() -> None:
    u = shapely.box(0, 0, 100, 100) - shapely.box(30, 50, 70, 100)
    cap = shapely.box(0, 100, 100, 120)
    names = [line.name for line in network_lines(shared_boundaries([("Cap", cap), ("U", u)]), fence="general-mesh")]
    assert {"Cap | U (1)", "Cap | U (2)"} <= set(names)
    assert len(set(names)) == len(names)


def test_a_gap_is_told_and_closed() -> None:
    apart = [("West", WEST), ("East", shapely.box(100.3, 0, 200, 100))]
    told = shared_boundaries(apart, within_m=0.5)
    (gap,) = told.misfits
    assert (gap.kind, gap.paddocks) == ("gap", ("West", "East"))
    assert (gap.area_m2, gap.width_m) == pytest.approx((30.0, 0.3), rel=0.01)
    assert shapely.box(100, 0, 100.3, 100).contains(shapely.Point(gap.x, gap.y))
    assert told.shared_pairs == frozenset()
    closed = shared_boundaries(apart, within_m=0.5, close=True)
    assert closed.shared_pairs == {("East", "West")}
    assert sum(line.is_shared for line in closed.lines) == 1
    assert sum(gain for _, gain in closed.area_changes) == pytest.approx(30.0, rel=0.01)


@pytest.mark.parametrize("turn_deg", [0.0, 0.01, 30.0])
def test_a_gap_is_as_wide_whichever_way_it_lies(turn_deg: float) -> None:
    """30 m2 over half of its outline of 200.6 m; edges askew leave rims of rounding that must not count."""
    lands = [shapely.affinity.rotate(land, turn_deg, origin=(0, 0))
             for land in (WEST, shapely.box(100.3, 0, 200, 100))]
    (gap,) = shared_boundaries([("West", lands[0]), ("East", lands[1])], within_m=0.5).misfits
    assert (gap.width_m, gap.area_m2) == pytest.approx((30.0 / 100.3, 30.0), rel=1e-3)


def test_a_gap_wider_than_the_distance_stays() -> None:
    apart = [("West", WEST), ("East", shapely.box(100.6, 0, 200, 100))]
    network = shared_boundaries(apart, within_m=0.5, close=True)
    assert network.misfits == ()
    assert network.shared_pairs == frozenset()


def test_an_overlap_is_told_always_and_shared_out_when_closed() -> None:
    over = [("West", WEST), ("East", shapely.box(99.8, 0, 200, 100))]
    (overlap,) = shared_boundaries(over).misfits
    assert (overlap.kind, overlap.paddocks) == ("overlap", ("West", "East"))
    assert (overlap.area_m2, overlap.width_m) == pytest.approx((20.0, 0.2), rel=0.01)
    closed = shared_boundaries(over, within_m=0.5, close=True)
    assert closed.shared_pairs == {("East", "West")}
    assert sum(line.is_shared for line in closed.lines) == 1


@pytest.mark.parametrize(("rings", "options", "said"), [
    ([("A", WEST), ("A", EAST)], {}, "'A': two paddocks have the same name"),
    ([("A", WEST)], {"close": True}, "within a distance above zero"),
    ([("A", WEST)], {"within_m": -1.0}, "within a distance above zero"),
    ([("A", shapely.Polygon([(0, 0), (9, 9), (9, 0), (0, 9)]))], {}, "paddock 'A': the outline cannot be used"),
])
def test_refusals(rings: list[tuple[str, shapely.Polygon]], options: dict[str, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        shared_boundaries(rings, **options)  # type: ignore[arg-type]
