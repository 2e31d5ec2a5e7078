"""Services that lines cross or come near."""

import numpy as np
import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, planned, rules, thing


@pytest.mark.rules(fires="service-01", silent="service-01", limit="service-01")
def test_a_buried_service_nearer_than_five_metres():
    pipes = [thing("service", f"LINESTRING (0 {off}, 400 {off})", "Main", what="water pipe")
             for off in (5.01, 5.0, 4.99, 0.0)]
    told = [len(found(job_of([fence((0, 0), (400, 0))], [pipe]), "service-01")) for pipe in pipes]
    assert told == [0, 0, 1, 1]


def test_its_own_clearance_goes_before_the_setting():
    pipe = thing("service", "LINESTRING (0 8, 400 8)", "Main", clearance="10")
    assert found(job_of([fence((0, 0), (400, 0))], [pipe]), "service-01")


@pytest.mark.rules(fires="service-01")
def test_posts_near_it_are_named_with_what_to_do():
    line = fence((0, 0), (400, 0))
    pipe = thing("service", "LINESTRING (200 -50, 200 50)", "Main", what="gas")
    job = job_of([line], [pipe])
    (finding,) = found(job, "service-01")
    near = {round(p.chainage_m, 1) for p in planned(job).lines[0].posts if abs(p.chainage_m - 200.0) <= 5.0}
    assert near
    assert all(f"{at:.1f} m" in finding.message for at in near)
    assert f"{len(near)} post" in finding.message
    assert finding.place.chainage_m == 200.0
    assert "Ask before you dig" in finding.remedy


@pytest.mark.rules(fires="service-02", silent="service-02", limit="service-02")
def test_an_overhead_line_keeps_machines_four_metres_off():
    wires = [thing("service", f"LINESTRING (0 {off}, 400 {off})", "Wire", lies="above ground")
             for off in (4.01, 4.0, 3.99)]
    assert [rules(job_of([fence((0, 0), (400, 0))], [wire]), "service") for wire in wires] == [[], [], ["service-02"]]


@pytest.mark.rules(fires="service-03", limit="service-03")
def test_a_long_fence_beside_a_power_line():
    wire = thing("service", "LINESTRING (-900 30, 2000 30)", "Feeder", lies="above ground", what="power")
    told = [len(found(job_of([fence((0, 0), (length, 0))], [wire]), "service-03")) for length in (200.0, 200.1, 600.0)]
    assert told == [0, 1, 1]


@pytest.mark.rules(fires="service-03", limit="service-03")
def test_a_power_line_farther_off_than_fifty_metres_is_not_beside():
    wires = [thing("service", f"LINESTRING (-900 {off}, 2000 {off})", "Feeder", lies="above ground", what="power")
             for off in (50.01, 50.0)]
    assert [len(found(job_of([fence((0, 0), (600, 0))], [wire]), "service-03")) for wire in wires] == [0, 1]


@pytest.mark.rules(silent="service-03")
def test_a_buried_or_other_line_is_no_power_line_beside():
    for facts in ({"what": "power"}, {"lies": "above ground", "what": "telephone"}):
        wire = thing("service", "LINESTRING (-900 30, 2000 30)", "Feeder", **facts)
        assert not found(job_of([fence((0, 0), (600, 0))], [wire]), "service-03")


@pytest.mark.parametrize(("angle_deg", "told"), [(90.0, 0), (50.0, 0), (44.0, 1), (0.0, 1)])
def test_a_power_line_that_only_goes_across_is_not_beside(angle_deg: float, told: int):
    dx, dy = 1000.0 * np.cos(np.radians(angle_deg)), 1000.0 * np.sin(np.radians(angle_deg))
    wire = thing("service", f"LINESTRING ({200 - dx} {-dy}, {200 + dx} {dy})", "Feeder", lies="above ground",
                 what="power")
    job = job_of([fence((0, 0), (400, 0))], [wire], power_parallel_m=100.0)
    assert len(found(job, "service-03")) == told
    assert len(found(job, "service-02")) == 1


def test_the_angle_itself_counts_as_along():
    wire = thing("service", "LINESTRING (-1000 -1200, 1400 1200)", "Feeder", lies="above ground", what="power")
    job = job_of([fence((0, 0), (400, 0))], [wire], power_parallel_m=100.0, power_beside_m=100.0)
    assert len(found(job, "service-03")) == 1
