"""Rasters from strangers: opened only by the format that their first bytes show, and never together with other files.

Some formats are lists of other files, and even a plain GeoTIFF can name its overviews or its positions elsewhere, in
its tags or in the companions that the library looks for beside it. Such a file is refused by name.
"""

from __future__ import annotations

import mmap
import warnings
from pathlib import Path
from typing import Any

from planner.errors import FileTrouble
from planner.files.readers.closed_doors import OPTIONS, file_of_a_system

_TIFF = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
_MARKS: tuple[tuple[bytes, str], ...] = (
    *((mark, "GTiff") for mark in _TIFF), (b"\x89PNG", "PNG"), (b"\xff\xd8\xff", "JPEG"),
    (b"\0\0\0\x0cjP  ", "JP2OpenJPEG"), (b"\xff\x4f\xff\x51", "JP2OpenJPEG"), (b"EHFA_HEADER_TAG", "HFA"),
    (b"DSAA", "GSAG"), (b"DSBB", "GSBG"), (b"DSRB", "GS7BG"), (b"BM", "BMP"), (b"GIF8", "GIF"), (b"UHL1", "DTED"),
    (b"north:", "GRASSASCIIGrid"), (b"south:", "GRASSASCIIGrid"),
)
_GRID_WORDS = (b"ncols", b"nrows", b"xllcorner", b"yllcorner", b"xllcenter", b"yllcenter", b"dx", b"dy", b"cellsize")
_BY_ENDING = {".hgt": "SRTMHGT", ".flt": "EHdr", ".bil": "EHdr", ".xyz": "XYZ"}
_LISTS = (b"<VRTDataset", b"<GDAL_WMS", b"<WMS", b"<WCS", b"<WMTS", b"<OGRVRT", b"<GDALTileIndex", b"<?xml")
_ELSEWHERE = {"OVERVIEWS": "its overviews", "GEOLOCATION": "the positions of its cells"}
_PARTS_ELSEWHERE = (b"ExternalRasterDMS", b"DependentFile", b"RRDNamesList")
_REMEDY = "give the file it was made from, or export it as a GeoTIFF of its own"


def opened_raster(path: Path, *, as_what: str, remedy: str) -> Any:
    """A raster, open for reading, which no other files belong to than its own companions.

    Args:
        path: The file.
        as_what: What it is read as, for the message, such as ``a raster of ground levels``.
        remedy: What to do when it cannot be read as that.

    Raises:
        FileTrouble: It is of no format that is read here, is damaged, or reaches for other files.
    """
    import rasterio
    from rasterio._err import CPLE_BaseError
    from rasterio.errors import CRSError, NotGeoreferencedWarning, RasterioError

    def refusal(trouble: Exception | None = None) -> FileTrouble:
        return FileTrouble(f"it cannot be read as {as_what}", where=str(path), remedy=remedy)

    if not path.is_file():
        raise refusal()
    driver = _driver_of(path)
    if not driver:
        raise refusal()
    _refuse_companions(path)
    for part in (path, *(p for p in (path.with_suffix(".prj"), path.with_suffix(".PRJ")) if p.is_file())):
        if wanted := file_of_a_system(part):
            raise FileTrouble(f"its coordinate system wants another file ({wanted[:80]}), which is not opened",
                              where=str(path), remedy=_REMEDY)
    if driver == "HFA" and _holds(path, _PARTS_ELSEWHERE):
        raise FileTrouble("it keeps parts of itself in other files", where=str(path), remedy=_REMEDY)
    try:
        with warnings.catch_warnings(), rasterio.Env(**OPTIONS):
            warnings.simplefilter("ignore", NotGeoreferencedWarning)
            dataset = rasterio.open(path.resolve(), driver=driver, sharing=False)
            try:
                _refuse_elsewhere(dataset, path)
            except FileTrouble:
                dataset.close()
                raise
            return dataset
    except (RasterioError, CRSError, CPLE_BaseError, UnicodeDecodeError) as trouble:
        raise refusal() from trouble


def _driver_of(path: Path) -> str:
    """The format that the first bytes show; empty when it is none that is read."""
    with path.open("rb") as stream:
        head = stream.read(4096)
    found = next((driver for mark, driver in _MARKS if head.startswith(mark)), "")
    if found:
        return found
    start = head.lstrip(b"\xef\xbb\xbf \t\r\n")
    if start.startswith(_LISTS) or path.suffix.lower() == ".vrt":
        raise FileTrouble("it is a list of other files or services, which are not followed (a virtual raster)",
                          where=str(path), remedy=_REMEDY)
    if start[:12].lower().startswith(_GRID_WORDS):
        return "AAIGrid"
    if head[:1024].ljust(1024)[150:162].strip().isdigit() and b"\0" not in head:
        return "USGSDEM"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "WEBP"
    return _BY_ENDING.get(path.suffix.lower(), "") if not start.startswith((b"<", b"{")) else ""


def _refuse_companions(path: Path) -> None:
    """Refuses companions that the library would open by what they hold, or that name other files."""
    for name in {f"{path.name}{e}" for e in (".ovr", ".msk", ".aux", ".aux.xml", ".ovr.aux.xml", ".msk.ovr")} | {
            f"{path.stem}{e}" for e in (".ovr", ".aux", ".rrd", ".aux.xml")}:
        for beside in (path.with_name(name), path.with_name(name.upper())):
            if not beside.is_file() or beside.name == path.name:
                continue
            bad = _holds(beside, (b"OVERVIEW_FILE", b"GEOLOCATION", b"DATASET", b"SourceFilename", b"VRT")) \
                if name.endswith(".xml") else not _is_tiff(beside)
            if bad:
                raise FileTrouble(f"its companion {beside.name} reaches for other files, or is not what its name says",
                                  where=str(path), remedy="take the companion away and open it again")


def _is_tiff(path: Path) -> bool:
    with path.open("rb") as stream:
        return stream.read(4) in _TIFF


def _holds(path: Path, words: tuple[bytes, ...]) -> bool:
    if not path.stat().st_size:
        return False
    with path.open("rb") as stream, mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ) as content:
        return any(content.find(word) >= 0 for word in words)


def _refuse_elsewhere(dataset: Any, path: Path) -> None:
    for space, what in _ELSEWHERE.items():
        if space in dataset.tag_namespaces() and dataset.tags(ns=space):
            raise FileTrouble(f"it keeps {what} in other files", where=str(path), remedy=_REMEDY)
    for name in dataset.files:
        other = Path(name)
        if other.parent.resolve() != path.parent.resolve() or not other.name.lower().startswith(path.stem.lower()):
            raise FileTrouble(f"it reaches for other files ({other.name})", where=str(path), remedy=_REMEDY)
