"""What the map shows of a job: its features as layers, its terrain as shading and contours, made in the background."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from planner.errors import PlannerError
from planner.geometry.arrays import Floats
from planner.progress import Progress
from planner.ui.canvas.colours import LIGHT
from planner.ui.canvas.layer import VectorLayer
from planner.ui.canvas.view import Bounds

if TYPE_CHECKING:
    from planner.job.job import Job
    from planner.ui.canvas.backdrops import TerrainShade

MOST_CELLS = 640
"""Cells across or down of the shading. [-]"""
WANTED_CONTOURS = 24
BLANK_GROUND_M = 600.0
"""Width of the sheet that a job with nothing in it shows. [m]"""


@dataclass(frozen=True)
class Relief:
    """Terrain made ready for the map.

    Attributes:
        shade: Light and shade; None where no level is known.
        contours: Contour lines.
        troubles: Terrain files that could not be used.
    """

    shade: TerrainShade | None
    contours: tuple[VectorLayer, ...]
    troubles: tuple[PlannerError, ...]


def feature_layers(job: Job) -> tuple[VectorLayer, ...]:
    """The features of a job as layers, one for each meaning.

    Args:
        job: The job.
    """
    by_meaning: dict[str, list[tuple[str, Floats]]] = {}
    for feature in job.features:
        role = feature.meaning if feature.meaning in LIGHT.lines else "plain"
        by_meaning.setdefault(role, []).extend((feature.name, part) for part in _lines_of(feature.wkt))
    return tuple(VectorLayer.of_lines(role, [xy for _, xy in parts], role=role,
                                      width_px=1.6 if role == "water" else 1.2, names=tuple(name for name, _ in parts))
                 for role, parts in by_meaning.items() if parts)


def unplanned_lines(job: Job) -> tuple[VectorLayer, ...]:
    """The fence lines of a job as they were drawn or read, for as long as no plan draws them.

    Args:
        job: The job.
    """
    if not job.lines:
        return ()
    return (VectorLayer.of_lines("fence", [line.xy[:, :2] for line in job.lines], role="fence", width_px=2.2,
                                 names=tuple(line.name for line in job.lines)),)


def bounds_of_job(job: Job) -> Bounds | None:
    """West, south, east, north of everything in a job. [m] None when nothing is in it.

    Args:
        job: The job.
    """
    parts = [line.xy for line in job.lines] + [part for f in job.features for part in _lines_of(f.wkt)]
    if job.points:
        parts.append(np.array([(point.x, point.y) for point in job.points], dtype=float))
    if not parts:
        return None
    xy = np.concatenate(parts)
    west, south = xy.min(axis=0).tolist()
    east, north = xy.max(axis=0).tolist()
    return west, south, east, north


def relief_of(grounds: Sequence[str], crs: str, bounds: Bounds, progress: Progress, *,
              allow_ballpark: bool = False) -> Relief:
    """Shading and contours of the terrain around a job; for a worker thread.

    Args:
        grounds: Terrain files, best first.
        crs: Working grid.
        bounds: West, south, east, north of the job. [m]
        progress: Told of each band, and asked whether to stop.
        allow_ballpark: The job's setting of that name.
    """
    from planner.files.readers.terrain import open_terrain

    west, south, east, north = _widened(bounds)
    troubles: list[PlannerError] = []
    levels = np.full((1, 1), np.nan)
    cell = max(east - west, north - south) / MOST_CELLS
    for name in grounds:
        if not Path(name).is_file():
            continue
        try:
            with open_terrain(Path(name), grid=crs, crs=crs, allow_ballpark=allow_ballpark) as terrain:
                if levels.size == 1:
                    cell = max(cell, terrain.cell_m)
                    levels = np.full((max(2, int((north - south) / cell)), max(2, int((east - west) / cell))), np.nan)
                _fill(levels, terrain.levels, west, north, cell, progress)
        except PlannerError as trouble:
            troubles.append(trouble)
    return _made(levels, (cell, 0.0, west, 0.0, -cell, north), tuple(troubles), progress)


def _made(levels: Floats, affine: tuple[float, ...], troubles: tuple[PlannerError, ...], progress: Progress) -> Relief:
    from planner.ui.canvas.backdrops import TerrainShade
    from planner.ui.canvas.relief import contour_layers

    if not np.isfinite(levels).any():
        return Relief(None, (), troubles)
    levels, affine = _trimmed(levels, affine)
    a, b, c, d, e, f = affine
    step = _round_step(float(np.nanmax(levels) - np.nanmin(levels)) / WANTED_CONTOURS)
    progress.report(0.7, "contours")
    lines = contour_layers(levels, (a, b, c, d, e, f), every_m=step)
    progress.stop_if_cancelled()
    return Relief(TerrainShade.of(levels, (a, b, c, d, e, f)), lines, troubles)


def _trimmed(levels: Floats, affine: tuple[float, ...]) -> tuple[Floats, tuple[float, ...]]:
    """The levels without the empty rows and columns around them."""
    known = np.isfinite(levels)
    rows, columns = np.flatnonzero(known.any(axis=1)), np.flatnonzero(known.any(axis=0))
    top, left = int(rows[0]), int(columns[0])
    a, b, c, d, e, f = affine
    moved = (a, b, c + a * left + b * top, d, e, f + d * left + e * top)
    return levels[top:int(rows[-1]) + 1, left:int(columns[-1]) + 1], moved


def _fill(levels: Floats, levels_at: object, west: float, north: float, cell: float, progress: Progress) -> None:
    rows, columns = levels.shape
    xs = west + (np.arange(columns) + 0.5) * cell
    for start in range(0, rows, 32):
        progress.stop_if_cancelled()
        progress.report(0.7 * start / rows, "terrain")
        band = levels[start:start + 32]
        ys = north - (np.arange(start, start + len(band)) + 0.5) * cell
        xy = np.column_stack((np.tile(xs, len(ys)), np.repeat(ys, columns)))
        found = levels_at(xy).level_m.reshape(band.shape)  # type: ignore[operator]
        band[:] = np.where(np.isfinite(band), band, found)


def _widened(bounds: Bounds) -> Bounds:
    west, south, east, north = bounds
    margin = 0.35 * max(east - west, north - south, 100.0)
    return west - margin, south - margin, east + margin, north + margin


def _round_step(step: float) -> float:
    for nice in (0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0):
        if step <= nice:
            return nice
    return 100.0


def _lines_of(wkt: str) -> Iterable[Floats]:
    import shapely

    shape = shapely.from_wkt(wkt)
    for part in shapely.get_parts(shape):
        rings = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
        for ring in rings:
            xy = shapely.get_coordinates(ring)
            if len(xy) > 1:
                yield np.asarray(xy, dtype=np.float64)
