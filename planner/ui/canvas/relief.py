"""Ground levels as light and shade, and as contour lines. Pure arithmetic on arrays, fit for a worker thread."""

from __future__ import annotations

from typing import Any

import numpy as np

from planner.geometry.arrays import Floats
from planner.ui.canvas.layer import VectorLayer

Affine = tuple[float, float, float, float, float, float]
"""East = a column + b row + c, north = d column + e row + f."""

MOST_CONTOURS = 400


def hillshade(levels: Any, cell_m: float, *, azimuth_deg: float = 315.0, height_deg: float = 45.0,
              steepen: float = 2.2) -> Any:
    """Brightness of a terrain lit from one side and, half as strong, from straight above.

    Args:
        levels: Levels, NaN where unknown. [m] Shape (rows, columns), rows running south.
        cell_m: Side of a cell. [m]
        azimuth_deg: Where the light comes from, clockwise from north. [deg]
        height_deg: Height of the light. [deg]
        steepen: Times by which slopes are steepened for the eye.

    Returns:
        Brightness, 0 dark to 255 bright, level ground about 190. Shape (rows, columns), uint8; 255 where unknown.

    Source:
        Cosine of the angle between light and surface: Lambert, *Photometria* (1760). Checked in
        tests/ui/canvas/test_relief.py on planes.
    """
    ground = np.asarray(levels, dtype=np.float32)
    down, across = np.gradient(ground, np.float32(cell_m / steepen))
    azimuth, height = np.radians(azimuth_deg), np.radians(height_deg)
    # rows run south, so the north slope is -down
    level = np.float32(np.cos(height))
    toward = (level * (down * np.float32(np.cos(azimuth)) - across * np.float32(np.sin(azimuth)))
              + np.float32(np.sin(height)))
    length = np.sqrt(1.0 + across**2 + down**2)
    bright = (2.0 * toward / length + 1.0 / length) / 3.0
    flat = (2.0 * float(np.sin(height)) + 1.0) / 3.0
    shade = np.clip(190.0 + (bright - flat) / flat * 260.0, 0.0, 255.0)
    return np.where(np.isfinite(shade) & np.isfinite(ground), shade, 255.0).astype(np.uint8)


def halved(values: Any) -> Any:
    """Every two by two cells as one, their mean; an odd last row or column is left out.

    Args:
        values: Shape (rows, columns), uint8.
    """
    rows, columns = values.shape[0] // 2 * 2, values.shape[1] // 2 * 2
    part = values[:rows, :columns].astype(np.uint16)
    return ((part[::2, ::2] + part[1::2, ::2] + part[::2, 1::2] + part[1::2, 1::2] + 2) // 4).astype(np.uint8)


def contours(levels: Any, at: float) -> list[Floats]:
    """Lines of one level, in columns and rows from the middle of the first cell.

    Args:
        levels: Levels, NaN where unknown. [m] Shape (rows, columns).
        at: The level. [m]

    Returns:
        Column and row of the corners of each line. Shape (n, 2) each; a closed line repeats its first corner.

    Source:
        The square-by-square method; a saddle is parted by the mean of its corners. Checked in
        tests/ui/canvas/test_relief.py on a cone and a saddle.
    """
    ground = np.asarray(levels, dtype=np.float64)
    ground = np.where(ground == at, at + 1e-9 * max(1.0, abs(at)), ground)
    above = ground > at
    known = np.isfinite(ground)
    code = (above[:-1, :-1] * 1 + above[:-1, 1:] * 2 + above[1:, 1:] * 4 + above[1:, :-1] * 8)
    whole = known[:-1, :-1] & known[:-1, 1:] & known[1:, 1:] & known[1:, :-1]
    row, column = np.nonzero((code > 0) & (code < 15) & whole)
    if not len(row):
        return []
    kind = code[row, column]
    corner = [ground[row, column], ground[row, column + 1], ground[row + 1, column + 1], ground[row + 1, column]]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = [(at - corner[i]) / (corner[j] - corner[i]) for i, j in ((0, 1), (1, 2), (3, 2), (0, 3))]
    edges = [np.column_stack((column + share[0], row)), np.column_stack((column + 1.0, row + share[1])),
             np.column_stack((column + share[2], row + 1.0)), np.column_stack((column, row + share[3]))]
    high = sum(corner) / 4.0 > at
    parts: list[Floats] = []
    for kinds, one, other, saddle in _SIDES:
        chosen = np.isin(kind, kinds)
        if saddle is not None:
            chosen &= high == saddle
        if chosen.any():
            parts.append(np.stack((edges[one][chosen], edges[other][chosen]), axis=1))
    import shapely

    lines = shapely.linestrings(np.concatenate(parts))
    merged = shapely.line_merge(shapely.multilinestrings(lines))
    return [shapely.get_coordinates(line) for line in shapely.get_parts(merged)]


_TOP, _RIGHT, _FOOT, _LEFT = range(4)
_SIDES: tuple[tuple[tuple[int, ...], int, int, bool | None], ...] = (
    ((1, 14), _TOP, _LEFT, None), ((2, 13), _TOP, _RIGHT, None), ((4, 11), _RIGHT, _FOOT, None),
    ((8, 7), _LEFT, _FOOT, None), ((3, 12), _LEFT, _RIGHT, None), ((6, 9), _TOP, _FOOT, None),
    ((5,), _TOP, _RIGHT, True), ((5,), _LEFT, _FOOT, True), ((5,), _TOP, _LEFT, False), ((5,), _RIGHT, _FOOT, False),
    ((10,), _TOP, _LEFT, True), ((10,), _RIGHT, _FOOT, True), ((10,), _TOP, _RIGHT, False),
    ((10,), _LEFT, _FOOT, False))
"""Which corners are above, and which sides of the square the line joins; for a saddle, whether its middle is above."""


def contour_layers(levels: Any, affine: Affine, *, every_m: float, index_each: int = 5) -> tuple[VectorLayer, ...]:
    """Contours every so many metres as two layers: the plain ones, and each fifth drawn stronger.

    Args:
        levels: Levels, NaN where unknown. [m] Shape (rows, columns).
        affine: From column and row of a cell's upper left corner to east and north. [m]
        every_m: Step between contours. [m] Doubled until there are no more than 400 levels.
        index_each: Each so many is stronger.
    """
    if not np.isfinite(levels).any():
        return ()
    low, high = float(np.nanmin(levels)), float(np.nanmax(levels))
    while (high - low) / every_m > MOST_CONTOURS:
        every_m *= 2.0
    a, b, c, d, e, f = affine
    plain: list[Floats] = []
    strong: list[Floats] = []
    for number in range(int(np.ceil(low / every_m)), int(np.floor(high / every_m)) + 1):
        for line in contours(levels, number * every_m):
            column, row = line[:, 0] + 0.5, line[:, 1] + 0.5
            xy = np.column_stack((a * column + b * row + c, d * column + e * row + f))
            (strong if number % index_each == 0 else plain).append(xy)
    return tuple(VectorLayer.of_lines(name, lines, role=role)
                 for name, role, lines in (("contours", "contour", plain), ("index contours", "index contour", strong))
                 if lines)
