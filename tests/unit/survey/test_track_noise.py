"""Noise of known size and lasting, found again."""

from __future__ import annotations

import numpy as np
import pytest
from walks import correlated

from planner.survey.track_noise import LEAST_NOISE_M, _with_memory, noise_of


@pytest.mark.parametrize(("sd", "rho"), [(0.5, 0.0), (3.0, 0.5), (3.0, 0.9), (2.0, 0.97)])
def test_size_and_lasting_are_found(sd: float, rho: float) -> None:
    along = np.tile(1.2 * np.arange(1500.0), 4)
    across = correlated(6000, sd=sd, rho=rho, rng=np.random.default_rng(3))[:, 0] + 0.01 * along + 5.0
    gap = np.ones(6000)
    first = np.arange(0, 6000, 1500)
    gap[first] = np.inf
    noise = noise_of(along, across, gap, first)
    assert noise.sd_m == pytest.approx(sd, rel=0.15)
    assert float(noise.weight @ noise.carried(np.array([1.0]))[0]) == pytest.approx(rho, abs=0.06)
    assert noise.weight.sum() == pytest.approx(1.0)


def test_short_legs_do_not_make_the_noise_look_small() -> None:
    # 800 legs of 8 points: two of each eight freedoms go into the leg; the plain mean square would give 1.73
    first = np.arange(0, 6400, 8)
    gap = np.ones(6400)
    gap[first] = np.inf
    across = np.random.default_rng(5).normal(0, 2.0, 6400)
    assert noise_of(np.tile(np.arange(8.0), 800), across, gap, first).sd_m == pytest.approx(2.0, rel=0.05)


@pytest.mark.parametrize("lasting", [0.2, 1.0, 3.3])
def test_the_restricted_likelihood_is_that_of_the_full_matrices(lasting: float) -> None:
    rng = np.random.default_rng(6)
    time = np.cumsum(rng.uniform(0.5, 3.0, 12))
    legs = [slice(0, 5), slice(5, 12)]
    lever, across = rng.uniform(-1, 1, 12), rng.normal(0, 2, 12)
    gap = np.concatenate(([np.inf], np.diff(time)))
    gap[5] = np.inf
    restricted, variance, _ = _with_memory(lever, across, gap, np.array([0, 5]), lasting)

    likelihood = rest = 0.0
    for leg in legs:
        corr = np.exp(-np.abs(np.subtract.outer(time[leg], time[leg])) / lasting)
        design = np.column_stack((np.ones(len(corr)), lever[leg]))
        weight = np.linalg.inv(corr)
        normal = design.T @ weight @ design
        left = across[leg] - design @ np.linalg.solve(normal, design.T @ weight @ across[leg])
        rest += float(left @ weight @ left)
        likelihood += float(np.linalg.slogdet(corr)[1] + np.linalg.slogdet(normal)[1])
    assert variance == pytest.approx(rest / 8)
    assert restricted == pytest.approx(-0.5 * (8 * np.log(rest / 8) + 8 + likelihood))


def test_a_perfect_line_has_the_least_noise() -> None:
    gap = np.array([np.inf, 1.0, 1.0])
    assert noise_of(np.arange(3.0), np.zeros(3), gap, np.array([0])).sd_m == pytest.approx(LEAST_NOISE_M)
