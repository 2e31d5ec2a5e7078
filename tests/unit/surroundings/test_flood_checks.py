"""Strains, sides and lines inside flood extents."""

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, thing

FLAT = "POLYGON ((-100 -100, 500 -100, 500 100, -100 100, -100 -100))"


@pytest.mark.parametrize(("risk", "length", "told"), [
    ("high", 50.0, 0), ("high", 50.1, 1), ("medium", 100.0, 0), ("medium", 100.1, 1), ("low", 400.0, 0)])
def test_strains_are_short_where_floods_come(risk: str, length: float, told: int):
    job = job_of([fence((0, 0), (length, 0))], [thing("flood", FLAT, "Flats", risk=risk)])
    assert len(found(job, "water-10")) == told


def test_a_strain_that_only_touches_the_flood_extent_is_not_told_of():
    touching = thing("flood", "POLYGON ((300 -100, 500 -100, 500 100, 300 100, 300 -100))", "Flats", risk="high")
    assert not found(job_of([fence((0, 0), (300, 0))], [touching]), "water-10")


def test_long_strains_are_told_once_for_a_line():
    line = fence((0, 0), (200, 0), (200, 90), (0, 90))
    (finding,) = found(job_of([line], [thing("flood", FLAT, "Flats")]), "water-10")
    assert "3 strains (A1, A2 and A3)" in finding.message
    assert "longest with 200 m" in finding.message


CREEK = thing("water", "LINESTRING (100 -200, 100 200)", "Sandy", flows="as drawn")  # northward: left of an east line


@pytest.mark.parametrize(("side", "flows", "rules"), [
    ("left", "as drawn", []), ("right", "as drawn", ["water-11"]), ("right", "against", []),
    ("left", "against", ["water-11"]), ("", "as drawn", ["water-13"])])
def test_wires_hang_downstream(side: str, flows: str, rules: list[str]):
    creek = thing("water", "LINESTRING (100 -200, 100 200)", "Sandy", flows=flows)
    job = job_of([fence((0, 0), (200, 0), wires_on=side)], [creek])
    assert [f.rule for rule in ("water-11", "water-13") for f in found(job, rule)] == rules


def test_the_side_does_not_matter_where_no_water_is_known_to_flow_through():
    creek = thing("water", "LINESTRING (100 -200, 100 200)", "Sandy")
    assert not found(job_of([fence((0, 0), (200, 0))], [creek]), "water-13")
    assert not found(job_of([fence((0, 0), (90, 0))], [CREEK]), "water-13")


def test_sides_not_said_are_one_note_for_the_job():
    (finding,) = found(job_of([fence((0, y), (200, y), name=f"L{y}") for y in (0, 50, 100)], [CREEK]), "water-13")
    assert "L0, L50 and L100" in finding.message


@pytest.mark.parametrize(("length", "told"), [(49.0, 0), (50.0, 1), (200.0, 1)])
def test_a_line_along_the_creek_in_the_flood_extent(length: float, told: int):
    creek = thing("water", "LINESTRING (-500 0, 900 0)", "Sandy")
    job = job_of([fence((0, 20), (length, 20))], [creek, thing("flood", FLAT, "Flats")])
    assert len(found(job, "water-12")) == told


def test_a_line_across_the_flats_or_outside_them_does_not_run_along_the_creek():
    creek, flats = thing("water", "LINESTRING (-500 0, 900 0)", "Sandy"), thing("flood", FLAT, "Flats")
    assert not found(job_of([fence((0, 5), (0, 90))], [creek, flats]), "water-12")
    small = thing("flood", "POLYGON ((0 -5, 300 -5, 300 5, 0 5, 0 -5))", "Bed")
    assert not found(job_of([fence((0, 20), (200, 20))], [creek, small]), "water-12")
