"""Files with bits turned, pieces cut out and ends cut off: only a reading or one sentence comes back, never a crash."""

from __future__ import annotations

import random
import zipfile
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio.raw
import pytest
import shapely

from planner.errors import PlannerError
from planner.files.read import read
from planner.survey.fixes import Reading

TRIES = 100
GPX = (
    '<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="-37.5" lon="144.5">'
    '<ele>3.5</ele><name>Gate</name></wpt><trk><name>T</name><trkseg><trkpt lat="-37.5" lon="144.5">'
    '<time>2024-03-01T02:03:04Z</time></trkpt><trkpt lat="-37.51" lon="144.5"/><trkpt lat="-37.52" lon="144.51"/>'
    "</trkseg></trk></gpx>"
)
KML = (
    '<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder><name>F</name><Placemark>'
    "<name>a</name><LineString><coordinates>144,-37,5 144.01,-37,6</coordinates></LineString></Placemark>"
    "<Placemark><name>b</name><Point>"
    "<coordinates>144,-37</coordinates></Point></Placemark></Folder></Document></kml>"
)


def sound(folder: Path, kind: str) -> Path:
    path = folder / f"source.{kind}"
    if kind in ("shp", "gpkg", "fgb", "geojson", "gml"):
        shapes = np.array([shapely.box(3e5 + i * 100, 5.8e6, 3e5 + i * 100 + 50, 5.8e6 + 50) for i in range(4)])
        names = np.array(list("abcd"), dtype=object)
        pyogrio.raw.write(
            path,
            geometry=shapely.to_wkb(shapes),
            field_data=[names],
            fields=["name"],
            geometry_type="Polygon",
            crs="EPSG:7855",
        )
    elif kind == "dxf":
        document = ezdxf.new("R12")
        space = document.modelspace()
        space.add_line((0, 0, 5), (10, 10, 6))
        space.add_circle((5, 5), 3)
        space.add_polyline2d([(0, 0, 0.5), (10, 0, 0), (10, 10, 0)], format="xyb").close()
        document.saveas(path)
    elif kind in ("zip", "kmz"):
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("doc.kml", KML)
            archive.writestr("walk.gpx", GPX)
    else:
        rows = "".join(f"{i},{500000 + i}.5,{5800000 + 3 * i}.25,{200 + i},gate,3.6\n" for i in range(12))
        path.write_text(
            {"gpx": GPX, "kml": KML, "csv": f"id,easting,northing,rl,code,width\n{rows}", "txt": rows}[kind]
        )
    return path


def damaged(content: bytes, chance: random.Random) -> bytes:
    raw = bytearray(content)
    at = chance.randrange(len(raw))
    how = chance.randrange(4)
    if how == 0:
        return bytes(raw[:at])
    if how == 1:
        for _ in range(chance.randint(1, 8)):
            raw[chance.randrange(len(raw))] ^= 1 << chance.randrange(8)
    elif how == 2:
        raw[at : at + chance.randint(1, 40)] = chance.randbytes(chance.randint(0, 20))
    else:
        start = chance.randrange(len(raw))
        raw[at:at] = raw[start : start + chance.randint(1, 60)]
    return bytes(raw)


def read_or_sentence(path: Path) -> Reading | str:
    try:
        return read(path)
    except PlannerError as trouble:
        return str(trouble)


@pytest.mark.parametrize(
    "kind", ["gpx", "kml", "kmz", "zip", "csv", "txt", "dxf", "shp", "gpkg", "fgb", "geojson", "gml"]
)
def test_only_a_reading_or_one_sentence_comes_back(tmp_path: Path, kind: str, capfd):
    path = sound(tmp_path, kind)
    assert isinstance(read(path), Reading)
    parts = {p: p.read_bytes() for p in tmp_path.iterdir()}
    chance = random.Random(f"strainwright {kind}")
    read_well = 0
    for _ in range(TRIES):
        victim = chance.choice(sorted(parts))
        victim.write_bytes(damaged(parts[victim], chance))
        reading = read_or_sentence(path)
        if isinstance(reading, str):
            assert "\n" not in reading
        else:
            read_well += 1
            assert all(np.isfinite(line.xy).all() and len(line.xy) >= 2 for line in reading.lines)
        victim.write_bytes(parts[victim])
    assert read_well > 0
    assert set(tmp_path.iterdir()) == set(parts)
    assert capfd.readouterr() == ("", "")
