"""Files spoilt in many small ways, with fixed seeds, and what comes of reading each: a result or one sentence."""

from __future__ import annotations

import random
import re
import time
import warnings
import zipfile
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio.raw
import shapely
from job_samples import full_job
from terrain_files import write_raster

from planner.errors import PlannerError

ROOT = Path(__file__).resolve().parents[1]
SAMPLE = ROOT / "sample_data"
KINDS = ("gpx", "kml", "kmz", "zip", "csv", "txt", "dxf", "shp", "gpkg", "fgb", "geojson", "gml", "tif", "asc", "png",
         "prices", "legs", "job")
_TAG = re.compile(rb"</?[\w:.-]+|\"[\w ]+\"\s*:|\n[ \t]*\d{1,3}\r?\n")


@dataclass
class Tally:
    """What came of the mutated files of one kind.

    Attributes:
        tries: How many were read.
        found: Read or refused, and how many of each.
        bugs: What went wrong: a traceback or more than one sentence, and of which try.
        slowest_s: Most processor time of one reading, which other work on the machine does not lengthen. [s]
    """

    tries: int = 0
    found: Counter[str] = field(default_factory=Counter)
    bugs: list[str] = field(default_factory=list)
    slowest_s: float = 0.0


def sound(folder: Path, kind: str) -> Path:
    """A sound file of a kind: one of the sample data where there is one, else one written here."""
    path = folder / {"prices": "p.csv", "legs": "l.csv", "job": "farm.job.gpkg"}.get(kind, f"source.{kind}")
    if kind == "job":
        from planner.files.job_file import write_job

        write_job(path, full_job())
    elif kind in ("tif", "asc", "png"):
        _write_cells(path, kind)
    elif kind in ("shp", "gpkg", "fgb", "geojson", "gml"):
        lines = np.array([shapely.box(3e5 + i * 100, 5.8e6, 3e5 + i * 100 + 50, 5.8e6 + 50) for i in range(6)])
        pyogrio.raw.write(path, geometry=shapely.to_wkb(lines), field_data=[np.array(list("abcdef"), dtype=object)],
                          fields=["name"], geometry_type="Polygon", crs="EPSG:7855")
    elif kind == "dxf":
        _write_drawing(path)
    else:
        path.write_bytes(_text_of(kind, folder))
    return path


def _write_cells(path: Path, kind: str) -> None:
    cells = np.add.outer(np.arange(60.0), np.arange(60.0))
    if kind == "png":
        write_raster(path, cells.astype("uint8"), west=5e5, north=6e6, driver="PNG")
        path.with_suffix(".pgw").write_text("10\n0\n0\n-10\n500005\n5999995\n")
    else:
        write_raster(path, cells.astype("float32"), west=5e5, north=6e6, driver="GTiff" if kind == "tif" else "AAIGrid")


def _write_drawing(path: Path) -> None:
    import ezdxf

    drawing = ezdxf.new("R12")
    space = drawing.modelspace()
    space.add_line((0, 0, 5), (10, 10, 6))
    space.add_circle((5, 5), 3)
    space.add_polyline2d([(0, 0, 0.5), (10, 0, 0), (10, 10, 0)], format="xyb").close()
    drawing.saveas(path)


def _text_of(kind: str, folder: Path) -> bytes:
    gpx = ('<?xml version="1.0"?><gpx version="1.1"><wpt lat="-37.5" lon="144.5"><name>Gate</name></wpt><trk><trkseg>'
           + "".join(f'<trkpt lat="{-37.5 - i / 1000}" lon="144.5"><ele>{i}</ele></trkpt>' for i in range(30))
           + "</trkseg></trk></gpx>").encode()
    kml = (b'<?xml version="1.0"?><kml><Document><Folder><name>F</name><Placemark><name>a</name><LineString>'
           b"<coordinates>144,-37,5 144.01,-37,6</coordinates></LineString></Placemark></Folder></Document></kml>")
    rows = "".join(f"{i},{500000 + i}.5,{5800000 + 3 * i}.25,{200 + i},gate,3.6\n" for i in range(12)).encode()
    if kind in ("kmz", "zip"):
        with zipfile.ZipFile(folder / "made", "w") as archive:
            archive.writestr("doc.kml", kml)
            archive.writestr("walk.gpx", gpx)
        made = (folder / "made").read_bytes()
        (folder / "made").unlink()
        return made
    return {"gpx": gpx, "kml": kml, "txt": rows, "csv": b"id,easting,northing,rl,code,width\n" + rows,
            "legs": b"bearing,distance\n90 10 20,100\n180,50.5 ft\n270,99\n0,51\n",
            "prices": b"item,unit,pack,price,supplier,dated,tax class\nstrainer-2400-200,each,1,25.50,A,2026-01-05,"
                      b"standard\npost-1800-75,each,10,80,B,5/1/2026,standard\n"}[kind]


