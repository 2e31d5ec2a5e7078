"""Steel wires between rigid supports, textbook problems (byjus.com question pages, two problems read in full).

Printed: 0.5 mm2 cooled from 20 to 0 degC, E = 2.0e11 Pa, alpha = 1.2e-5: 24 N. 2 mm2 cooled from 50 to 30 degC,
alpha = 1.1e-5: 88 N. The rates for fence wire follow from them: 2.5 mm wire gains 11.8 N for each kelvin it cools.
"""

import math

import pytest
from unit.loads.fence_of import HARD_WIRE, ITEMS, fence_of, mesh_of, plain_fence, strand_of

from planner.errors import OutOfRange
from planner.loads.wire_tension import temperature_change, temperature_table
from planner.settings import Settings
from planner.spec.wires import Wire


def wire_of_area(area_mm2: float) -> Wire:
    return Wire(math.sqrt(4 * area_mm2 / math.pi) / 1000)


@pytest.mark.parametrize(("area_mm2", "from_c", "to_c", "alpha", "printed_n"), [
    (0.5, 20, 0, 1.2e-5, 24), (2.0, 50, 30, 1.1e-5, 88)])
def test_wire_cooled_between_rigid_ends(
    area_mm2: float, from_c: float, to_c: float, alpha: float, printed_n: float) -> None:
    rise = temperature_change(wire_of_area(area_mm2), change_k=from_c - to_c, modulus_pa=2.0e11, expansion_per_k=alpha)
    assert rise == pytest.approx(printed_n, abs=0.1)


@pytest.mark.parametrize(("colder_k", "rise_n"), [(1, 11.78), (10, 117.8), (20, 235.6), (40, 471.2), (-10, -117.8)])
def test_fence_wire_of_2_5_mm(colder_k: float, rise_n: float) -> None:
    assert temperature_change(
        HARD_WIRE, change_k=colder_k, modulus_pa=200e9, expansion_per_k=12e-6) == pytest.approx(rise_n, abs=0.05)


@pytest.mark.parametrize("length_m", [1.0, 50.0, 1500.0])
def test_length_cancels_between_rigid_ends(length_m: float) -> None:
    assert temperature_change(
        HARD_WIRE, change_k=10, modulus_pa=200e9, expansion_per_k=12e-6, length_m=length_m,
    ) == temperature_change(HARD_WIRE, change_k=10, modulus_pa=200e9, expansion_per_k=12e-6)


@pytest.mark.parametrize("length_m", [10.0, 100.0, 1000.0])
def test_a_spring_makes_the_swing_smaller_most_of_all_on_a_short_strain(length_m: float) -> None:
    soft = temperature_change(HARD_WIRE, change_k=10, modulus_pa=200e9, expansion_per_k=12e-6, length_m=length_m,
                              end_compliance_m_per_n=1e-5)
    # springs in series: the wire's own compliance is length / EA
    own = length_m / (200e9 * HARD_WIRE.area_m2)
    assert soft == pytest.approx(117.81 * own / (own + 1e-5), rel=1e-4)
    assert 0 < soft < 117.8


def test_a_yielding_end_needs_the_length() -> None:
    with pytest.raises(OutOfRange, match="give the length of the wire"):
        temperature_change(HARD_WIRE, change_k=10, modulus_pa=200e9, expansion_per_k=12e-6, end_compliance_m_per_n=1e-5)


def test_table_of_a_mesh_fence_between_rigid_ends() -> None:
    fence = fence_of(strand_of(1.0, 1500, name="top plain"), mesh=mesh_of())
    rows = temperature_table(fence, ITEMS, length_m=262.0, settings=Settings())
    assert [row.temperature_c for row in rows] == [-10, 0, 10, 20, 30, 40, 50]
    by_temperature = {row.temperature_c: row for row in rows}
    assert by_temperature[20].strands == (("top plain", 1500.0),)
    assert by_temperature[20].total_n == pytest.approx(fence.pull_n)
    assert by_temperature[-10].strands[0][1] == pytest.approx(1500 + 3 * 117.81, abs=0.1)
    assert by_temperature[50].mesh_wire_n == pytest.approx(fence.mesh.strain_per_wire_n - 3 * 117.81, abs=0.1)  # type: ignore[union-attr]
    assert by_temperature[-10].total_n == pytest.approx(fence.pull_n + 9 * 3 * 117.81, abs=1)


def test_a_wire_cannot_push() -> None:
    row = temperature_table(plain_fence(2, 200.0), ITEMS, length_m=100.0, settings=Settings(), temperatures=(50,))[0]
    assert row.strands == (("wire at 0.15", 0.0), ("wire at 0.3", 0.0))
    assert row.total_n == 0.0


def test_yielding_ends_of_a_single_wire_agree_with_the_single_wire_formula() -> None:
    settings = Settings(end_yield_mm_per_kn=5.0)
    row = temperature_table(plain_fence(1, 1500.0), ITEMS, length_m=100.0, settings=settings, temperatures=(0,))[0]
    rise = temperature_change(HARD_WIRE, change_k=20, modulus_pa=200e9, expansion_per_k=12e-6, length_m=100.0,
                              end_compliance_m_per_n=2 * 5e-6)
    assert row.total_n == pytest.approx(1500.0 + rise, rel=1e-12)


def test_yielding_ends_give_under_all_wires_together() -> None:
    settings = Settings(end_yield_mm_per_kn=5.0)
    one, eight = (temperature_table(plain_fence(n, 1500.0), ITEMS, length_m=100.0, settings=settings,
                                    temperatures=(0,))[0].strands[0][1] for n in (1, 8))
    assert 1500.0 < eight < one < 1500.0 + 235.6


def test_with_yielding_ends_every_wire_fits_between_them_also_when_one_is_slack() -> None:
    # 200 N and 1500 N wires at 50 degC: the weak one is slack. Ends come together by c times the fall of the pull.
    settings = Settings(end_yield_mm_per_kn=5.0)
    fence = fence_of(strand_of(0.5, 200.0, name="weak"), strand_of(1.0, 1500.0, name="strong"))
    row = temperature_table(fence, ITEMS, length_m=100.0, settings=settings, temperatures=(50,))[0]
    assert dict(row.strands)["weak"] == 0.0
    moved = 2 * 5e-6 * (row.total_n - fence.pull_n)
    stretch = (dict(row.strands)["strong"] - 1500.0) * 100.0 / (200e9 * HARD_WIRE.area_m2)
    assert stretch + moved == pytest.approx(-12e-6 * 30 * 100.0, rel=1e-9)
