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
    kind = "Point" if shapely.get_type_id(shape) == 0 else "LineString"
    return {"type": kind, "coordinates": cells[0].tolist() if kind == "Point" else cells.tolist()}
