"""B.C. Ministry of Agriculture, Fencing Factsheets 307.100-1 and 307.220-1 (2015).

Printed: barbed wire of two 12.5 gauge line wires, 80 lb in 1,320 ft, breaking at about 950 lb; a whole fence pulls its
brace with 1,000 to 1,500 lb, up to 2,500 lb in cold weather.
"""

import pytest

from planner.loads.wire_tension import temperature_change
from planner.spec.wires import Wire
from planner.units import FOOT_M, POUND_FORCE_N, POUND_KG, PSI_PA

GAUGE_12_5 = 0.099 * 0.0254
BARBED = Wire(GAUGE_12_5, filaments=2)


def test_the_barbs_are_the_smaller_part_of_the_printed_mass() -> None:
    printed = 80 * POUND_KG / (1320 * FOOT_M)
    assert printed * 1000 == pytest.approx(90.2, abs=0.1)
    assert BARBED.steel_kg_per_m * 1000 == pytest.approx(78.0, abs=0.1)
    assert (printed - BARBED.steel_kg_per_m) * 1000 == pytest.approx(12.2, abs=0.2)


def test_breaking_load_is_that_of_two_low_tensile_wires() -> None:
    assert 60_000 * PSI_PA * BARBED.area_m2 / POUND_FORCE_N == pytest.approx(950, rel=0.03)


def test_rigid_ends_bound_the_printed_rise_in_the_cold() -> None:
    # four strands between rigid ends, 95.4 N/K: the printed rise of 1,250 lb needs 58 K. An upper bound of the rate.
    per_kelvin = 4 * temperature_change(BARBED, change_k=1.0, modulus_pa=200e9, expansion_per_k=12e-6)
    assert per_kelvin == pytest.approx(95.4, abs=0.1)
    assert 1250 * POUND_FORCE_N / per_kelvin == pytest.approx(58, abs=0.5)
