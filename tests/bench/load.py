"""A large import and a job of many lines: seconds of processor and peak memory of each step.

    python tests/bench/load.py                     2 million vertices read; 10,000 lines made, planned, saved, opened
    python tests/bench/load.py --lines 2000        another number of lines; twice as many must not take four times
    python tests/bench/load.py --profile STEP      where the time of one step goes: import, plan, save or open

Each part runs in a process of its own, so that the memory is its own. The lines are the sides of square paddocks of
200 m that meet at their corners, with a gate in every second one.
"""

from __future__ import annotations

import argparse
import cProfile
import json
import pstats
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio.raw
import shapely

WEST, NORTH, SIDE_M = 500_000.0, 6_000_000.0, 200.0
CORNERS_A_LINE = 1_000


class Steps:
    """Processor seconds of each step, with the profile of the one that is asked for.

    Args:
        profiled: Name of the step to profile; empty for none.
    """

    def __init__(self, profiled: str) -> None:
        self.took: dict[str, float] = {}
        self._profiled = profiled

    def run(self, name: str, step: Callable[[], Any]) -> Any:
        """What the step gives; its time is kept under its name."""
        profile = cProfile.Profile() if name == self._profiled else None
        start = time.process_time()
        result = profile.runcall(step) if profile else step()
        self.took[name] = time.process_time() - start
        if profile:
            for order in ("cumulative", "tottime"):
                pstats.Stats(profile).sort_stats(order).print_stats(30)
        return result


def write_vertices(path: Path, vertices: int) -> None:
    """A GeoPackage of winding lines of 1,000 corners each, 5 m apart."""
    rng = np.random.default_rng(5)
    shapes = []
    for number in range(vertices // CORNERS_A_LINE):
        along = 5.0 * np.arange(CORNERS_A_LINE)
        across = np.cumsum(rng.normal(0.0, 0.5, CORNERS_A_LINE))
        shapes.append(shapely.LineString(np.column_stack((WEST + along, NORTH - 60.0 * number + across))))
    names = np.array([f"Line {k + 1}" for k in range(len(shapes))], dtype=object)
    pyogrio.raw.write(path, geometry=shapely.to_wkb(np.array(shapes)), field_data=[names], fields=["name"],
                      geometry_type="LineString", crs="EPSG:7855")


def sides(count: int) -> list[tuple[float, float, float, float]]:
    """Ends of the sides of square paddocks, in rows that grow with the root of their number. [m]"""
    wide = max(1, round((count / 2) ** 0.5))
    found: list[tuple[float, float, float, float]] = []
    for cell in range(count):
        x, y = WEST + SIDE_M * (cell % wide), NORTH - SIDE_M * (cell // wide)
        found += [(x, y, x + SIDE_M, y), (x, y, x, y - SIDE_M)]
    return found[:count]


def job_of(count: int) -> Any:
    """A job of so many lines."""
    from planner.alignment.line import FenceLine, Gate
    from planner.job.job import Job
    from planner.settings import Settings

    lines = []
    for k, (x, y, to_x, to_y) in enumerate(sides(count), 1):
        gates = (Gate(f"G{k}", (x + to_x) / 2, (y + to_y) / 2, 4.2),) if k % 2 else ()
        lines.append(FenceLine(f"Line {k}", "general-mesh", np.array([(x, y), (to_x, to_y)]), False, "survey",
                               gates=gates, origin=f"bench, row {k}"))
    return Job(name="load", crs="EPSG:7855", settings=Settings(), made_at="2026-01-01T00:00:00+00:00",
               lines=tuple(lines))


def run_import(vertices: int, steps: Steps) -> None:
    """Reads so many vertices and makes a job of their lines."""
    from planner.files.survey_in import Wanted, new_job, survey_into
    from planner.settings import Settings

    with tempfile.TemporaryDirectory() as name:
        source = Path(name) / "many.gpkg"
        write_vertices(source, vertices)
        done = steps.run("import", lambda: survey_into(new_job("load", Settings()), [source], [],
                                                       Wanted("general-mesh", accuracy="survey")))
    corners = sum(len(line.xy) for line in done.job.lines)
    assert corners == vertices // CORNERS_A_LINE * CORNERS_A_LINE, corners


def run_lines(count: int, steps: Steps) -> None:
    """Plans, saves and opens a job of so many lines."""
    from planner.files.derived_layers import derived_layers
    from planner.files.job_file import open_job, write_job
    from planner.job.derive import plan_job

    job = job_of(count)
    plan = steps.run("plan", lambda: plan_job(job, processes=1))
    layers = steps.run("layers", lambda: derived_layers(plan))
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "load.job.gpkg"
        steps.run("save", lambda: write_job(path, job, layers))
        opened = steps.run("open", lambda: open_job(path))
    again = getattr(opened, "job", opened)
    assert len(again.lines) == count
    assert sum(len(line.gates) for line in again.lines) == (count + 1) // 2
    assert len(plan.lines) == count


def main() -> None:
    """Prints a table, or the profile of one step."""
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--lines", type=int, default=10_000)
    words.add_argument("--vertices", type=int, default=2_000_000)
    words.add_argument("--profile", default="", metavar="STEP")
    words.add_argument("--one", choices=("import", "lines"), help=argparse.SUPPRESS)
    chosen = words.parse_args()
    one = chosen.one or (("import" if chosen.profile == "import" else "lines") if chosen.profile else "")
    if one:
        steps = Steps(chosen.profile)
        (run_import if one == "import" else run_lines)(chosen.vertices if one == "import" else chosen.lines, steps)
        print(json.dumps([steps.took, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
        return
    print(f"{chosen.vertices:,} vertices imported; a job of {chosen.lines:,} lines")
    for part in ("import", "lines"):
        done = subprocess.run([sys.executable, __file__, "--one", part, "--lines", str(chosen.lines), "--vertices",
                               str(chosen.vertices)], stdout=subprocess.PIPE, text=True, check=True)
        took, peak_mb = json.loads(done.stdout.splitlines()[-1])
        for step, seconds in took.items():
            print(f"{step:>8} {seconds:>8.2f} s of processor")
        print(f"{'':>8} {peak_mb:>8.0f} MB at most")


if __name__ == "__main__":
    main()
