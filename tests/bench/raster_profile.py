"""Time of a 50,000 point profile from a 1 GB tiled terrain raster, against the raster library's own sampling.

Run: ``python tests/bench/raster_profile.py [--side 16000]``. The raster is written to a temporary folder and deleted.

- first: nothing of the file read in this process; the operating system may hold some of it in memory, so the file's
  pages are dropped before where the system allows it.
- warm: the raster library's block cache filled, our own blocks forgotten.
- kept: our own blocks kept.
- library: the raster library's own point sampling, nearest cell only, warm.
"""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from planner.files.readers.terrain import open_terrain
from planner.geometry.lines import points_along

GRID = "EPSG:7855"
WEST, NORTH = 400_000.0, 5_900_000.0
POINTS, METRES = 50_000, 50_000.0


def write_terrain(path: Path, side: int, block: int = 512) -> None:
    """A tiled float32 raster of rolling ground, one row of tiles at a time."""
    import rasterio
    from rasterio.transform import Affine
    from rasterio.windows import Window

    columns = np.arange(side)
    with rasterio.open(path, "w", driver="GTiff", width=side, height=side, count=1, dtype="float32", crs=GRID,
                       tiled=True, blockxsize=block, blockysize=block, nodata=-9999.0,
                       transform=Affine(1.0, 0.0, WEST, 0.0, -1.0, NORTH)) as out:
        for row in range(0, side, block):
            rows = np.arange(row, min(row + block, side))
            cells = 300 + 20 * np.sin(columns[None, :] / 130.0) * np.cos(rows[:, None] / 170.0) + 0.01 * rows[:, None]
            out.write(cells.astype(np.float32), 1, window=Window(0, row, side, len(rows)))


def line_over(side: int) -> np.ndarray:
    """A fence line of 50 km that winds up and down the raster."""
    shares = np.array([(0.1, 0.1), (0.9, 0.2), (0.1, 0.4), (0.9, 0.6), (0.1, 0.8), (0.6, 0.9)])
    corners = np.array([WEST, NORTH - side]) + shares * side
    length = float(np.hypot(*np.diff(corners, axis=0).T).sum())
    return points_along(corners, np.linspace(0.0, min(METRES, length), POINTS))


def milliseconds(work: Callable[[], object]) -> float:
    """Wall time of one call. [ms]"""
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1000.0


def drop_pages(path: Path) -> None:
    """Asks the system to forget the file's pages, so that the first read comes from the disk."""
    with path.open("rb") as file:
        os.fsync(file.fileno())
        if hasattr(os, "posix_fadvise"):
            os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def main() -> None:
    """Writes the raster, takes the profile in each way, prints the times."""
    import rasterio

    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--side", type=int, default=16_000, help="rows and columns of the raster")
    side = asked.parse_args().side
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "terrain.tif"
        write_terrain(path, side)
        xy = line_over(side)
        drop_pages(path)
        with open_terrain(path, grid=GRID) as terrain:
            first = milliseconds(lambda: terrain.levels(xy))
            kept = statistics.median(milliseconds(lambda: terrain.levels(xy)) for _ in range(7))
            level = terrain.levels(xy).level_m
        warm = []
        with open_terrain(path, grid=GRID) as keeping:
            keeping.levels(xy)
            for _ in range(5):
                with open_terrain(path, grid=GRID) as terrain:
                    warm.append(milliseconds(lambda terrain=terrain: terrain.levels(xy)))
        with rasterio.open(path) as dataset:
            library = statistics.median(
                milliseconds(lambda: np.array([v[0] for v in dataset.sample(xy)])) for _ in range(3))
        east, south = xy[:, 0] - WEST - 0.5, NORTH - xy[:, 1] - 0.5
        truth = 300 + 20 * np.sin(east / 130.0) * np.cos(south / 170.0) + 0.01 * south
        print(f"raster {path.stat().st_size / 1e9:.2f} GB, {POINTS} points over "
              f"{np.hypot(*np.diff(xy, axis=0).T).sum() / 1000:.1f} km; "
              f"worst error {np.abs(level - truth).max():.4f} m")
        print(f"first {first:.0f} ms, warm {statistics.median(warm):.0f} ms, blocks kept {kept:.1f} ms, "
              f"library sampling {library:.0f} ms = {library / statistics.median(warm):.0f} times warm, "
              f"{library / kept:.0f} times kept")


if __name__ == "__main__":
    main()
