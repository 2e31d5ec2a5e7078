"""The cleared strip over bush, road reserve and protected land."""

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, rules, thing

LINE = fence((0, 0), (400, 0))


def bush(kind: str = "native", y: float = -50.0):
    return thing("vegetation", f"POLYGON ((100 {y}, 300 {y}, 300 50, 100 50, 100 {y}))", "Scrub", kind=kind)


@pytest.mark.rules(fires="clearing-01")
def test_area_and_kinds_are_counted():
    other = thing("vegetation", "POLYGON ((300 0, 400 0, 400 9, 300 9, 300 0))", "Row", kind="planted")
    (finding,) = found(job_of([LINE], [bush(), other]), "clearing-01")
    # 200 m x 6 m of native bush, and 100 m x 3 m of planting
    assert "0.12 ha native and 0.03 ha planted" in finding.message
    assert (finding.severity, finding.place.chainage_m) == ("warning", 100.0)


def test_overlapping_bush_of_one_kind_counts_once():
    (finding,) = found(job_of([LINE], [bush(), bush()]), "clearing-01")
    assert "0.12 ha native" in finding.message


@pytest.mark.rules(fires="clearing-01", limit="clearing-01")
def test_bush_beside_the_strip_is_not_cleared():
    assert [len(found(job_of([LINE], [bush(y=y)]), "clearing-01")) for y in (10.0, 3.0, 2.99)] == [0, 0, 1]


@pytest.mark.rules(silent="clearing-01 clearing-02 clearing-03")
@pytest.mark.parametrize("meaning", ["vegetation", "road reserve", "protected"])
def test_an_area_that_the_strip_only_touches_is_left_alone(meaning: str):
    assert rules(job_of([LINE], [thing(meaning, "POLYGON ((0 3, 400 3, 400 30, 0 30, 0 3))")]), "clearing") == []


@pytest.mark.rules(limit="clearing-01 clearing-02 clearing-03")
@pytest.mark.parametrize(("meaning", "rule"), [
    ("vegetation", "clearing-01"), ("road reserve", "clearing-02"), ("protected", "clearing-03")])
def test_a_square_metre_is_worth_a_word_and_less_is_not(meaning: str, rule: str):
    areas = [thing(meaning, f"POLYGON ((100 1, {100 + wide} 1, {100 + wide} 2, 100 2, 100 1))")
             for wide in (0.75, 1.0, 1.25)]
    assert [rules(job_of([LINE], [area]), "clearing") for area in areas] == [[], [rule], [rule]]


@pytest.mark.rules(limit="clearing-02 clearing-03")
@pytest.mark.parametrize(("meaning", "rule"), [("road reserve", "clearing-02"), ("protected", "clearing-03")])
def test_a_metre_of_an_edge_is_worth_a_word_and_less_is_not(meaning: str, rule: str):
    edges = [thing(meaning, f"LINESTRING (100 1, {100 + long} 1)") for long in (0.75, 1.0, 1.25)]
    assert [rules(job_of([LINE], [edge]), "clearing") for edge in edges] == [[], [rule], [rule]]


@pytest.mark.parametrize(("limit", "on", "severity", "words"), [
    (0.0, "", "warning", "no local rule has been written down"), (6.0, "2026-03-31", "note", "looked up on 2026-03-31"),
    (6.0, "", "warning", "on a day that is not said"), (5.0, "2026-03-31", "warning", "1 m wider than the 5 m")])
def test_a_local_rule_is_told_with_its_day(limit: float, on: str, severity: str, words: str):
    (finding,) = found(job_of([LINE], [bush()], clearing_limit_m=limit, clearing_checked_on=on), "clearing-01")
    assert finding.severity == severity
    assert words in finding.message


def test_what_was_planted_is_a_note():
    (finding,) = found(job_of([LINE], [bush("hedge")]), "clearing-01")
    assert finding.severity == "note"


@pytest.mark.rules(fires="clearing-02 clearing-03")
@pytest.mark.parametrize(("meaning", "rule"), [("road reserve", "clearing-02"), ("protected", "clearing-03")])
def test_land_that_others_look_after(meaning: str, rule: str):
    area = thing(meaning, "POLYGON ((0 2, 400 2, 400 30, 0 30, 0 2))", "Mill Road", authority="the shire")
    (finding,) = found(job_of([LINE], [area]), rule)
    assert "0.04 ha" in finding.message
    assert "the shire" in finding.remedy


def test_a_reserve_drawn_as_an_edge():
    edge = thing("road reserve", "LINESTRING (0 2, 400 2)", "Mill Road")
    (finding,) = found(job_of([LINE], [edge]), "clearing-02")
    assert "for 400 m" in finding.message
