"""Files that a stranger might send to make the program reach for what is not in them; each maker writes one case.

Every case stands in a folder of its own. What it points at stands in the folder ``outside``; the address it names is
one on this machine where the test listens.
"""

from __future__ import annotations

import json
import sqlite3
import struct
import warnings
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyogrio.raw
import shapely
from job_samples import full_job
from terrain_files import write_raster

GPX_LINE = ('<trk><name>T</name><trkseg><trkpt lat="-37.5" lon="144.5"/><trkpt lat="-37.51" lon="144.5"/></trkseg>'
            "</trk>")
KML_LINE = ("<Placemark><name>a</name><LineString><coordinates>144,-37,5 144.01,-37,6</coordinates></LineString>"
            "</Placemark>")
BOMB = '<!ENTITY e0 "ha">' + "".join(f'<!ENTITY e{i + 1} "{f"&e{i};" * 10}">' for i in range(12))
VECTOR_VRT = ('<OGRVRTDataSource><OGRVRTLayer name="secret"><SrcDataSource relativeToVRT="0">{target}</SrcDataSource>'
              "</OGRVRTLayer></OGRVRTDataSource>")
RASTER_VRT = ('<VRTDataset rasterXSize="{size}" rasterYSize="{size}"><SRS>EPSG:7855</SRS>'
              "<GeoTransform>500000,10,0,6000000,0,-10</GeoTransform>"
              '<VRTRasterBand dataType="Float32" band="1"><SimpleSource><SourceFilename relativeToVRT="0">{target}'
              '</SourceFilename><SourceBand>1</SourceBand></SimpleSource></VRTRasterBand></VRTDataset>')


@dataclass(frozen=True)
class World:
    """Where one case is made.

    Attributes:
        folder: Folder of its own.
        outside: Folder with what must not be opened.
        address: Address that must not be asked.
    """

    folder: Path
    outside: Path
    address: str


@dataclass(frozen=True)
class Case:
    """A hostile file and what must come of it.

    Attributes:
        reader: Who reads it: lines, terrain, picture, prices, legs or job.
        make: Writes it; gives its path.
        told: Words of the refusal or of the finding by which it is neutralised; empty when nothing need be said.
        refused: True when it must be refused, False when it must be read without harm.
        variables: Environment variables set while it is read.
    """

    reader: str
    make: Callable[[World], Path]
    told: str = ""
    refused: bool = True
    variables: tuple[tuple[str, str], ...] = ()


def make_outside(folder: Path) -> None:
    """Writes what must not be opened: a raster, a shapefile, a table, a grid shift file, a schema, a database."""
    folder.mkdir()
    raster(folder / "secret.tif")
    shapes(folder / "secret.shp")
    (folder / "secret.csv").write_text("id,x,y\nA,500000,6000000\nB,500100,6000000\n")
    (folder / "secret.gsb").write_bytes(b"NUM_OREC" + bytes(400))
    (folder / "secret.xsd").write_text('<schema xmlns="http://www.w3.org/2001/XMLSchema"/>')
    (folder / "secret.prj").write_text('GEOGCS["x"]')
    shapes(folder / "secret.gpkg")


def raster(path: Path, **more: object) -> Path:
    cells = np.add.outer(np.arange(60.0), np.arange(60.0)).astype("float32") + 100
    return write_raster(path, cells, west=500_000, north=6_000_000, **more)


def shapes(path: Path, **more: object) -> Path:
    lines = np.array([shapely.LineString([(500_000 + 10 * i, 6_000_000), (500_400, 6_000_300)]) for i in range(4)])
    pyogrio.raw.write(path, geometry=shapely.to_wkb(lines), field_data=[np.array(list("abcd"), dtype=object)],
                      fields=["name"], geometry_type="LineString", crs="EPSG:7855", **more)
    return path


def text(name: str, content: str) -> Callable[[World], Path]:
    def make(world: World) -> Path:
        path = world.folder / name
        path.write_text(filled(content, world))
        return path

    return make


