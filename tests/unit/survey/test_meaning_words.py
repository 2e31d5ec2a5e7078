"""What things in other people's files are taken to mean, by their words."""

from __future__ import annotations

import pytest

from planner.survey.feature_meanings import MEANINGS
from planner.survey.meaning_words import guessed_columns, guessed_meaning, letters, names_of


@pytest.mark.parametrize(("text", "shape", "meaning"), [
    ("tree", "point", "trees"), ("TREES_2019", "area", "trees"), ("Tallow Creek", "line", "water"),
    ("dams", "area", "water"), ("old fence", "line", "existing fence"), ("power lines", "line", "service"),
    ("road reserve", "line", "road reserve"), ("native bush", "area", "vegetation"), ("ledge-rock", "area", "ground"),
    ("photo point 3", "point", "photo point"), ("control", "point", "control point"), ("tank", "point", "trough"),
    ("river red gum trees", "area", "trees"), ("energizer", "point", "energiser"), ("paddocks", "area", "paddock"),
])
def test_words_of_the_trade_are_known(text: str, shape: str, meaning: str):
    assert guessed_meaning([text], shape) == meaning  # type: ignore[arg-type]


@pytest.mark.parametrize(("text", "shape"), [
    ("ground", "point"), ("corner", "point"), ("bm", "point"), ("trough", "line"), ("streamer", "line"), ("", "area"),
    ("1234", "point"), ("treeless", "area")])
def test_nothing_is_taken_from_words_that_do_not_say_it_or_a_shape_that_cannot_be_it(text: str, shape: str):
    assert guessed_meaning([text], shape) == ""  # type: ignore[arg-type]


def test_the_first_text_that_tells_decides():
    assert guessed_meaning(["12", "creek", "trees"], None) == "water"
    assert guessed_meaning(["trees", "creek"], None, among=("water",)) == "water"


def test_columns_are_found_by_the_names_of_facts_with_or_without_units():
    assert guessed_columns("trees", ["id", "HEIGHT_M", "state"]) == {"height": "HEIGHT_M", "state": "state"}
    assert guessed_columns("boundary", ["Who owns the other side"]) == {"neighbour": "Who owns the other side"}
    assert guessed_columns("energiser", ["Joules", "EarthRods"]) == {"joules": "Joules", "earth rods": "EarthRods"}
    assert guessed_columns("nothing known", ["height"]) == {}


def test_no_two_facts_of_a_meaning_are_looked_for_under_one_name():
    for meaning in MEANINGS:
        names = [name for fact in meaning.facts for name in names_of(fact)]
        assert len(set(names)) == len(names), meaning.key
        assert all(name == letters(name) and name for name in names)
