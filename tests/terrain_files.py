"""Terrain rasters that tests write for themselves."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np


def write_raster(path: Path, cells: np.ndarray, *, west: float = 0.0, north: float = 0.0, cell: float = 10.0,
                 crs: str | None = "EPSG:7855", nodata: float | None = None, transform: Any = None, unit: str = "",
                 scale: float = 1.0, offset: float = 0.0, driver: str = "GTiff", bands: int = 1,
                 **creation: Any) -> Path:
    """A raster file of the given cells, row 0 in the north."""
    import rasterio
    from rasterio.transform import Affine

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rasterio.errors.NotGeoreferencedWarning)
        with rasterio.open(path, "w", driver=driver, width=cells.shape[1], height=cells.shape[0], count=bands,
                           dtype=cells.dtype, crs=crs, nodata=nodata,
                           transform=transform or Affine(cell, 0.0, west, 0.0, -cell, north), **creation) as out:
            for band in range(1, bands + 1):
                out.write(cells, band)
            if unit:
                out.units = [unit] * bands
            if scale != 1.0 or offset != 0.0:
                out.scales, out.offsets = [scale] * bands, [offset] * bands
    return path


def write_surface(path: Path, surface: Callable[[np.ndarray, np.ndarray], np.ndarray], *, west: float, north: float,
                  cell: float = 10.0, rows: int = 60, columns: int = 60, dtype: str = "float64", **more: Any) -> Path:
    """A raster whose cells hold a surface's value at their own centre."""
    x = west + (np.arange(columns) + 0.5) * cell
    y = north - (np.arange(rows) + 0.5) * cell
    cells = surface(*np.meshgrid(x, y)).astype(dtype)
    return write_raster(path, cells, west=west, north=north, cell=cell, **more)
