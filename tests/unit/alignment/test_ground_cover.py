"""Ground classes along the very metres that areas cover, in closed form."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
import shapely

from planner.alignment.ground_cover import DEFAULT_GROUND, covered, ground_at, in_order
from planner.alignment.line import FenceLine, GroundStretch
from planner.geometry.lines import chainages
from planner.spec.catalogue import load_catalogue
from planner.survey.features import Feature

CLASSES = load_catalogue().grounds


@dataclass(frozen=True)
class Measure:
    """A line whose ground distance is its grid distance times a factor."""

    chainage_m: np.ndarray
    vertices: np.ndarray


def line(*xy: tuple[float, float], typed: tuple[GroundStretch, ...] = ()) -> FenceLine:
    return FenceLine("L", "general-mesh", np.array(xy, dtype=np.float64), stretches=typed)


def measure(of: FenceLine, factor: float = 1.0) -> Measure:
    return Measure(chainages(of.xy) * factor, np.arange(len(of.xy)))


def area(west: float, south: float, east: float, north: float, ground: str) -> Feature:
    return Feature(ground, "ground", shapely.box(west, south, east, north).wkt, (("class", ground),))


def told(of: FenceLine, *areas: Feature, factor: float = 1.0) -> list[tuple[float, float, str]]:
    found = covered(of, measure(of, factor), areas, CLASSES)
    length = float(measure(of, factor).chainage_m[-1])
    return [(round(s.from_m, 6), round(s.to_m, 6), s.ground) for s in in_order(found, length)]


def test_without_areas_what_was_typed_is_the_very_same_record():
    typed = (GroundStretch(0.0, 5.0, "ledge"),)
    own = line((0, 0), (100, 0), typed=typed)
    assert covered(own, measure(own), (), CLASSES) is own.stretches


def test_an_area_covers_its_chord_on_a_slanted_leg():
    # a square of side 10 about (50, 50), met along its diagonal: 10 * sqrt(2) m
    own = line((0, 0), (100, 100))
    (found,) = told(own, area(45, 45, 55, 55, "ledge"))
    assert found == (round(45 * 2**0.5, 6), round(55 * 2**0.5, 6), "ledge")


def test_a_round_area_covers_the_chord_of_its_circle():
    own = line((0, 0), (100, 0))
    circle = shapely.Point(50, 3).buffer(5.0, quad_segs=4096)
    (found,) = told(own, Feature("r", "ground", circle.wkt, (("class", "stony"),)))
    assert found[:2] == pytest.approx((46.0, 54.0), abs=1e-5)  # half chord sqrt(25 - 9) = 4


def test_distances_are_on_the_ground_and_run_on_past_corners():
    own = line((0, 0), (100, 0), (100, 100))
    assert told(own, area(90, -10, 110, 30, "ledge"), factor=2.0) == [(180.0, 260.0, "ledge")]


def test_a_line_that_crosses_itself_is_covered_on_both_passes():
    own = line((0, 0), (100, 0), (100, 50), (50, 50), (50, -50))
    assert told(own, area(45, -5, 55, 5, "ledge")) == [(45.0, 55.0, "ledge"), (245.0, 255.0, "ledge")]


def test_the_harder_class_wins_where_areas_overlap_whichever_comes_first():
    own = line((0, 0), (100, 0))
    soft, hard = area(10, -1, 60, 1, "stony"), area(40, -1, 80, 1, "ledge")
    expected = [(10.0, 40.0, "stony"), (40.0, 80.0, "ledge")]
    assert told(own, soft, hard) == told(own, hard, soft) == expected


def test_what_was_typed_goes_before_every_area():
    own = line((0, 0), (100, 0), typed=(GroundStretch(30.0, 50.0, "dug"),))
    assert told(own, area(10, -1, 80, 1, "ledge")) == [
        (10.0, 30.0, "ledge"), (30.0, 50.0, "dug"), (50.0, 80.0, "ledge")]


def test_areas_of_one_class_that_overlap_or_meet_are_one_stretch_and_holes_are_left_out():
    own = line((0, 0), (100, 0))
    assert told(own, area(10, -1, 40, 1, "ledge"), area(30, -1, 60, 1, "ledge"), area(60, -1, 70, 1, "ledge")) == [
        (10.0, 70.0, "ledge")]
    ring = shapely.Polygon(shapely.box(10, -9, 90, 9).exterior, [shapely.box(40, -5, 60, 5).exterior])
    assert told(own, Feature("r", "ground", ring.wkt, (("class", "ledge"),))) == [
        (10.0, 40.0, "ledge"), (60.0, 90.0, "ledge")]


def test_an_area_that_only_touches_the_line_covers_nothing_and_one_without_a_class_is_ledge():
    own = line((0, 0), (100, 0))
    diamond = shapely.Polygon([(50, 0), (55, 5), (50, 10), (45, 5)])
    assert told(own, Feature("r", "ground", diamond.wkt, (("class", "ledge"),))) == []
    assert told(own, Feature("r", "ground", shapely.box(0, -1, 5, 1).wkt)) == [(0.0, 5.0, "ledge")]


def test_a_class_that_is_not_known_is_left_out():
    assert told(line((0, 0), (100, 0)), area(10, -1, 80, 1, "lava")) == []


def test_on_a_common_edge_the_harder_holds_and_beside_it_each_its_own():
    own = line((0, 0), (100, 0))
    found = covered(own, measure(own), (area(40, -1, 80, 1, "ledge"), area(10, -1, 40, 1, "stony")), CLASSES)
    at = np.array([9.99, 10.0, 39.99, 40.0, 40.01, 80.0, 80.01])
    assert ground_at(found, at) == [DEFAULT_GROUND, "stony", "stony", "ledge", "ledge", "ledge", DEFAULT_GROUND]


def test_an_outline_that_crosses_itself_covers_what_it_encloses():
    bow = Feature("b", "ground", "POLYGON ((0 -10, 20 10, 20 -10, 0 10, 0 -10))", (("class", "ledge"),))
    own = line((-10, 0), (30, 0))
    assert told(own, bow) == [(10.0, 30.0, "ledge")]
