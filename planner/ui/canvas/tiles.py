"""A folder of map tiles (zoom/column/row, 256 pixels square, Web Mercator) from disk; nothing is fetched from anywhere.

Source:
    Tile numbers: OGC Two Dimensional Tile Matrix Set, WebMercatorQuad. Checked in tests/ui/canvas/test_tiles.py.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np
from PySide6.QtCore import QPointF, QRect
from PySide6.QtGui import QImage, QPainter, QPolygonF, QTransform

from planner.geometry.arrays import Floats
from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.protocols import Frame
from planner.ui.canvas.view import Bounds

TILE_PX = 256
EQUATOR_M = 2.0 * math.pi * 6_378_137.0
KEPT_TILES = 256
MOST_TILES = 120
"""More tiles than this are not drawn in one picture; a coarser zoom is taken."""
AT_ONCE = 16
"""Tiles that are read before what they show is drawn."""
Key = tuple[int, int, int]
Tile = tuple[QImage, Floats]


def lonlat_of(zoom: int, column: float, row: float) -> tuple[float, float]:
    """Longitude and latitude of the upper left corner of a tile. [deg]

    Args:
        zoom: Zoom level.
        column: Column from the west.
        row: Row from the north.

    Example:
        >>> lonlat_of(1, 1, 1)
        (0.0, 0.0)
    """
    count = 2.0**zoom
    return column / count * 360.0 - 180.0, math.degrees(math.atan(math.sinh(math.pi * (1.0 - 2.0 * row / count))))


def tile_at(zoom: int, lon: float, lat: float) -> tuple[float, float]:
    """Column and row of a place, with fractions.

    Args:
        zoom: Zoom level.
        lon: Longitude. [deg]
        lat: Latitude, within 85 degrees. [deg]
    """
    count = 2.0**zoom
    return (lon + 180.0) / 360.0 * count, (1.0 - math.asinh(math.tan(math.radians(lat))) / math.pi) / 2.0 * count


class TileFolder:
    """Tiles under the map.

    Args:
        folder: Holds ``zoom/column/row.png`` (or .jpg).
        to_grid: Longitude and latitude [deg] to east and north [m], shape (n, 2) in and out.
        to_lonlat: The way back.
        wanting: Called when tiles are to be drawn that are not read; None reads them where they are drawn.

    What is not read yet is shown by a coarser tile, where one is at hand. ``wanted`` tells which are to be read,
    ``read`` reads them, in any thread, and ``keep`` takes them in, in the window's.
    """

    def __init__(self, folder: Path, *, to_grid: Callable[[Floats], Floats], to_lonlat: Callable[[Floats], Floats],
                 wanting: Callable[[], None] | None = None) -> None:
        self._folder, self._to_grid, self._to_lonlat = folder, to_grid, to_lonlat
        self.wanting = wanting
        self._kept: OrderedDict[Key, Tile | None] = OrderedDict()
        self._missing: dict[Key, None] = {}
        self._zooms = sorted(int(own.name) for own in folder.iterdir() if own.name.isdigit()) if folder.is_dir() else []

    @property
    def bounds(self) -> Bounds | None:
        """Not known without looking at every tile."""
        return None

    @property
    def zooms(self) -> tuple[int, ...]:
        """Zoom levels that are there."""
        return tuple(self._zooms)

    def draw(self, painter: QPainter, frame: Frame, rect: QRect, theme: MapColours) -> None:
        """Draws the tiles that lie under a rectangle of a frame."""
        west, south, east, north = frame.bounds(rect)
        places = np.array([(west, north), (east, north), (east, south), (west, south)])
        lonlat = self._to_lonlat(places)
        if not self._zooms or not np.isfinite(lonlat).all():
            return
        lonlat = np.column_stack((lonlat[:, 0], lonlat[:, 1].clip(-85.05, 85.05)))
        wanted = self._zoom_for(frame.units_per_px, float(lonlat[:, 1].mean()))
        for zoom in [own for own in reversed(self._zooms) if own <= wanted] or self._zooms[:1]:
            at = np.array([tile_at(zoom, lon, lat) for lon, lat in lonlat.tolist()])
            (left, top), (right, foot) = np.floor(at.min(axis=0)).astype(int), np.floor(at.max(axis=0)).astype(int)
            if (right - left + 1) * (foot - top + 1) <= MOST_TILES:
                last = 2**zoom - 1
                keys = [(zoom, column, row) for column in range(max(left, 0), min(right, last) + 1)
                        for row in range(max(top, 0), min(foot, last) + 1)]
                self._draw_keys(painter, frame, keys)
                return

    def _zoom_for(self, units_per_px: float, lat: float) -> int:
        finest = math.log2(EQUATOR_M * math.cos(math.radians(lat)) / TILE_PX / units_per_px)
        return round(finest)

    def wanted(self) -> tuple[Key, ...]:
        """The next tiles to be read, those asked for last first; the others are asked for again when drawn."""
        found = tuple(reversed(self._missing))[:AT_ONCE]
        self._missing.clear()
        return found

    def keep(self, tiles: Mapping[Key, Tile | None]) -> None:
        """Takes in tiles that were read; None for one that is not there."""
        self._kept.update(tiles)
        while len(self._kept) > KEPT_TILES:
            self._kept.popitem(last=False)

    def read(self, key: Key) -> Tile | None:
        """A tile from disk and the places of its corners in the grid; None where there is none."""
        zoom, column, row = key
        image = QImage()
        place = self._folder / str(zoom) / str(column)
        if any(image.load(str(place / f"{row}{ending}")) for ending in (".png", ".jpg", ".jpeg")):
            image = image.convertToFormat(QImage.Format.Format_RGB32)
        if image.isNull():
            return None
        corners = np.array([lonlat_of(zoom, column + i, row + j) for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))])
        return image, self._to_grid(corners)

    def _draw_keys(self, painter: QPainter, frame: Frame, keys: Sequence[Key]) -> None:
        missing = [key for key in keys if key not in self._kept]
        if missing and self.wanting is None:
            self.keep({key: self.read(key) for key in missing})
            missing = []
        coarser = {above for key in missing if (above := self._above(key)) is not None}
        for key in (*sorted(coarser), *keys):
            if key in self._kept:
                self._kept.move_to_end(key)
                tile = self._kept[key]
                if tile is not None:
                    _draw_tile(painter, frame, tile)
        if missing and self.wanting is not None:
            for key in missing:
                self._missing.pop(key, None)
                self._missing[key] = None
            self.wanting()

    def _above(self, key: Key) -> Key | None:
        """The nearest coarser tile at hand over the same ground."""
        zoom, column, row = key
        for up in range(1, zoom + 1):
            above = (zoom - up, column >> up, row >> up)
            if self._kept.get(above) is not None:
                return above
        return None


def _draw_tile(painter: QPainter, frame: Frame, tile: Tile) -> None:
    image, corners = tile
    at = np.column_stack(((corners[:, 0] - frame.left), (frame.top - corners[:, 1]))) / frame.units_per_px
    quad = QPolygonF()
    for x, y in at.tolist():
        quad.append(QPointF(x, y))
    square = QPolygonF([QPointF(*p) for p in ((0, 0), (image.width(), 0), (image.width(), image.height()),
                                             (0, image.height()))])
    place = QTransform()
    if QTransform.quadToQuad(square, quad, place):
        painter.save()
        painter.setTransform(place)
        painter.drawImage(0, 0, image)
        painter.restore()
