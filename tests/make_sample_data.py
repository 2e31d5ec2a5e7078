"""Makes the sample farm in ``sample_data/``: an invented place, invented people, invented prices.

    python tests/make_sample_data.py [FOLDER]

The same run gives the same files. Terrain, boundary, track, creek, survey points: 3 x 2 km of rolling ground with a
ridge, a gully that runs down from it, a creek, and what stands around the fences.
"""

from __future__ import annotations

import csv
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import geopandas
import gpxpy
import gpxpy.gpx
import numpy as np
import pyogrio
import pyproj
import rasterio
import shapely
import shapely.affinity
from scipy.ndimage import gaussian_filter

from planner.spec.catalogue import load_catalogue

GRID = "EPSG:7855"  # GDA2020 / MGA zone 55
EAST, NORTH, WIDE, HIGH, CELL = 455_000.0, 5_951_000.0, 3_000.0, 2_000.0, 5.0

# Corners of the surveyed boundary and of the walked division, metres from the south-west corner of the map.
BOUNDARY = [(212.418, 318.552), (1010.236, 268.904), (1391.872, 252.117), (2148.655, 365.371), (2741.309, 322.846),
            (2811.527, 1214.663), (2702.140, 1742.985), (1884.712, 1803.276), (1120.063, 1731.447), (305.581, 1768.209),
            (187.946, 1046.330)]
DIVISION = [(247.0, 1410.0), (905.0, 1335.0), (1490.0, 1012.0), (1710.0, 300.4)]


# Invented prices: item key, pack, price of the pack. The unit is the item's own.
PRICES = """
mesh-7-90-30 200 372.00
mesh-8-90-30 200 418.00
floodgate-netting 50 96.50
plain-wire-ht 1500 187.00
plain-wire-ht 648 92.40
barbed-wire-ht 500 96.80
steel-post-1650 10 78.50
steel-post-1800 10 86.90
steel-post-2100 10 104.00
steel-post-2400 10 121.00
timber-post-1800 1 13.20
timber-post-2100 1 19.80
timber-post-2400 1 24.60
brace-wire 50 27.50
strainer-2400-150 1 34.00
strainer-2400-200 1 47.50
box-rail-2400 1 22.00
stay-3000 1 26.00
stay-block 1 8.20
footing-plate 1 11.40
brace-pin 1 2.40
gate-3600 1 286.00
gate-4200 1 324.00
steel-cable-6mm 100 248.00
cable-grip 1 2.30
floodgate-dropper 1 7.90
shackle 1 3.10
wire-tie 100 9.80
fence-staple 5 31.00
joint-sleeve 100 68.00
netting-ring 1600 28.50
labour 1 62.00
"""


def creek(x: np.ndarray) -> np.ndarray:
    """North of the creek's middle at some eastings, both from the map's corner. [m]"""
    return 640.0 + 95.0 * np.sin(x / 240.0) + 60.0 * np.sin(x / 610.0 + 1.0) - 0.03 * x


def terrain() -> np.ndarray:
    """Levels at the cell centres, north row first. [m]"""
    x = np.arange(CELL / 2, WIDE, CELL)
    y = np.arange(HIGH - CELL / 2, 0, -CELL)
    xx, yy = np.meshgrid(x, y)
    ridge = 34.0 * np.exp(-(((yy - 1390.0 - 110.0 * np.sin(xx / 520.0)) / 330.0) ** 2))
    slope = np.gradient(creek(x), x)
    off = np.abs(yy - creek(x)[None, :]) / np.sqrt(1.0 + slope[None, :] ** 2)
    valley = -8.0 * np.exp(-((off / 160.0) ** 2)) - 1.9 * np.exp(-((off / 7.0) ** 2))
    middle = 1180.0 + 0.16 * (yy - 1300.0) + 48.0 * np.sin(yy / 115.0)
    fall = np.clip((1520.0 - yy) / 300.0, 0, 1) * np.clip((yy - creek(xx)) / 120.0, 0, 1)
    gully = -9.0 * fall * np.exp(-(np.hypot(xx - middle, 1.0) - 1.0) / 40.0)
    spur_size = 2.6 * (0.8 + 0.4 * np.sin(xx / 410.0))
    wave = xx / 28.0 + 1.6 * np.sin(xx / 233.0) + 0.5 * np.sin(yy / 90.0)
    spurs = spur_size * np.sin(wave) * np.exp(-(((yy - 1770.0) / 190.0) ** 2))
    random = np.random.default_rng(20260917)
    noise = random.standard_normal(xx.shape)
    rolls = sum(a * f / f.std() for a, f in ((4.4, gaussian_filter(noise, 42)), (1.3, gaussian_filter(noise, 14)),
                                             (0.10, gaussian_filter(noise, 3))))
    return np.round(228.0 + 0.006 * xx + ridge + valley + gully + spurs + rolls, 2).astype(np.float32)