def filled(content: str, world: World) -> str:
    return content.replace("@OUT@", str(world.outside)).replace("@NET@", world.address)


def archive(name: str, members: Callable[[zipfile.ZipFile, World], None]) -> Callable[[World], Path]:
    def make(world: World) -> Path:
        with zipfile.ZipFile(world.folder / name, "w", zipfile.ZIP_DEFLATED) as out:
            members(out, world)
        return world.folder / name

    return make


def _zeros(out: zipfile.ZipFile, world: World) -> None:
    with out.open("walk.gpx", "w", force_zip64=True) as member:
        for _ in range(300):
            member.write(bytes(2**20))


@contextmanager
def _database(path: Path) -> Iterator[sqlite3.Connection]:
    with closing(sqlite3.connect(path)) as database:
        database.execute("PRAGMA trusted_schema = ON")
        yield database
        database.commit()


def geopackage(*statements: str) -> Callable[[World], Path]:
    def make(world: World) -> Path:
        path = shapes(world.folder / "farm.gpkg")
        with _database(path) as database:
            for statement in statements:
                database.execute(filled(statement, world))
        return path

    return make


REGISTERED = (
    "INSERT INTO gpkg_contents (table_name, data_type, identifier, srs_id) VALUES ('reach', 'features', 'reach', 7855)",
    "INSERT INTO gpkg_geometry_columns VALUES ('reach', 'geom', 'LINESTRING', 7855, 0, 0)")


def forged_table(sql: str, *, name: str = "reach", kind: str = "table") -> Callable[[World], Path]:
    """A GeoPackage with an entry in its list of tables that this machine's SQLite would not make itself."""
    def make(world: World) -> Path:
        path = shapes(world.folder / "farm.gpkg")
        with _database(path) as database:
            _forge(database, filled(sql, world), name, kind)
            database.execute("INSERT INTO gpkg_contents (table_name, data_type, identifier, srs_id) VALUES (?, "
                             "'features', ?, 7855)", (name, name))
            database.execute("INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', 'LINESTRING', 7855, 0, 0)", (name,))
        return path

    return make


def _forge(database: sqlite3.Connection, sql: str, name: str, kind: str) -> None:
    database.execute("PRAGMA writable_schema = ON")
    database.execute("INSERT INTO sqlite_master VALUES (?, ?, ?, 0, ?)", (kind, name, name, sql))
    database.execute("PRAGMA writable_schema = OFF")


def job(*statements: str, forged: str = "", kind: str = "table") -> Callable[[World], Path]:
    from planner.files.job_file import write_job

    def make(world: World) -> Path:
        path = world.folder / "farm.job.gpkg"
        write_job(path, full_job())
        with _database(path) as database:
            for statement in statements:
                database.execute(filled(statement, world))
            if forged:
                _forge(database, filled(forged, world), "reach", kind)
        return path

    return make


def swollen_job(world: World) -> Path:
    """A job whose levels are a gigabyte of zeros in a megabyte."""
    path = job()(world)
    packer = zlib.compressobj(9)
    swollen = b"".join(packer.compress(bytes(2**24)) for _ in range(64)) + packer.flush()
    with _database(path) as database:
        database.execute("UPDATE strainwright_levels SET level_m = ?", (swollen,))
    return path


def shapefile(**companions: str) -> Callable[[World], Path]:
    def make(world: World) -> Path:
        path = shapes(world.folder / "fence.shp")
        for ending, content in companions.items():
            path.with_suffix(f".{ending.replace('_', '.')}").write_text(filled(content, world))
        return path

    return make


def tif(name: str = "ground.tif", *, tags: dict[str, dict[str, str]] | None = None,
        **companions: str) -> Callable[[World], Path]:
    import rasterio

    def make(world: World) -> Path:
        path = raster(world.folder / name)
        if tags:
            with rasterio.open(path, "r+") as dataset:
                for space, items in tags.items():
                    dataset.update_tags(ns=space, **{k: filled(v, world) for k, v in items.items()})
        for ending, content in companions.items():
            whole = ending.startswith("tif")
            ending = ending.replace("_", ".")
            beside = path.with_name(f"{path.stem}.{ending}" if whole else f"{path.name}.{ending}")
            beside.write_text(filled(content, world))
        return path

    return make


