"""Files of every kind of line, each with a good line and one in trouble, with the numbers written as they are."""

from __future__ import annotations

import struct
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyogrio.raw
import pyproj

GRID = "EPSG:7855"
EAST, NORTH = 500_000.0, 5_800_000.0
GOOD = ((0.0, 0.0), (120.0, 0.0), (120.0, 50.0))
GOOD_M = 170.0
KINDS = ("gpx", "kml", "kmz", "geojson", "gml", "shp", "gpkg", "fgb", "dxf", "csv")
LONLAT = ("gpx", "kml", "kmz", "geojson")
WITH_HOLES = ("kml", "kmz", "geojson", "gml", "shp", "gpkg", "fgb")
Ring = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Shape:
    """A line or polygon.

    Attributes:
        rings: Corners of a line, or of each ring; metres east and north of the good line's start. A coordinate that is
            no number, or beyond 1e9, is written as it is.
        closed: True for a polygon.
    """

    rings: tuple[Ring, ...]
    closed: bool = False


_NAN, _INF = float("nan"), float("inf")
LINES = {
    "nan": Shape((((0, 300), (_NAN, 350), (90, 300), (90, 330)),)),
    "infinity": Shape((((0, 300), (_INF, 350), (90, 300), (90, 330)),)),
    "1e300": Shape((((0, 300), (1e300, 350), (90, 300), (90, 330)),)),
    "no length": Shape((((0, 300), (0, 300)),)),
    "repeated": Shape((((0, 300), (0, 300), (90, 300), (90, 300), (90, 300), (90, 330)),)),
    "one point": Shape((((0, 300),),)),
    "jump": Shape((((0, 300), (50, 300), (50, 4_000_300), (90, 300)),)),
    "crosses itself": Shape((((0, 300), (100, 300), (100, 350), (50, 350), (50, 250)),)),
}
RINGS = {
    "bow-tie": Shape((((0, 300), (100, 400), (100, 300), (0, 400)),), closed=True),
    "sliver": Shape((((0, 300), (100, 300), (100, 300.3), (0, 300.3)),), closed=True),
    "hole the wrong way": Shape((((0, 300), (100, 300), (100, 400), (0, 400)),
                                 ((40, 340), (60, 340), (60, 360), (40, 360))), closed=True),
    "nan in a ring": Shape((((0, 300), (100, 300), (_NAN, 350), (100, 400), (0, 400)),), closed=True),
    "ring of 1e300": Shape((((0, 300), (100, 300), (1e300, 350), (100, 400), (0, 400)),), closed=True),
    "ring of one place": Shape((((0, 300), (0, 300), (0, 300)),), closed=True),
}


def write(path: Path, shape: Shape) -> None:
    """A file of the kind that its name says, with 'Good' in its first row and 'Bad', the shape, in its second."""
    kind = path.suffix[1:]
    numbers = [_numbers(ring, kind) for ring in ((GOOD, *shape.rings))]
    if shape.closed:
        numbers[1:] = [[*ring, ring[0]] for ring in numbers[1:]]
    good, rings = numbers[0], numbers[1:]
    if kind in ("shp", "gpkg", "fgb"):
        _write_shapes(path, good, rings, closed=shape.closed)
    elif kind == "kmz":
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("doc.kml", _kml(good, rings, closed=shape.closed))
    elif kind == "dxf":
        _write_drawing(path, good, rings)
    else:
        text = {"gpx": _gpx, "kml": _kml, "geojson": _geojson, "gml": _gml, "csv": _csv}[kind]
        path.write_text(text(good, rings, closed=shape.closed), encoding="utf-8")


