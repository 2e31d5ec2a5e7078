"""Whether what is carted gets there."""

import math

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, levels, thing

LINE = fence((0, 0), (200, 0))


def slope(deg: float, length: float = 50.0):
    rise = length * math.tan(math.radians(deg))
    profile = levels(LINE, (0, 50), (100, 50), (100 + length, 50 + rise), (200, 50 + rise))
    return job_of([LINE], [], profiles={"A": profile})


@pytest.mark.rules(fires="haul-01", limit="haul-01")
def test_steep_metres_along_a_line():
    told = [[f.severity for f in found(slope(deg), "haul-01")] for deg in (14.99, 15.0, 15.01, 20.0, 20.01)]
    assert told == [[], [], ["note"], ["note"], ["warning"]]


def test_it_says_how_steep_how_long_and_where():
    (finding,) = found(slope(25.0), "haul-01")
    assert "25 deg" in finding.message
    assert 100.0 <= (finding.place.chainage_m or 0.0) <= 150.0


@pytest.mark.rules(silent="haul-01")
def test_a_short_hump_and_flat_ground_are_no_trouble():
    assert not found(slope(30.0, length=3.0), "haul-01")
    assert not found(job_of([LINE], []), "haul-01")


CREEK = thing("water", "LINESTRING (100 -200, 100 -20)", "Sandy")


@pytest.mark.rules(fires="haul-02", limit="haul-02")
def test_water_on_the_track():
    """A track that ends at the bank itself goes to the water."""
    told = []
    for end in (99.99, 100.0, 200.0):
        track = thing("track", f"LINESTRING (0 -50, {end} -50)", "Main track", haul="yes")
        findings = found(job_of([LINE], [CREEK, track]), "haul-02")
        assert all((f.place.x, f.place.y) == (100.0, -50.0) and "'Sandy'" in f.message for f in findings)
        told.append(len(findings))
    assert told == [0, 1, 1]


@pytest.mark.rules(silent="haul-02")
@pytest.mark.parametrize(("end", "haul"), [(200.0, "no"), (99.0, "yes")])
def test_a_track_that_keeps_out_of_water_or_is_not_carted_on(end: float, haul: str):
    track = thing("track", f"LINESTRING (0 -50, {end} -50)", "Main track", haul=haul)
    assert not found(job_of([LINE], [CREEK, track]), "haul-02")
