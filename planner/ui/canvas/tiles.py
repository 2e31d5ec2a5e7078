"""A folder of map tiles (zoom/column/row, 256 pixels square, Web Mercator) from disk; nothing is fetched from anywhere.

Source:
    Tile numbers: OGC Two Dimensional Tile Matrix Set, WebMercatorQuad. Checked in tests/ui/canvas/test_tiles.py.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable
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
    """

    def __init__(self, folder: Path, *, to_grid: Callable[[Floats], Floats],
                 to_lonlat: Callable[[Floats], Floats]) -> None:
        self._folder, self._to_grid, self._to_lonlat = folder, to_grid, to_lonlat
        self._kept: OrderedDict[tuple[int, int, int], tuple[QImage, Floats] | None] = OrderedDict()
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
                for column in range(left, right + 1):
                    for row in range(top, foot + 1):
                        self._draw_tile(painter, frame, zoom, column, row)
                return

    def _zoom_for(self, units_per_px: float, lat: float) -> int:
        finest = math.log2(EQUATOR_M * math.cos(math.radians(lat)) / TILE_PX / units_per_px)
        return round(finest)

    def _draw_tile(self, painter: QPainter, frame: Frame, zoom: int, column: int, row: int) -> None:
        tile = self._tile(zoom, column, row)
        if tile is None:
            return
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

    def _tile(self, zoom: int, column: int, row: int) -> tuple[QImage, Floats] | None:
        key = (zoom, column, row)
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        image = QImage()
        for ending in (".png", ".jpg", ".jpeg"):
            path = self._folder / str(zoom) / str(column) / f"{row}{ending}"
            if path.is_file() and image.load(str(path)):
                image = image.convertToFormat(QImage.Format.Format_RGB32)
                break
        corners = np.array([lonlat_of(zoom, column + i, row + j) for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))])
        self._kept[key] = None if image.isNull() else (image, self._to_grid(corners))
        if len(self._kept) > KEPT_TILES:
            self._kept.popitem(last=False)
        return self._kept[key]
