"""Terrain rasters: ground levels between the cell centres of a file of levels, whatever its coordinate system.

Only the parts of the file that a line touches are read, and they are kept. A level that any missing cell would take
part in is unknown; nothing is made up at the edges.
"""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np

from planner.errors import FileTrouble, GridTrouble
from planner.files.readers.level_units import LEVEL_UNITS_M
from planner.files.readers.rasters import opened_raster
from planner.files.readers.terrain_blocks import Blocks
from planner.geometry.arrays import Floats
from planner.survey.datum import bring, grid_name, to_code
from planner.survey.ground import NONE, TERRAIN, Levels
from planner.survey.track_heights import quantum_of
from planner.units import Metre

LOWEST_M, HIGHEST_M = -1_000.0, 10_000.0
"""Levels outside these are no ground that a fence stands on; they count as missing, and a note says so. [m]"""
_SD_BY_CELL_M = ((2.0, 0.15, 0.05), (5.0, 0.3, 0.05), (12.0, 1.0, 0.05), (35.0, 4.0, 1.0), (np.inf, 10.0, 2.0))
"""Cell up to, standard deviation of a level, noise from place to place. [m] Common practice, no source: laser
scanning, photogrammetry, national 10 m grids, satellite grids of 1 second, anything coarser."""
_MOST_CELLS_A_UNIT = 1e9
_MOST_CELLS_ACROSS = 4_000_000


