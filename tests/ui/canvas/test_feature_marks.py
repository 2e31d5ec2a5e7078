from __future__ import annotations

import numpy as np
import pytest
from canvas_pictures import pixels

from planner.jobpack.symbol_words import SYMBOL_OF_FEATURE, SYMBOL_WORDS
from planner.render.symbols import SYMBOLS
from planner.survey.feature_meanings import MEANINGS
from planner.survey.features import Feature
from planner.survey.fixes import MeasuredPoint
from planner.ui.canvas.colours import THEMES
from planner.ui.canvas.feature_marks import FeatureMarks
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.view import MapView

FEATURES = (Feature("Creek", "water", "LINESTRING (0 0, 100 0)"),
            Feature("Dam", "water", "POLYGON ((0 50, 20 50, 20 70, 0 70, 0 50))"),
            Feature("Old fence", "existing fence", "MULTILINESTRING ((0 90, 10 90), (20 90, 30 90))"),
            Feature("Big gum", "vegetation", "POINT (60 60)"), Feature("Yards", "yard", "POINT (80 60)"))


def test_symbols_of_what_has_one() -> None:
    marks = FeatureMarks(FEATURES, [MeasuredPoint("P1", 1.0, 2.0, None, "", None, "survey", "a.csv", 1)])
    assert marks.used_symbols() == {"water", "existing fence", "trees", "yard", "control mark"}
    assert FeatureMarks(()).bounds_px(MapView(0, 0, 1, 100, 100)).isEmpty()


def test_symbols_stand_where_the_features_are(canvas: MapCanvas) -> None:
    canvas.set_view(MapView(60.0, 60.0, 0.5, 640, 400), exact=True)
    before = pixels(canvas)
    canvas.add_overlay(FeatureMarks(FEATURES[3:4]))
    rows, columns = np.nonzero((pixels(canvas) != before).any(axis=2))
    assert (columns.mean(), rows.mean()) == pytest.approx((320, 200), abs=4)


def test_every_meaning_has_a_colour_of_its_own_in_every_theme_and_every_point_a_symbol() -> None:
    for meaning in MEANINGS:
        assert all(meaning.key in theme.lines for theme in THEMES.values()), meaning.key
        if "point" in meaning.shapes and meaning.key != "paddock":
            assert SYMBOL_OF_FEATURE[meaning.key] in SYMBOLS
    assert set(SYMBOL_OF_FEATURE.values()) <= set(SYMBOL_WORDS)
    assert {name: symbol.meaning for name, symbol in SYMBOLS.items()} == dict(SYMBOL_WORDS)