def level_at(levels: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Ground level at positions from the map's corner. [m]"""
    from scipy.ndimage import map_coordinates

    return map_coordinates(levels, [(HIGH - at[:, 1]) / CELL - 0.5, at[:, 0] / CELL - 0.5], order=1, mode="nearest")


def write_terrain(folder: Path, levels: np.ndarray) -> None:
    transform = rasterio.transform.from_origin(EAST, NORTH + HIGH, CELL, CELL)
    with rasterio.open(folder / "terrain.tif", "w", driver="GTiff", width=levels.shape[1], height=levels.shape[0],
                       count=1, dtype="float32", crs=GRID, transform=transform, nodata=-9999.0, tiled=True,
                       blockxsize=128, blockysize=128, compress="deflate", predictor=3, zlevel=9) as raster:
        raster.write(levels, 1)


def write_boundary(folder: Path) -> None:
    ring = np.array([*BOUNDARY, BOUNDARY[0]]) + np.array((EAST, NORTH))
    frame = geopandas.GeoDataFrame({"name": ["Home block"], "source": ["licensed survey"]},
                                   geometry=[shapely.Polygon(ring)], crs=GRID)
    frame.to_file(folder / "boundary.shp", encoding="utf-8", DBF_DATE_LAST_UPDATE="2026-09-17")


def write_creek(folder: Path) -> None:
    x = np.arange(0.0, WIDE + 1, 12.0)
    line = shapely.LineString(np.column_stack((x + EAST, creek(x) + NORTH)).round(2))
    target = folder / "creek.gpkg"
    target.unlink(missing_ok=True)
    pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": "2026-09-17T00:00:00.000Z"})
    geopandas.GeoDataFrame({"name": ["Tallow Creek"]}, geometry=[line], crs=GRID).to_file(target, layer="creek")


def write_around(folder: Path) -> None:
    """What stands around the fences, each thing with what it is and its facts."""
    x = np.arange(0.0, WIDE + 1, 12.0)
    flood = shapely.LineString(np.column_stack((x, creek(x)))).buffer(38.0, cap_style="flat").simplify(2.0)
    ledge = shapely.Polygon([(428, 1352), (520, 1338), (655, 1330), (668, 1402), (540, 1421), (436, 1408)])
    rows = [
        ("Home block title", "boundary", shapely.Polygon(BOUNDARY), {
            "accuracy": "survey", "neighbour": "R. Ellery", "own_land": "inside"}),
        ("Tallow Creek flat", "flood", flood, {"how_often": "high"}),
        ("Ridge ledge", "ground", ledge, {"ground_class": "ledge"}),
        ("22 kV line", "power line", shapely.LineString([(2440, 180), (2465, 900), (2492, 1900)]), {
            "lies": "above ground", "what": "power"}),
        ("Dead red gum", "tree", shapely.Point(1130, 1200), {"height": "24 m", "state": "dead"}),
        ("Shelter belt", "trees", shapely.box(2050, 1300, 2330, 1330), {"height": "9 m", "state": "sound"}),
        ("Gully trough", "trough", shapely.Point(905, 985), {}),
        ("Ridge trough", "trough", shapely.Point(1560, 1240), {}),
        ("Yards", "yards", shapely.box(1310, 1205, 1350, 1240), {}),
        ("Gully paddock", "paddock", shapely.Point(720, 820), {"use": "stock", "stock": "sheep"}),
        ("Ridge paddock", "paddock", shapely.Point(2050, 1050), {"use": "stock", "stock": "sheep"})]
    columns = list(dict.fromkeys(key for *_, said in rows for key in said))
    frame = geopandas.GeoDataFrame(
        {"name": [name for name, *_ in rows], "type": [kind for _, kind, *_ in rows],
         **{key: [said.get(key) for *_, said in rows] for key in columns}},
        geometry=[shapely.affinity.translate(shape, EAST, NORTH) for _, _, shape, _ in rows], crs=GRID)
    target = folder / "around.gpkg"
    target.unlink(missing_ok=True)
    pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": "2026-09-17T00:00:00.000Z"})
    frame.to_file(target, layer="around")


def write_track(folder: Path, levels: np.ndarray) -> None:
    random = np.random.default_rng(41)
    corners = np.array(DIVISION)
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))))
    at = np.arange(0.0, along[-1], 3.6)  # a fix every three seconds at a walk
    at = np.concatenate((at[:130], np.full(60, at[130]), at[130:]))  # three minutes at a fence post, talking
    true = np.column_stack([np.interp(at, along, corners[:, i]) for i in (0, 1)])
    steps = len(at)

    def drift(size: float, keep: float) -> np.ndarray:
        shocks = random.standard_normal(steps) * size * np.sqrt(1 - keep**2)
        out = np.empty(steps)
        out[0] = random.standard_normal() * size
        for i in range(1, steps):
            out[i] = keep * out[i - 1] + shocks[i]
        return out

    seen = true + np.column_stack((drift(2.4, 0.94), drift(2.4, 0.94)))
    height = level_at(levels, true) + drift(2.8, 0.97)
    seen[300] += (61.0, -38.0)  # one wild fix under the trees
    to_lonlat = pyproj.Transformer.from_crs(GRID, "EPSG:4326", always_xy=True)
    lon, lat = to_lonlat.transform(seen[:, 0] + EAST, seen[:, 1] + NORTH)
    gpx = gpxpy.gpx.GPX()
    gpx.creator = "handheld receiver"
    track = gpxpy.gpx.GPXTrack(name="Gully division")
    start = datetime(2026, 9, 17, 23, 5, tzinfo=UTC)
    track.segments.append(gpxpy.gpx.GPXTrackSegment([
        gpxpy.gpx.GPXTrackPoint(round(b, 7), round(a, 7), elevation=round(float(h), 1),
                                time=start + timedelta(seconds=3 * i))
        for i, (a, b, h) in enumerate(zip(lon, lat, height, strict=True))]))
    gpx.tracks.append(track)
    (folder / "division-walk.gpx").write_text(gpx.to_xml("1.1"), encoding="utf-8", newline="\n")


