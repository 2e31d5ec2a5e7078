"""Uncertainty of legs and corners against full matrices and against repeated simulation."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from walks import correlated

from planner.geometry.arrays import frozen
from planner.survey.track_legs import Leg, settled
from planner.survey.track_noise import Noise
from planner.survey.track_sd import corner_sd, leg_covariance, length_sd


def noise(sd: float, rho: float) -> Noise:
    return Noise(frozen([-1.0 / np.log(rho)]), frozen([sd**2]), frozen([1.0]), 0.0)


def test_a_leg_is_as_well_known_as_the_full_matrices_say() -> None:
    points = np.column_stack((1.2 * np.arange(80.0), np.zeros(80)))
    gap = np.concatenate(([np.inf], np.ones(79)))
    leg = Leg(np.arange(80), np.array([47.4, 0.0]), np.array([1.0, 0.0]), np.array([0.0, 1.0]), 94.8)
    corr = 0.9 ** np.abs(np.subtract.outer(np.arange(80), np.arange(80)))
    design = np.column_stack((np.ones(80), points[:, 0] - 47.4))
    inverse = np.linalg.inv(design.T @ design)
    assert leg_covariance(points, gap, leg, noise(3.0, 0.9)) == pytest.approx(
        9.0 * inverse @ design.T @ corr @ design @ inverse)


def test_corners_and_length_scatter_as_they_are_said_to() -> None:
    rng = np.random.default_rng(7)
    true = np.array([(0, 0), (150, 0), (150, 120), (20, 160)], dtype=float)
    rows = [a + np.linspace(0, 1, 101)[:100, None] * (b - a) for a, b in pairwise(true)]
    clean = np.vstack((*rows, true[-1:]))
    gap = np.concatenate(([np.inf], np.ones(300)))
    cuts = np.array([0, 100, 200, 300])
    found, lengths = [], []
    for _ in range(200):
        legs, corners = settled(clean + correlated(301, sd=1.0, rho=0.8, rng=rng), cuts, closed=False)
        found.append([corner.xy for corner in corners])
        lengths.append(np.hypot(*np.diff(found[-1], axis=0).T).sum())
    legs, corners = settled(clean, cuts, closed=False)
    known = noise(1.0, 0.8)
    covariance = [leg_covariance(clean, gap, leg, known) for leg in legs]
    said = [corner_sd(corner, legs, covariance, known) for corner in corners]
    scatter = np.sqrt(np.var(found, axis=0).mean(axis=1))
    assert said == pytest.approx(scatter, rel=0.15)
    assert length_sd(corners, legs, covariance, known, closed=False) == pytest.approx(np.std(lengths), rel=0.15)
