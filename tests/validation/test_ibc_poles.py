"""International Building Code 1806.2 and 1807.3.2, against worked examples that others published.

F1: light pole, 1.33 kN at 8.0 m on a 0.6 m square, 31.4 kPa/m, first trial 1.55 m: S1 16.223 kPa, A 0.226 m, 1.52 m
(scribd 90622087). F2: 100 kip at 62.11 ft on 6 ft, 0.2 ksf/ft doubled, free: 30.55 ft, printed without the last
iterations and without the 12 ft cap (scribd 296150218). F3: 30,000 lb at 3 ft on 4.5 ft, 350 psf/ft doubled, held:
1.509 m, A 13.501 ft (scribd 560795266). F4: 33,700 lb at 39.4 ft on a square of 126 in (diagonal 178.19 in), 150 psf/ft
by 1.33, held, 12 ft cap: 2,394 psf, 12.60 ft (scribd 697991832). F5: 3,000 lb, 150 psf/ft by 1.33, 1 ft, trial 6 ft:
A 17.6 ft, and not 1.47, which multiplies by the depth twice (eng-tips 276653).
"""

import math

import pytest

from planner.errors import OutOfRange
from planner.loads.footing import (
    IBC_DEPTH_CAP_M,
    POLE_CAUTION,
    SOILS,
    bearing_at,
    free_pole_depth,
    held_pole_depth,
    pole_constant,
    relative_capacity,
)
from planner.units import FOOT_M, INCH_M, POUND_FORCE_N, PSF_PA

PSF_PER_FT = PSF_PA / FOOT_M


@pytest.mark.parametrize(("key", "kpa_per_m", "psf"), [
    ("bedrock", 188, 12_000), ("soft-rock", 62.8, 4000), ("gravel", 31.4, 3000), ("sand", 23.6, 2000),
    ("clay", 15.7, 1500)])
def test_soil_table(key: str, kpa_per_m: float, psf: float) -> None:
    soil = next(s for s in SOILS if s.key == key)
    assert soil.lateral_pa_per_m / 1000 == pytest.approx(kpa_per_m, rel=0.005)
    assert soil.vertical_pa == pytest.approx(psf * PSF_PA)


def test_f1_light_pole_step_by_step() -> None:
    bearing = bearing_at(1.55 / 3, soil_pa_per_m=31_400)
    constant = pole_constant(1330, width_m=0.849, bearing_pa=bearing)
    assert bearing == pytest.approx(16_223, rel=0.001)
    assert constant == pytest.approx(0.226, abs=0.0005)
    assert constant / 2 * (1 + math.sqrt(1 + 4.36 * 8 / constant)) == pytest.approx(1.52, abs=0.005)
    assert free_pole_depth(1330, height_m=8.0, width_m=0.849, soil_pa_per_m=31_400) == pytest.approx(1.532, abs=0.001)


def test_f2_free_pole_without_cap() -> None:
    depth = free_pole_depth(100_000 * POUND_FORCE_N, height_m=62.11 * FOOT_M, width_m=6 * FOOT_M,
                            soil_pa_per_m=200 * PSF_PER_FT, factor=2.0, cap_m=None)
    assert depth / FOOT_M == pytest.approx(30.64, abs=0.01)
    assert depth / FOOT_M == pytest.approx(30.55, rel=0.01)


def test_f3_held_pole() -> None:
    depth = held_pole_depth(30_000 * POUND_FORCE_N, height_m=3 * FOOT_M, width_m=4.5 * FOOT_M,
                            soil_pa_per_m=350 * PSF_PER_FT, factor=2.0)
    bearing = bearing_at(depth / 3, soil_pa_per_m=350 * PSF_PER_FT, factor=2.0)
    constant = pole_constant(30_000 * POUND_FORCE_N, width_m=4.5 * FOOT_M, bearing_pa=bearing)
    assert depth == pytest.approx(1.509, abs=0.001)
    assert constant / FOOT_M == pytest.approx(13.501, rel=0.001)


def test_f4_held_pole_meets_the_cap() -> None:
    soil = 150 * PSF_PER_FT
    depth = held_pole_depth(33_700 * POUND_FORCE_N, height_m=39.4 * FOOT_M, width_m=178.19 * INCH_M,
                            soil_pa_per_m=soil, factor=1.33)
    assert bearing_at(depth, soil_pa_per_m=soil, factor=1.33) / PSF_PA == pytest.approx(2394, abs=1)
    assert depth / FOOT_M == pytest.approx(12.60, abs=0.01)


