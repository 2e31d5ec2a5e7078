"""Every finding about the surroundings can be set aside, and only it."""

import pytest
from unit.surroundings.ground_jobs import DAY, fence, job_of, levels, thing
from waiving import check_waiver

from planner.job.job import Job

CREEK = thing("water", "LINESTRING (90 -200, 190 200)", "Sandy", flows="as drawn", setback="20")
BROOK = thing("water", "LINESTRING (-500 -15, 900 -15)", "Brook", setback="20")
FLATS = thing("flood", "POLYGON ((-100 -100, 500 -100, 500 100, -100 100, -100 -100))", "Flats")


def everything(wires_on: str = "", north: float = 2.0) -> Job:
    """Two lines with something of every kind around them."""
    first = fence((0, 0), (400, 0), accuracy="rtk", wires_on=wires_on)
    second = fence((0, 60), (400, 60), name="B", accuracy="rtk", wires_on=wires_on)
    profile = levels(first, (0, 50), (200, 50), (250, 80), (400, 80))
    dead = {"state": "dead or dead limbs"}
    return job_of([first, second], [
        CREEK, BROOK, FLATS,
        thing("boundary", f"LINESTRING (-50 {north}, 500 {north})", "North", inside="right", accuracy="traced"),
        thing("boundary", "LINESTRING (300 -100, 300 200)", "Lane"),
        thing("boundary", "LINESTRING (-50 64, 500 64)", "Top", accuracy="survey"),
        thing("service", "LINESTRING (300 -50, 300 90)", "Main"),
        thing("service", "LINESTRING (350 -50, 350 90)", "Feeder", lies="above ground", what="power"),
        thing("service", "LINESTRING (-50 30, 500 30)", "Far", lies="above ground", what="power"),
        thing("vegetation", "POLYGON ((100 -50, 300 -50, 300 90, 100 90, 100 -50))", "Scrub"),
        thing("road reserve", "POLYGON ((0 1, 400 1, 400 59, 0 59, 0 1))", "Mill Road"),
        thing("protected", "POLYGON ((0 1, 400 1, 400 59, 0 59, 0 1))", "Grove"),
        thing("trees", "POINT (220 8)", "gum", **dead), thing("trees", "POINT (0 0.5)", "box"),
        thing("trees", "POINT (250 -6)", "pine"),
        thing("existing fence", "LINESTRING (0 100, 100 100)", "Old", fate="is reused", built="1970",
              posts_sound="40", ends_failed="1"),
        thing("existing fence", "LINESTRING (0 120, 100 120)", "Older", fate="is reused", built="1960",
              posts_sound="30", ends_failed="2"),
        thing("track", "LINESTRING (0 -50, 400 -50)", "Main track"),
        thing("control point", "POINT (0 0)", of="roads", east="3", north="0"),
        thing("control point", "POINT (900 0)", of="roads", east="903", north="0"),
        thing("control point", "POINT (0 0)", of="creeks", east="3", north="0"),
        thing("control point", "POINT (900 0)", of="creeks", east="897", north="0"),
        thing("control point", "POINT (0 0)", of="image", east="3", north="0")], profiles={"A": profile})


@pytest.mark.rules(aside="boundary-02 boundary-03 boundary-04 register-01 register-02 register-03 water-01 water-03 "
                         "water-10 water-12 water-13 service-01 service-02 service-03 clearing-01 clearing-02 "
                         "clearing-03 tree-01 tree-02 tree-03 oldfence-01 oldfence-02 oldfence-03 oldfence-04 haul-01 "
                         "haul-02")
@pytest.mark.parametrize("rule", [
    "boundary-02", "boundary-03", "boundary-04", "register-01", "register-02", "register-03", "water-01", "water-03",
    "water-10", "water-12", "water-13", "service-01", "service-02", "service-03", "clearing-01", "clearing-02",
    "clearing-03", "tree-01", "tree-02", "tree-03", "oldfence-01", "oldfence-02", "oldfence-03", "oldfence-04",
    "haul-01", "haul-02"])
def test_a_finding_is_set_aside_by_itself(rule: str):
    check_waiver(everything(), rule, today=DAY)


@pytest.mark.rules(aside="water-11 boundary-01")
def test_wires_upstream_and_a_fence_beyond_the_boundary_are_set_aside_by_themselves():
    check_waiver(everything(wires_on="right"), "water-11", today=DAY)
    check_waiver(everything(north=-12.0), "boundary-01", today=DAY)


@pytest.mark.rules(aside="water-02")
def test_a_crossing_askew_is_set_aside_by_itself():
    creek = thing("water", "LINESTRING (0 -100, 200 100)", "Sandy")
    check_waiver(job_of([fence((0, 0), (200, 0)), fence((0, 50), (300, 50), name="B")], [creek]), "water-02",
                 today=DAY)
