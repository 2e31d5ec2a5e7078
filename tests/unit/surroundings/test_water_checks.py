"""Water without a crossing, askew crossings, set-backs."""

import math

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, levels, planned, thing

from planner.alignment.line import Crossing

CREEK = thing("water", "LINESTRING (100 -200, 100 200)", "Sandy")


@pytest.mark.rules(fires="water-01")
def test_a_line_that_meets_water_needs_a_crossing_with_span_and_depth_from_profile_and_banks():
    line = fence((0, 0), (200, 0))
    profile = levels(line, (0, 50), (90, 50), (95, 47.4), (105, 47.4), (110, 50), (200, 50))
    creek = thing("water", "LINESTRING (100 -200, 100 200)", "Sandy", width="16")
    (finding,) = found(job_of([line], [creek], profiles={"A": profile}), "water-01")
    assert finding.message == "Meets the water 'Sandy' at 100.0 m without a crossing."
    assert "a span of 20 m, its bed 2.6 m below the straight between anchors, banks up to 27 deg" in finding.remedy
    assert (finding.place.chainage_m, finding.place.x, finding.place.y) == (100.0, 100.0, 0.0)


def test_a_crossing_over_it_is_enough_and_one_elsewhere_is_not():
    there, elsewhere = (fence((0, 0), (200, 0), crossings=(Crossing("X1", x, 0.0, 20.0),)) for x in (104.0, 150.0))
    assert not found(job_of([there], [CREEK]), "water-01")
    assert found(job_of([elsewhere], [CREEK]), "water-01")


@pytest.mark.rules(fires="water-01", limit="water-01")
def test_half_the_span_is_as_far_as_a_crossing_reaches():
    lines = [fence((0, 0), (200, 0), crossings=(Crossing("X1", 100.0 + at, 0.0, 20.0),)) for at in (10.0, 10.01)]
    assert [len(found(job_of([line], [CREEK]), "water-01")) for line in lines] == [0, 1]


@pytest.mark.rules(silent="water-01")
def test_a_line_that_ends_at_the_water_or_keeps_off_it_crosses_nothing():
    for end in (100.0, 99.0):
        assert not found(job_of([fence((0, 0), (end, 0))], [CREEK]), "water-01")


@pytest.mark.rules(fires="water-02", silent="water-01 water-02", limit="water-02")
def test_more_than_thirty_degrees_off_square_is_askew():
    told = []
    for deg in (0.0, 29.99, 30.0, 30.01, 60.0):
        dx, dy = 100.0 * math.cos(math.radians(deg)), 100.0 * math.sin(math.radians(deg))
        line = fence((100 - dx, -dy), (100 + dx, dy), crossings=(Crossing("X1", 100.0, 0.0, 20.0),))
        here = found(job_of([line], [CREEK]), "water-02")
        assert all(f"{deg:.0f} deg off square" in f.message for f in here)
        told.append(len(here))
    assert told == [0, 0, 0, 1, 1]


@pytest.mark.rules(silent="water-02")
def test_where_an_area_of_water_flows_to_is_not_known():
    pond = thing("water", "POLYGON ((60 -80, 160 80, 140 90, 40 -70, 60 -80))", "Pond")
    line = fence((0, 0), (200, 0), crossings=(Crossing("X1", 100.0, 0.0, 60.0),))
    assert not found(job_of([line], [pond]), "water-02")


@pytest.mark.rules(fires="water-03", silent="water-03", limit="water-03")
def test_a_set_back_counts_from_the_bank_top_and_the_distance_itself_is_enough():
    creek = thing("water", "LINESTRING (-500 0, 900 0)", "Sandy", width="4", setback="20")
    told = [len(found(job_of([fence((0, off), (400, off))], [creek]), "water-03")) for off in (30.0, 22.0, 21.99)]
    assert told == [0, 0, 1]


def test_a_breach_says_least_and_twentieth():
    creek = thing("water", "LINESTRING (-500 0, 900 0)", "Sandy", width="4", setback="20")
    (finding,) = found(job_of([fence((0, 12), (400, 32))], [creek]), "water-03")
    assert "within 10.0 m of the bank top of the water 'Sandy' at 0.0 m" in finding.message
    assert "set-back of 20 m" in finding.message
    # off = 10 + 0.05 x, so the twentieth of 400 m lies at 20 m, 11 m off, and 200 m lie nearer than 20 m
    assert "within 11.0 m" in finding.message
    assert "along 200 m" in finding.message or "along 199 m" in finding.message


@pytest.mark.rules(silent="water-03")
def test_a_fence_that_crosses_cannot_keep_the_set_back_and_is_not_told_of():
    creek = thing("water", "LINESTRING (100 -500, 100 500)", "Sandy", setback="20")
    line = fence((0, 0), (400, 0), crossings=(Crossing("X1", 100.0, 0.0, 20.0),))
    assert not found(job_of([line], [creek]), "water-03")


def test_the_setting_asks_where_the_water_does_not():
    line = fence((0, 15), (400, 15))
    creek = thing("water", "LINESTRING (-500 0, 900 0)", "Sandy")
    assert not found(job_of([line], [creek]), "water-03")
    assert found(job_of([line], [creek], setback_m=20.0), "water-03")
    (finding,) = found(job_of([line], [creek], setback_m=20.0), "water-03")
    assert "width between its banks not being known" in finding.message


def test_a_span_is_a_section_by_itself_between_its_own_anchors():
    line = fence((0, 0), (200, 0), crossings=(Crossing("X1", 100.0, 0.0, 20.0),))
    (plan,) = planned(job_of([line], [CREEK])).lines
    (span,) = (s for s in plan.sections if s.is_crossing)
    assert (span.from_m, span.to_m) == (90.0, 110.0)
    assert all(end.directions == 1 for end in (span.start, span.end))
    work = next(w for w in plan.works if w.section.id == span.id)
    assert len(work.assemblies) == 2
