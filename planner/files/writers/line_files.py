"""Fence lines, sections, posts, joins and pegs for other people's programs: GeoJSON and GeoPackage."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from planner.files import geopackage
from planner.files.atomic_save import whole_file, write_text
from planner.files.derived_layers import derived_layers
from planner.geometry.arrays import Floats
from planner.job.plan import JobPlan
from planner.survey.datum import bring

_WGS84 = "EPSG:4326"


def write_lines_geojson(target: Path, plan: JobPlan) -> None:
    """Fence lines, sections and posts as RFC 7946 GeoJSON in WGS 84.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
        GridTrouble: The working grid has no way to WGS 84 of known accuracy.
    """
    features: list[dict[str, Any]] = []
    for layer, rows, shapes in derived_layers(plan):
        for row, shape in zip(rows, shapes, strict=True):
            facts = {"layer": layer.name, **dict(zip((name for name, _ in layer.fields), row, strict=True))}
            features.append({"type": "Feature", "geometry": _lonlat_shape(shape, plan), "properties": facts})
    write_text(target, json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False,
                                  allow_nan=False) + "\n")


def write_lines_gpkg(target: Path, plan: JobPlan) -> None:
    """Fence lines, sections, posts, joins and pegs as a GeoPackage in the working grid.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
    """
    with whole_file(target) as draft, closing(sqlite3.connect(draft)) as database:
        srs_id = geopackage.begin(database, plan.job.crs)
        for layer, rows, shapes in derived_layers(plan):
            geopackage.add_layer(database, layer, srs_id, rows, shapes)
        database.commit()


def _lonlat_shape(shape: shapely.Geometry, plan: JobPlan) -> dict[str, Any]:
    flat = shapely.get_coordinates(shape, include_z=True)
    lonlat = bring(flat[:, :2], source=plan.job.crs, target=_WGS84).xy
    digits = np.column_stack((np.round(lonlat, 8), np.round(flat[:, 2], 3)))
    cells = digits if shapely.has_z(shape) else digits[:, :2]
    if shapely.get_type_id(shape) == 0:
        return {"type": "Point", "coordinates": cells[0].tolist()}
    pieces = _cut_at_date_line(cells)
    if len(pieces) > 1:
        return {"type": "MultiLineString", "coordinates": [piece.tolist() for piece in pieces]}
    return {"type": "LineString", "coordinates": cells.tolist()}


def _cut_at_date_line(cells: Floats) -> list[Floats]:
    """Pieces of a line none of which crosses longitude 180.

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
