"""Measure and marks: figures against the plan and plain geometry, marks with what they mean, undo."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from PySide6.QtCore import Qt

from planner.alignment.line import FenceLine
from planner.survey.features import Feature
from planner.ui.tools.feature_kinds import KINDS, effect_of

PLACES = ((456_000, 5_952_000), (456_200, 5_952_050), (456_150, 5_951_800))


@pytest.fixture
def there(hand):
    hand.look_at(456_150, 5_951_950, 1.6)
    return hand


def metres(value: float) -> str:
    return f"{value:.0f} m"


def test_measuring_changes_nothing_and_agrees_with_plain_geometry(there):
    job = there.document.job
    there.take("tool_measure")
    for place in PLACES:
        there.click(*place)
    there.key(Qt.Key.Key_Return)
    at = there.tool.places
    scale = there.tool._meter.scale_at(at[0])
    assert there.tool.figures.total_m == pytest.approx(
        sum(math.dist(a, b) for a, b in pairwise(at)) / scale, rel=1e-6)
    inside, _ = there.tool.area()
    assert inside == pytest.approx(shapely.Polygon(at).area / scale**2, rel=2e-4)
    assert there.tool.figures.slope_m > there.tool.figures.total_m
    assert [label for label, _ in there.tool.rows()][-2:] == ["Area", "Round it"]
    assert there.document.job is job
    there.key(Qt.Key.Key_Escape)
    assert there.tool.places == []


def test_backspace_takes_a_measured_place_back_and_a_click_after_enter_begins_anew(there):
    there.take("tool_measure")
    for place in PLACES:
        there.click(*place)
    there.key(Qt.Key.Key_Backspace)
    assert len(there.tool.places) == 2
    there.key(Qt.Key.Key_Return)
    there.click(456_300, 5_951_900)
    assert len(there.tool.places) == 1


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.key)
def test_every_kind_of_mark_is_drawn_undone_and_kept(there, kind):
    there.take("tool_feature")
    there.tool.choose(kind.key)
    assert kind.means in there.tool.card.words.text()
    count = {"point": 1, "line": 2, "area": 3}[kind.shape]
    for place in PLACES[:count]:
        there.click(*place)
    there.key(Qt.Key.Key_Return)
    made = there.document.job.features[-1]
    assert made.meaning == kind.meaning
    shape = shapely.from_wkt(made.wkt)
    assert shape.geom_type == {"point": "Point", "line": "LineString", "area": "Polygon"}[kind.shape]
    assert {field.key for field in kind.fields if field.value} <= dict(made.attributes).keys()
    assert there.document.history.can_undo == f"mark {kind.meaning} {made.name}"
    there.document.undo()
    assert made not in there.document.job.features


def test_too_few_places_and_an_outline_that_crosses_itself_mark_nothing(there):
    before = there.document.job
    there.take("tool_feature")
    there.tool.choose("vegetation")
    for place in PLACES[:2]:
        there.click(*place)
    there.key(Qt.Key.Key_Return)
    assert "needs 3 places" in there.tool.card.note.text()
    there.tool.places = [(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)]
    there.key(Qt.Key.Key_Return)
    assert "crosses itself" in there.tool.card.note.text()
    assert there.document.job is before


def test_a_height_that_is_none_is_refused(there):
    before = there.document.job
    there.take("tool_feature")
    there.tool.choose("trees")
    there.tool._fields[0].setText("tall")
    there.click(*PLACES[0])
    assert there.document.job is before
    assert "tall" in there.tool.card.note.text()


def test_delete_takes_the_mark_under_the_pointer_away(there):
    there.take("tool_feature")
    there.tool.choose("trough")
    there.click(*PLACES[0])
    count = len(there.document.job.features)
    there.move(*PLACES[0])
    there.key(Qt.Key.Key_Delete)
    assert len(there.document.job.features) == count - 1


FENCE = FenceLine("A", "general-mesh", np.array([[0.0, 0.0], [100.0, 0.0]]))


@pytest.mark.parametrize(("feature", "said"), [
    (Feature("T", "trees", "POINT (50 6)", (("height", "10"),)), "It can fall on 16 m of A."),
    (Feature("T", "trees", "POINT (50 12)", (("height", "10"),)), "The nearest fence, A, is 12 m away."),
    (Feature("R", "rock", "POLYGON ((10 -5, 30 -5, 30 5, 10 5, 10 -5))"), "In it run 20 m of A."),
    (Feature("C", "water", "LINESTRING (50 -10, 50 10)"), "A meets it."),
    (Feature("P", "service", "LINESTRING (50 -10, 50 10)"), "A crosses it. Within 5 m of it run 10 m of A."),
    (Feature("P", "service", "LINESTRING (0 20, 100 20)"), "The nearest fence, A, is 20 m away."),
])
def test_what_a_mark_means_for_the_fences(feature, said):
    assert effect_of(feature, [FENCE], metres) == said


def test_a_mark_without_fences_means_nothing_yet():
    assert effect_of(Feature("R", "rock", "POINT (0 0)"), [], metres) == ""
