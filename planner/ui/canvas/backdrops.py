"""Pictures under the lines: terrain shading and images, each as a box pyramid so that any scale draws few pixels."""

from __future__ import annotations

from typing import Any

import numpy as np
from PySide6.QtCore import QRect, QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QTransform

from planner.ui.canvas.colours import MapColours
from planner.ui.canvas.protocols import Frame
from planner.ui.canvas.relief import Affine, halved, hillshade
from planner.ui.canvas.view import Bounds

_LEAST_SIDE = 64


class TerrainShade:
    """Terrain as light and shade in the tones of the theme.

    Made by ``of`` in a worker thread: what it costs is done there.

    Args:
        shades: Brightness of the cells, then of every two by two of them, and so on. Shape (rows, columns), uint8.
        affine: From column and row of a cell's upper left corner to east and north. [m]
    """

    def __init__(self, shades: list[Any], affine: Affine) -> None:
        self._shades, self._affine = shades, affine
        self._images: dict[tuple[str, int], tuple[QImage, Any]] = {}

    @classmethod
    def of(cls, levels: Any, affine: Affine) -> TerrainShade:
        """Shading of some levels.

        Args:
            levels: Levels, NaN where unknown. [m] Shape (rows, columns).
            affine: From column and row of a cell's upper left corner to east and north. [m]
        """
        cell = float(np.sqrt(abs(affine[0] * affine[4] - affine[1] * affine[3])))
        shades = [hillshade(levels, cell)]
        while min(shades[-1].shape) > _LEAST_SIDE:
            shades.append(halved(shades[-1]))
        return cls(shades, affine)

    @property
    def bounds(self) -> Bounds:
        """The ground it covers."""
        return _bounds(self._affine, self._shades[0].shape)

    def draw(self, painter: QPainter, frame: Frame, rect: QRect, theme: MapColours) -> None:
        """Draws what of it lies under a rectangle of a frame."""
        number = _level_for(self._affine, frame.units_per_px, len(self._shades))
        key = (theme.name, number)
        if key not in self._images:
            self._images = {own: kept for own, kept in self._images.items() if own[0] == theme.name}
            self._images[key] = _toned(self._shades[number], theme)
        _draw(painter, self._images[key][0], self._affine, number, frame, rect)


class ImageLayer:
    """A georeferenced picture.

    Args:
        pixels: Red, green, blue, opacity. Shape (rows, columns, 4), uint8.
        affine: From column and row of a pixel's upper left corner to east and north. [m]
        strength: 0 not to be seen, 1 full.
    """

    def __init__(self, pixels: Any, affine: Affine, *, strength: float = 1.0) -> None:
        self._affine, self.strength = affine, strength
        self._arrays = [np.ascontiguousarray(pixels)]
        while min(self._arrays[-1].shape[:2]) > _LEAST_SIDE * 4:
            self._arrays.append(np.dstack([halved(self._arrays[-1][:, :, i]) for i in range(4)]))
        self._images = [QImage(own.data, own.shape[1], own.shape[0], own.shape[1] * 4, QImage.Format.Format_RGBA8888)
                        for own in self._arrays]

    @property
    def bounds(self) -> Bounds:
        """The ground it covers."""
        return _bounds(self._affine, self._arrays[0].shape)

    def draw(self, painter: QPainter, frame: Frame, rect: QRect, theme: MapColours) -> None:
        """Draws what of it lies under a rectangle of a frame."""
        number = _level_for(self._affine, frame.units_per_px, len(self._images))
        painter.setOpacity(self.strength)
        _draw(painter, self._images[number], self._affine, number, frame, rect)
        painter.setOpacity(1.0)


def _toned(shade: Any, theme: MapColours) -> tuple[QImage, Any]:
    """A shade as RGB32, and the array that holds its pixels."""
    dark, bright = (np.array([QColor(tone).red(), QColor(tone).green(), QColor(tone).blue()]) for tone in theme.shade)
    ramp = np.linspace(0.0, 1.0, 256)[:, None]
    red, green, blue = np.rint(dark + (bright - dark) * ramp).astype(np.uint32).T
    table = (np.uint32(0xFF000000) | red << np.uint32(16) | green << np.uint32(8) | blue).astype(np.uint32)
    pixels = np.ascontiguousarray(table[shade])
    rows, columns = pixels.shape
    return QImage(pixels.data, columns, rows, columns * 4, QImage.Format.Format_RGB32), pixels


def _level_for(affine: Affine, units_per_px: float, count: int) -> int:
    cell = np.sqrt(abs(affine[0] * affine[4] - affine[1] * affine[3]))
    return int(np.clip(np.floor(np.log2(max(units_per_px / cell, 1e-9)) + 0.3), 0, count - 1))


def _draw(painter: QPainter, image: QImage, affine: Affine, number: int, frame: Frame, rect: QRect) -> None:
    a, b, c, d, e, f = affine
    u, step = frame.units_per_px, 2.0**number
    place = QTransform(a * step / u, -d * step / u, b * step / u, -e * step / u, (c - frame.left) / u,
                       (frame.top - f) / u)
    back, possible = place.inverted()
    if not possible:
        return
    wanted = back.mapRect(QRectF(rect)).adjusted(-2, -2, 2, 2).toAlignedRect() & image.rect()
    if wanted.isEmpty():
        return
    painter.save()
    painter.setTransform(place)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawImage(QRectF(wanted), image, QRectF(wanted))
    painter.restore()


def _bounds(affine: Affine, shape: tuple[int, ...]) -> Bounds:
    a, b, c, d, e, f = affine
    corners = np.array([(a * i + b * j + c, d * i + e * j + f) for i in (0, shape[1]) for j in (0, shape[0])])
    (west, south), (east, north) = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
    return west, south, east, north
