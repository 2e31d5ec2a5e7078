"""Sag by the flat parabola: a transmission-line note (id.mosg-portal.com), a tight-wire sag chart
(millwrightmasters.com), and suspension fences (Ozarks Farm and Neighbor, 4 May 2009).

Printed: 1 kg/m over 500 m at 10,000 kgf sags 3.125 m; 0.0007 lb/ft at 30 lb sags 0.03 ft in 100 ft and 0.0003 ft in
10 ft; a suspension fence with posts 80 to 120 ft apart is to sag no more than 3 in.
"""

import pytest

from planner.errors import OutOfRange
from planner.loads.wire_tension import sag
from planner.units import FOOT_M, INCH_M, KGF_N, POUND_FORCE_N


def test_transmission_line_note() -> None:
    assert sag(1.0 * KGF_N, 500.0, 10_000 * KGF_N) == pytest.approx(3.125, abs=1e-12)


@pytest.mark.parametrize(("span_ft", "sag_ft"), [(100, 0.0292), (10, 0.000292)])
def test_tight_wire_chart(span_ft: float, sag_ft: float) -> None:
    weight = 0.0007 * POUND_FORCE_N / FOOT_M
    assert sag(weight, span_ft * FOOT_M, 30 * POUND_FORCE_N) / FOOT_M == pytest.approx(sag_ft, rel=0.002)


@pytest.mark.parametrize(("span_ft", "tension_lb"), [(80, 194), (100, 303), (120, 436)])
def test_suspension_fence_needs_a_tension_that_fences_have(span_ft: float, tension_lb: float) -> None:
    weight = 80 * POUND_FORCE_N / (1320 * FOOT_M)
    assert sag(weight, span_ft * FOOT_M, tension_lb * POUND_FORCE_N) / INCH_M == pytest.approx(3.0, rel=0.005)


def test_slack_wire_has_no_flat_sag() -> None:
    with pytest.raises(OutOfRange, match="tension above zero"):
        sag(1.0, 10.0, 0.0)
