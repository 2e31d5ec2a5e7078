"""Processor seconds to check the network of 10,000 lines with gates: ``python tests/bench/check_network.py``.

A square grid of paddocks, every side between two crossings a line, a gate in every second one. Each line is planned
first, which is not counted. Of the 30 s that all checks of the surroundings may take with 100,000 features this should
leave most.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
SIDE_M, EAST, NORTH = 200.0, 400_000.0, 6_000_000.0


def situation_of(lines: int, features: int) -> Any:
    """Planned lines of a grid of paddocks, with features scattered over it."""
    from planner.alignment.junctions import find_junctions
    from planner.alignment.line import FenceLine, Gate
    from planner.job.derive import catalogue_of
    from planner.job.derive_line import plan_line
    from planner.job.job import Job
    from planner.job.plan import LineInputs
    from planner.setout.numbering import line_code
    from planner.surroundings.situation import Situation, around

    side = int(np.sqrt(lines / 2))
    made = []
    for i in range(side):
        for j in range(side + 1):
            for across in (True, False):
                x, y = (i, j) if across else (j, i)
                xy = np.array([(x, y), (x + across, y + (not across))]) * SIDE_M + np.array([EAST, NORTH])
                middle = xy.mean(axis=0)
                gates = (Gate(f"G{len(made)}", *middle.tolist(), 4.2),) if (i + j) % 2 == 0 else ()
                made.append(FenceLine(f"L{len(made)}", "general-mesh", xy, accuracy="survey", gates=gates))
    job = Job("Grid", "EPSG:7855", tuple(made))
    catalogue = catalogue_of(job)
    began = time.process_time()
    junctions = dict(find_junctions(made))
    print(f"{len(made)} lines; junctions {time.process_time() - began:.1f} s")
    began = time.process_time()
    planned = [plan_line(LineInputs(line, line_code(k), catalogue.fences[line.fence], None,
                                    junctions.get(line.name, ()), job.settings, job.crs), catalogue)
               for k, line in enumerate(made)]
    print(f"lines planned {time.process_time() - began:.1f} s (not counted)")
    return Situation(planned, around(scattered(features, side * SIDE_M)), junctions, job.settings, catalogue, (),
                     date(2026, 11, 2))


def scattered(count: int, reach: float) -> list[Any]:
    """Troughs, trees, water and paddocks over a square."""
    from planner.survey.features import Feature

    rng = np.random.default_rng(5)
    spots = rng.uniform(0, reach, size=(count, 2)) + np.array([EAST, NORTH])
    kinds = ("trough", "trees", "water", "paddock", "vegetation", "existing fence")
    shapes = ("POINT ({0} {1})", "POINT ({0} {1})", "LINESTRING ({0} {1}, {2} {3})", "POINT ({0} {1})",
              "POLYGON (({0} {1}, {2} {1}, {2} {3}, {0} {1}))", "LINESTRING ({0} {1}, {2} {3})")
    return [Feature(f"F{k}", kinds[k % 6], shapes[k % 6].format(x, y, x + 30, y + 20))
            for k, (x, y) in enumerate(spots.tolist())]


def main(lines: int, features: int) -> int:
    from planner.alignment.checks import check_network
    from planner.surroundings.gate_checks import check_gates
    from planner.surroundings.network import nodes_of
    from planner.surroundings.network_checks import check_network_of_fences
    from planner.surroundings.paddock_checks import check_paddocks
    from planner.surroundings.paddocks import land_of
    from planner.surroundings.shape_checks import check_shapes

    situation = situation_of(lines, features)
    total = 0.0
    steps: tuple[tuple[str, Callable[[], Any]], ...] = (
        ("land", lambda: land_of(situation)), ("nodes", lambda: nodes_of(situation)),
        ("paddock checks", lambda: check_paddocks(situation)), ("gate checks", lambda: check_gates(situation)),
        ("shape checks", lambda: check_shapes(situation)),
        ("network checks", lambda: check_network_of_fences(situation)))
    for name, step in steps:
        began = time.process_time()
        found = step()
        took = time.process_time() - began
        total += took
        print(f"{name:<16}{took:7.2f} s{f'  {len(found)} found' if isinstance(found, (list, tuple)) else ''}")
    print(f"{'together':<16}{total:7.2f} s; {len(land_of(situation).paddocks)} paddocks, {features} features")
    began = time.process_time()
    check_network([planned.line for planned in situation.lines])
    print(f"{'(lines meeting)':<16}{time.process_time() - began:7.2f} s, counted with the lines")
    return 0 if total < 15.0 else 1


if __name__ == "__main__":
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("lines", nargs="?", type=int, default=10_000)
    words.add_argument("features", nargs="?", type=int, default=100_000)
    chosen = words.parse_args()
    raise SystemExit(main(chosen.lines, chosen.features))
