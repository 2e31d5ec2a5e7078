"""Parts of a raster: only those touched are read, each with one cell of overlap, and the last ones are kept."""

from __future__ import annotations

from collections import OrderedDict
from pathlib import Path
from typing import Any

import numpy as np

from planner.errors import FileTrouble
from planner.geometry.arrays import Floats, Integers

KEPT_BYTES = 256 * 1024 * 1024
"""Most memory that the kept parts of one raster take. [bytes]"""
_SIDE = 256
_WIDEST = 1024


class Blocks:
    """The cells of one open raster.

    A part is as large as the file's own block where that is square enough; narrow strips are read several at once,
    wide ones a part of their width.

    Args:
        dataset: An open raster dataset; this object closes it.
        path: Its file, for messages.
        kept_bytes: Most memory that the kept parts take. [bytes]
    """

    def __init__(self, dataset: Any, path: Path, *, kept_bytes: int = KEPT_BYTES) -> None:
        self._dataset, self._path, self._most = dataset, path, kept_bytes
        self._rows, self._columns = dataset.height, dataset.width
        self._part = tuple(_side(block) for block in dataset.block_shapes[0])
        flags = {flag.name for flag in dataset.mask_flag_enums[0]}
        self._masked = not flags <= {"all_valid", "nodata"}
        self._nodata: float | None = dataset.nodata
        self._kept: OrderedDict[int, Any] = OrderedDict()
        self._bytes = 0

    def four(self, corner: Integers) -> Floats:
        """Values of four cells: each corner cell, its right neighbour, the cell below, and that one's right neighbour.

        Args:
            corner: Row and column of the upper left cell, each at least one short of the raster's last. Shape (n, 2).

        Returns:
            Shape (n, 4), NaN where a cell is missing.

        Raises:
            FileTrouble: A part of the file cannot be read.
        """
        high, wide = self._part
        across = -(-self._columns // wide)
        part = (corner[:, 0] // high) * across + corner[:, 1] // wide
        order = np.argsort(part, kind="stable")
        cuts = np.flatnonzero(np.diff(part[order])) + 1
        values = np.empty((len(corner), 4))
        for some in np.split(order, cuts) if len(order) else ():
            number = int(part[some[0]])
            cells = self._cells(number)
            at = corner[some] - (number // across * high, number % across * wide)
            first = at[:, 0] * cells.shape[1] + at[:, 1]
            flat = cells.ravel()
            for k, beside in enumerate((0, 1, cells.shape[1], cells.shape[1] + 1)):
                values[some, k] = flat[first + beside]
        return self._without_nodata(values)

    def close(self) -> None:
        """Closes the file and forgets its parts."""
        self._kept.clear()
        self._bytes = 0
        self._dataset.close()

    def _cells(self, number: int) -> Any:
        if number in self._kept:
            self._kept.move_to_end(number)
            return self._kept[number]
        cells = self._read(number)
        self._kept[number] = cells
        self._bytes += cells.nbytes
        while self._bytes > self._most and len(self._kept) > 1:
            self._bytes -= self._kept.popitem(last=False)[1].nbytes
        return cells

    def _read(self, number: int) -> Any:
        from rasterio._err import CPLE_BaseError
        from rasterio.errors import RasterioError
        from rasterio.windows import Window

        high, wide = self._part
        across = -(-self._columns // wide)
        row, column = number // across * high, number % across * wide
        window = Window(column, row, min(wide + 1, self._columns - column), min(high + 1, self._rows - row))
        try:
            if self._masked:
                return self._dataset.read(1, window=window, masked=True).astype(np.float64).filled(np.nan)
            return self._dataset.read(1, window=window)
        except (RasterioError, CPLE_BaseError, MemoryError) as trouble:
            raise FileTrouble(
                f"rows {row + 1} to {row + int(window.height)} cannot be read, the file is cut short or damaged",
                where=str(self._path), remedy="copy it again from where it came from") from trouble

    def _without_nodata(self, values: Floats) -> Floats:
        if self._nodata is not None and np.isfinite(self._nodata):
            # the mark is often written with fewer digits than the cells that carry it
            values[np.abs(values - self._nodata) <= 1e-6 * abs(self._nodata)] = np.nan
        values[~np.isfinite(values)] = np.nan
        return values


def _side(block: int) -> int:
    if block < _SIDE:
        return block * -(-_SIDE // block)
    return block if block <= _WIDEST else _SIDE * 2
