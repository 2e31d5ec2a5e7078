"""The cleared strip over bush, road reserve and protected land."""

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, thing

LINE = fence((0, 0), (400, 0))


def bush(kind: str = "native", y: float = -50.0):
    return thing("vegetation", f"POLYGON ((100 {y}, 300 {y}, 300 50, 100 50, 100 {y}))", "Scrub", kind=kind)


def test_area_and_kinds_are_counted():
    other = thing("vegetation", "POLYGON ((300 0, 400 0, 400 9, 300 9, 300 0))", "Row", kind="planted")
    (finding,) = found(job_of([LINE], [bush(), other]), "clearing-01")
    # 200 m x 6 m of native bush, and 100 m x 3 m of planting
    assert "0.12 ha native and 0.03 ha planted" in finding.message
    assert (finding.severity, finding.place.chainage_m) == ("warning", 100.0)


def test_overlapping_bush_of_one_kind_counts_once():
    (finding,) = found(job_of([LINE], [bush(), bush()]), "clearing-01")
    assert "0.12 ha native" in finding.message


@pytest.mark.parametrize(("y", "told"), [(3.0, 0), (2.99, 1), (10.0, 0)])
def test_bush_beside_the_strip_is_not_cleared(y: float, told: int):
    assert len(found(job_of([LINE], [bush(y=y)]), "clearing-01")) == told


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


@pytest.mark.parametrize(("meaning", "rule"), [("road reserve", "clearing-02"), ("protected", "clearing-03")])
@pytest.mark.parametrize(("y", "told"), [(3.0, 0), (2.0, 1)])
def test_land_that_others_look_after(meaning: str, rule: str, y: float, told: int):
    area = thing(meaning, f"POLYGON ((0 {y}, 400 {y}, 400 30, 0 30, 0 {y}))", "Mill Road", authority="the shire")
    findings = found(job_of([LINE], [area]), rule)
    assert len(findings) == told
    assert all("0.04 ha" in f.message and "the shire" in f.remedy for f in findings)


def test_a_reserve_drawn_as_an_edge():
    edge = thing("road reserve", "LINESTRING (0 2, 400 2)", "Mill Road")
    (finding,) = found(job_of([LINE], [edge]), "clearing-02")
    assert "for 400 m" in finding.message