def _numbers(ring: Ring, kind: str) -> list[tuple[float, float]]:
    """The coordinates as they stand in the file."""
    xy = np.array(ring, dtype=float) + np.array([EAST, NORTH])
    if kind in LONLAT:
        fit = np.isfinite(xy).all(axis=1) & (np.abs(xy) < 1e9).all(axis=1)
        lonlat = np.column_stack(pyproj.Transformer.from_crs(GRID, "EPSG:7844", always_xy=True).transform(
            *np.where(fit[:, None], xy, (EAST, NORTH)).T))
        odd = ~(np.isfinite(xy) & (np.abs(xy) < 1e9))
        xy = np.where(odd, xy, lonlat)
    return [(float(x), float(y)) for x, y in xy]


def _pairs(ring: list[tuple[float, float]], between: str, after: str, *, swapped: bool = False) -> str:
    return after.join(f"{y!r}{between}{x!r}" if swapped else f"{x!r}{between}{y!r}" for x, y in ring)


def _gpx(good: list[tuple[float, float]], rings: list[list[tuple[float, float]]], *, closed: bool) -> str:
    del closed
    tracks = "".join(f"<trk><name>{name}</name><trkseg>"
                     + "".join(f'<trkpt lat="{y!r}" lon="{x!r}"/>' for x, y in ring) + "</trkseg></trk>"
                     for name, ring in (("Good", good), *(("Bad", ring) for ring in rings)))
    return f'<?xml version="1.0"?><gpx version="1.1" creator="test">{tracks}</gpx>'


def _kml(good: list[tuple[float, float]], rings: list[list[tuple[float, float]]], *, closed: bool) -> str:
    texts = [f"<coordinates>{_pairs(ring, ',', ' ')}</coordinates>" for ring in (good, *rings)]
    bad = f"<LineString>{texts[1]}</LineString>"
    if closed:
        inner = "".join(f"<innerBoundaryIs><LinearRing>{t}</LinearRing></innerBoundaryIs>" for t in texts[2:])
        bad = f"<Polygon><outerBoundaryIs><LinearRing>{texts[1]}</LinearRing></outerBoundaryIs>{inner}</Polygon>"
    return ('<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
            f"<Placemark><name>Good</name><LineString>{texts[0]}</LineString></Placemark>"
            f"<Placemark><name>Bad</name>{bad}</Placemark></Document></kml>")


def _geojson(good: list[tuple[float, float]], rings: list[list[tuple[float, float]]], *, closed: bool) -> str:
    texts = ["[" + ",".join(f"[{_json(x)},{_json(y)}]" for x, y in ring) + "]" for ring in (good, *rings)]
    shape = f'"Polygon","coordinates":[{",".join(texts[1:])}]' if closed else f'"LineString","coordinates":{texts[1]}'
    rows = [f'{{"type":"Feature","properties":{{"name":"{name}"}},"geometry":{{"type":{form}}}}}'
            for name, form in (("Good", f'"LineString","coordinates":{texts[0]}'), ("Bad", shape))]
    return f'{{"type":"FeatureCollection","features":[{",".join(rows)}]}}'


def _json(value: float) -> str:
    return "NaN" if np.isnan(value) else "Infinity" if np.isinf(value) else repr(value)


def _gml(good: list[tuple[float, float]], rings: list[list[tuple[float, float]]], *, closed: bool) -> str:
    texts = [f"<gml:posList>{_pairs(ring, ' ', ' ')}</gml:posList>" for ring in (good, *rings)]
    system = 'srsName="urn:ogc:def:crs:EPSG::7855"'
    bad = f"<gml:LineString {system}>{texts[1]}</gml:LineString>"
    if closed:
        inner = "".join(f"<gml:interior><gml:LinearRing>{t}</gml:LinearRing></gml:interior>" for t in texts[2:])
        bad = (f"<gml:Polygon {system}><gml:exterior><gml:LinearRing>{texts[1]}</gml:LinearRing></gml:exterior>{inner}"
               "</gml:Polygon>")
    rows = ((1, "Good", f"<gml:LineString {system}>{texts[0]}</gml:LineString>"), (2, "Bad", bad))
    members = "".join(f'<gml:featureMember><o:row gml:id="r{n}"><o:name>{name}</o:name><o:shape>{form}</o:shape>'
                      "</o:row></gml:featureMember>" for n, name, form in rows)
    return ('<?xml version="1.0"?><gml:FeatureCollection xmlns:gml="http://www.opengis.net/gml/3.2" '
            f'xmlns:o="urn:own">{members}</gml:FeatureCollection>')