def vrt(name: str) -> Callable[[World], Path]:
    return text(name, RASTER_VRT.format(size=60, target="@OUT@/secret.tif"))


def ascii_grid(system: str) -> Callable[[World], Path]:
    def make(world: World) -> Path:
        path = text("ground.asc", "ncols 3\nnrows 2\nxllcorner 500000\nyllcorner 5999000\ncellsize 10\n1 2 3\n4 5 6\n")(
            world)
        path.with_suffix(".prj").write_text(filled(system, world))
        return path

    return make


def huge_tif(width: int, height: int, *, tiled: bool = True) -> Callable[[World], Path]:
    """A GeoTIFF of a few hundred bytes that claims to be enormous."""
    def make(world: World) -> Path:
        path = raster(world.folder / "huge.tif")
        raw = bytearray(path.read_bytes())
        at = struct.unpack_from("<I", raw, 4)[0]
        for k in range(struct.unpack_from("<H", raw, at)[0]):
            entry = at + 2 + 12 * k
            tag = struct.unpack_from("<H", raw, entry)[0]
            if tag in (256, 257):
                struct.pack_into("<HHII", raw, entry, tag, 4, 1, width if tag == 256 else height)
        path.write_bytes(raw)
        return path

    return make


def bad_png(width: int, height: int) -> Callable[[World], Path]:
    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    def make(world: World) -> Path:
        path = world.folder / "huge.png"
        path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
                         + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b""))
        path.with_suffix(".pgw").write_text("1\n0\n0\n-1\n500000\n6000000\n")
        return path

    return make