class Terrain:
    """An open terrain raster that knows ground levels in a job's working grid.

    Made by ``open_terrain``; close it, or use it in a ``with``. One thread at a time.

    Attributes:
        name: File name without its ending.
        files: The raster and the files that belong to it.
        grid: The working grid that positions are given in.
        crs: The raster's own coordinate system, as an authority code or WKT.
        cell_m: The shorter side of a cell, on the working grid. [m]
    """

    def __init__(self, dataset: Any, path: Path, *, grid: str, crs: str, allow_ballpark: bool) -> None:
        self.name, self.grid, self.crs = path.stem, grid, crs
        self.files = tuple(Path(f) for f in dataset.files) or (path,)
        self._path, self._allow_ballpark = path, allow_ballpark
        self._blocks = Blocks(dataset, path)
        self._to_cell = ~dataset.transform
        self._shape = (dataset.height, dataset.width)
        self._notes: dict[str, None] = {}
        self._factor_m, self._scale, self._offset = self._units_of(dataset)
        whole = np.dtype(dataset.dtypes[0]).kind in "iu"
        self._quantum_m: Metre | None = abs(self._scale) * self._factor_m if whole else None
        self._unreal = 0
        self.cell_m: Metre = self._cell_of(dataset.transform)
        self._sd_m, self._rough_m = next((sd, noise) for cell, sd, noise in _SD_BY_CELL_M if self.cell_m <= cell)
        self.note(
            f"standard deviation of a level {self._sd_m:g} m, taken from the {self.cell_m:.3g} m cell "
            "(common practice, no source)"
        )

    @property
    def notes(self) -> tuple[str, ...]:
        """What a person should know about the raster, one sentence each."""
        unreal = (f"{self._unreal} cell levels below {LOWEST_M:g} m or above {HIGHEST_M:g} m were taken as missing",)
        rounded = (f"levels are rounded to {self.quantum_m:.3g} m",)
        return tuple(self._notes) + (rounded if self.quantum_m else ()) + (unreal if self._unreal else ())

    @property
    def quantum_m(self) -> Metre:
        """Step to which the levels are rounded, told from the cells read so far. [m] 0.0 when they are not."""
        return self._quantum_m or 0.0

    @property
    def noise_m(self) -> Metre:
        """Noise of a level against its neighbours: by the cell, or of the rounding where that is more. [m]"""
        return float(max(self._rough_m, self.quantum_m / np.sqrt(12.0)))

    @property
    def sd_m(self) -> Metre:
        """Standard deviation of a level, by the cell, the rounding added. [m]"""
        return float(np.hypot(self._sd_m, self.quantum_m / np.sqrt(12.0)))

    def levels(self, xy: Floats) -> Levels:
        """Levels at positions, straight between the four nearest cell centres.

        Args:
            xy: Positions in the working grid, east and north. [m] Shape (n, 2).

        Returns:
            Levels; unknown outside the outermost cell centres and beside missing cells.

        Raises:
            FileTrouble: A part of the file cannot be read.
            GridTrouble: The working grid cannot be brought into the raster's coordinate system.
        """
        own = self._into_raster(np.asarray(xy, dtype=np.float64))
        level = np.full(len(own), np.nan)
        inside, corner, share = self._cells(own)
        if len(inside):
            four = self._blocks.four(corner).astype(np.float64, copy=False)
            four = self._real(four)
            self._look_for_rounding(four)
            level[inside] = _between(four, share)
        known = np.isfinite(level)
        return Levels(level, np.where(known, self.sd_m, np.nan), np.where(known, TERRAIN, NONE).astype(np.int64))

    def close(self) -> None:
        """Lets go of the file and of the parts kept."""
        self._blocks.close()

    def __enter__(self) -> Terrain:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, trouble: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def note(self, sentence: str) -> None:
        """Adds a sentence to the notes, once.

        Args:
            sentence: What a person should know.
        """
        self._notes[sentence] = None

    def _into_raster(self, xy: Floats) -> Floats:
        if self.grid == self.crs:
            return xy
        brought = bring(xy, source=self.grid, target=self.crs, allow_ballpark=self._allow_ballpark)
        for sentence in brought.notes:
            self.note(sentence)
        return brought.xy

    def _cells(self, own: Floats) -> tuple[Any, Any, Floats]:
        rows, columns = self._shape
        t, own = self._to_cell, np.where(np.isfinite(own), own, np.nan)
        column = t.a * own[:, 0] + t.b * own[:, 1] + t.c - 0.5
        row = t.d * own[:, 0] + t.e * own[:, 1] + t.f - 0.5
        slack = 1e-6  # cells; rounding of a position that stands on the outermost centres
        inside = np.flatnonzero(
            (column >= -slack) & (column <= columns - 1 + slack) & (row >= -slack) & (row <= rows - 1 + slack)
        )
        at = np.column_stack((row[inside], column[inside]))
        corner = np.clip(np.floor(at), 0, (rows - 2, columns - 2)).astype(np.int64)
        return inside, corner, np.clip(at - corner, 0.0, 1.0)

    def _real(self, four: Floats) -> Floats:
        if self._scale != 1.0 or self._offset != 0.0:
            four = four * self._scale + self._offset
        if self._factor_m != 1.0:
            four = four * self._factor_m
        unreal = (four < LOWEST_M) | (four > HIGHEST_M)
        if unreal.any():
            self._unreal += int(unreal.sum())
            four = np.where(unreal, np.nan, four)
        return four

    def _look_for_rounding(self, four: Floats) -> None:
        if self._quantum_m is None:
            seen = four[:: max(1, len(four) // 5000)].ravel()
            if np.isfinite(seen).sum() >= 16:
                self._quantum_m = quantum_of(seen)

    def _units_of(self, dataset: Any) -> tuple[Metre, float, float]:
        unit = (dataset.units[0] or "").strip()
        factor = LEVEL_UNITS_M.get(unit.lower()) if unit else 1.0
        if factor is None:
            self.note(f"the vertical unit '{unit}' is not known here; levels are taken as metres")
            factor = 1.0
        elif factor != 1.0:
            self.note(f"levels are in {unit} and were turned into metres")
        if dataset.count > 1:
            self.note(f"the file has {dataset.count} bands; the first is taken as the levels")
        return factor, float(dataset.scales[0]), float(dataset.offsets[0])

    def _cell_of(self, transform: Any) -> Metre:
        rows, columns = self._shape
        middle = np.array([columns / 2.0, rows / 2.0])
        cells = middle + np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
        own = cells @ np.array([[transform.a, transform.d], [transform.b, transform.e]]) + (transform.c, transform.f)
        if self.grid != self.crs:
            brought = bring(own, source=self.crs, target=self.grid, allow_ballpark=self._allow_ballpark)
            for sentence in brought.notes:
                self.note(sentence)
            own = brought.xy
        sides = np.hypot(*(own[1:] - own[0]).T)
        if not (np.isfinite(sides).all() and sides.min() > 0):
            raise GridTrouble(
                f"the middle of the raster has no place in the working grid {self.grid}",
                where=str(self._path),
                remedy="check the coordinate system of the raster and of the job",
            )
        if sides.max() > 1.01 * sides.min():
            self.note(f"cells are {sides[0]:.3g} m by {sides[1]:.3g} m")
        return float(sides.min())


def open_terrain(path: Path, *, grid: str, crs: str = "", allow_ballpark: bool = False) -> Terrain:
    """Opens a terrain raster: GeoTIFF, ASCII grid, or another format that keeps all its levels in one file.

    Args:
        path: The file.
        grid: Working grid of the job, as an authority code or WKT.
        crs: Coordinate system of the raster when the file states none, or states a wrong one; empty takes the file's.
        allow_ballpark: Takes datum operations of unknown accuracy.

    Raises:
        FileTrouble: The file is missing, is no raster, is a picture, or has no place or no sensible size.
        GridTrouble: The coordinate system is missing, unusable, or cannot be reached from the working grid.
    """
    if not path.exists():
        raise FileTrouble("there is no such file", where=str(path), remedy="give the path of a terrain raster")
    from rasterio._err import CPLE_BaseError

    dataset = opened_raster(path, as_what="a raster of ground levels",
                            remedy="export the levels as a GeoTIFF or an ASCII grid")
    try:
        _check_form(dataset, path)
        own, sentence = _crs_of(dataset, path, crs)
        terrain = Terrain(dataset, path, grid=to_code(grid), crs=own, allow_ballpark=allow_ballpark)
        terrain.note(sentence)
        return terrain
    except (FileTrouble, GridTrouble):
        dataset.close()
        raise
    except (CPLE_BaseError, UnicodeDecodeError) as trouble:
        dataset.close()
        raise FileTrouble("its head is damaged", where=str(path), remedy="copy it again from where it came from"
                          ) from trouble


def _check_form(dataset: Any, path: Path) -> None:
    def refuse(what: str, remedy: str) -> None:
        raise FileTrouble(what, where=str(path), remedy=remedy)

    if dataset.count == 0:
        refuse(
            "it holds no band of levels" + (" but several rasters" if dataset.subdatasets else ""),
            "export the levels as a GeoTIFF",
        )
    if min(dataset.width, dataset.height) < 2 or max(dataset.width, dataset.height) > _MOST_CELLS_ACROSS:
        refuse(
            f"its size, {dataset.width} by {dataset.height} cells, is not that of a terrain raster",
            "check the head of the file",
        )
    if np.dtype(dataset.dtypes[0]).kind not in "iuf":
        refuse(f"its values are of type {dataset.dtypes[0]}, not levels", "export the levels as plain numbers")
    if "red" in {c.name for c in dataset.colorinterp} or "palette" in {c.name for c in dataset.colorinterp}:
        refuse("it is a picture, not a raster of levels", "give the file the picture was made from")
    cell = np.array(dataset.transform[:6])
    if not np.isfinite(cell).all() or dataset.transform.determinant == 0.0 or _is_tiny(~dataset.transform):
        refuse("its cells have no size", "check the head of the file or its world file")
    if dataset.transform.is_identity:
        refuse("it has no place on the ground", "export it with its position, as a GeoTIFF or an ASCII grid")


def _is_tiny(to_cell: Any) -> bool:
    """Whether so many cells stand side by side in one unit of the file that they have no size."""
    return not np.abs([to_cell.a, to_cell.b, to_cell.d, to_cell.e]).max() < _MOST_CELLS_A_UNIT


def _crs_of(dataset: Any, path: Path, said: str) -> tuple[str, str]:
    try:
        stated = to_code(dataset.crs) if dataset.crs else ""
    except GridTrouble:
        if not said:
            raise
        stated = ""
    if said:
        named = to_code(said)
        if stated and stated != named:
            return named, f"coordinate system {grid_name(named)}, as said; the file states {grid_name(stated)}"
        return named, f"coordinate system {grid_name(named)}, as said"
    if not stated:
        raise GridTrouble(
            "the raster does not say its coordinate system",
            where=str(path),
            remedy="name it with an EPSG code, such as EPSG:26913",
        )
    return stated, f"coordinate system {grid_name(stated)}, from the file"


def _between(four: Floats, share: Floats) -> Floats:
    down, across = share[:, 0], share[:, 1]
    weights = np.column_stack(((1 - down) * (1 - across), (1 - down) * across, down * (1 - across), down * across))
    # a missing cell of no weight does no harm: a position on a cell centre has that cell's level
    return np.asarray((weights * np.where(weights == 0.0, 0.0, four)).sum(axis=1))
