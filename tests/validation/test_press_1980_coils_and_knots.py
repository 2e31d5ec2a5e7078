"""The Press, 18 April 1980: a wire mill's column (coil lengths), and "Wire knots", tests by the NZ Agricultural
Engineering Institute on 2.5 mm high tensile wire of 6,650 N, two samples a knot.

Printed: a 25 kg coil holds 648 m of 2.5 mm or 253 m of 4.0 mm wire; knots failed at 4,448 and 4,403 N (reef), 4,403
and 4,225 N (figure of eight), 2,935 and 2,935 N (double loop); reef and figure of eight give 50 mm or more before they
hold. What that slip costs follows from Hooke's law with E = 200 GPa.
"""

import pytest

from planner.errors import OutOfRange
from planner.loads.wire_tension import KNOTS, axial_stiffness, coil_length, join_strength, slip_loss
from planner.spec.wires import Wire

WIRE = Wire(0.0025, breaking_n=6650.0)


@pytest.mark.parametrize(("diameter_m", "printed_m"), [(0.0025, 648), (0.004, 253)])
def test_length_of_a_25_kg_coil(diameter_m: float, printed_m: float) -> None:
    assert coil_length(25.0, Wire(diameter_m)) == pytest.approx(printed_m, abs=1.0)


def test_stress_at_which_the_wire_breaks() -> None:
    assert 6650.0 / WIRE.area_m2 == pytest.approx(1355e6, rel=0.001)


@pytest.mark.parametrize(("knot", "failed_n"), [
    ("reef", (4448, 4403)), ("figure of eight", (4403, 4225)), ("double loop", (2935, 2935))])
def test_a_knot_leaves_what_the_samples_left(knot: str, failed_n: tuple[float, float]) -> None:
    assert join_strength(6650.0, knot) == pytest.approx(sum(failed_n) / 2, rel=0.01)


@pytest.mark.parametrize(("knot", "share"), [("reef", 0.665), ("figure of eight", 0.649), ("double loop", 0.441)])
def test_share_of_each_knot_and_its_source(knot: str, share: float) -> None:
    assert KNOTS[knot].share == share
    assert "The Press" in str(KNOTS[knot].source)


def test_a_join_that_was_not_tested_is_not_guessed() -> None:
    with pytest.raises(OutOfRange, match=r"join 'granny'.*reef"):
        join_strength(6650.0, "granny")


@pytest.mark.parametrize(("length_m", "lost_n"), [(50, 982), (100, 491), (200, 245), (500, 98)])
def test_tension_lost_to_50_mm_of_slip(length_m: float, lost_n: float) -> None:
    assert axial_stiffness(WIRE, modulus_pa=200e9) == pytest.approx(981.7e3, rel=1e-4)
    assert slip_loss(0.05, WIRE, length_m, modulus_pa=200e9) == pytest.approx(lost_n, abs=0.6)
