"""Time of the exact grade breaks on long profiles: legs, summed error, seconds. Run by hand, never a timed test."""

from __future__ import annotations

import sys
import time

import numpy as np

from planner.geometry.arrays import Floats
from planner.geometry.chains import fewest_chain

# name: wave length and height of each wave of the ground [m]
GROUNDS = {
    "rolling": ((1500.0, 18.0), (700.0, 7.0), (300.0, 2.5), (120.0, 0.7), (50.0, 0.2), (20.0, 0.06)),
    "smooth": ((3000.0, 40.0), (1000.0, 6.0), (300.0, 0.5), (100.0, 0.1)),
    "plain": ((3000.0, 2.0), (1000.0, 0.3), (300.0, 0.025), (100.0, 0.005)),
}


def profile(kind: str, points: int, *, noise: float, seed: int = 1) -> tuple[Floats, Floats]:
    """A made-up profile at 1 m: waves whose length wanders, and white noise."""
    rng = np.random.default_rng(seed)
    x = np.arange(points, dtype=float)
    y = noise * rng.standard_normal(points)
    for length, height in GROUNDS[kind]:
        knots = np.arange(0.0, points + length, length)
        wander = 1.0 + 0.3 * np.interp(x, knots, rng.standard_normal(len(knots)))
        y += height * np.sin(np.cumsum(2 * np.pi / length * wander) + rng.uniform(0, 2 * np.pi))
    return x, y


def main(points: int) -> None:
    """Print one row for each kind of ground, noise and tolerance."""
    print(f"{points} points at 1 m\nground    noise m  tolerance m    legs  summed error m  seconds")
    for kind in GROUNDS:
        for noise in (0.0, 0.05):
            x, y = profile(kind, points, noise=noise)
            for tolerance in (0.15, 0.25, 0.5, 1.0):
                begin = time.perf_counter()
                stations = fewest_chain(x, y, tolerance=tolerance)
                took = time.perf_counter() - begin
                error = np.abs(np.interp(x, x[stations], y[stations]) - y).sum()
                print(f"{kind:8}{noise:9.2f}{tolerance:13.2f}{len(stations) - 1:8d}{error:16.1f}{took:9.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
