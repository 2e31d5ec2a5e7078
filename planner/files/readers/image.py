"""Pictures to lay under the map: aerial images and terrain levels, brought into the working grid and thinned to size.

A backdrop is looked at, never measured: it is read through the overviews of its file at no more than a few million
cells, whatever the size of the file.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from planner.errors import FileTrouble
from planner.files.readers.rasters import opened_raster
from planner.geometry.arrays import Floats
from planner.survey.datum import to_code

MOST_CELLS = 16_000_000
"""Cells of a backdrop kept in memory; a larger file is thinned. Common practice."""
MOST_ACROSS = 4_000_000
"""A file that claims more cells than this across is damaged or hostile."""
MOST_IN_FILE = 100_000_000_000
"""Cells of a file that is still thinned while one waits: 30 km by 30 km at 0.1 m. Common practice."""
_AS_WHAT = "a picture that has a place on the ground, or it is cut short"

Affine = tuple[float, float, float, float, float, float]
"""East = a column + b row + c, north = d column + e row + f."""


@dataclass(frozen=True, eq=False)
class ImageBackdrop:
    """A picture and where it lies.

    Attributes:
        path: Its file.
        pixels: Red, green, blue, opacity. Shape (rows, columns, 4), uint8.
        affine: From column and row of a pixel's upper left corner to east and north. [m]
        corners: East and north of the upper left, upper right, lower right and lower left corner. [m] Shape (4, 2).
        notes: What was done to it, one sentence each.
        crs: Coordinate system that the file states; empty when it states none.
    """

    path: str
    pixels: npt.NDArray[np.uint8]
    affine: Affine
    corners: Floats
    notes: tuple[str, ...]
    crs: str


@dataclass(frozen=True, eq=False)
class ReliefBackdrop:
    """Ground levels to be shaded, and where they lie.

    Attributes:
        path: Its file.
        levels: Level at the middle of each cell, NaN where unknown. Shape (rows, columns), float32.
        affine: From column and row of a cell's upper left corner to east and north. [m]
        notes: What was done to it, one sentence each.
    """

    path: str
    levels: npt.NDArray[np.float32]
    affine: Affine
    notes: tuple[str, ...]


def read_backdrop(path: Path, grid: str) -> ImageBackdrop:
    """Reads a georeferenced image.

    Args:
        path: The file: a GeoTIFF, or a picture with its world file.
        grid: Working grid of the job.

    Raises:
        FileTrouble: It is missing, is no picture, has no place on the ground, no sensible size, or is cut short.
    """
    with _opened(path, grid) as (source, notes, crs):
        count = source.count
        if count < 1:
            raise FileTrouble("it holds no picture", where=str(path), remedy="export it as a GeoTIFF")
        bands = [1, 2, 3] if count >= 3 else [1]
        pixels, affine = _thinned(source, bands, path, notes)
        mask, _ = _thinned(source, [1], path, [], mask=True)
        colours = pixels if len(pixels) == 3 else _with_palette(source, pixels[0])
        whole = np.dstack((*(_as_bytes(band) for band in colours), mask[0].astype(np.uint8)))
    rows, columns = whole.shape[:2]
    corners = np.array([_place(affine, c, r) for c, r in ((0, 0), (columns, 0), (columns, rows), (0, rows))])
    return ImageBackdrop(str(path), np.ascontiguousarray(whole), affine, corners, tuple(notes), crs)


def read_relief(path: Path, grid: str) -> ReliefBackdrop:
    """Reads a terrain raster to be shaded.

    Args:
        path: The file.
        grid: Working grid of the job.

    Raises:
        FileTrouble: It is missing, is no raster of levels, has no place on the ground, no sensible size, or is cut
            short.
    """
    with _opened(path, grid) as (source, notes, _):
        if source.count < 1 or np.dtype(source.dtypes[0]).kind not in "iuf":
            raise FileTrouble("it holds no ground levels", where=str(path), remedy="export the levels as a GeoTIFF")
        bands, affine = _thinned(source, [1], path, notes)
        mask, _ = _thinned(source, [1], path, [], mask=True)
    levels = np.where(mask[0] > 0, bands[0].astype(np.float32), np.float32(np.nan))
    levels[~np.isfinite(levels) | (np.abs(levels) > 12_000.0)] = np.nan
    return ReliefBackdrop(str(path), np.ascontiguousarray(levels, dtype=np.float32), affine, tuple(notes))


@contextmanager
def _opened(path: Path, grid: str) -> Iterator[tuple[Any, list[str], str]]:
    """The file, in the working grid, the notes so far, and the coordinate system that it states."""
    from rasterio._err import CPLE_BaseError
    from rasterio.enums import Resampling
    from rasterio.errors import RasterioError
    from rasterio.vrt import WarpedVRT

    if not path.is_file():
        raise FileTrouble("there is no such file", where=str(path), remedy="give the path of a picture")
    try:
        with opened_raster(path, as_what=_AS_WHAT, remedy="export it again as a GeoTIFF") as dataset:
            _check(dataset, path)
            own = to_code(dataset.crs) if dataset.crs else ""
            if own and own != to_code(grid):
                with WarpedVRT(dataset, crs=to_code(grid), resampling=Resampling.bilinear, add_alpha=False) as bent:
                    _check(bent, path)
                    yield bent, [f"brought from {own} into the working grid, for looking at only"], own
            else:
                yield dataset, [] if own else ["the file states no coordinate system; taken as the working grid"], own
    except (RasterioError, CPLE_BaseError, UnicodeDecodeError) as trouble:
        raise FileTrouble("it cannot be read as a picture that has a place on the ground, or it is cut short",
                          where=str(path), remedy="export it again as a GeoTIFF") from trouble


def _check(dataset: Any, path: Path) -> None:
    if min(dataset.width, dataset.height) < 2 or max(dataset.width, dataset.height) > MOST_ACROSS \
            or dataset.width * dataset.height > MOST_IN_FILE:
        raise FileTrouble(f"its size, {dataset.width} by {dataset.height} cells, cannot be that of a picture",
                          where=str(path), remedy="check the head of the file")
    if dataset.transform.is_identity or dataset.transform.determinant == 0.0 \
            or not np.isfinite(np.array(dataset.transform[:6])).all():
        raise FileTrouble("it has no place on the ground", where=str(path),
                          remedy="export it as a GeoTIFF, or put its world file beside it")


def _thinned(source: Any, bands: list[int], path: Path, notes: list[str], *,
             mask: bool = False) -> tuple[Any, Affine]:
    from rasterio.enums import Resampling
    from rasterio.errors import RasterioError

    thin = max(1.0, math.sqrt(source.width * source.height / MOST_CELLS))
    rows, columns = max(2, int(source.height / thin)), max(2, int(source.width / thin))
    try:
        if mask:
            cells = source.read_masks(1, out_shape=(rows, columns))[None]
        else:
            cells = source.read(bands, out_shape=(len(bands), rows, columns),
                                resampling=Resampling.average if thin > 1.0 else Resampling.nearest)
    except (RasterioError, MemoryError) as trouble:
        raise FileTrouble("part of it cannot be read, the file is cut short or damaged", where=str(path),
                          remedy="copy it again from where it came from") from trouble
    if thin > 1.0 and notes is not None:
        notes.append(f"shown at 1 in {thin:.1f} of its cells")
    t = source.transform
    across, down = source.width / columns, source.height / rows
    return cells, (t.a * across, t.b * down, t.c, t.d * across, t.e * down, t.f)


def _with_palette(source: Any, band: Any) -> list[Any]:
    try:
        table = source.colormap(1)
    except ValueError:
        return [band, band, band]
    colours = np.array([table.get(i, (0, 0, 0, 255))[:3] for i in range(256)], dtype=np.uint8)
    return list(np.moveaxis(colours[band.astype(np.int64).clip(0, 255)], 2, 0))


def _as_bytes(band: Any) -> Any:
    """A band as 0 to 255; deeper ones are stretched between their 2nd and 98th percent."""
    if band.dtype == np.uint8:
        return band
    known = band[np.isfinite(band)] if band.dtype.kind == "f" else band
    if not known.size:
        return np.zeros(band.shape, np.uint8)
    low, high = np.percentile(known[:: max(1, known.size // 200_000)] if known.ndim == 1 else known, (2, 98))
    stretched = (np.nan_to_num(band.astype(np.float64), nan=float(low)) - low) / max(float(high - low), 1e-12) * 255.0
    return stretched.clip(0, 255).astype(np.uint8)


def _place(affine: Affine, column: float, row: float) -> tuple[float, float]:
    a, b, c, d, e, f = affine
    return a * column + b * row + c, d * column + e * row + f
