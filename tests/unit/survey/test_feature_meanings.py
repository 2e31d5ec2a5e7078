"""What things on the ground can mean, and how their facts are read."""

import pytest

from planner.errors import BadSetting
from planner.survey.feature_meanings import BY_KEY, MEANINGS, checked_text, choice_of, fact_of, number_of
from planner.survey.features import Feature


def fact(meaning: str, key: str):
    found = fact_of(meaning, key)
    assert found is not None
    return found


def test_every_meaning_and_every_word_is_there_once():
    assert len(BY_KEY) == len(MEANINGS)
    words = [word for meaning in MEANINGS for word in meaning.words]
    assert len(words) == len(set(words))


@pytest.mark.parametrize("meaning", MEANINGS, ids=lambda meaning: meaning.key)
def test_every_default_is_a_text_that_its_fact_takes(meaning):
    for one in meaning.facts:
        assert checked_text(one, one.default) == one.default


def test_a_number_is_read_or_its_default_taken():
    assert number_of(Feature("", "trees", "", (("height", "22.5"),)), "height") == 22.5
    assert number_of(Feature("", "trees", "", (("height", "tall"),)), "height") == 15.0
    assert number_of(Feature("", "trees", "", (("height", "1e9"),)), "height") == 15.0
    assert number_of(Feature("", "water", ""), "width") is None


def test_a_choice_is_read_or_its_default_taken():
    assert choice_of(Feature("", "service", "", (("lies", "above ground"),)), "lies") == "above ground"
    assert choice_of(Feature("", "service", "", (("lies", "sideways"),)), "lies") == "below ground"
    assert choice_of(Feature("", "existing fence", ""), "wires") == ""


@pytest.mark.parametrize(("meaning", "key", "given", "kept"), [
    ("trees", "height", " 0 ", "0"), ("trees", "height", "120", "120"), ("trees", "height", "", ""),
    ("existing fence", "fate", "Is Reused", "is reused"), ("existing fence", "seen", "2026-02-28", "2026-02-28"),
    ("photo point", "bearing", "NE", "45"), ("photo point", "bearing", "north north west", "337.5"),
    ("photo point", "bearing", "12,5 deg", "12.5"), ("photo point", "bearing", "S 30 15 W", "210.25"),
    ("photo point", "bearing", "360", "0"),
    ("track", "haul", "no", "no"), ("protected", "authority", " anybody ", "anybody")])
def test_a_text_is_kept_as_its_fact_asks(meaning: str, key: str, given: str, kept: str):
    assert checked_text(fact(meaning, key), given) == kept


@pytest.mark.parametrize(("meaning", "key", "given"), [
    ("trees", "height", "-0.1"), ("trees", "height", "120.1"), ("trees", "height", "nan"), ("trees", "height", "x"),
    ("photo point", "bearing", "360.1"), ("photo point", "bearing", "NEE"), ("photo point", "bearing", "-1"),
    ("existing fence", "fate", "gone"), ("existing fence", "seen", "2026-02-30")])
def test_a_text_that_is_none_is_refused(meaning: str, key: str, given: str):
    with pytest.raises(BadSetting, match=r"is not a number|is not one of|is no date|is no direction"):
        checked_text(fact(meaning, key), given)
