"""Features that are read again."""

from __future__ import annotations

from planner.files.features_from import with_features
from planner.job.job import Job
from planner.survey.features import Feature

CREEK = Feature("Creek", "water", "LINESTRING (0 0, 9 9)", (("width", "3"), ("note", "a")), "w.gpkg, row 1")
DRAWN = Feature("Trough", "trough", "POINT (1 1)")


def again(feature: Feature, *facts: tuple[str, str], **other: str) -> Feature:
    return Feature(other.get("name", feature.name), other.get("meaning", feature.meaning), feature.wkt, facts,
                   other.get("origin", feature.origin))


def test_a_row_that_is_read_again_takes_its_new_facts_and_keeps_the_others():
    job, added, changed = with_features(Job("T", "EPSG:7855", features=(CREEK, DRAWN)), [again(CREEK, ("width", "5"))])
    assert added == ()
    assert [dict(f.attributes) for f in changed] == [{"width": "5", "note": "a"}]
    assert job.features == (*changed, DRAWN)


def test_a_row_that_says_nothing_new_changes_nothing():
    job = Job("T", "EPSG:7855", features=(CREEK, DRAWN))
    assert with_features(job, [CREEK, DRAWN, again(CREEK)]) == (job, (), ())


def test_another_row_another_meaning_and_what_was_drawn_are_added():
    others = [again(CREEK, origin="w.gpkg, row 2"), again(CREEK, meaning="existing fence"), again(DRAWN, ("a", "b"))]
    job, added, changed = with_features(Job("T", "EPSG:7855", features=(CREEK, DRAWN)), others)
    assert (added, changed) == (tuple(others), ())
    assert job.features == (CREEK, DRAWN, *others)
