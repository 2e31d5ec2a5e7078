"""What is around the fences, asked by meaning and by nearness."""

import numpy as np
import pytest
import shapely

from planner.surroundings.situation import around
from planner.survey.features import Feature

TREE = Feature("Old gum", "trees", "POINT (10 5)", (("height", "12"),))
CREEK = Feature("Sandy creek", "water", "LINESTRING (50 -10, 50 10)")
BOW_TIE = Feature("Rocks", "ground", "POLYGON ((0 0, 10 10, 10 0, 0 10, 0 0))")
LINES = np.array([shapely.LineString([(0, 0), (100, 0)]), shapely.LineString([(0, 100), (100, 100)])])


def test_features_are_asked_for_by_meaning_in_the_order_of_the_job():
    found = around((CREEK, TREE, BOW_TIE)).of("trees", "water")
    assert [feature for feature, _ in found] == [CREEK, TREE]


@pytest.mark.parametrize(("within", "names"), [(4.9, []), (5.0, ["Old gum"]), (5.1, ["Old gum"])])
def test_near_counts_the_distance_itself(within: float, names: list[str]):
    assert [feature.name for _, feature, _ in around((TREE,)).near(LINES, "trees", within_m=within)] == names


def test_touching_is_asked_for_by_no_distance():
    assert [(number, feature.name) for number, feature, _ in around((CREEK,)).near(LINES, "water", within_m=0.0)] == [
        (0, "Sandy creek")]


def test_an_area_that_crosses_itself_is_mended():
    (_, shape), = around((BOW_TIE,)).of("ground")
    assert shape.is_valid
    assert shape.area == pytest.approx(50.0)


@pytest.mark.parametrize("wkt", ["", "POINT EMPTY", "POLYGON ((0 0", "nonsense"])
def test_a_feature_without_a_shape_has_no_place_to_be_checked(wkt: str):
    assert around((Feature("?", "water", wkt), TREE)).features == (TREE,)


def test_nothing_around_is_no_trouble():
    empty = around(())
    assert empty.of("water") == ()
    assert empty.near(LINES, "water", within_m=5.0) == ()
