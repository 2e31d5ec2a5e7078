"""On which side of a boundary a fence stands, as far as both are known."""

import math
from dataclasses import replace
from datetime import date

import pytest
from scipy import stats
from unit.surroundings.ground_jobs import fence, found, job_of, thing

from planner.surroundings.clearances import Clearance

QUANTILE = float(stats.norm.ppf(0.95))
LIMIT = QUANTILE * math.hypot(0.05, 5.0)  # an RTK line beside a traced boundary
NORTH = thing("boundary", "LINESTRING (-50 0, 500 0)", "North", inside="right", accuracy="traced")


def beside(off: float, **facts: str):
    """An RTK fence so far inside (south of) the boundary."""
    line = fence((0, -off), (400, -off), accuracy="rtk")
    return job_of([line], [replace(NORTH, attributes=NORTH.attributes + tuple(facts.items()))])


@pytest.mark.parametrize(("off", "rules"), [
    (LIMIT + 0.01, []), (LIMIT - 0.01, ["boundary-02"]), (0.0, ["boundary-02"]), (-LIMIT + 0.01, ["boundary-02"]),
    (-LIMIT - 0.01, ["boundary-01"])])
def test_a_side_is_proved_by_how_well_both_are_known(off: float, rules: list[str]):
    told = [rule for rule in ("boundary-01", "boundary-02", "boundary-03", "boundary-04") if found(beside(off), rule)]
    assert told == rules


@pytest.mark.parametrize(("off", "rule"), [(LIMIT, "boundary-02"), (-LIMIT, "boundary-01")])
def test_just_at_the_limit_itself_is_no_breach(off: float, rule: str):
    assert not found(beside(off), rule)


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


def test_a_surveyed_fence_on_a_surveyed_boundary_is_where_it_was_agreed_to_be():
    line = fence((0, 0), (400, 0), accuracy="survey")
    assert not found(job_of([line], [replace(NORTH, attributes=(("accuracy", "survey"), ("inside", "right")))]),
                     "boundary-02")


def test_own_land_side_by_side_has_no_boundary_between_it():
    west = thing("boundary", "POLYGON ((0 0, 200 0, 200 200, 0 200, 0 0))", "West", inside="inside")
    east = thing("boundary", "POLYGON ((200 0, 400 0, 400 200, 200 200, 200 0))", "East", inside="inside")
    across = fence((100, 100), (300, 100), accuracy="survey")
    along = fence((200, 30), (200, 170), name="B", accuracy="survey")
    job = job_of([across, along], [west, east])
    assert not [f for rule in ("boundary-01", "boundary-02", "boundary-03") for f in found(job, rule)]


@pytest.mark.parametrize(("last", "told"), [(-0.5, 0), (1.0, 0), (1.01, 1), (40.0, 1)])
def test_a_fence_that_goes_on_beyond_is_told_of_and_one_that_ends_there_is_not(last: float, told: int):
    exact = replace(NORTH, attributes=(("accuracy", "survey"), ("inside", "right")))
    job = job_of([fence((200, -200), (200, last), accuracy="survey")], [exact])
    assert len(found(job, "boundary-03")) == told
    assert not found(job, "boundary-01") + found(job, "boundary-02")


def test_a_crossing_says_where():
    exact = replace(NORTH, attributes=(("accuracy", "survey"), ("inside", "right")))
    (finding,) = found(job_of([fence((200, -200), (200, 100), accuracy="survey")], [exact]), "boundary-03")
    assert (finding.severity, finding.place.chainage_m) == ("warning", 200.0)


def test_without_a_side_only_nearness_is_told():
    open_side = replace(NORTH, attributes=(("accuracy", "traced"),))
    near, far = (job_of([fence((0, -off), (400, -off), accuracy="rtk")], [open_side]) for off in (2.0, 10.0))
    assert found(near, "boundary-02")
    assert not found(near, "boundary-04")
    assert found(far, "boundary-04")
    assert not found(far, "boundary-02")


def test_the_edge_that_two_parcels_share_is_told_of_once():
    south = thing("boundary", "POLYGON ((-50 -300, 500 -300, 500 0, -50 0, -50 -300))", "Lot 1", accuracy="traced")
    north = thing("boundary", "POLYGON ((-50 0, 500 0, 500 300, -50 300, -50 0))", "Lot 2", accuracy="traced")
    assert len(found(job_of([fence((0, 1), (400, 1), accuracy="rtk")], [south, north]), "boundary-02")) == 1


def test_a_fence_of_the_paddocks_is_no_fence_of_the_boundary():
    job = beside(60.0)
    assert not [f for rule in ("boundary-01", "boundary-02", "boundary-03", "boundary-04") for f in found(job, rule)]
