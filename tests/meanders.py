"""Random meanders: sine-generated curves of changing wave length and swing, as rivers draw them."""

from __future__ import annotations

import numpy as np
import shapely


def meander(seed: int, *, length_m: float = 1500.0, every_m: float = 5.0) -> shapely.LineString:
    """A stream whose direction swings as a sine of the distance along it, which never meets itself."""
    for attempt in range(100):
        rng = np.random.default_rng((seed, attempt))
        along = np.arange(0.0, length_m + every_m, every_m)
        waves = np.interp(along, np.linspace(0, length_m, 8), rng.uniform(90.0, 320.0, 8))
        swing = np.radians(np.interp(along, np.linspace(0, length_m, 8), rng.uniform(15.0, 95.0, 8)))
        phase = np.cumsum(2 * np.pi * every_m / waves) + rng.uniform(0, 2 * np.pi)
        drift = np.radians(np.interp(along, np.linspace(0, length_m, 5), rng.uniform(-20.0, 20.0, 5)))
        direction = swing * np.sin(phase) + drift + rng.uniform(0, 2 * np.pi)
        xy = np.cumsum(np.column_stack((np.cos(direction), np.sin(direction))) * every_m, axis=0)
        stream = shapely.LineString(xy + rng.uniform(-5e5, 5e5, 2))
        if stream.is_simple:
            return stream
    raise AssertionError(f"seed {seed} gives no stream that keeps clear of itself")