def spoilt(content: bytes, chance: random.Random) -> bytes:
    """The content with bits flipped, cut off, parts replaced, repeated or swapped, or its tags shuffled."""
    raw = bytearray(content) or bytearray(b"\0")
    at, how = chance.randrange(len(raw)), chance.randrange(6)
    if how == 0:
        return bytes(raw[:at])
    if how == 1:
        for _ in range(chance.randint(1, 8)):
            raw[chance.randrange(len(raw))] ^= 1 << chance.randrange(8)
    elif how == 2:
        raw[at:at + chance.randint(1, 40)] = chance.randbytes(chance.randint(0, 20))
    elif how == 3:
        start = chance.randrange(len(raw))
        raw[at:at] = raw[start:start + chance.randint(1, 60)]
    elif how == 4:
        for i in range(at, min(at + 4, len(raw))):
            raw[i] = chance.choice((0x00, 0x7F, 0x80, 0xFF))
    else:
        tags = [m.span() for m in _TAG.finditer(content)]
        if len(tags) > 1:
            (a, b), (c, d) = sorted(chance.sample(tags, 2))
            return content[:a] + content[c:d] + content[b:c] + content[a:b] + content[d:]
        raw.reverse()
    return bytes(raw)


def read_as(kind: str, path: Path) -> Any:
    """Reads a file as its kind is read."""
    if kind == "job":
        from planner.files.job_file import read_job

        return read_job(path)
    if kind in ("tif", "asc"):
        from planner.files.readers.terrain import open_terrain

        with open_terrain(path, grid="EPSG:7855", crs="EPSG:7855") as terrain:
            return terrain.levels(np.array([[500_100.0, 5_999_800.0], [500_300.0, 5_999_700.0]]))
    if kind == "png":
        from planner.files.readers.image import read_backdrop

        return read_backdrop(path, "EPSG:7855")
    if kind == "prices":
        from planner.files.readers.price_list import read_price_list
        from planner.spec.catalogue import load_catalogue

        return read_price_list(path, load_catalogue().items)
    if kind == "legs":
        from planner.files.readers.leg_table import read_legs

        return read_legs(path)
    from planner.files.read import read

    return read(path)


def tally(folder: Path, kind: str, tries: int, *, seconds: float = float("inf")) -> Tally:
    """Reads mutated files of a kind.

    Args:
        folder: An empty folder.
        kind: One of ``KINDS``.
        tries: How many.
        seconds: Time after which it stops. [s]
    """
    path, result, chance = sound(folder, kind), Tally(), random.Random(f"strainwright mutations {kind}")
    read_as(kind, path)
    parts = {p: p.read_bytes() for p in folder.iterdir()}
    until = time.monotonic() + seconds
    while result.tries < tries and time.monotonic() < until:
        victim = chance.choice(sorted(parts))
        victim.write_bytes(spoilt(parts[victim], chance))
        started = time.process_time()
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                read_as(kind, path)
            result.found["read"] += 1
        except PlannerError as trouble:
            result.found["refused"] += 1
            if "\n" in str(trouble):
                result.bugs.append(f"{kind}, try {result.tries}: more than one line: {trouble!s:.200}")
        except Exception as bug:  # noqa: BLE001 - a bug in a reader is what is looked for
            result.bugs.append(f"{kind}, try {result.tries}: {type(bug).__name__}: {bug!s:.200}")
        result.slowest_s = max(result.slowest_s, time.process_time() - started)
        result.tries += 1
        victim.write_bytes(parts[victim])
    return result
