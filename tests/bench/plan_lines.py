"""How long 1, 10, 100 and 1,000 km of line take over rolling terrain, and how much memory: survey, plan, plan.json.

Run ``python tests/bench/plan_lines.py``; with ``--profile KM`` it prints where the time of one size goes instead.
Each size runs in a process of its own, so that the memory is its own; ``cpu s`` counts its start as well, and is what
to compare on a machine that is shared.
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
from pathlib import Path

import numpy as np

CELL_M, WIDE, HIGH = 10.0, 3300, 1500
WEST, NORTH = 500_000.0, 6_000_000.0
LONGEST_S, MOST_MB = 10.0, 1000.0
STEPS = ("read and survey", "plan", "plan.json", "job file")


def write_terrain(path: Path) -> None:
    """A raster of 33 by 15 km of rolling hills, 40 m high and 400 to 900 m apart."""
    import rasterio
    from rasterio.transform import Affine

    x, y = np.meshgrid(np.arange(WIDE) * CELL_M, np.arange(HIGH) * CELL_M)
    level = 200 + 20 * np.sin(x / 90) * np.cos(y / 130) + 6 * np.sin((x + y) / 47) + 0.3 * np.sin(x / 7)
    with rasterio.open(path, "w", driver="GTiff", width=WIDE, height=HIGH, count=1, dtype="float32", crs="EPSG:7855",
                       transform=Affine(CELL_M, 0, WEST, 0, -CELL_M, NORTH)) as out:
        out.write(level.astype("float32"), 1)


def write_lines(path: Path, km: int) -> None:
    """Lines of 5 km, with a corner each 500 m; the last as long as is left."""
    features, left, number = [], km * 1000.0, 0
    while left > 1e-6:
        length = min(5000.0, left)
        along = np.append(np.arange(0.0, length, 500.0), length)
        across = 60.0 * (np.arange(len(along)) % 2)
        row, column = number % 40, number // 40
        xy = np.column_stack((WEST + 200 + 6000 * column + along, NORTH - 300 - 300 * row - across))
        features.append({"type": "Feature", "properties": {"name": f"Line {number + 1}"},
                         "geometry": {"type": "LineString", "coordinates": xy.tolist()}})
        left, number = left - length, number + 1
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features, "crs": {
        "type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::7855"}}}), encoding="utf-8")


def run(lines: Path, terrain: Path, folder: Path, processes: int | None = None) -> dict[str, float]:
    """Seconds of each step for one set of lines."""
    from planner.files.derived_layers import derived_layers
    from planner.files.job_file import write_job
    from planner.files.survey_in import Wanted, new_job, survey_into
    from planner.job.derive import plan_job
    from planner.jobpack.plan_json import write_plan_json
    from planner.settings import Settings

    marks = [time.perf_counter()]
    job = survey_into(new_job("bench", Settings()), [lines], [terrain], Wanted("general-mesh", accuracy="survey")).job
    marks.append(time.perf_counter())
    plan = plan_job(job, processes=processes)
    marks.append(time.perf_counter())
    write_plan_json(folder / "plan.json", plan)
    marks.append(time.perf_counter())
    write_job(folder / "bench.job.gpkg", job, derived_layers(plan))
    marks.append(time.perf_counter())
    took = dict(zip(STEPS, np.diff(marks).tolist(), strict=True))
    return {**took, "sections": sum(len(line.sections) for line in plan.lines),
            "posts": sum(len(line.posts) for line in plan.lines),
            "slope_km": sum(float(line.ground.slope_m[-1]) for line in plan.lines) / 1000,
            "cpu": time.process_time(), "started_mb": resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024,
            "mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}


def main() -> None:
    """Prints the table, or the profile of one size."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--profile", type=int, metavar="KM")
    words.add_argument("--one", nargs=3, metavar=("LINES", "TERRAIN", "FOLDER"), help=argparse.SUPPRESS)
    words.add_argument("--sizes", default="1,10,100,1000")
    words.add_argument("--processes", type=int, help="processes that plan lines; as many as pay when not said")
    chosen = words.parse_args()
    if chosen.one:
        lines, terrain, to = map(Path, chosen.one)
        print(json.dumps(run(lines, terrain, to, chosen.processes)))
        return
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_terrain(folder / "terrain.tif")
        if chosen.profile:
            write_lines(folder / "lines.geojson", chosen.profile)
            profile = cProfile.Profile()
            profile.runcall(run, folder / "lines.geojson", folder / "terrain.tif", folder)
            for order in ("cumulative", "tottime"):
                pstats.Stats(profile).sort_stats(order).print_stats("planner|json|zlib", 25)
            return
        table(folder, [int(km) for km in chosen.sizes.split(",")], chosen.processes)


def table(folder: Path, sizes: list[int], processes: int | None) -> None:
    """Runs each size in its own process and prints a row for it."""
    print(f"{'km':>5} {'sections':>9} {'posts':>7} " + " ".join(f"{step:>16}" for step in STEPS)
          + f" {'total s':>8} {'s/km':>7} {'cpu s':>7} {'peak MB':>8} {'of a process it started':>24}")
    judged = "not run"
    for km in sizes:
        write_lines(folder / "lines.geojson", km)
        done = subprocess.run([sys.executable, __file__, "--one", str(folder / "lines.geojson"),
                               str(folder / "terrain.tif"), str(folder),
                               *(["--processes", str(processes)] if processes else [])],
                              capture_output=True, text=True, check=True)
        took = json.loads(done.stdout)
        total = sum(took[step] for step in STEPS)
        print(f"{km:>5} {took['sections']:>9} {took['posts']:>7} " + " ".join(f"{took[s]:>16.2f}" for s in STEPS)
              + f" {total:>8.2f} {total / km:>7.3f} {took['cpu']:>7.2f} {took['mb']:>8.0f} "
              f"{took['started_mb']:>24.0f}")
        if km == 100:
            judged = "kept" if total <= LONGEST_S and took["mb"] + took["started_mb"] <= MOST_MB else "NOT KEPT"
    print(f"target for 100 km: {LONGEST_S:g} s and {MOST_MB:g} MB: {judged}")


if __name__ == "__main__":
    main()
