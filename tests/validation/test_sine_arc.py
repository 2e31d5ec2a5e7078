"""Arc of a sine wave, exact: against numerical quadrature, the elliptic integral itself, and values worked beforehand.

A crimp of 3 mm on 40 mm has an arc of 42.1358 mm, an excess of 2.1358, and releases 1.5863 when half its depth is left;
2.5 mm wire at 110 kgf stretches 109.88 mm in 100 m (E = 200 GPa); a mesh 8/90/30 with one such crimp a picket takes up
333 x 1.5863 + 109.88 = 638 mm in 100 m.
"""

import math

import pytest
from scipy.integrate import quad
from scipy.special import ellipe
from unit.loads.fence_of import HARD_WIRE, ITEMS, fence_of, mesh_of, strand_of

from planner.errors import OutOfRange
from planner.loads.take_up import crimp_excess, crimp_released, take_up_per_m
from planner.loads.wire_tension import wire_stretch
from planner.settings import Settings
from planner.units import KGF_N


@pytest.mark.parametrize(("amplitude", "wave"), [(3.0, 40.0), (1.5, 40.0), (0.001, 40.0), (10.0, 20.0), (0.0, 40.0)])
def test_excess_against_quadrature_and_the_elliptic_integral(amplitude: float, wave: float) -> None:
    slope = 2 * math.pi * amplitude / wave
    arc, _ = quad(lambda u: wave * math.hypot(1, slope * math.cos(2 * math.pi * u)), 0, 1, epsabs=1e-13, epsrel=1e-13)
    # the other standard form, E(-k^2), which scipy takes as well
    form = 2 * wave / math.pi * float(ellipe(-(slope**2)))
    assert crimp_excess(amplitude, wave) == pytest.approx(arc - wave, abs=1e-11)
    assert crimp_excess(amplitude, wave) == pytest.approx(form - wave, abs=1e-11)


def test_values_worked_beforehand() -> None:
    assert crimp_excess(3.0, 40.0) + 40.0 == pytest.approx(42.1358, abs=5e-5)
    assert crimp_excess(3.0, 40.0) == pytest.approx(2.1358, abs=5e-5)
    assert crimp_released(3.0, 40.0, left_share=0.5) == pytest.approx(1.5863, abs=5e-5)


def test_shallow_crimp_against_its_series() -> None:
    # pi^2 a^2 / w, the first term
    assert crimp_excess(0.02, 40.0) == pytest.approx(math.pi**2 * 0.02**2 / 40.0, rel=1e-4)


def test_take_up_of_100_m_of_mesh() -> None:
    stretch = wire_stretch(110 * KGF_N, HARD_WIRE, 100.0, modulus_pa=200e9)
    per_m = take_up_per_m(fence_of(mesh=mesh_of()), ITEMS, Settings())
    assert stretch * 1000 == pytest.approx(109.88, abs=0.01)
    assert (333 * crimp_released(0.003, 0.040, left_share=0.5) + stretch) * 1000 == pytest.approx(638, abs=0.5)
    assert per_m * 100_000 == pytest.approx(638, abs=1)  # 333.3 pickets in 100 m, not 333


def test_take_up_without_crimp_is_the_stretch_alone() -> None:
    per_m = take_up_per_m(fence_of(mesh=mesh_of(amplitude_m=0.0)), ITEMS, Settings())
    assert per_m == pytest.approx(109.88e-5, rel=1e-4)


def test_take_up_without_mesh_is_the_greatest_stretch_of_a_strand() -> None:
    fence = fence_of(strand_of(0.3, 500), strand_of(0.6, 1500), strand_of(0.9, 100, item="poly", kind="poly"))
    assert take_up_per_m(fence, ITEMS, Settings()) == pytest.approx(0.001528, rel=1e-3)


def test_fence_that_is_not_strained_takes_up_nothing() -> None:
    assert take_up_per_m(fence_of(strand_of(0.9, 0.0, item="rail", kind="rail")), ITEMS, Settings()) == 0.0


@pytest.mark.parametrize(("share", "released"), [(1.0, 0.0), (0.0, 2.1358)])
def test_all_of_the_crimp_left_and_none(share: float, released: float) -> None:
    assert crimp_released(3.0, 40.0, left_share=share) == pytest.approx(released, abs=5e-5)


@pytest.mark.parametrize("share", [-0.01, 1.01])
def test_share_beyond_its_limits_is_refused(share: float) -> None:
    with pytest.raises(OutOfRange, match="from 0 to 1"):
        crimp_released(3.0, 40.0, left_share=share)


@pytest.mark.parametrize(("amplitude", "wave"), [(3.0, 0.0), (-0.1, 40.0)])
def test_crimp_that_is_none_is_refused(amplitude: float, wave: float) -> None:
    with pytest.raises(OutOfRange, match="wave length above zero"):
        crimp_excess(amplitude, wave)
