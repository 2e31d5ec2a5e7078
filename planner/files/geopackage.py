"""OGC GeoPackage, written with sqlite3: the container of a job and of the lines that go out.

Source:
    OGC 12-128r18 GeoPackage Encoding Standard 1.3.1, clauses 1.1 (base), 2.1 (features), 2.3 (extensions),
    2.4 (attributes). Checked in tests/files/test_job_file.py by reading every layer through GDAL.
"""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyproj
import shapely

APPLICATION_ID = 0x47504B47
USER_VERSION = 10301
_OWN_CODE = 100_001
_UNDEFINED = -1

_BASE = """
CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT NOT NULL, srs_id INTEGER PRIMARY KEY, organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT);
CREATE TABLE gpkg_contents (table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE,
  description TEXT DEFAULT '', last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL, z TINYINT NOT NULL, m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name), CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_extensions (table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL,
  definition TEXT NOT NULL, scope TEXT NOT NULL, CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));
"""


@dataclass(frozen=True, slots=True)
class Layer:
    """A feature table.

    Attributes:
        name: Table name.
        geometry: GeoPackage geometry type name, such as ``LINESTRING``.
        fields: Field name to SQL type, in order.
        has_z: True when every position has a level.
        description: What it holds, for whoever opens it in another program.
    """

    name: str
    geometry: str
    fields: tuple[tuple[str, str], ...]
    has_z: bool = False
    description: str = ""


def begin(database: sqlite3.Connection, crs: str) -> int:
    """Makes an empty GeoPackage.

    Args:
        database: An empty database.
        crs: Coordinate system of its feature tables, as an authority code or WKT; empty while none is chosen.

    Returns:
        The srs_id under which that system is registered.
    """
    database.executescript(f"PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {USER_VERSION};{_BASE}")
    rows = [
        ("Undefined Cartesian SRS", -1, "NONE", -1, "undefined", "undefined Cartesian coordinate reference system"),
        ("Undefined geographic SRS", 0, "NONE", 0, "undefined", "undefined geographic coordinate reference system"),
        ("WGS 84 geodetic", 4326, "EPSG", 4326, pyproj.CRS(4326).to_wkt("WKT1_GDAL"), "longitude/latitude, WGS 84"),
    ]
    code = _UNDEFINED
    if crs:
        system = pyproj.CRS.from_user_input(crs)
        authority = system.to_authority(min_confidence=100) if crs.upper().startswith(("EPSG:", "ESRI:")) else None
        organization, code = (authority[0], int(authority[1])) if authority else ("NONE", _OWN_CODE)
        if code != 4326:
            rows.append((system.name, code, organization, code, system.to_wkt("WKT1_GDAL"), system.name))
    database.executemany("INSERT INTO gpkg_spatial_ref_sys VALUES (?,?,?,?,?,?)", rows)
    return code


def add_layer(database: sqlite3.Connection, layer: Layer, srs_id: int, rows: Iterable[tuple[Any, ...]],
              shapes: Sequence[shapely.Geometry]) -> None:
    """Adds a feature table with its rows.

    Args:
        database: A GeoPackage.
        layer: What the table is.
        srs_id: Coordinate system, as ``begin`` returned it.
        rows: Values of the fields, one tuple a feature.
        shapes: Geometry of each feature.
    """
    columns = "".join(f', "{name}" {kind}' for name, kind in layer.fields)
    database.execute(f'CREATE TABLE "{layer.name}" (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, '
                     f"geom {layer.geometry}{columns})")
    bounds = shapely.total_bounds(np.asarray(shapes, dtype=object)) if len(shapes) else [None] * 4
    _register(database, layer.name, "features", layer.description, srs_id, bounds)
    database.execute("INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', ?, ?, ?, 0)",
                     (layer.name, layer.geometry, srs_id, int(layer.has_z)))
    slots = ", ".join("?" * (len(layer.fields) + 1))
    names = ", ".join(["geom", *(f'"{name}"' for name, _ in layer.fields)])
    blobs = encode(shapes, srs_id)
    database.executemany(f'INSERT INTO "{layer.name}" ({names}) VALUES ({slots})',
                         ((blob, *row) for blob, row in zip(blobs, rows, strict=True)))


def add_table(database: sqlite3.Connection, name: str, fields: tuple[tuple[str, str], ...],
              rows: Iterable[tuple[Any, ...]], *, description: str, extension: str, definition: str) -> None:
    """Adds a table without geometry, registered as attributes and under an extension.

    Args:
        database: A GeoPackage.
        name: Table name.
        fields: Field name and SQL type, in order.
        rows: Values, one tuple a row.
        description: What it holds.
        extension: Extension name.
        definition: Where the extension is described.
    """
    columns = "".join(f', "{field}" {kind}' for field, kind in fields)
    database.execute(f'CREATE TABLE "{name}" (id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL{columns})')
    _register(database, name, "attributes", description, 0, [None] * 4)
    database.execute("INSERT INTO gpkg_extensions VALUES (?, NULL, ?, ?, 'write-only')", (name, extension, definition))
    slots, names = ", ".join("?" * len(fields)), ", ".join(f'"{field}"' for field, _ in fields)
    database.executemany(f'INSERT INTO "{name}" ({names}) VALUES ({slots})', rows)


def encode(shapes: Sequence[shapely.Geometry], srs_id: int) -> list[bytes]:
    """Geometries as GeoPackage blobs: header with envelope, then WKB.

    Args:
        shapes: Geometries, none empty.
        srs_id: Coordinate system.

    Source:
        OGC 12-128r18, clause 2.1.3.1.1, table 5.
    """
    if not len(shapes):
        return []
    array = np.asarray(shapes, dtype=object)
    bodies = shapely.to_wkb(array, output_dimension=3, byte_order=1, flavor="iso")
    head = b"GP\x00\x03" + struct.pack("<i", srs_id)
    return [head + struct.pack("<4d", x0, x1, y0, y1) + body
            for (x0, y0, x1, y1), body in zip(shapely.bounds(array).tolist(), bodies, strict=True)]


def decode(blob: bytes) -> shapely.Geometry:
    """A GeoPackage blob as a geometry.

    Args:
        blob: Header and WKB, with any of the standard's envelopes.

    Raises:
        ValueError: It is not a GeoPackage blob.
    """
    if len(blob) < 8 or blob[:2] != b"GP":
        raise ValueError("not a GeoPackage geometry")
    envelope = (0, 32, 48, 48, 64)[min((blob[3] >> 1) & 7, 4)]
    try:
        return shapely.from_wkb(blob[8 + envelope:])
    except shapely.errors.GEOSException as trouble:
        raise ValueError("broken geometry") from trouble


def _register(database: sqlite3.Connection, table: str, kind: str, description: str, srs_id: int,
              bounds: Sequence[float | None]) -> None:
    box = [None if b is None else float(b) for b in bounds]
    database.execute(
        "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, min_x, min_y, max_x, max_y, srs_id)"
        " VALUES (?,?,?,?,?,?,?,?,?)", (table, kind, table, description, *box, srs_id if kind == "features" else None))
