"""Measure and marks: figures against the plan and plain geometry, marks with what they mean, undo."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from PySide6.QtCore import Qt

from planner.alignment.line import FenceLine
from planner.survey.feature_meanings import MEANINGS, fact_of
from planner.survey.features import Feature
from planner.ui.tools.feature_effect import effect_of

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


@pytest.mark.parametrize(("meaning", "kind"), [(meaning, kind) for meaning in MEANINGS for kind in meaning.shapes],
                         ids=lambda one: getattr(one, "key", one))
def test_every_meaning_is_drawn_in_every_shape_undone_and_kept(there, meaning, kind):
    there.take("tool_feature")
    there.tool.choose(meaning.key, kind)
    assert meaning.means in there.tool.card.words.text()
    count = {"point": 1, "line": 2, "area": 3}[kind]
    for place in PLACES[:count]:
        there.click(*place)
    there.key(Qt.Key.Key_Return)
    made = there.document.job.features[-1]
    assert made.meaning == meaning.key
    shape = shapely.from_wkt(made.wkt)
    assert shape.geom_type == {"point": "Point", "line": "LineString", "area": "Polygon"}[kind]
    assert {fact.key: fact.default for fact in meaning.facts if fact.default} == dict(made.attributes)
    assert there.document.history.can_undo == f"mark {meaning.key} {made.name}"
    there.document.undo()
    assert made not in there.document.job.features


@pytest.mark.parametrize(("text", "kind", "spans"), [
    ("456000 5952000", "point", 0.0), ("456000,5952000; 456200,5952050; 456150,5951800", "area", 200.0)])
def test_a_feature_is_typed_in(there, text, kind, spans):
    there.take("tool_feature")
    there.tool.choose("trees", kind)
    there.tool.typed.setText(text)
    there.tool.name.setText("Big gums")
    there.tool.typed.returnPressed.emit()
    made = there.document.job.features[-1]
    west, _, east, _ = shapely.from_wkt(made.wkt).bounds
    assert (made.name, east - west, made.origin) == ("Big gums", spans, "typed in")


def test_places_that_cannot_be_read_mark_nothing_and_say_so(there):
    before = there.document.job
    there.take("tool_feature")
    there.tool.choose("trough")
    there.tool.typed.setText("by the shed")
    there.tool.typed.returnPressed.emit()
    assert there.document.job is before
    assert "is no list of places" in there.tool.card.note.text()


def test_the_one_under_the_pointer_is_opened_changed_and_kept(there):
    there.take("tool_feature")
    there.tool.choose("trees", "point")
    there.click(*PLACES[0])
    first = there.document.job.features[-1]
    there.move(*PLACES[0])
    there.key(Qt.Key.Key_Return)
    assert there.tool.opened is first
    there.tool.name.setText("Dead gum")
    there.tool.facts.fields["height"].setText("31 m")
    state = there.tool.facts.fields["state"]
    state.setCurrentIndex(state.findData("dead or dead limbs"))
    there.click(456_300, 5_951_900)  # places nothing while a feature is open
    there.tool.card.apply_button.click()
    changed = there.document.job.features[-1]
    assert (changed.name, changed.wkt, changed.fact("height"), changed.fact("state")) == (
        "Dead gum", first.wkt, "31", "dead or dead limbs")
    assert there.tool.opened is None
    assert there.document.history.can_undo == f"change trees {first.name}"


def test_a_fact_that_does_not_fit_is_not_kept(there):
    there.take("tool_feature")
    there.tool.choose("trees", "point")
    there.click(*PLACES[0])
    before = there.document.job
    there.tool.open(before.features[-1])
    there.tool.facts.fields["height"].setText("121 m")
    there.tool.keep()
    assert there.document.job is before
    assert "from 0 to 120" in there.tool.card.note.text()
    there.key(Qt.Key.Key_Escape)
    assert there.tool.opened is None


def test_ground_classes_are_chosen_among_those_that_are_known(there):
    there.take("tool_feature")
    there.tool.choose("ground")
    box = there.tool.facts.fields["class"]
    assert box.currentData() == fact_of("ground", "class").default
    assert {box.itemData(row) for row in range(box.count())} >= {"soil", "ledge", "stony"}


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
    there.tool.facts.fields["height"].setText("tall")
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
    (Feature("R", "ground", "POLYGON ((10 -5, 30 -5, 30 5, 10 5, 10 -5))"), "On ledge run 20 m of A."),
    (Feature("R", "flood", "POLYGON ((10 -5, 30 -5, 30 5, 10 5, 10 -5))"), "In it run 20 m of A."),
    (Feature("B", "boundary", "LINESTRING (50 -10, 50 10)"), "A crosses it."),
    (Feature("C", "water", "LINESTRING (50 -10, 50 10)"), "A meets it."),
    (Feature("P", "service", "LINESTRING (50 -10, 50 10)"), "A crosses it. Within 5 m of it run 10 m of A."),
    (Feature("P", "service", "LINESTRING (0 20, 100 20)"), "The nearest fence, A, is 20 m away."),
])
def test_what_a_mark_means_for_the_fences(feature, said):
    assert effect_of(feature, [FENCE], metres) == said


def test_a_mark_without_fences_means_nothing_yet():
    assert effect_of(Feature("R", "rock", "POINT (0 0)"), [], metres) == ""
