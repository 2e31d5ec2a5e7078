"""What moving one corner costs: 50 km with 5,000 corners, and the whole plan of a 5 km line. Run by hand.

    .venv/bin/python tests/bench/move_corner.py

Every figure is what the live plan asks for while a corner is dragged, stage by stage, with the levels taken from a
raster of 10 m cells whose blocks are in memory.
"""

from __future__ import annotations

import gc
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from plan_lines import NORTH, WEST, write_terrain

from planner.alignment.line import FenceLine
from planner.geometry.arrays import Floats
from planner.job.derive_line import plan_line
from planner.job.plan import LineInputs
from planner.profile.grade_breaks import grade_chain
from planner.profile.ground_line import GroundLine, ground_line, record_levels
from planner.profile.moved_ground import carried_lengths, moved_ground_line, moved_levels
from planner.sections.strains import divide
from planner.settings import Settings
from planner.spec.catalogue import choose_fence, load_catalogue
from planner.survey.ground import Ground, RecordedLevels

GRID = "EPSG:7855"


def winding(km: float, corners: int) -> Floats:
    """A line of some length with evenly spaced corners, to and fro over the raster. [m]"""
    along = np.linspace(0.0, km * 1000.0, corners)
    row, x = np.divmod(along, 12_000.0)
    x = np.where(row % 2, 12_000.0 - x, x)
    sway = 30.0 * np.sin(along / 150.0)
    return np.column_stack((WEST + 400 + x, NORTH - 700 - 250 * row - sway))


def times(does: Callable[[int], object], rounds: int) -> tuple[float, float]:
    """Median and 95th percentile. [ms]"""
    taken = []
    for k in range(rounds):
        start = time.thread_time()
        does(k)
        taken.append(1000.0 * (time.thread_time() - start))
    return float(np.median(taken)), float(np.percentile(taken, 95))


def moved(xy: Floats, k: int) -> Floats:
    """The line with one corner moved by about a metre."""
    out = xy.copy()
    out[1 + (k * 37) % (len(xy) - 2)] += (0.3 + 0.1 * (k % 7), 0.8)
    return out


def quick(xy: Floats, k: int, record: RecordedLevels, shape: GroundLine, ground: Ground, step_m: float,
          cuts_m: Floats) -> Floats:
    """Line, levels, profile and section lengths after one corner moved, from those before."""
    levels = moved_levels(record, moved(xy, k), [ground], step_m=step_m)
    assert levels is not None, "the short way does not hold"
    return carried_lengths(cuts_m, shape, moved_ground_line(shape, record, levels, grid=GRID))


def main() -> None:
    """Prints the figures; processor time of the thread, as the machine may be shared."""
    from planner.files.readers.terrain import open_terrain

    settings, catalogue = Settings(), load_catalogue()
    fence = choose_fence(catalogue, "general-mesh")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "terrain.tif"
        write_terrain(path)
        ground = open_terrain(path, grid=GRID)
        for km, corners, rounds in ((50.0, 5000, 20), (5.0, 12, 20)):
            xy = winding(km, corners)
            record = record_levels(xy, [ground], step_m=settings.profile_step_m)
            shape = ground_line(xy, record, grid=GRID, step_m=settings.profile_step_m)
            line = FenceLine("bench", fence.key, xy)
            chain = grade_chain(shape, tolerance_m=settings.grade_tolerance_m)
            sections = divide(line, shape, chain, fence, settings, code="A", assemblies=catalogue.assemblies)
            cuts = np.array([0.0] + [section.to_m for section in sections])
            print(f"{km:g} km, {corners} corners, {len(shape.chainage_m)} profile points", flush=True)
            for name, does in {
                "quick": lambda k: quick(xy, k, record, shape, ground, settings.profile_step_m, cuts),  # noqa: B023
                "levels": lambda k: record_levels(moved(xy, k), [ground], step_m=settings.profile_step_m),  # noqa: B023
                "profile": lambda k: ground_line(xy, record, grid=GRID, step_m=settings.profile_step_m),  # noqa: B023
                "grades": lambda k: grade_chain(shape, tolerance_m=settings.grade_tolerance_m),  # noqa: B023
                "sections": lambda k: divide(line, shape, chain, fence, settings, code="A",  # noqa: B023
                                             assemblies=catalogue.assemblies),
                "whole plan": lambda k: plan_line(LineInputs(line, "A", fence, record, (), settings, GRID),  # noqa: B023
                                                  catalogue)}.items():
                gc.collect()
                median, high = times(does, 200 if name == "quick" else rounds if name != "whole plan" or km < 10 else 3)
                print(f"  {name:12} median {median:7.1f}  p95 {high:7.1f} ms", flush=True)
        ground.close()


if __name__ == "__main__":
    main()
