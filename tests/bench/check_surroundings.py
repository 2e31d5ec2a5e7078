"""What checking the surroundings costs: 10,000 lines among 100,000 features of mixed meanings. Run by hand.

    .venv/bin/python tests/bench/check_surroundings.py [LINES] [FEATURES]

Planning is not timed: one planned line stands for all, moved from place to place. Features lie as thickly as on a farm
that was surveyed well: every line has about ten of them within reach.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from datetime import date

import numpy as np

from planner.alignment.line import FenceLine
from planner.job.derive import catalogue_of, plan_job
from planner.job.job import Job
from planner.settings import Settings
from planner.surroundings.checks import CHECKS
from planner.surroundings.situation import Situation, around
from planner.survey.features import Feature

SIDE_M = 60_000.0
SEED = 20_260_501


def features(count: int, random: np.random.Generator, *, side_m: float = SIDE_M) -> list[Feature]:
    """Creeks, boundaries, trees and the rest, scattered over a square."""
    made: list[Feature] = []
    kinds = ("water", "boundary", "trees", "trees", "trees", "vegetation", "service", "service", "road reserve",
             "flood", "protected", "track", "existing fence", "control point", "ground", "trough", "paddock")
    place = random.uniform(0.0, side_m, (count, 2))
    for k, (x, y) in enumerate(place.tolist()):
        kind = kinds[k % len(kinds)]
        dx, dy = random.uniform(-300.0, 300.0, 2).tolist()
        if kind in ("trees", "trough", "paddock", "control point"):
            wkt = f"POINT ({x:.2f} {y:.2f})"
        elif kind in ("water", "boundary", "service", "track", "existing fence"):
            wkt = (f"LINESTRING ({x:.2f} {y:.2f}, {x + dx:.2f} {y + dy:.2f}, {x + 2 * dx:.2f} {y + dy:.2f}, "
                   f"{x + 2 * dx:.2f} {y + 2 * dy:.2f})")
        else:
            a, b = abs(dx) + 5.0, abs(dy) + 5.0
            wkt = f"POLYGON (({x} {y}, {x + a} {y}, {x + a} {y + b}, {x} {y + b}, {x} {y}))"
        facts = {"water": (("width", "6"), ("setback", "20"), ("flows", "as drawn")),
                 "service": (("lies", ("above ground", "below ground")[k % 2]), ("what", "power")),
                 "existing fence": (("fate", "is reused"),), "ground": (("class", "ledge"),),
                 "control point": (("of", f"layer {k % 50}"), ("east", f"{x + 1:.2f}"), ("north", f"{y:.2f}"))}
        made.append(Feature(f"{kind} {k}", kind, wkt, facts.get(kind, ()), f"{kind}.shp, row {k}"))
    return made


def situation_of(lines: int, count: int) -> Situation:
    """Planned lines of 400 m over a square of 60 km, and features among them."""
    random = np.random.default_rng(SEED)
    start = FenceLine("A", "cattle-barbed-4", np.array([[0.0, 0.0], [250.0, 30.0], [400.0, 0.0]]), accuracy="rtk")
    job = Job("Bench", "", (start,))
    (plan,) = plan_job(job).lines
    moved = []
    for k, (x, y) in enumerate(random.uniform(0.0, SIDE_M, (lines, 2)).tolist()):
        line = replace(start, name=f"L{k}", xy=start.xy + np.array([x, y]))
        moved.append(replace(plan, line=line, code=f"L{k}", ground=replace(plan.ground, x=plan.ground.x + x,
                                                                          y=plan.ground.y + y)))
    return Situation(moved, around(features(count, random)), {}, Settings(), catalogue_of(job), (), date(2026, 5, 1))


def main() -> None:
    """Prints seconds and findings of each check; processor time, as the machine may be shared."""
    said = [int(word) for word in sys.argv[1:3]]
    lines, count = said + [10_000, 100_000][len(said):]
    situation = situation_of(lines, count)
    started = time.process_time()
    situation.around.shapes, situation.shapes  # noqa: B018
    print(f"shapes of {lines:,} lines and {count:,} features: {time.process_time() - started:.2f} s")
    for check in CHECKS:
        began = time.process_time()
        found = check(situation)
        print(f"{check.__name__}: {time.process_time() - began:.2f} s, {len(found):,} findings")
    print(f"all: {time.process_time() - started:.2f} s")


if __name__ == "__main__":
    main()
