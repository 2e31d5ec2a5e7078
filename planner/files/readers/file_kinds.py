"""What a file is, by its first bytes; its ending only decides between kinds of plain text."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from typing import Literal

from planner.errors import FileTrouble

Kind = Literal[
    "gpx", "shapefile", "geopackage", "geojson", "flatgeobuf", "kml", "kmz", "gml", "drawing", "table", "zip"
]

ENDINGS: dict[str, Kind] = {
    ".gpx": "gpx",
    ".shp": "shapefile",
    ".gpkg": "geopackage",
    ".geojson": "geojson",
    ".json": "geojson",
    ".geojsonl": "geojson",
    ".fgb": "flatgeobuf",
    ".kml": "kml",
    ".kmz": "kmz",
    ".gml": "gml",
    ".xml": "gml",
    ".dxf": "drawing",
    ".csv": "table",
    ".txt": "table",
    ".tsv": "table",
    ".zip": "zip",
}
_TABLES = (".csv", ".txt", ".tsv", ".xyz", ".pts", ".pnt", ".dat", "")
_COMPANIONS = (".shx", ".dbf", ".prj", ".cpg", ".sbn", ".sbx", ".qix")
_RASTER_ENDINGS = (
    ".tif",
    ".tiff",
    ".asc",
    ".img",
    ".hgt",
    ".dem",
    ".vrt",
    ".jp2",
    ".grd",
    ".png",
    ".jpg",
    ".jpeg",
    ".flt",
    ".bil",
)
_RASTER_MARKS = (
    b"II*\0",
    b"MM\0*",
    b"II+\0",
    b"MM\0+",
    b"\x89PNG",
    b"\xff\xd8\xff",
    b"EHFA_HEADER_TAG",
    b"\x89HDF",
    b"CDF\x01",
    b"CDF\x02",
    b"DSAA",
    b"DSBB",
)
_HEAD = 65_536
_ROOT = re.compile(
    r"\A\ufeff?\s*+(?>(?><\?.*?\?>|<!--.*?-->|<!DOCTYPE(?>[^\[>]|\[.*?\])*+>)\s*+)*+<(?:[\w.-]+:)?([\w.-]+)",
    re.DOTALL | re.IGNORECASE,
)
_DRAWING = re.compile(r"\A\ufeff?\s*(?:999[ \t]*\r?\n[^\n]*\n\s*)*0[ \t]*\r?\n[ \t]*SECTION\b")


def kind_of(path: Path) -> Kind:
    """What kind of source a file is.

    Args:
        path: A file.

    Raises:
        FileTrouble: It is missing, empty, a folder, a job, a raster, or of no kind that is read here.
    """
    where = str(path)
    if path.is_dir():
        raise FileTrouble("is a folder, not a file", where=where, remedy="name the files in it")
    if not path.is_file():
        raise FileTrouble("there is no such file", where=where, remedy="check the name and the folder")
    if path.name.lower().endswith(".job.gpkg"):
        raise FileTrouble(
            "is a job, not a source of lines",
            where=where,
            remedy="name it as the job, and give the files it was planned from as sources",
        )
    try:
        with path.open("rb") as stream:
            head = stream.read(_HEAD)
    except OSError as error:
        raise FileTrouble(
            f"cannot be read: {error.strerror or error}", where=where, remedy="check the file and its rights"
        ) from None
    if not head.strip(b"\0 \t\r\n"):
        raise FileTrouble("the file is empty", where=where, remedy="copy or export it again")
    kind = _by_bytes(path, head) or _by_text(path, head)
    if kind is None:
        raise FileTrouble(
            "is not of a kind that is read here", where=where, remedy=f"give one of {', '.join(sorted(ENDINGS))}"
        )
    return kind


def _by_bytes(path: Path, head: bytes) -> Kind | None:
    if head.startswith(_RASTER_MARKS) or head[:6].lower() == b"ncols " or head[:7].lower().startswith(b"ncols\t"):
        raise FileTrouble(
            "is a raster, which gives ground levels and no lines", where=str(path), remedy="give it as ground"
        )
    if head.startswith(b"SQLite format 3\0"):
        if path.suffix.lower() not in (".gpkg", "") and b"gpkg_contents" not in head:
            return None
        return "geopackage"
    if head.startswith(b"\0\0\x27\x0a"):
        return _shape_or_index(path)
    if head.startswith(b"fgb"):
        return "flatgeobuf"
    if head[7:22] == b" Binary DXF\r\n\x1a\0":
        return "drawing"
    return _archive(path) if head.startswith(b"PK\x03\x04") or head.startswith(b"PK\x05\x06") else None


def _shape_or_index(path: Path) -> Kind:
    if path.suffix.lower() == ".shx":
        raise _companion(path)
    return "shapefile"


def _companion(path: Path) -> FileTrouble:
    return FileTrouble(
        "is only a companion of a shapefile", where=str(path), remedy="give the .shp file of the same name"
    )


def _archive(path: Path) -> Kind:
    try:
        with zipfile.ZipFile(path) as archive:
            names = archive.namelist()
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        raise FileTrouble(
            "is a zip archive that cannot be opened", where=str(path), remedy="copy or zip it again"
        ) from None
    if "[Content_Types].xml" in names or "mimetype" in names:
        raise FileTrouble(
            "is a spreadsheet or a document", where=str(path), remedy="save the sheet as CSV and give that"
        )
    return "kmz" if path.suffix.lower() == ".kmz" or any(n == "doc.kml" for n in names) else "zip"


def _by_text(path: Path, head: bytes) -> Kind | None:
    ending = path.suffix.lower()
    if ending in _COMPANIONS:
        raise _companion(path)
    if ending in _RASTER_ENDINGS:
        raise FileTrouble(
            "is named as a raster, which gives ground levels and no lines", where=str(path), remedy="give it as ground"
        )
    text = _text(head)
    if text is None:
        return None
    if _DRAWING.match(text):
        return "drawing"
    root = _ROOT.match(text)
    if root:
        return _marked_up(root[1].lower(), text)
    start = text.lstrip("\ufeff\x1e \t\r\n")[:1]
    if start in ("{", "["):
        return "geojson" if start == "{" else None
    if ending == ".dxf":
        return "drawing"
    return "table" if ending in _TABLES or ending not in ENDINGS else None


def _text(head: bytes) -> str | None:
    if head[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return head.decode("utf-16", errors="replace")
    if head[:2] in (b"<\0", b"\0<"):
        return head.decode("utf-16-le" if head[0] else "utf-16-be", errors="replace")
    return None if b"\0" in head else head.decode("utf-8-sig", errors="replace")


def _marked_up(root: str, text: str) -> Kind | None:
    if root in ("gpx", "kml"):
        return "gpx" if root == "gpx" else "kml"
    if "ogrvrt" in text.lower():
        return None
    return "gml" if "opengis.net/gml" in text or "opengis.net/wfs" in text else None
