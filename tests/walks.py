"""Simulated walks: a person with a receiver along known corners."""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages, points_along

FIVE_CORNERS = np.array([(0, 0), (420, 35), (470, 360), (180, 520), (60, 505)], dtype=float)
"""Four legs, 1 202.4 m."""


def correlated(points: int, *, sd: float, rho: float, rng: np.random.Generator) -> Floats:
    """First-order noise of one size in both coordinates. [m] Shape (points, 2)."""
    noise = rng.normal(0, sd, (points, 2))
    fresh = np.sqrt(1 - rho**2)
    for i in range(1, points):
        noise[i] = rho * noise[i - 1] + fresh * noise[i]
    return noise


def walk(corners: Floats = FIVE_CORNERS, *, seed: int, sd: float = 3.0, rho: float = 0.97, pace: float = 1.2,
         troubled: bool = False) -> Floats:
    """Positions each second. [m] Shape (n, 2).

    A troubled walk stands still for 6 minutes, turns back 48 m and comes on again, and holds one spike of 80 m.
    """
    rng = np.random.default_rng(seed)
    length = chainages(corners)[-1]
    along = np.append(np.arange(0, length, pace), length)
    if troubled:
        at = int(rng.integers(60, len(along) - 60))
        back = along[at] - pace * np.arange(40)
        along = np.concatenate((along[:at], back, back[::-1], along[at:]))
        at = int(rng.integers(30, len(along) - 60))
        along = np.concatenate((along[:at], np.full(360, along[at]), along[at:]))
    xy = points_along(corners, along) + correlated(len(along), sd=sd, rho=rho, rng=rng)
    if troubled:
        way = rng.uniform(0, 2 * np.pi)
        xy[int(rng.integers(5, len(xy) - 5))] += 80 * np.array([np.cos(way), np.sin(way)])
    return xy
