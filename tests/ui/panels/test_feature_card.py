"""The list of features: what it shows, what choosing one does, opening, renaming, removing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from map_hand import Hand

from planner.job.edits import AddFeature
from planner.survey.features import Feature
from planner.ui.panels.feature_card import FeatureRow, called, facts_told

GUM = Feature("Big gum", "trees", "POINT (456000 5952000)", (("height", "24"), ("state", "sound"), ("planted", "Jo")))
ROCK = Feature("Old rock", "rock", "POINT (456050 5952000)")


@pytest.fixture
def listed(sample_window, qtbot):
    """The list in the panel of the survey, over a job with two more features."""
    hand = Hand(sample_window, qtbot)
    for feature in (GUM, ROCK):
        hand.document.do(AddFeature(feature))
    hand.window.work.take_step("survey")
    panel = hand.window.work.panels.show_step("survey")
    panel.refresh()
    return hand, panel.features


def test_facts_are_told_in_short():
    assert (called(GUM), facts_told(GUM)) == ("Trees", "height 24 m, sound")
    assert (called(ROCK), facts_told(ROCK)) == ("rock", "")


def test_choosing_one_shows_it_on_the_map_and_says_what_it_means(listed):
    hand, features = listed
    place = hand.document.job.features.index(GUM)
    features.table.chosen.emit(place)
    assert hand.document.selection.feature is hand.document.job.features[place]
    x, y = (float(v) for v in hand.canvas.view.to_screen(456_000.0, 5_952_000.0))
    assert 0 < x < hand.canvas.width()
    assert 0 < y < hand.canvas.height()
    assert "fall on a fence" in features.words.text()
    features.table.chosen.emit(hand.document.job.features.index(ROCK))
    assert "No check knows 'rock'" in features.words.text()


def test_it_is_opened_renamed_and_removed(listed):
    hand, features = listed
    features.table.chosen.emit(hand.document.job.features.index(GUM))
    features.change.click()
    assert hand.window.work.tools.tool.opened == GUM
    features._rename(replace_row(features, GUM), "Bigger gum")
    renamed = hand.document.job.features[-2]
    assert renamed == replace(GUM, name="Bigger gum")
    features.table.chosen.emit(hand.document.job.features.index(renamed))
    features.remove.click()
    assert renamed not in hand.document.job.features


def replace_row(features, feature):
    return FeatureRow(feature, features._document.job.features.index(feature))
