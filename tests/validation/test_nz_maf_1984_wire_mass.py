"""NZ Ministry of Agriculture and Fisheries, Economics Division, reported in The Press, 1 June 1984.

Printed: 38.58 kg/km of 2.5 mm plain high tensile wire, 98.81 kg/km of 4.0 mm plain mild wire. The masses were
evidently rounded from coil lengths, so half a percent is asked. Other sizes follow from steel at 7850 kg/m3.
"""

import math

import pytest

from planner.loads.wire_tension import coil_length
from planner.spec.wires import Wire


@pytest.mark.parametrize(("diameter_mm", "kg_per_km"), [(2.5, 38.58), (4.0, 98.81)])
def test_mass_of_plain_wire_as_printed(diameter_mm: float, kg_per_km: float) -> None:
    assert Wire(diameter_mm / 1000).steel_kg_per_m * 1000 == pytest.approx(kg_per_km, rel=0.005)


@pytest.mark.parametrize(("diameter_mm", "kg_per_km", "coil_m"), [
    (1.57, 15.20, 1645), (2.0, 24.66, 1014), (2.8, 48.34, 517), (3.15, 61.18, 409), (0.099 * 25.4, 38.98, 641)])
def test_other_sizes_by_the_density_of_steel(diameter_mm: float, kg_per_km: float, coil_m: float) -> None:
    wire = Wire(diameter_mm / 1000)
    assert wire.steel_kg_per_m * 1000 == pytest.approx(kg_per_km, rel=0.001)
    assert coil_length(25.0, wire) == pytest.approx(coil_m, abs=1.0)


def test_coils_for_a_kilometre_of_eight_wires() -> None:
    assert math.ceil(8 * 1000 / coil_length(25.0, Wire(0.0025))) == 13