def _csv(good: list[tuple[float, float]], rings: list[list[tuple[float, float]]], *, closed: bool) -> str:
    del closed
    rows = [f"{x!r},{y!r},{name}" for name, ring in (("Good", good), *(("Bad", ring) for ring in rings))
            for x, y in ring]
    return "\n".join(("easting,northing,line", *rows, ""))


def _write_drawing(path: Path, good: list[tuple[float, float]], rings: list[list[tuple[float, float]]]) -> None:
    """Old polylines, a vertex a record, so that every number can be written."""
    out = ["0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n6\n0\nENDSEC\n0\nSECTION\n2\nENTITIES"]
    for name, ring in (("Good", good), *(("Bad", ring) for ring in rings)):
        out.append(f"0\nPOLYLINE\n8\n{name}\n66\n1\n10\n0.0\n20\n0.0\n30\n0.0\n70\n0")
        out += [f"0\nVERTEX\n8\n{name}\n10\n{x!r}\n20\n{y!r}\n30\n0.0" for x, y in ring]
        out.append(f"0\nSEQEND\n8\n{name}")
    path.write_text("\n".join((*out, "0\nENDSEC\n0\nEOF", "")), encoding="ascii")


def _write_shapes(path: Path, good: list[tuple[float, float]], rings: list[list[tuple[float, float]]], *,
                  closed: bool) -> None:
    """Well-known binary by hand: a shape library would refuse some of it. A shapefile holds polygons or lines only."""
    plain = path.suffix != ".shp"
    told = rings if plain else [[(_stand_in(x), _stand_in(y)) for x, y in ring] for ring in rings]
    shapes = [_wkb([good], polygon=False) if plain or not closed else _wkb([[*good, good[0]]], polygon=True),
              _wkb(told, polygon=closed) if plain or len(told) == 1 else _wkb_of_parts(told)]
    form = "Unknown" if plain else "Polygon" if closed else "LineString"
    names = np.array(["Good", "Bad"], dtype=object)
    pyogrio.raw.write(path, geometry=np.array(shapes, dtype=object), field_data=[names], fields=["name"],
                      geometry_type=form, crs=GRID,
                      **({"SPATIAL_INDEX": "NO"} if plain else {}))
    if not plain:
        content = path.read_bytes()
        for value, stand_in in _STAND_INS.items():
            content = content.replace(struct.pack("<d", stand_in), struct.pack("<d", value))
        path.write_bytes(content)


_STAND_INS = {_NAN: 500_012.015625, _INF: 500_013.015625}
"""What is written to a shapefile, and then replaced in it: the library refuses to write such numbers itself."""


def _stand_in(value: float) -> float:
    return _STAND_INS[_NAN] if np.isnan(value) else _STAND_INS[_INF] if np.isinf(value) else value


def _wkb_of_parts(rings: list[list[tuple[float, float]]]) -> bytes:
    """Each ring as a polygon of its own: in a shapefile, a hole that is drawn the way of an outer ring."""
    return struct.pack("<BII", 1, 6, len(rings)) + b"".join(_wkb([ring], polygon=True) for ring in rings)


def _wkb(rings: list[list[tuple[float, float]]], *, polygon: bool) -> bytes:
    body = b"".join(struct.pack("<I", len(ring)) + b"".join(struct.pack("<dd", *pair) for pair in ring)
                    for ring in rings)
    return struct.pack("<BI", 1, 3) + struct.pack("<I", len(rings)) + body if polygon else (
        struct.pack("<BI", 1, 2) + body)
