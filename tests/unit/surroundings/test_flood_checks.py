"""Strains, sides and lines inside flood extents."""

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, planned, rules, thing

FLAT = "POLYGON ((-100 -100, 500 -100, 500 100, -100 100, -100 -100))"


@pytest.mark.rules(fires="water-10", limit="water-10")
def test_strains_are_short_where_floods_come():
    told = [len(found(job_of([fence((0, 0), (length, 0))], [thing("flood", FLAT, "Flats", risk=risk)]), "water-10"))
            for risk, length in (("high", 50.0), ("high", 50.1), ("medium", 100.0), ("medium", 100.1), ("low", 400.0))]
    assert told == [0, 1, 0, 1, 0]


@pytest.mark.rules(silent="water-10")
def test_a_strain_that_only_touches_the_flood_extent_is_not_told_of():
    touching = thing("flood", "POLYGON ((300 -100, 500 -100, 500 100, 300 100, 300 -100))", "Flats", risk="high")
    assert not found(job_of([fence((0, 0), (300, 0))], [touching]), "water-10")


def test_long_strains_are_told_once_for_a_line():
    line = fence((0, 0), (200, 0), (200, 90), (0, 90))
    (finding,) = found(job_of([line], [thing("flood", FLAT, "Flats")]), "water-10")
    assert "3 strains (A1, A2 and A3)" in finding.message
    assert "longest with 200 m" in finding.message


CREEK = thing("water", "LINESTRING (100 -200, 100 200)", "Sandy", flows="as drawn")  # northward: left of an east line


@pytest.mark.rules(fires="water-11 water-13")
def test_wires_hang_downstream():
    told = []
    for side, flows in (("left", "as drawn"), ("right", "as drawn"), ("right", "against"), ("left", "against"),
                        ("", "as drawn")):
        creek = thing("water", "LINESTRING (100 -200, 100 200)", "Sandy", flows=flows)
        findings = planned(job_of([fence((0, 0), (200, 0), wires_on=side)], [creek])).findings
        told.append([f.rule for f in findings if f.rule in ("water-11", "water-13")])
    assert told == [[], ["water-11"], [], ["water-11"], ["water-13"]]


@pytest.mark.rules(silent="water-11 water-13")
def test_wires_on_the_downstream_side_are_as_they_should_be():
    job = job_of([fence((0, 0), (200, 0), wires_on="left")], [CREEK])
    assert not {"water-11", "water-13"} & set(rules(job, "water"))


@pytest.mark.rules(fires="water-11 water-13", limit="water-11 water-13")
def test_water_flows_through_a_fence_that_goes_on_for_more_than_a_metre_beyond_it():
    lines = [fence((0, 0), (100.0 + on, 0), wires_on=side) for side in ("right", "") for on in (1.0, 1.01)]
    told = [{"water-11", "water-13"} & set(rules(job_of([line], [CREEK]), "water")) for line in lines]
    assert told == [set(), {"water-11"}, set(), {"water-13"}]


@pytest.mark.rules(fires="water-11 water-13", limit="water-11 water-13")
def test_water_that_runs_beside_a_fence_does_not_flow_through_it():
    """A tenth across to one along is the least: 0.0995 at 1 to 10, 0.1005 at 1 to 9.9."""
    told = []
    for along in (10.0, 9.9):
        slow = thing("water", f"LINESTRING ({100 - 20 * along} -20, {100 + 20 * along} 20)", "Sandy", flows="as drawn")
        for side in ("right", ""):
            job = job_of([fence((0, 0), (200, 0), wires_on=side)], [slow])
            told.append({"water-11", "water-13"} & set(rules(job, "water")))
    assert told == [set(), set(), {"water-11"}, {"water-13"}]


@pytest.mark.rules(silent="water-13")
def test_the_side_does_not_matter_where_no_water_is_known_to_flow_through():
    creek = thing("water", "LINESTRING (100 -200, 100 200)", "Sandy")
    assert not found(job_of([fence((0, 0), (200, 0))], [creek]), "water-13")
    assert not found(job_of([fence((0, 0), (90, 0))], [CREEK]), "water-13")


def test_sides_not_said_are_one_note_for_the_job():
    (finding,) = found(job_of([fence((0, y), (200, y), name=f"L{y}") for y in (0, 50, 100)], [CREEK]), "water-13")
    assert "L0, L50 and L100" in finding.message


@pytest.mark.rules(fires="water-12", limit="water-12")
def test_a_line_along_the_creek_in_the_flood_extent():
    around = [thing("water", "LINESTRING (-500 0, 900 0)", "Sandy"), thing("flood", FLAT, "Flats")]
    told = [len(found(job_of([fence((0, 20), (length, 20))], around), "water-12")) for length in (49.99, 50.0, 200.0)]
    assert told == [0, 1, 1]


@pytest.mark.rules(fires="water-12", limit="water-12")
def test_a_line_farther_than_sixty_metres_from_the_creek_does_not_run_along_it():
    around = [thing("water", "LINESTRING (-500 -30, 900 -30)", "Sandy"), thing("flood", FLAT, "Flats")]
    told = [len(found(job_of([fence((0, north), (200, north))], around), "water-12")) for north in (30.01, 30.0)]
    assert told == [0, 1]


@pytest.mark.rules(silent="water-12")
def test_a_line_across_the_flats_or_outside_them_does_not_run_along_the_creek():
    creek, flats = thing("water", "LINESTRING (-500 0, 900 0)", "Sandy"), thing("flood", FLAT, "Flats")
    assert not found(job_of([fence((0, 5), (0, 90))], [creek, flats]), "water-12")
    small = thing("flood", "POLYGON ((0 -5, 300 -5, 300 5, 0 5, 0 -5))", "Bed")
    assert not found(job_of([fence((0, 20), (200, 20))], [creek, small]), "water-12")