def write_points(folder: Path, levels: np.ndarray) -> None:
    division = shapely.LineString(DIVISION)
    x = np.arange(0.0, WIDE, 1.0)
    wet = division.intersection(shapely.LineString(np.column_stack((x, creek(x)))))
    boundary = shapely.LinearRing(BOUNDARY)
    rows: list[tuple[str, float, float, str, str]] = []
    for number, (share, width) in enumerate(((0.031, "4.2"), (0.36, "4.2"), (0.64, "3.6")), start=1):
        spot = boundary.interpolate(share, normalized=True)
        rows.append((f"G{number}", spot.x, spot.y, "gate", width))
    middle = division.interpolate(0.22, normalized=True)
    rows.append(("G4", middle.x, middle.y, "gate", "4.2"))
    rows.append(("X1", wet.x, wet.y, "crossing", "26.0"))
    water = shapely.LineString(np.column_stack((x, creek(x))))
    for number, crossing in enumerate(boundary.intersection(water).geoms, 2):
        rows.append((f"X{number}", crossing.x, crossing.y, "crossing", "30.0"))
    for number, (east, north) in enumerate(BOUNDARY, start=1):
        rows.append((f"B{number}", east, north, "corner", ""))
    for name, chosen in (("survey-points.csv", [r for r in rows if r[0] not in ("G4", "X1")]),
                         ("division-points.csv", [r for r in rows if r[0] in ("G4", "X1")])):
        height = level_at(levels, np.array([(r[1], r[2]) for r in chosen]))
        with (folder / name).open("w", newline="", encoding="utf-8") as out:
            writer = csv.writer(out, lineterminator="\n")
            writer.writerow(("point", "easting", "northing", "rl", "code", "width"))
            for (point, east, north, code, width), level in zip(chosen, height, strict=True):
                writer.writerow((point, f"{east + EAST:.3f}", f"{north + NORTH:.3f}", f"{level:.2f}", code, width))


def write_prices(folder: Path) -> None:
    units = {key: item.unit for key, item in load_catalogue().items.items()} | {"labour": "h"}
    with (folder / "prices.csv").open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(("item", "unit", "pack", "price", "supplier", "date", "tax class"))
        for item, pack, price in (row.split() for row in PRICES.strip().splitlines()):
            seller = "own crew" if item == "labour" else "Tallow Flat Rural"
            writer.writerow((item, units[item], pack, price, seller, "2026-09-01", "standard"))


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    levels = terrain()
    write_terrain(folder, levels)
    write_boundary(folder)
    write_creek(folder)
    write_around(folder)
    write_track(folder, levels)
    write_points(folder, levels)
    write_prices(folder)
    size = sum(f.stat().st_size for f in folder.iterdir())
    print(f"{folder}: {len(list(folder.iterdir()))} files, {size / 1e6:.2f} MB, "
          f"levels {levels.min():.1f} to {levels.max():.1f} m")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parents[1] / "sample_data")
