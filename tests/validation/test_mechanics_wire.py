"""Hooke's law for fence wire, E = 200 GPa: a test of the program's arithmetic.

Pons et al., Int. J. Metals 2014, 123195, found that tests of fence wire do not tell one modulus from another; 200 GPa
is an assumption, good to 10 %. At 1,355 MPa a wire is 0.68 % longer: the 2 % told in the trade is not elastic.
"""

import pytest

from planner.errors import OutOfRange
from planner.loads.wire_tension import coil_length, wire_stretch
from planner.spec.wires import Wire


@pytest.mark.parametrize(("diameter_mm", "stretch_mm"), [(2.0, 239), (2.5, 153), (2.8, 122), (4.0, 60)])
def test_stretch_of_100_m_at_1_5_kn(diameter_mm: float, stretch_mm: float) -> None:
    wire = Wire(diameter_mm / 1000)
    assert wire_stretch(1500, wire, 100, modulus_pa=200e9) * 1000 == pytest.approx(stretch_mm, abs=0.5)


def test_elastic_stretch_at_the_breaking_load() -> None:
    assert wire_stretch(6650, Wire(0.0025), 1.0, modulus_pa=200e9) == pytest.approx(0.0068, abs=0.00005)


def test_wire_of_no_thickness_is_refused() -> None:
    with pytest.raises(OutOfRange, match="no length per kilogram"):
        coil_length(25.0, Wire(0.0))
    with pytest.raises(OutOfRange, match="thickness"):
        wire_stretch(100.0, Wire(0.0), 1.0, modulus_pa=200e9)
