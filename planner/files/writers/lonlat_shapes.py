"""Shapes of the working grid in longitude and latitude, cut where they cross the date line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from planner.geometry.arrays import Floats
from planner.survey.datum import bring

WGS84 = "EPSG:4326"
_DEGREE_PLACES, _LEVEL_PLACES = 8, 3


def lonlat_pieces(shapes: Sequence[shapely.Geometry], crs: str) -> list[list[Floats]]:
    """Positions of points and lines in WGS 84, each shape in the pieces that the date line leaves of it.

    Args:
        shapes: Points and line strings in the working grid.
        crs: Working grid.

    Returns:
        For each shape its pieces, one for most: longitude and latitude [deg], and level [m] where it has one.
        Longitudes run from -180 to 180.

    Raises:
        GridTrouble: The working grid has no way to WGS 84 of known accuracy.
    """
    if not len(shapes):
        return []
    array = np.asarray(shapes, dtype=object)
    flat, whose = shapely.get_coordinates(array, include_z=True, return_index=True)
    lonlat = bring(flat[:, :2], source=crs, target=WGS84).xy
    cells = np.column_stack((np.round(lonlat, _DEGREE_PLACES), np.round(flat[:, 2], _LEVEL_PLACES))) + 0.0
    starts = np.searchsorted(whose, np.arange(len(array) + 1))
    has_z = shapely.has_z(array)
    return [cut_at_date_line(cells[a:b] if z else cells[a:b, :2])
            for a, b, z in zip(starts[:-1], starts[1:], has_z, strict=True)]


def cut_at_date_line(cells: Floats) -> list[Floats]:
    """Pieces of a line none of which crosses longitude 180.

    Args:
        cells: Longitude, latitude and, if known, level of its corners. [deg] [m] Shape (n, 2) or (n, 3).

    Source:
        RFC 7946, clause 3.1.9.
    """
    pieces: list[Floats] = []
    begun = cells[:0]
    start = 0
    for k in np.flatnonzero(np.abs(np.diff(cells[:, 0])) > 180.0).tolist():
        side = np.sign(cells[k, 0])
        ahead = cells[k + 1] + np.eye(1, cells.shape[1])[0] * 360.0 * side
        share = (180.0 * side - cells[k, 0]) / (ahead[0] - cells[k, 0])
        edge = np.round(cells[k] + share * (ahead - cells[k]), 8)
        pieces.append(np.vstack((begun, cells[start:k + 1], edge)))
        begun, start = edge * np.where(np.arange(len(edge)) == 0, -1.0, 1.0)[None, :], k + 1
    return [*pieces, np.vstack((begun, cells[start:]))]