def many_entities(count: int) -> Callable[[World], Path]:
    def make(world: World) -> Path:
        path = world.folder / "many.dxf"
        one = "0\nPOINT\n8\n0\n10\n500000.0\n20\n6000000.0\n"
        with path.open("w") as out:
            out.write("0\nSECTION\n2\nENTITIES\n")
            for _ in range(count // 10_000):
                out.write(one * 10_000)
            out.write("0\nENDSEC\n0\nEOF\n")
        return path

    return make


def _geojson(crs: object) -> str:
    return json.dumps({"type": "FeatureCollection", "crs": crs, "features": [
        {"type": "Feature", "properties": {"name": "a"}, "geometry": {
            "type": "LineString", "coordinates": [[144, -37], [144.1, -37]]}}]})


def _gml(srs: str, more: str = "", attributes: str = "") -> str:
    return ('<?xml version="1.0"?><ogr:FeatureCollection xmlns:ogr="http://ogr.maptools.org/" '
            'xmlns:gml="http://www.opengis.net/gml" xmlns:xlink="http://www.w3.org/1999/xlink" '
            f'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" {attributes}><gml:featureMember><ogr:fence>'
            f'<ogr:geometryProperty><gml:LineString srsName="{srs}"><gml:coordinates>500000,6000000 500100,6000000'
            f"</gml:coordinates></gml:LineString></ogr:geometryProperty>{more}</ogr:fence></gml:featureMember>"
            "</ogr:FeatureCollection>")


GRIDDED = ('PROJCS["x",GEOGCS["y",DATUM["z",SPHEROID["GRS 1980",6378137,298.257222101],EXTENSION["PROJ4_GRIDS",'
           '"@OUT@/secret.gsb"]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],'
           'PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",0],PARAMETER["central_meridian",147],'
           'PARAMETER["scale_factor",0.9996],PARAMETER["false_easting",500000],PARAMETER["false_northing",10000000],'
           'UNIT["metre",1]]')
STREAMED = json.dumps({"type": "gdal_streamed_alg", "gdal_version": "3110000",
                       "command_line": "gdal vector pipeline ! read @OUT@/secret.shp ! write stream"})
ELSEWHERE = RASTER_VRT.format(size=30, target="@OUT@/secret.tif")
PAM = ('<PAMDataset><Metadata domain="OVERVIEWS"><MDI key="OVERVIEW_FILE">@OUT@/secret.tif</MDI></Metadata>'
       '<Metadata domain="GEOLOCATION"><MDI key="X_DATASET">@OUT@/secret.tif</MDI><MDI key="Y_DATASET">'
       "@OUT@/secret.tif</MDI></Metadata></PAMDataset>")
VARIABLES = (("GDAL_VRT_ENABLE_PYTHON", "YES"), ("GML_DOWNLOAD_SCHEMA", "YES"), ("GML_SKIP_RESOLVE_ELEMS", "NONE"),
             ("GDAL_HTTP_UNSAFESSL", "YES"), ("SHAPE_RESTORE_SHX", "YES"), ("OGR_SQLITE_ALLOW_EXTERNAL_ACCESS", "YES"),
             ("OGR_SQLITE_LOAD_EXTENSIONS", "@OUT@/secret.gsb"), ("GDAL_PAM_ENABLED", "YES"))

CASES: dict[str, Case] = {
    "entity bomb in GPX": Case("lines", text("bomb.gpx", f'<?xml version="1.0"?><!DOCTYPE gpx [{BOMB}]>'
                               f'<gpx version="1.1"><metadata><name>&e12;</name></metadata>{GPX_LINE}</gpx>'),
                               r"document type definition", refused=False),
    "entity bomb in KML": Case("lines", text("bomb.kml", f'<?xml version="1.0"?><!DOCTYPE kml [{BOMB}]>'
                               f"<kml><Document><name>&e12;</name>{KML_LINE}</Document></kml>"), r"undefined entity"),
    "entity bomb in GML": Case("lines", text("bomb.gml", _gml("EPSG:7855", "<ogr:name>&e12;</ogr:name>").replace(
        "<ogr:FeatureCollection", f'<!DOCTYPE x [{BOMB}]><ogr:FeatureCollection', 1)),
        r"undefined entity"),
    "external entity in GPX": Case("lines", text("file.gpx", '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY x SYSTEM '
                                   f'"file://@OUT@/secret.csv">]><gpx version="1.1">{GPX_LINE}<wpt lat="-37" lon="144">'
                                   "<name>&x;</name></wpt></gpx>"), r"document type definition", refused=False),
    "external entity in KML": Case("lines", text("file.kml", '<?xml version="1.0"?><!DOCTYPE kml [<!ENTITY x SYSTEM '
                                   f'"@NET@/x">]><kml><Document><name>&x;</name>{KML_LINE}</Document></kml>'),
                                   r"undefined entity"),
    "external definition in GML": Case("lines", text("dtd.gml", _gml("EPSG:7855").replace(
        "<ogr:FeatureCollection", '<!DOCTYPE x SYSTEM "@NET@/x.dtd"><ogr:FeatureCollection', 1)),
        r"document type definition", refused=False),
    "schema of GML in another folder": Case("lines", text("schema.gml", _gml(
        "EPSG:7855", attributes='xsi:schemaLocation="http://ogr.maptools.org/ @OUT@/secret.xsd"')), refused=False),
    "schema of GML on the network": Case("lines", text("schema.gml", _gml(
        "EPSG:7855", attributes='xsi:schemaLocation="http://ogr.maptools.org/ @NET@/x.xsd"')), refused=False),
    "link in GML": Case("lines", text("link.gml", _gml(
        "EPSG:7855", '<ogr:other xlink:href="@NET@/x.gml#a"/>')), refused=False),
    "system of GML on the network": Case("lines", text("srs.gml", _gml("@NET@/x")), refused=False),
    "system of GML in another file": Case("lines", text("srs.gml", _gml("@OUT@/secret.prj")), refused=False),
    "network link in KML": Case("lines", text(
        "net.kml", f"<kml><Document><NetworkLink><Link><href>@NET@/x.kml</href></Link></NetworkLink>{KML_LINE}"
        "</Document></kml>"), r"links to other places are not followed", refused=False),
    "remote icon and style in KML": Case("lines", text(
        "icon.kml", '<kml><Document><Style id="s"><IconStyle><Icon><href>@NET@/i.png</href></Icon></IconStyle></Style>'
        f"{KML_LINE.replace('<name>', '<styleUrl>@NET@/s.kml#s</styleUrl><name>')}</Document></kml>"), refused=False),
    "ground overlay in KML": Case("lines", text(
        "overlay.kml", "<kml><Document><GroundOverlay><Icon><href>@OUT@/secret.tif</href></Icon></GroundOverlay>"
        f"{KML_LINE}</Document></kml>"), refused=False),
    "zip bomb": Case("lines", archive("bomb.zip", _zeros), r"grows out of all proportion"),
    "zip slip": Case("lines", archive("slip.zip", lambda out, world: out.writestr("../../slip.gpx", "x")),
                     r"wants to be unpacked elsewhere"),
    "zip slip with an absolute name": Case(
        "lines", archive("slip.zip", lambda out, world: out.writestr("/tmp/slip.gpx", "x")),
        r"wants to be unpacked elsewhere"),
    "virtual file as a source": Case("lines", text("v.vrt", VECTOR_VRT.format(target="@OUT@/secret.shp")),
                                     r"raster|not of a kind"),
    "virtual file named as a shapefile": Case("lines", text("v.shp", VECTOR_VRT.format(target="@OUT@/secret.shp")),
                                              r"not of a kind"),
    "virtual file named as GML": Case("lines", text(
        "v.gml", f"<!-- opengis.net/gml -->{VECTOR_VRT.format(target='@OUT@/secret.shp')}"), r"not of a kind"),
    "virtual file named as GeoJSON": Case("lines", text("v.geojson", VECTOR_VRT.format(target="@NET@/x.shp")),
                                          r"not of a kind"),
    "command to stream another file, as GeoJSON": Case("lines", text("s.geojson", STREAMED), r"command"),
    "command to stream another file, behind blanks": Case(
        "lines", text("s.json", " " * 200 + STREAMED), r"command|cannot be read"),
    "system of GeoJSON linked": Case("lines", text("l.geojson", _geojson(
        {"type": "link", "properties": {"href": "@NET@/x", "type": "ogcwkt"}})), r"coordinate system", refused=False),
    "system of GeoJSON by address": Case("lines", text("l.geojson", _geojson(
        {"type": "URL", "properties": {"url": "@NET@/x"}})), r"coordinate system", refused=False),
    "system of GeoJSON in a file": Case("lines", text("l.geojson", _geojson(
        {"type": "name", "properties": {"name": "@OUT@/secret.prj"}})), refused=False),
    "system of GeoJSON with a letter written by its number": Case("lines", text("l.geojson", _geojson(
        {"type": "link", "properties": {"href": "@NET@/x", "type": "ogcwkt"}}).replace('"crs"', '"c\\u0072s"')),
        r"coordinate system", refused=False),
    "system of features and geometries by address": Case("lines", text("l.geojson", _geojson(None).replace(
        '"crs": null', '"coordRefSys": "@NET@/x", "conformsTo": ["http://www.opengis.net/spec/json-fg-1/0.1/conf/core"]'
    )), refused=False),
    "geojson of a service": Case("lines", text("e.geojson", json.dumps(
        {"type": "FeatureCollection", "links": [{"rel": "next", "href": "@NET@/next"}], "exceededTransferLimit": True,
         "features": [{"type": "Feature", "properties": {}, "geometry": {"type": "Point", "coordinates": [1, 2]}}]})),
        refused=False),
    "system of a shapefile with a shift file": Case("lines", shapefile(prj=GRIDDED), r"coordinate system",
                                                    refused=False),
    "system of a shapefile as a parameter text": Case(
        "lines", shapefile(prj="+proj=utm +zone=55 +south +ellps=GRS80 +nadgrids=@OUT@/secret.gsb +type=crs"),
        r"coordinate system", refused=False),
    "system of a shapefile as a path": Case("lines", shapefile(prj="+init=@OUT@/secret.prj:1"), r"coordinate system",
                                            refused=False),
    "system of a shapefile at an address": Case("lines", shapefile(prj="@NET@/x"), r"coordinate system", refused=False),
    "index and letters of a shapefile that are none": Case(
        "lines", shapefile(qix="@OUT@/secret.shp", sbn="@OUT@", cpg="@OUT@/secret.csv", shp_xml="@OUT@"),
        refused=False),
    "trigger in a GeoPackage": Case("lines", geopackage(
        "CREATE TRIGGER reach AFTER INSERT ON farm BEGIN SELECT load_extension('@OUT@/secret.gsb'); END"),
        refused=False),
    "view in a GeoPackage that calls": Case("lines", geopackage(
        "CREATE VIEW reach AS SELECT fid, geom, readfile('@OUT@/secret.csv') AS name FROM farm",
        *REGISTERED), r"view.*readfile"),
    "view in a GeoPackage that loads": Case("lines", geopackage(
        "CREATE VIEW reach AS SELECT fid, geom, load_extension('@OUT@/secret.gsb') AS name FROM farm",
        *REGISTERED), r"view.*load_extension"),
    "view in a GeoPackage that reads a raster": Case("lines", geopackage(
        "CREATE VIEW reach AS SELECT fid, geom, gdal_get_pixel_value('@OUT@/secret.tif', 1, 'pixel', 1, 1) AS name "
        "FROM farm",
        *REGISTERED),
        r"view.*gdal_get_pixel_value"),
    "virtual table in a GeoPackage": Case("lines", forged_table(
        "CREATE VIRTUAL TABLE reach USING VirtualOGR('@OUT@/secret.shp')"), r"virtual table.*VirtualOGR"),
    "virtual table of a text file": Case("lines", forged_table(
        "CREATE VIRTUAL TABLE reach USING csv(filename='@OUT@/secret.csv')"), r"virtual table.*csv"),
    "system of a GeoPackage with a shift file": Case("lines", geopackage(
        f"UPDATE gpkg_spatial_ref_sys SET organization='NONE', definition='{GRIDDED}' WHERE srs_id=7855"),
        r"coordinate system"),
    "system of a GeoPackage on the network": Case("lines", geopackage(
        "UPDATE gpkg_spatial_ref_sys SET organization='NONE', definition='@NET@/x' WHERE srs_id=7855"),
        r"coordinate system", refused=False),
    "drawing of a million entities": Case("lines", many_entities(1_000_000), r"entities.*more than"),
    "formula cells in a table": Case("lines", text(
        "f.csv", 'id,x,y,code\n"=HYPERLINK(""@NET@"")",500000,6000000,gate\n@SUM(1),500010,6000000,+cmd\n'),
        refused=False),
    "formula cells in a price list": Case("prices", text(
        "p.csv", 'item,unit,pack,price,supplier,dated,tax class\nstrainer-2400-200,each,1,25,"=cmd|\' /C calc\'!A0",'
        "2026-01-05,standard\n"), refused=False),
    "addresses in a leg table": Case("legs", text(
        "l.csv", "bearing,distance\n90,100\n@NET@,50\n180,@OUT@/secret.csv\n"), refused=False),
    "trigger in a job": Case("job", job("CREATE TRIGGER reach AFTER INSERT ON lines BEGIN SELECT "
                                        "load_extension('@OUT@/secret.gsb'); END"), r"trigger 'reach'"),
    "view in a job": Case("job", job("DROP TABLE strainwright_notes", "CREATE VIEW strainwright_notes AS SELECT 1 AS "
                                     "id, load_extension('@OUT@/secret.gsb') AS text"), r"view 'strainwright_notes'"),
    "virtual table in a job": Case("job", job(
        forged="CREATE VIRTUAL TABLE reach USING VirtualOGR('@OUT@/secret.shp')"), r"virtual table 'reach'"),
    "computed column in a job": Case("job", job(
        "DROP TABLE strainwright_notes", "CREATE TABLE strainwright_notes (id INTEGER, text TEXT AS (printf('%.*c', "
        "100000000, 'x')) VIRTUAL)", "INSERT INTO strainwright_notes (id) VALUES (1)"), r"computed|not authorized"),
    "levels in a job that grow out of proportion": Case("job", swollen_job, r"damaged.*out of proportion"),
    "settings of a job in endless brackets": Case("job", job(
        "INSERT INTO strainwright_settings (name, value) VALUES ('corner_deg', '" + "[" * 200_000 + "')"), r"damaged"),
    "grid of a job with a shift file": Case("job", job(
        f"UPDATE strainwright_job SET value='{GRIDDED}' WHERE name='crs'"), r"another file"),
    "virtual raster as ground": Case("terrain", vrt("ground.vrt"), r"other files"),
    "virtual raster named as a GeoTIFF": Case("terrain", vrt("ground.tif"), r"other files"),
    "virtual raster named as an ASCII grid": Case("terrain", vrt("ground.asc"), r"other files"),
    "system of an ASCII grid with a shift file": Case("terrain", ascii_grid(GRIDDED), r"coordinate system"),
    "service description as ground": Case("terrain", text(
        "wms.tif", '<GDAL_WMS><Service name="TMS"><ServerUrl>@NET@/${z}</ServerUrl></Service></GDAL_WMS>'),
        r"other files"),
    "command to stream a raster": Case("terrain", text("g.tif", STREAMED), r"cannot be read"),
    "overviews that are a virtual raster": Case("terrain", tif(ovr=ELSEWHERE), r"ground\.tif\.ovr"),
    "mask that is a virtual raster": Case("terrain", tif(msk=ELSEWHERE), r"ground\.tif\.msk"),
    "companion that names other overviews": Case("terrain", tif(aux_xml=PAM), r"ground\.tif\.aux\.xml"),
    "tags that name other overviews": Case(
        "terrain", tif(tags={"OVERVIEWS": {"OVERVIEW_FILE": "@OUT@/secret.tif"}}), r"other files"),
    "tags that name an address": Case(
        "terrain", tif(tags={"OVERVIEWS": {"OVERVIEW_FILE": "/vsicurl/@NET@/x.tif"}}), r"other files"),
    "tags that name positions elsewhere": Case("terrain", tif(tags={"GEOLOCATION": {
        "X_DATASET": "@OUT@/secret.tif", "Y_DATASET": "@OUT@/secret.tif"}}), r"other files"),
    "raster of absurd size": Case("terrain", huge_tif(2_000_000_000, 2_000_000_000), r"size|cannot be read"),
    "virtual raster as a picture": Case("picture", vrt("air.vrt"), r"other files"),
    "virtual raster named as a picture": Case("picture", vrt("air.png"), r"other files"),
    "overviews of a picture that are a virtual raster": Case("picture", tif(ovr=ELSEWHERE), r"ground\.tif\.ovr"),
    "companion of a picture that names positions elsewhere": Case("picture", tif(aux_xml=PAM), r"aux\.xml"),
    "picture of absurd size": Case("picture", bad_png(2_000_000_000, 2_000_000_000), r"size|cannot be read"),
    "picture of absurd area": Case("picture", huge_tif(3_900_000, 3_900_000), r"size|cannot be read"),
    **{f"{name}, all doors open": Case("lines", make, told, refused, VARIABLES) for name, make, told, refused in (
        ("schema of GML on the network", text("schema.gml", _gml(
            "EPSG:7855", '<ogr:other xlink:href="@NET@/x.gml#a"/>',
            'xsi:schemaLocation="http://ogr.maptools.org/ @NET@/x.xsd"')), "", False),
        ("GeoPackage", geopackage(), "", False), ("shapefile", shapefile(), "", False))},
    "virtual raster, all doors open": Case("terrain", vrt("ground.tif"), r"other files", variables=VARIABLES),
    "terrain, all doors open": Case("terrain", tif(), refused=False, variables=VARIABLES),
}


def write_case(case: Case, world: World) -> Path:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return case.make(world)
