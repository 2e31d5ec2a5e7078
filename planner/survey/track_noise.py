"""Noise of a track: how far positions stray from straight legs, and how long a stray lasts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.geometry.arrays import Floats, Integers
from planner.units import Metre

LEAST_NOISE_M = 0.05
"""No walked track is taken to be better than this, standard deviation across the leg: common practice, no source."""
LONGEST_STRAY_M = 100.0
"""Way walked in which one stray is taken to fade, at most: a minute or two on foot, common practice, no source."""
LONGEST_STRAY_SHARE = 0.1
"""And this share of the whole track: common practice, no source."""
_SHORTEST_GAPS = 0.4
_ANSWERS = 18


@dataclass(frozen=True, slots=True)
class Noise:
    """Noise across the legs: a stray that fades exponentially with time, the simplest noise with a memory.

    How long strays last is poorly known from a short track, and their size with it; so several answers stand side by
    side, each with its weight.

    Attributes:
        lasting: Times in which the correlation may fall to 1/e, in the unit of the gaps; 0 where every point strays
            alone. Shape (m,).
        variance: Variance of one position across its leg, for each. [m2] Shape (m,).
        weight: How likely each is; the sum is 1. Shape (m,).
        likelihood: Logarithm of the greatest likelihood of the strays, for comparing fits of the same points.
    """

    lasting: Floats
    variance: Floats
    weight: Floats
    likelihood: float

    @property
    def sd_m(self) -> Metre:
        """Standard deviation of one position across its leg, all answers weighed. [m]"""
        return float(np.sqrt(self.weight @ self.variance))

    def carried(self, gap: Floats) -> Floats:
        """Correlation of positions with the one some gap before, for each answer. Shape (n, m).

        Args:
            gap: Time since the point before, infinity for none. Shape (n,).
        """
        return np.exp(-gap[:, None] / np.maximum(self.lasting, 1e-300))


def noise_of(along: Floats, across: Floats, gap: Floats, first: Integers) -> Noise:
    """Noise of the points of several straight legs, each leg free to shift and turn.

    Restricted maximum likelihood, so that the two freedoms of each leg do not make the noise look smaller than it is.

    Args:
        along: Distance along its leg of each point, leg after leg. [m] Shape (n,).
        across: Distance off it, to the left. [m] Shape (n,).
        gap: Time since the point before; infinity for the first of a leg. Shape (n,).
        first: Index of the first point of each leg. Shape (k,).

    Source:
        H. D. Patterson and R. Thompson, "Recovery of inter-block information when block sizes are unequal",
        Biometrika 58 (1971), for the restricted likelihood; a first-order Gauss-Markov process for the noise.
        Checked in tests/unit/survey/test_track_noise.py on noise of known size.
    """
    usual = float(np.median(gap[np.isfinite(gap)])) if np.isfinite(gap).any() else 1.0
    size = np.diff(np.concatenate((first, [len(along)])))
    middle = np.repeat(np.add.reduceat(along, first) / size, size)
    spread = np.repeat(np.maximum(np.maximum.reduceat(np.abs(along - middle), first), 1e-9), size)
    lever = (along - middle) / spread
    step = float(np.median(np.abs(np.diff(along))))
    way = min(LONGEST_STRAY_M, LONGEST_STRAY_SHARE * step * len(along))
    longest = max(way / max(step, 1e-9), 2.0 * _SHORTEST_GAPS)
    lasting = usual * np.concatenate(([0.0], np.geomspace(_SHORTEST_GAPS, longest, _ANSWERS)))
    answers = np.array([_with_memory(lever, across, gap, first, t) for t in lasting])
    weight = np.exp(answers[:, 0] - answers[:, 0].max())
    keep = weight > 1e-3
    return Noise(lasting[keep], answers[keep, 1], weight[keep] / weight[keep].sum(), float(answers[:, 2].max()))


def _with_memory(
    lever: Floats, across: Floats, gap: Floats, first: Integers, lasting: float
) -> tuple[float, float, float]:
    """Restricted log-likelihood, variance, and log-likelihood for one time of lasting."""
    points = len(lever)
    carried = np.zeros(points) if lasting == 0 else np.exp(-gap / lasting)
    carried[first] = 0.0
    fresh = 1.0 / np.sqrt(np.maximum(1.0 - carried**2, 1e-12))

    def whitened(values: Floats) -> Floats:
        return (values - carried * np.concatenate(([0.0], values[:-1]))) * fresh

    one, lean, off = whitened(np.ones(points)), whitened(lever), whitened(across)
    a11, a12, a22 = (np.add.reduceat(p, first) for p in (one * one, one * lean, lean * lean))
    b1, b2, whole = (np.add.reduceat(p, first) for p in (one * off, lean * off, off * off))
    free = a11 * a22 - a12**2
    turned = free > 1e-9 * a11
    free = np.where(turned, free, 1.0)
    explained = np.where(turned, (a22 * b1**2 - 2 * a12 * b1 * b2 + a11 * b2**2) / free, b1**2 / a11)
    rest = float(np.maximum(whole - explained, 0.0).sum())
    freedoms = int((1 + turned).sum())
    shape = 2.0 * float(np.log(fresh).sum())
    spare = max(points - freedoms, 1)
    sd = max(np.sqrt(rest / spare), LEAST_NOISE_M)
    sd_all = max(np.sqrt(rest / points), LEAST_NOISE_M)
    lost = float(np.log(np.where(turned, free, a11)).sum())
    restricted = -0.5 * (spare * 2 * np.log(sd) + rest / sd**2 - shape + lost)
    likelihood = -0.5 * (points * 2 * np.log(sd_all) + rest / sd_all**2 - shape)
    return float(restricted), float(sd**2), float(likelihood)
