"""How long sections, posts and mid-run joins of a long line take, and whether that grows with its length.

Run it as a script: ``python tests/bench/joins.py``.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path
from time import perf_counter

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from unit.sections.ground_of import ASSEMBLIES, ITEMS, fence_of, ground_of, line_of

from planner.alignment.junctions import find_junctions
from planner.profile.grade_breaks import grade_chain
from planner.sections.joins import plan_line_joins
from planner.sections.posts import place_posts
from planner.sections.strains import divide
from planner.settings import Settings


def rolling(km: float) -> tuple[list[float], list[float]]:
    """Levels every metre of a rolling line."""
    x = np.arange(0.0, 1000 * km + 0.5)
    z = 6 * np.sin(x / 90) + 2.5 * np.sin(x / 31 + 1) + 0.4 * np.sin(x / 9)
    return x.tolist(), z.tolist()


def one(km: float) -> None:
    """Plans one line and prints what each step took."""
    line = line_of(*((500.0 * k, 40.0 * (k % 2)) for k in range(int(2 * km) + 1)))
    at, z = rolling(km)
    ground = ground_of(line, at, z)
    settings, fence = Settings(), fence_of()
    chain = grade_chain(ground, tolerance_m=0.15)
    times = [perf_counter()]
    sections = divide(line, ground, chain, fence, settings, code="A", assemblies=ASSEMBLIES)
    times.append(perf_counter())
    posts = place_posts(line, ground, chain, sections, fence, settings, ITEMS, assemblies=ASSEMBLIES)
    times.append(perf_counter())
    plans = plan_line_joins(line, ground, chain, sections, posts, fence, settings, take_up_per_m=0.0064,
                            piece_cost=lambda length: math.ceil(length / 100.0) * 250.0)
    times.append(perf_counter())
    sections_s, posts_s, joins_s = np.diff(times)
    print(f"{km:6g} km: {len(sections)} sections {sections_s:.3f} s, {len(posts)} posts {posts_s:.3f} s, "
          f"{sum(len(p.joins) for p in plans)} joins {joins_s:.3f} s, "
          f"{sum(bool(p.unmet) for p in plans)} sections with limits unmet")


def network(count: int) -> None:
    """Looks for the junctions of many short lines."""
    rng = np.random.default_rng(1)
    start = rng.uniform(0, 20_000, (count, 2))
    steps = rng.normal(0, 150, (count, 4, 2))
    corners = np.concatenate((start[:, None], start[:, None] + np.cumsum(steps, axis=1)), axis=1)
    lines = [line_of(*map(tuple, xy), name=f"L{k}") for k, xy in enumerate(corners)]
    began = perf_counter()
    found = find_junctions(lines)
    print(f"{count} lines: {sum(map(len, found.values()))} junctions {perf_counter() - began:.2f} s")


if __name__ == "__main__":
    for length in (1, 10, 100):
        one(length)
    network(10_000)