def test_f5_bearing_is_taken_at_a_third_of_the_depth_once() -> None:
    bearing = bearing_at(6 * FOOT_M / 3, soil_pa_per_m=150 * PSF_PER_FT, factor=1.33)
    constant = pole_constant(3000 * POUND_FORCE_N, width_m=FOOT_M, bearing_pa=bearing)
    assert constant / FOOT_M == pytest.approx(17.6, abs=0.1)


@pytest.mark.parametrize("height_m", [0.0, 0.6, 8.0])
@pytest.mark.parametrize("load_n", [500.0, 12_000.0, 400_000.0])
def test_the_depth_found_is_the_depth_assumed(load_n: float, height_m: float) -> None:
    depth = free_pole_depth(load_n, height_m=height_m, width_m=0.2, soil_pa_per_m=23_600)
    bearing = bearing_at(min(depth, IBC_DEPTH_CAP_M) / 3, soil_pa_per_m=23_600)
    constant = pole_constant(load_n, width_m=0.2, bearing_pa=bearing)
    assert constant / 2 * (1 + math.sqrt(1 + 4.36 * height_m / constant)) == pytest.approx(depth, rel=1e-9)


@pytest.mark.parametrize(("depth_m", "than_m", "times"), [(0.90, 0.75, 1.56), (1.05, 0.90, 1.45)])
def test_150_mm_deeper_and_not_the_more_than_double_of_braced_ends(depth_m: float, than_m: float, times: float) -> None:
    # tests of braced ends found "more than doubled" (US research quoted at acga.org.au); the formula does not give it
    ratio = relative_capacity(depth_m, than_depth_m=than_m, height_m=0.6)
    assert ratio == pytest.approx(times, abs=0.005)
    assert ratio < 2


def test_relative_capacity_agrees_with_the_depth_formula() -> None:
    # loads that need 0.75 and 0.90 m stand as the capacities of these depths
    def load_at(depth_m: float) -> float:
        low, high = 1.0, 1e5
        for _ in range(60):
            load = (low + high) / 2
            deep = free_pole_depth(load, height_m=0.6, width_m=0.2, soil_pa_per_m=23_600) > depth_m
            low, high = (low, load) if deep else (load, high)
        return low
    assert load_at(0.90) / load_at(0.75) == pytest.approx(
        relative_capacity(0.90, than_depth_m=0.75, height_m=0.6), rel=1e-6)


def test_capacity_follows_soil_and_width() -> None:
    assert relative_capacity(0.9, than_depth_m=0.9, height_m=0.6, soil_pa_per_m=23_600,
                             than_soil_pa_per_m=15_700) == pytest.approx(23.6 / 15.7)
    assert relative_capacity(0.9, than_depth_m=0.9, height_m=0.6, width_m=0.2, than_width_m=0.1) == pytest.approx(2)


@pytest.mark.parametrize(("factor", "clay_m", "gravel_m"), [(1.0, 5.5, 3.9), (2.0, 3.9, 2.9)])
def test_an_unbraced_strainer_shows_why_the_rule_only_compares(factor: float, clay_m: float, gravel_m: float) -> None:
    # 12 kN at 0.6 m on a 0.2 m post, no cap: the rule asks for this, where fences stand at 1.2 m
    depths = {soil.key: free_pole_depth(12_000, height_m=0.6, width_m=0.2, soil_pa_per_m=soil.lateral_pa_per_m,
                                        factor=factor, cap_m=None) for soil in SOILS}
    assert depths["clay"] == pytest.approx(clay_m, abs=0.06)
    assert depths["gravel"] == pytest.approx(gravel_m, abs=0.06)
    assert "neither passes nor fails" in POLE_CAUTION


def test_the_cap_makes_a_deep_pole_deeper() -> None:
    capped, free = (free_pole_depth(12_000, height_m=0.6, width_m=0.2, soil_pa_per_m=15_700, cap_m=cap)
                    for cap in (IBC_DEPTH_CAP_M, None))
    assert capped > free > IBC_DEPTH_CAP_M


@pytest.mark.parametrize("wrong", [
    {"load_n": 0.0}, {"load_n": math.inf}, {"load_n": math.nan}, {"height_m": -0.1}, {"width_m": 0.0},
    {"soil_pa_per_m": 0.0}])
def test_values_that_are_none_are_refused(wrong: dict[str, float]) -> None:
    values = {"load_n": 500.0, "height_m": 0.9, "width_m": 0.1, "soil_pa_per_m": 23_600.0} | wrong
    load_n = values.pop("load_n")
    with pytest.raises(OutOfRange, match="pole formula needs"):
        free_pole_depth(load_n, **values)
