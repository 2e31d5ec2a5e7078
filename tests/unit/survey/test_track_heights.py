from __future__ import annotations

import numpy as np
import pytest

from planner.survey.track_heights import known_runs, noise_of, quantum_of, smooth, unround


@pytest.mark.parametrize("step", [10.0, 1.0, 0.5, 0.1, 1.44, 0.3048])
def test_rounding_is_told(step: float) -> None:
    level = np.random.default_rng(1).uniform(100, 140, 300)
    assert quantum_of(np.round(level / step) * step) == pytest.approx(step, rel=1e-6)
    assert quantum_of((np.round(level / step) * step).astype(np.float32).astype(float)) == pytest.approx(step, rel=1e-3)


def test_rounding_is_told_where_the_single_step_is_never_met() -> None:
    assert quantum_of(np.array([0.0, 0.2, 0.5, 0.9, 1.5])) == pytest.approx(0.1)


@pytest.mark.parametrize("level", [
    np.random.default_rng(1).uniform(100, 140, 300), np.full(50, 7.0), np.array([1.0, 2.0, 3.0]), np.array([]),
    np.full(9, np.nan), np.array([1.0, 2.0, 3.0 + 1e-3, 4.0]),
])
def test_rounding_is_not_told_where_there_is_none_or_too_little(level: np.ndarray) -> None:
    assert quantum_of(level) == 0.0


def test_a_parabola_has_no_noise_on_uneven_steps() -> None:
    at = np.cumsum(np.random.default_rng(2).uniform(1.0, 9.0, 200))
    assert noise_of(at, 3.0 + 0.1 * at + 1e-3 * at**2) < 1e-6


def test_noise_does_not_depend_on_uneven_steps() -> None:
    rng = np.random.default_rng(2)
    at = np.cumsum(rng.uniform(1.0, 9.0, 4000))
    assert noise_of(at, 0.1 * at + rng.normal(size=4000)) == pytest.approx(1.0, rel=0.06)


def test_spikes_do_not_count_as_noise() -> None:
    at = np.arange(0.0, 1000.0, 5.0)
    level = np.random.default_rng(2).normal(size=200) * 0.1
    level[::40] += 80.0
    assert noise_of(at, level) < 0.15


def test_rounded_heights_have_at_least_the_noise_of_rounding() -> None:
    at = np.arange(0.0, 1000.0, 5.0)
    assert noise_of(at, np.round(0.01 * at)) == pytest.approx(1 / np.sqrt(12), rel=1e-6)


@pytest.mark.parametrize("count", [0, 1, 2, 3, 4])
def test_a_few_fixes_are_harmless(count: int) -> None:
    at, level = np.arange(count) * 5.0, np.sqrt(np.arange(count))
    smoothed, noise = smooth(at, level)
    assert smoothed == pytest.approx(level)
    assert noise == 0.0


def test_repeated_places_missing_heights_and_disorder_are_harmless() -> None:
    at = np.arange(0.0, 1000.0, 5.0)
    level = 10 * np.sin(at / 80.0) + np.random.default_rng(4).normal(size=200) * 0.3
    clean, _ = smooth(at, level)
    messy_at, messy = np.repeat(at, 3), np.repeat(level, 3)
    messy[4::7] = np.nan
    order = np.random.default_rng(5).permutation(len(messy_at))
    got, noise = smooth(messy_at[order], messy[order])
    back = np.argsort(messy_at[order], kind="stable")[::3]
    assert np.abs(got[back] - clean).max() < 0.05
    assert noise == pytest.approx(0.3, rel=0.25)


def test_missing_heights_are_bridged_inside_and_unknown_at_the_ends() -> None:
    at = np.arange(0.0, 500.0, 5.0)
    level = 0.1 * at
    level[:5] = level[40:45] = level[-3:] = np.nan
    smoothed, _ = smooth(at, level)
    assert np.isnan(smoothed[:5]).all()
    assert np.isnan(smoothed[-3:]).all()
    assert smoothed[5:-3] == pytest.approx(0.1 * at[5:-3], abs=1e-9)


def test_no_heights_at_all_stay_unknown() -> None:
    smoothed, noise = smooth(np.arange(9.0), np.full(9, np.nan))
    assert np.isnan(smoothed).all()
    assert noise == 0.0


def test_a_slope_keeps_its_level_to_the_ends() -> None:
    at = np.arange(0.0, 300.0, 3.0)
    smoothed, _ = smooth(at, 5.0 + 0.2 * at)
    assert smoothed == pytest.approx(5.0 + 0.2 * at, abs=1e-9)


def test_unrounding_treats_each_known_run_by_itself_and_keeps_gaps() -> None:
    at = np.arange(0.0, 200.0)
    level = np.round(0.03 * at)
    level[90:110] = np.nan
    level[110:] += 50.0
    even = unround(at, level, 1.0)
    assert np.isnan(even[90:110]).all()
    assert np.nanmax(np.abs(even - level)) <= 0.5
    assert even[110] > 50.0


def test_unrounding_by_nothing_changes_nothing() -> None:
    level = np.array([1.0, 2.0, np.nan])
    assert unround(np.arange(3.0), level, 0.0) is level


def test_known_runs() -> None:
    assert known_runs(np.array([True, True, False, True])) == [slice(0, 2), slice(3, 4)]
    assert known_runs(np.array([False])) == []
