"""How long one snap takes among a million segments, and how long the index takes to build.

    python tests/bench/snap.py [segments]
"""

from __future__ import annotations

import sys
from time import perf_counter

import numpy as np

from planner.ui.canvas.layer import VectorLayer
from planner.ui.canvas.snap import SnapIndex


def layer(segments: int, seed: int = 1) -> VectorLayer:
    """Wandering lines of fifty segments over 20 by 12.5 km.

    Args:
        segments: About how many.
        seed: Seed of the random numbers.
    """
    random = np.random.default_rng(seed)
    lines, corners = segments // 50, 51
    heading = np.cumsum(random.normal(0, 0.2, (lines, corners)), axis=1) + random.uniform(0, 6.3, (lines, 1))
    steps = np.stack((np.cos(heading), np.sin(heading)), axis=2) * random.uniform(5, 40, (lines, 1, 1))
    xy = np.cumsum(steps, axis=1) + random.uniform((500_000, 6_000_000), (520_000, 6_012_500), (lines, 1, 2))
    return VectorLayer("lines", xy.reshape(-1, 2), np.arange(lines + 1) * corners)


def main() -> None:
    """Prints a table."""
    segments = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    lines = layer(segments)
    index = SnapIndex()
    begun = perf_counter()
    index.set_layers([lines], wait=True)
    print(f"{segments} segments: index built in {(perf_counter() - begun) * 1e3:.0f} ms")
    random = np.random.default_rng(2)
    for radius in (150.0, 19.0, 2.3):
        times = []
        for x, y in random.uniform((500_000, 6_000_000), (520_000, 6_012_500), (2000, 2)):
            begun = perf_counter()
            index.nearest(x, y, radius)
            times.append(perf_counter() - begun)
        us = np.array(times) * 1e6
        print(f"radius {radius:5.1f} m: median {np.median(us):6.1f} us, p95 {np.percentile(us, 95):6.1f} us, "
              f"max {us.max():6.1f} us")


if __name__ == "__main__":
    main()
