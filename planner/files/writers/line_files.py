"""Fence lines, sections, posts, joins and pegs for other people's programs: GeoJSON and GeoPackage."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import shapely

from planner.files import geopackage
from planner.files.atomic_save import whole_file, write_text
from planner.files.derived_layers import exchange_layers
from planner.files.writers.lonlat_shapes import lonlat_pieces
from planner.geometry.arrays import Floats
from planner.job.plan import JobPlan


def write_lines_geojson(target: Path, plan: JobPlan) -> None:
    """Fence lines, sections, posts, joins and pegs as RFC 7946 GeoJSON in WGS 84.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
        GridTrouble: The working grid has no way to WGS 84 of known accuracy.
    """
    features: list[dict[str, Any]] = []
    for layer, rows, shapes in exchange_layers(plan):
        names = [name for name, _ in layer.fields]
        for row, shape, pieces in zip(rows, shapes, lonlat_pieces(shapes, plan.job.crs), strict=True):
            facts = {"layer": layer.name, **dict(zip(names, row, strict=True))}
            features.append({"type": "Feature", "geometry": _geometry(shape, pieces), "properties": facts})
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
        for layer, rows, shapes in exchange_layers(plan):
            geopackage.add_layer(database, layer, srs_id, rows, shapes)
        database.commit()


def _geometry(shape: shapely.Geometry, pieces: list[Floats]) -> dict[str, Any]:
    if shapely.get_type_id(shape) == shapely.GeometryType.POINT:
        return {"type": "Point", "coordinates": pieces[0][0].tolist()}
    if len(pieces) > 1:
        return {"type": "MultiLineString", "coordinates": [piece.tolist() for piece in pieces]}
    return {"type": "LineString", "coordinates": pieces[0].tolist()}
