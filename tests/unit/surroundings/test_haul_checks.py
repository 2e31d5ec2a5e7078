"""Whether what is carted gets there."""

import math

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, levels, thing

LINE = fence((0, 0), (200, 0))


def slope(deg: float, length: float = 50.0):
    rise = length * math.tan(math.radians(deg))
    profile = levels(LINE, (0, 50), (100, 50), (100 + length, 50 + rise), (200, 50 + rise))
    return job_of([LINE], [], profiles={"A": profile})


@pytest.mark.parametrize(("deg", "severity"), [(14.9, []), (15.0, []), (15.1, ["note"]), (20.0, ["note"]),
                                               (20.1, ["warning"])])
def test_steep_metres_along_a_line(deg: float, severity: list[str]):
    assert [f.severity for f in found(slope(deg), "haul-01")] == severity


def test_it_says_how_steep_how_long_and_where():
    (finding,) = found(slope(25.0), "haul-01")
    assert "25 deg" in finding.message
    assert 100.0 <= (finding.place.chainage_m or 0.0) <= 150.0


def test_a_short_hump_and_flat_ground_are_no_trouble():
    assert not found(slope(30.0, length=3.0), "haul-01")
    assert not found(job_of([LINE], []), "haul-01")


@pytest.mark.parametrize(("track", "haul", "told"), [
    ("LINESTRING (0 -50, 200 -50)", "yes", 1), ("LINESTRING (0 -50, 100 -50)", "yes", 1),
    ("LINESTRING (0 -50, 99.9 -50)", "yes", 0), ("LINESTRING (0 -50, 200 -50)", "no", 0)])
def test_water_on_the_track(track: str, haul: str, told: int):
    creek = thing("water", "LINESTRING (100 -200, 100 -20)", "Sandy")
    findings = found(job_of([LINE], [creek, thing("track", track, "Main track", haul=haul)]), "haul-02")
    assert len(findings) == told
    assert all((f.place.x, f.place.y) == (100.0, -50.0) and "'Sandy'" in f.message for f in findings)
