"""Processor seconds of every check of a job of 10,000 lines that meet, with 100,000 features around them.

    .venv/bin/python tests/bench/check_everything.py [LINES] [FEATURES] [--profile CHECK]

The lines are the sides of square paddocks of 600 m with a gate in every second one; the features are of mixed meanings
and lie as thickly as on a farm that was surveyed well, about ten of them within reach of a line; progress, an as-built
track, an inspection and a day of finish are written down for lines here and there. Planning the lines is told of and
not counted.
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
import resource
import time
from collections.abc import Callable
from datetime import date
from typing import Any

import numpy as np
import shapely

from planner.alignment.checks import check_network
from planner.alignment.junctions import find_junctions
from planner.alignment.line import FenceLine, Gate
from planner.job.derive import catalogue_of
from planner.job.job import Job
from planner.job.many_lines import plan_lines
from planner.job.plan import LineInputs
from planner.progress import Unwatched
from planner.setout.numbering import line_code
from planner.surroundings.before_start import before_start, check_before_start
from planner.surroundings.checks import CHECKS
from planner.surroundings.electric import circuits
from planner.surroundings.network import nodes_of
from planner.surroundings.old_fences import old_fences_along
from planner.surroundings.paddocks import land_of
from planner.surroundings.situation import Situation, areas_under, around
from planner.survey.features import Feature
from planner.upkeep.checks import check_records
from planner.upkeep.records import AsBuilt, Built, Inspection, Progress, Records

PADDOCK_M, MOST_S = 600.0, 30.0
SEED = 20_260_501
TODAY = date(2026, 5, 1)


def features(count: int, random: np.random.Generator, *, side_m: float) -> list[Feature]:
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


def sides(count: int) -> list[FenceLine]:
    """The sides of square paddocks, a line each."""
    wide = max(1, int((count / 2) ** 0.5))
    made: list[FenceLine] = []
    for i in range(wide):
        for j in range(wide + 1):
            for across in (True, False):
                x, y = (i, j) if across else (j, i)
                xy = np.array([(x, y), (x + across, y + (not across))]) * PADDOCK_M
                gates = (Gate(f"G{len(made)}", *xy.mean(axis=0).tolist(), 4.2),) if (i + j) % 2 == 0 else ()
                made.append(FenceLine(f"L{len(made)}", "cattle-barbed-4", xy, accuracy="rtk", gates=gates))
    return made


def records_of(lines: list[FenceLine]) -> Records:
    """What was written down of every tenth line."""
    some = lines[::10]
    return Records(
        progress=tuple(Progress(line.name, "", "posts", 0.5, TODAY) for line in some),
        as_built=tuple(AsBuilt(f"walk of {line.name}", "", shapely.to_wkt(shapely.LineString(line.xy + 1.5)),
                               "handheld", TODAY) for line in some),
        inspections=tuple(Inspection(line.name, "", date(2026, 1, 5), found="a wire down") for line in some),
        built=tuple(Built(line.name, date(2026, 1, 2)) for line in some))


class Table:
    """Steps with their seconds of processor, printed as they end."""

    def __init__(self, profiled: str) -> None:
        self.total_s, self._profiled = 0.0, profiled

    def run(self, name: str, step: Callable[[], Any], *, counted: bool = True) -> Any:
        """What a step gives."""
        profile = cProfile.Profile() if name == self._profiled else None
        began = time.process_time()
        found = profile.runcall(step) if profile else step()
        took = time.process_time() - began
        self.total_s += took if counted else 0.0
        many = f"{len(found):>9,}" if hasattr(found, "__len__") else ""
        print(f"{name:<26}{took:>8.2f} s{many}{'' if counted else '  (not counted)'}", flush=True)
        if profile:
            for order in ("cumulative", "tottime"):
                pstats.Stats(profile).sort_stats(order).print_stats(30)
        return found


def main() -> int:
    """Prints the table; 1 when it takes longer than it may."""
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("lines", nargs="?", type=int, default=10_000)
    words.add_argument("features", nargs="?", type=int, default=100_000)
    words.add_argument("--profile", default="", metavar="CHECK")
    chosen = words.parse_args()
    table, lines = Table(chosen.profile), sides(chosen.lines)
    made = features(chosen.features, np.random.default_rng(SEED),
                    side_m=PADDOCK_M * max(1, int((chosen.lines / 2) ** 0.5)))
    job = Job("Bench", "", tuple(lines), features=tuple(made), records=records_of(lines))
    catalogue = catalogue_of(job)
    print(f"{len(lines):,} lines, {len(made):,} features; processor time, and what was found")
    junctions = dict(table.run("junctions", lambda: find_junctions(lines)))
    nearby = table.run("features read", lambda: around(job.features))
    table.run("shapes of features", lambda: nearby.shapes)
    areas = table.run("ground under lines", lambda: areas_under(lines, nearby))
    old = table.run("old fences along lines", lambda: old_fences_along(lines, nearby))
    inputs = [LineInputs(line, line_code(k), catalogue.fences[line.fence], None, junctions.get(line.name, ()),
                         job.settings, job.crs, areas.get(line.name, ()), old.get(line.name, ()))
              for k, line in enumerate(lines)]
    planned = table.run("lines planned", lambda: plan_lines(inputs, catalogue, {}, processes=1, progress=Unwatched()),
                        counted=False)
    table.run("check_network", lambda: check_network(lines, junctions=junctions))
    situation = Situation(planned, nearby, junctions, job.settings, catalogue, (), TODAY)
    situation.worked_out["old fences"] = old
    for check in CHECKS:
        table.run(check.__name__, lambda: check(situation))  # noqa: B023
    items = table.run("before_start", lambda: before_start(situation))
    table.run("check_before_start", lambda: check_before_start(items, (), TODAY))
    table.run("check_records", lambda: check_records(planned, job.records, job.settings, TODAY))
    table.run("circuits", lambda: circuits(situation))
    table.run("paddocks", lambda: land_of(situation).paddocks)
    table.run("nodes", lambda: nodes_of(situation))
    most_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    kept = "kept" if table.total_s <= MOST_S else "NOT KEPT"
    print(f"{'all':<26}{table.total_s:>8.2f} s, {most_mb:,.0f} MB at most; target {MOST_S:g} s: {kept}")
    return 0 if table.total_s <= MOST_S else 1


if __name__ == "__main__":
    raise SystemExit(main())
