"""Walked heights: noise told from the data, hills kept, made-up length taken out.

Sources: Savitzky & Golay, Analytical Chemistry 36 (1964) 1627 (the filter). White noise of standard deviation s adds
s / sqrt(pi) of ascent a step on level ground (mean of the positive part of a difference of two normal errors;
derivable). Noise sizes: RTK 15 mm + 1 ppm in height (makers' figures); handheld and barometer as common practice.
Ground: a sine hill, amplitude 15 m, wave 400 m, 2000 m long, 5 m step; true ascent 150 m, true length 2027.46 m.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from planner.survey.track_heights import noise_of, smooth, unround

AT = np.arange(0.0, 2000.1, 5.0)
HILL = 15.0 * np.sin(2 * np.pi * AT / 400.0)
TRUE_LENGTH = 2027.46
RUNS = 40


def _length(level: np.ndarray, at: np.ndarray = AT) -> float:
    return float(np.hypot(np.diff(at), np.diff(level)).sum())


def _ascent(level: np.ndarray) -> float:
    return float(np.maximum(np.diff(level), 0.0).sum())


def _white(sd: float) -> Callable[[np.random.Generator], np.ndarray]:
    return lambda rng: rng.normal(size=len(AT)) * sd


def _wandering(rng: np.random.Generator) -> np.ndarray:
    error = np.empty(len(AT))
    error[0] = rng.normal() * 3.0
    for k in range(1, len(AT)):
        error[k] = 0.98 * error[k - 1] + 3.0 * np.sqrt(1 - 0.98**2) * rng.normal()
    return error


def _runs(error: Callable[[np.random.Generator], np.ndarray]) -> list[np.ndarray]:
    return [HILL + error(np.random.default_rng(seed)) for seed in range(RUNS)]


def test_the_true_length_is_that_of_the_sine() -> None:
    fine = np.linspace(0.0, 2000.0, 400_001)
    assert _length(15.0 * np.sin(2 * np.pi * fine / 400.0), fine) == pytest.approx(2027.48, abs=0.02)
    assert _length(HILL) == pytest.approx(TRUE_LENGTH, abs=0.005)
    assert _ascent(HILL) == pytest.approx(150.0)


# mean raw and smoothed length over the runs, and the ascent that smoothing leaves
@pytest.mark.parametrize(("name", "error", "raw", "ascent"), [
    ("RTK, 15 mm", _white(0.015), 2027.5, (147.0, 153.0)),
    ("handheld, 3 m, slow", _wandering, 2040.9, (135.0, 165.0)),
    ("handheld, 3 m, white", _white(3.0), 2560.0, (150.0, 165.0)),
    ("barometer, 0.3 m, white", _white(0.3), 2034.3, (147.0, 153.0)),
])
def test_smoothed_length_is_true_within_three_parts_in_a_thousand(name: str, error, raw: float, ascent) -> None:
    walks = _runs(error)
    assert np.mean([_length(w) for w in walks]) == pytest.approx(raw, rel=0.004)
    smoothed = [smooth(AT, w)[0] for w in walks]
    assert np.mean([_length(s) for s in smoothed]) == pytest.approx(TRUE_LENGTH, rel=0.003)
    assert ascent[0] < np.mean([_ascent(s) for s in smoothed]) < ascent[1]


@pytest.mark.parametrize("sd", [0.015, 0.3, 3.0])
def test_white_noise_is_told_within_a_tenth(sd: float) -> None:
    found = [noise_of(AT, w) for w in _runs(_white(sd))]
    assert np.mean(found) == pytest.approx(sd, rel=0.1)
    flat = np.array([_ascent(w - HILL) for w in _runs(_white(sd))])
    assert flat.mean() / (len(AT) - 1) == pytest.approx(sd / np.sqrt(np.pi), rel=0.02)


def test_slow_wander_shows_only_its_fast_part() -> None:
    # the steps of the wander are nearly white, 3 * sqrt(1 - 0.98^2) = 0.60 m; third differences see 0.33 m of noise
    assert np.mean([noise_of(AT, w) for w in _runs(_wandering)]) == pytest.approx(0.33, abs=0.03)


def test_good_heights_keep_a_short_bank() -> None:
    at = np.arange(0.0, 400.0, 2.0)
    bank = np.where((at > 180) & (at < 220), 2.0 * np.cos((at - 200.0) / 40.0 * np.pi), 0.0)
    rng = np.random.default_rng(3)
    kept, noise = smooth(at, bank + rng.normal(size=len(at)) * 0.015)
    assert noise < 0.03
    assert kept.max() > 0.97 * 2.0
    # the same bank under a handheld's noise is not believed in full
    lost, _ = smooth(at, bank + rng.normal(size=len(at)) * 1.0)
    assert lost.max() < 1.8


@pytest.mark.parametrize(("amplitude", "wave", "grade"), [(15.0, 400.0, 0.0), (0.0, 400.0, 0.02), (2.0, 150.0, 0.05),
                                                          (0.0, 1.0, 0.2)])
def test_whole_metres_add_no_length(amplitude: float, wave: float, grade: float) -> None:
    at = np.arange(0.0, 2000.1, 1.0)
    truth = amplitude * np.sin(2 * np.pi * at / wave) + grade * at
    rounded = np.round(truth)
    even = unround(at, rounded, 1.0)
    assert _length(rounded, at) > 1.008 * _length(truth, at)
    assert _length(even, at) == pytest.approx(_length(truth, at), rel=0.001)
    assert np.abs(even - rounded).max() <= 0.5
