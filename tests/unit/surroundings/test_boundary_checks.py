"""On which side of a boundary a fence stands, as far as both are known."""

import math
from dataclasses import replace
from datetime import date

import pytest
from scipy import stats
from unit.surroundings.ground_jobs import fence, found, job_of, rules, thing

from planner.surroundings.clearances import Clearance

QUANTILE = float(stats.norm.ppf(0.95))
LIMIT = QUANTILE * math.hypot(0.05, 5.0)  # an RTK line beside a traced boundary
NORTH = thing("boundary", "LINESTRING (-50 0, 500 0)", "North", inside="right", accuracy="traced")


def beside(off: float, **facts: str):
    """An RTK fence so far inside (south of) the boundary."""
    line = fence((0, -off), (400, -off), accuracy="rtk")
    return job_of([line], [replace(NORTH, attributes=NORTH.attributes + tuple(facts.items()))])


@pytest.mark.rules(fires="boundary-01 boundary-02", silent="boundary-03 boundary-04", limit="boundary-01 boundary-02")
def test_a_side_is_proved_by_how_well_both_are_known():
    told = [rules(beside(off), "boundary") for off in (
        LIMIT + 0.01, LIMIT, LIMIT - 0.01, 0.0, -LIMIT + 0.01, -LIMIT, -LIMIT - 0.01)]
    assert told == [[], [], *[["boundary-02"]] * 4, ["boundary-01"]]


def test_the_figures_stand_in_the_sentence():
    (finding,) = found(beside(2.0), "boundary-02")
    assert "'North' for 400 m" in finding.message
    assert "2.0 m inside it" in finding.message
    assert f"{LIMIT:.2g} m together at a chance of 95 %" in finding.message
    assert "licensed surveyor" in finding.remedy
    assert finding.place.line == "A"


def test_what_a_surveyor_marked_is_asked_no_more():
    job = beside(2.0)
    for about, told in (("North", 0), ("", 0), ("South", 1)):
        marked = replace(job, clearances=(Clearance("boundary", about, date(2026, 4, 1)),))
        assert len(found(marked, "boundary-02")) == told


@pytest.mark.rules(silent="boundary-02")
def test_a_surveyed_fence_on_a_surveyed_boundary_is_where_it_was_agreed_to_be():
    line = fence((0, 0), (400, 0), accuracy="survey")
    assert not found(job_of([line], [replace(NORTH, attributes=(("accuracy", "survey"), ("inside", "right")))]),
                     "boundary-02")


@pytest.mark.rules(fires="boundary-02", limit="boundary-02")
def test_both_known_to_three_decimetres_is_known_well_enough_to_stand_on_it():
    """1.645 x hypot(0.05, 0.17) m is 0.29 m, with 0.18 m it is 0.31 m."""
    told = []
    for sd in ("0.17", "0.18"):
        known = replace(NORTH, attributes=(("sd", sd), ("inside", "right")))
        told.append(rules(job_of([fence((0, 0), (400, 0), accuracy="rtk")], [known]), "boundary"))
    assert told == [[], ["boundary-02"]]


@pytest.mark.rules(silent="boundary-01 boundary-02 boundary-03")
def test_own_land_side_by_side_has_no_boundary_between_it():
    west = thing("boundary", "POLYGON ((0 0, 200 0, 200 200, 0 200, 0 0))", "West", inside="inside")
    east = thing("boundary", "POLYGON ((200 0, 400 0, 400 200, 200 200, 200 0))", "East", inside="inside")
    across = fence((100, 100), (300, 100), accuracy="survey")
    along = fence((200, 30), (200, 170), name="B", accuracy="survey")
    job = job_of([across, along], [west, east])
    assert not {"boundary-01", "boundary-02", "boundary-03"} & set(rules(job, "boundary"))


@pytest.mark.rules(fires="boundary-03", silent="boundary-01 boundary-02", limit="boundary-03")
def test_a_fence_that_goes_on_beyond_is_told_of_and_one_that_ends_there_is_not():
    exact = replace(NORTH, attributes=(("accuracy", "survey"), ("inside", "right")))
    told = [rules(job_of([fence((200, -200), (200, last), accuracy="survey")], [exact]), "boundary")
            for last in (-0.5, 1.0, 1.01, 40.0)]
    assert told == [[], [], ["boundary-03"], ["boundary-03"]]


def test_a_crossing_says_where():
    exact = replace(NORTH, attributes=(("accuracy", "survey"), ("inside", "right")))
    (finding,) = found(job_of([fence((200, -200), (200, 100), accuracy="survey")], [exact]), "boundary-03")
    assert (finding.severity, finding.place.chainage_m) == ("warning", 200.0)


@pytest.mark.rules(fires="boundary-02 boundary-04", limit="boundary-04")
def test_without_a_side_only_nearness_is_told():
    """And further off than 5 m and what is uncertain, a fence is no fence of that boundary."""
    open_side = replace(NORTH, attributes=(("accuracy", "traced"),))
    told = [rules(job_of([fence((0, -off), (400, -off), accuracy="rtk")], [open_side]), "boundary")
            for off in (2.0, LIMIT - 0.01, LIMIT, 10.0, LIMIT + 4.99, LIMIT + 5.01)]
    assert told == [["boundary-02"], ["boundary-02"], *[["boundary-04"]] * 3, []]


def test_the_edge_that_two_parcels_share_is_told_of_once():
    south = thing("boundary", "POLYGON ((-50 -300, 500 -300, 500 0, -50 0, -50 -300))", "Lot 1", accuracy="traced")
    north = thing("boundary", "POLYGON ((-50 0, 500 0, 500 300, -50 300, -50 0))", "Lot 2", accuracy="traced")
    assert len(found(job_of([fence((0, 1), (400, 1), accuracy="rtk")], [south, north]), "boundary-02")) == 1


def test_a_fence_of_the_paddocks_is_no_fence_of_the_boundary():
    assert rules(beside(60.0), "boundary") == []
