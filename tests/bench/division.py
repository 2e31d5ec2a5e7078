"""Every paddock of the two open data sets into 2, 3 and 7 parts, with the worst of each promise.

Source: open paddock polygons of New Zealand (irrigated land 2020) and Austria (fields 2025).

Run: ``python tests/bench/division.py FOLDER`` with the folder of open data.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import geopandas
import numpy as np
import shapely

from planner.alignment.division import Parallel, divide_paddock
from planner.alignment.division_sweeps import ParallelSweep, cut_at, edges_of

FILES = ("nz_irrigated_2020.shp", "at_invekos_2025.gpkg")


def fence_by_degree(paddock: shapely.Polygon, parts: int) -> np.ndarray:
    """New fence of each whole degree, without the search. [m] Shape (180,)."""
    near = shapely.transform(paddock, lambda xy: xy - np.rint(xy.mean(axis=0)))
    sweep = ParallelSweep(*edges_of(near), np.arange(180.0))
    at = cut_at(sweep, near.area / parts * np.arange(1, parts))
    return np.asarray(sweep.fence(at).sum(axis=1))


def main(folder: Path) -> None:
    """Prints one line for each file and number of parts."""
    for file in FILES:
        paddocks = list(geopandas.read_file(folder / "parcel" / file).geometry)
        for parts in (2, 3, 7):
            begun, worst = time.perf_counter(), np.zeros(4)
            split = 0
            for paddock in paddocks:
                it = divide_paddock(paddock, parts=parts, how=Parallel("best"))
                areas = max(abs(part.area_m2 - part.wanted_m2) for part in it.parts)
                whole = shapely.union_all([part.land for part in it.parts])
                apart = shapely.symmetric_difference(whole, paddock).area / paddock.area
                over = abs(sum(p.area_m2 for p in it.parts) / paddock.area - 1.0)
                dearer = it.new_fence_m - float(fence_by_degree(paddock, parts).min())
                worst = np.maximum(worst, (areas, apart, over, dearer))
                split += any(part.pieces > 1 for part in it.parts)
            print(f"{file} {len(paddocks)} into {parts}: area within {worst[0]:.2e} m2, tiling {worst[1]:.1e}, overlap "
                  f"{worst[2]:.1e}, dearer than a whole degree by at most {worst[3]:.2e} m, {split} with a part in "
                  f"pieces, {time.perf_counter() - begun:.1f} s", flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
