"""Shapes of parts, and what is said about them."""

from __future__ import annotations

import pytest
import shapely

from planner.alignment.division_shapes import acute_corners, check_parts, length_to_width, part_of


def test_ratio_of_a_turned_rectangle() -> None:
    assert length_to_width(shapely.affinity.rotate(shapely.box(0, 0, 210, 70), 31)) == pytest.approx(3.0)


@pytest.mark.parametrize(("height", "count"), [(86.7, 1), (86.5, 2)])
def test_corners_below_sixty_degrees(height: float, count: int) -> None:
    """A triangle on a base of 100; at a height of 86.60 all angles are 60."""
    assert acute_corners(shapely.Polygon([(0, 0), (100, 0), (50, height)])) == count


def test_exactly_sixty_degrees_is_not_acute() -> None:
    assert acute_corners(shapely.Polygon([(0, 0), (100, 0), (50, 50 * 3**0.5)])) == 0


def test_corners_of_a_hole_are_those_of_the_land() -> None:
    spiked = shapely.box(0, 0, 100, 100) - shapely.Polygon([(30, 30), (70, 30), (50, 33)])
    assert acute_corners(spiked) == 0


def test_a_wobble_is_no_corner() -> None:
    wobbly = shapely.Polygon([(0, 0), (50, 0), (50.1, 0.3), (50.2, 0), (100, 0), (100, 100), (0, 100)])
    assert acute_corners(wobbly) == 0


@pytest.mark.rules(fires="division-02", limit="division-02")
@pytest.mark.parametrize(("long", "rule"), [(400.0, ""), (400.1, "division-02")])
def test_four_to_one_is_the_limit(long: float, rule: str) -> None:
    part = part_of(1, shapely.box(0, 0, long, 100), 1.0, {}, {})
    assert [f.rule for f in check_parts([part], lane=None, waters={}, gates={})] == [rule] * bool(rule)


def test_water_on_the_edge_and_gates_on_the_edge_count() -> None:
    part = part_of(1, shapely.box(0, 0, 100, 100), 1.0, {"edge": (100.9, 50), "off": (101.1, 50), "in": (50, 50)},
                   {"edge": (0, 50), "inside": (50, 50)})
    assert part.waters == ("edge", "in")
    assert part.gates == ("edge",)


@pytest.mark.rules(limit="division-04")
@pytest.mark.parametrize(("waters", "rule"), [
    ({"trough": (50.0, 50.0)}, ""), ({"trough": (101.0, 50.0)}, ""), ({"trough": (101.01, 50.0)}, "division-04"),
    ({}, "")])
def test_a_part_without_water_is_told_where_any_is_known(waters: dict[str, tuple[float, float]], rule: str) -> None:
    part = part_of(1, shapely.box(0, 0, 100, 100), 1.0, waters, {})
    assert [f.rule for f in check_parts([part], lane=None, waters=waters, gates={})] == [rule] * bool(rule)


@pytest.mark.rules(fires="division-03", limit="division-03")
@pytest.mark.parametrize(("land", "rule"), [
    (shapely.Polygon([(0, 0), (100, 0), (50, 50 * 3**0.5)]), ""),
    (shapely.Polygon([(0, 0), (100, 0), (50, 86.6)]), "division-03")])
def test_pockets_below_sixty_degrees_are_told(land: shapely.Polygon, rule: str) -> None:
    part = part_of(1, land, 1.0, {}, {})
    assert [f.rule for f in check_parts([part], lane=None, waters={}, gates={})] == [rule] * bool(rule)


@pytest.mark.rules(limit="division-05")
@pytest.mark.parametrize(("west", "rule"), [(1.0, ""), (1.01, "division-05")])
def test_a_gate_opens_the_part_whose_edge_is_within_a_metre(west: float, rule: str) -> None:
    gates = {"road": (-west, 50.0)}
    part = part_of(1, shapely.box(0, 0, 100, 100), 1.0, {}, gates)
    assert [f.rule for f in check_parts([part], lane=None, waters={}, gates=gates)] == [rule] * bool(rule)


@pytest.mark.rules(silent="division-01 division-02 division-03 division-04 division-05")
def test_a_good_part_has_nothing_to_say() -> None:
    waters, gates = {"trough": (50.0, 50.0)}, {"road": (0.0, 50.0)}
    part = part_of(1, shapely.box(0, 0, 200, 100), 1.0, waters, gates)
    assert check_parts([part], lane=None, waters=waters, gates=gates) == []


@pytest.mark.rules(fires="division-01", limit="division-01")
def test_a_part_of_two_pieces_is_told_and_one_that_just_hangs_together_is_not() -> None:
    told = {}
    for apart in (-0.01, 0.0, 0.01):
        land = shapely.union(shapely.box(0, 0, 100, 100), shapely.box(100 + apart, 0, 200, 100))
        found = check_parts([part_of(1, land, 1.0, {}, {})], lane=None, waters={}, gates={})
        told[apart] = [f.message for f in found if f.rule == "division-01"]
    assert [len(found) for found in told.values()] == [0, 0, 1]
    assert "lies in 2 pieces" in told[0.01][0]
