"""Shapefile, GeoPackage, GeoJSON, FlatGeobuf, KML and GML made by the test, sound and otherwise."""

from __future__ import annotations

import json
import os
import sqlite3
from contextlib import closing
from pathlib import Path

import numpy as np
import pyogrio.raw
import pytest
import shapely

from planner.errors import FileTrouble
from planner.files.read import read
from planner.files.readers import feature_by_feature
from planner.files.readers.rules import Troubles

SQUARE = shapely.Polygon([(300000, 5800000), (300000, 5800100), (300100, 5800100), (300100, 5800000)])
HOLED = shapely.Polygon(SQUARE.exterior.coords, [[(300010, 5800010), (300020, 5800010), (300020, 5800020)]])
AWAY = shapely.transform(SQUARE, lambda xy: xy + 1000.0)


def write(path: Path, shapes, kind="Unknown", crs="EPSG:28355", driver=None, layer=None, names=None, **fields) -> Path:
    shapes = np.array([*shapes, None], dtype=object)[:-1]
    told = {"name": names or [f"p{i}" for i in range(len(shapes))], **fields}
    pyogrio.raw.write(
        path,
        geometry=shapely.to_wkb(shapes),
        field_data=[np.array(v, dtype=object if isinstance(v[0], str) else None) for v in told.values()],
        fields=list(told),
        geometry_type=kind,
        crs=crs,
        driver=driver,
        layer=layer,
        append=path.exists() and layer is not None,
    )
    return path


def rules(reading):
    return [f.rule for f in reading.troubles]


@pytest.mark.rules(silent="survey-42 survey-48 survey-49 survey-50 survey-51 survey-52 survey-53 survey-54 survey-58 "
                          "survey-59 survey-60 survey-69")
@pytest.mark.parametrize("name", ["a.shp", "a.gpkg", "a.fgb", "a.geojson", "a.gml"])
def test_parts_and_holes_in_every_format(tmp_path: Path, name: str):
    path = write(tmp_path / name, [shapely.MultiPolygon([HOLED, AWAY]), shapely.MultiPolygon([AWAY])], "MultiPolygon")
    reading = read(path)
    named = ["p0 part 1", "p0 part 1 hole 1", "p0 part 2", "p1"]
    assert sorted(line.name for line in reading.lines) == named
    assert [line.row for line in reading.lines] in ([1, 1, 1, 2], [1, 2, 2, 2])  # an index puts rows in another order
    assert all(line.closed and line.kind == "ring" and line.accuracy == "unknown" for line in reading.lines)
    assert all((line.xy[0] == line.xy[-1]).all() for line in reading.lines)
    assert reading.crs == "EPSG:28355"
    assert all(("name", line.name[:2]) in line.attributes for line in reading.lines)
    assert reading.troubles == ()


def test_lines_points_and_collections_in_one_layer(tmp_path: Path):
    line = shapely.LineString([(0, 0, 5), (100, 0, float("nan")), (100, 50, 7)])
    both = shapely.GeometryCollection(
        [shapely.Point(1, 2), shapely.MultiLineString([[(0, 0), (9, 9)], [(5, 0), (9, 0)]])]
    )
    reading = read(write(tmp_path / "a.gpkg", [line, both, shapely.Point(3, 4, 5)], names=["fence", "mix", "Gate 3"]))
    assert [found.name for found in reading.lines] == ["fence", "mix part 1", "mix part 2"]
    assert reading.lines[0].level_m is not None
    assert np.array_equal(reading.lines[0].level_m, [5, np.nan, 7], equal_nan=True)
    assert reading.lines[1].level_m is None
    assert [(p.name, p.x, p.y, p.level_m, p.code) for p in reading.points] == [
        ("mix", 1, 2, None, ""),
        ("Gate 3", 3, 4, 5, "gate"),
    ]


def test_widths_codes_and_accuracy_from_fields(tmp_path: Path):
    path = write(
        tmp_path / "a.gpkg",
        [shapely.Point(1, 1), shapely.Point(2, 2), shapely.Point(3, 3)],
        "Point",
        code=["GATE", "ford", "BM"],
        width_m=["3,6", "12", "wide"],
        accuracy=["RTK", "gps", ""],
    )
    reading = read(path)
    assert [(p.code, p.width_m, p.accuracy) for p in reading.points] == [
        ("gate", 3.6, "rtk"),
        ("crossing", 12.0, "handheld"),
        ("bm", None, "unknown"),
    ]
    assert rules(reading) == ["survey-61", "survey-55"]


def test_rows_without_a_shape_are_told(tmp_path: Path):
    path = write(tmp_path / "a.shp", [SQUARE, None, AWAY], "Polygon")
    reading = read(path)
    assert len(reading.lines) == 2
    assert [(f.rule, f.place.row) for f in reading.troubles] == [("survey-40", 2)]


def test_one_name_many_times_is_told_apart(tmp_path: Path):
    reading = read(write(tmp_path / "a.gpkg", [SQUARE, AWAY, SQUARE], names=["a", "a", "a (2)"]))
    assert [line.name for line in reading.lines] == ["a", "a (2)", "a (2) (2)"]


@pytest.mark.rules(fires="survey-59")
def test_layers_of_one_grid_come_together_and_others_are_left_out_with_a_word(tmp_path: Path):
    path = write(tmp_path / "a.gpkg", [SQUARE], layer="north")
    write(path, [AWAY], layer="south")
    write(path, [shapely.LineString([(144, -37), (144.1, -37)])], layer="far", crs="EPSG:4326")
    reading = read(path)
    assert [dict(line.attributes)["layer"] for line in reading.lines] == ["north", "south"]
    assert len({line.name for line in reading.lines}) == 2
    (found,) = reading.troubles
    assert (found.rule, found.severity) == ("survey-59", "error")
    assert "far is in EPSG:4326 while the rest is in EPSG:28355; its 1 lines" in found.message
    assert read(path, columns={"layer": "far"}).crs == "EPSG:4326"
    with pytest.raises(FileTrouble, match="has no layer 'west'; choose one of north, south, far"):
        read(path, columns={"layer": "west"})


def test_a_geopackage_in_write_ahead_mode_leaves_no_file_beside_it(tmp_path: Path):
    path = write(tmp_path / "a.gpkg", [SQUARE])
    with sqlite3.connect(path) as base:
        base.execute("pragma journal_mode=wal")
    base.close()
    assert len(read(path).lines) == 1
    assert [p.name for p in tmp_path.iterdir()] == ["a.gpkg"]


def test_a_broken_shape_does_not_stop_the_others(tmp_path: Path):
    path = write(tmp_path / "a.gpkg", [SQUARE, AWAY, SQUARE])
    base = sqlite3.connect(path)
    for (name,) in base.execute("select name from sqlite_master where type = 'trigger'").fetchall():
        base.execute(f'drop trigger "{name}"')
    base.execute("update a set geom = x'4750000101020304' where fid = 2")
    base.commit()
    base.close()
    reading = read(path)
    assert [line.row for line in reading.lines] == [1, 3]
    assert [(f.rule, f.place.row) for f in reading.troubles] == [("survey-40", 2)]


@pytest.mark.rules(fires="survey-40 survey-41 survey-44 survey-51")
def test_every_odd_feature_of_a_geojson(tmp_path: Path):
    shapes = [
        {"type": "LineString", "coordinates": [[144, -37], [144.01, -37]]},
        {"type": "LineString", "coordinates": [["x", 2], [3, 4]]},
        {"type": "Polygon", "coordinates": [[[144, -37], [144.01, -37], [144.01, -37.01], [144, -37.01]]]},
        {"type": "LineString", "coordinates": [[1, 2]]},
        {"type": "LineString", "coordinates": []},
        None,
        {"type": "LineString", "coordinates": [[144, -97], [144, -37], [144.01, -37]]},
    ]
    features = [
        {"type": "Feature", "properties": {"name": f"f{i}"}, "geometry": g} for i, g in enumerate(shapes, start=1)
    ]
    path = tmp_path / "a.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    reading = read(path)
    assert [(line.name, len(line.xy)) for line in reading.lines] == [("f1", 2), ("f3", 5), ("f7", 2)]
    assert {(f.rule, f.place.row) for f in reading.troubles if f.place.row} == {
        ("survey-40", 2),
        ("survey-51", 3),
        ("survey-41", 4),
        ("survey-40", 5),
        ("survey-40", 6),
        ("survey-44", 7),
    }
    assert reading.crs == "EPSG:4326"


def test_a_geojson_that_breaks_off_gives_its_whole_features(tmp_path: Path):
    path = write(tmp_path / "a.geojson", [SQUARE, AWAY, SQUARE])
    text = path.read_text()
    path.write_text(text[: text.rindex("coordinates") + 20])
    reading = read(path)
    assert len(reading.lines) == 2
    assert reading.crs == "EPSG:28355"
    assert "survey-56" in rules(reading)


def test_levels_of_a_geojson_do_not_change_its_grid(tmp_path: Path):
    path = tmp_path / "a.geojson"
    path.write_text('{"type": "LineString", "coordinates": [[144, -37, 200], [144.01, -37, 210]]}')
    reading = read(path)
    assert reading.crs == "EPSG:4326"
    assert reading.lines[0].level_m is not None
    assert reading.lines[0].level_m.tolist() == [200, 210]


def test_closed_polylines_are_closed_lines(tmp_path: Path):
    (line,) = read(write(tmp_path / "a.gpkg", [shapely.LineString(SQUARE.exterior.coords)])).lines
    assert (line.closed, line.kind) == (True, "polyline")


@pytest.mark.rules(fires="survey-58")
def test_a_missing_index_is_restored_on_a_copy(tmp_path: Path):
    write(tmp_path / "a.shp", [SQUARE, AWAY], "Polygon")
    (tmp_path / "a.shx").unlink()
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    os.chmod(tmp_path, 0o555)
    try:
        reading = read(tmp_path / "a.shp")
    finally:
        os.chmod(tmp_path, 0o755)
    assert len(reading.lines) == 2
    assert rules(reading) == ["survey-58"]
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before


@pytest.mark.parametrize("ending", ["shx", "dbf", "prj"])
def test_a_damaged_companion_is_done_without(tmp_path: Path, ending: str):
    path = write(tmp_path / "a.shp", [SQUARE, AWAY], "Polygon")
    (tmp_path / f"a.{ending}").write_bytes(b"\x01rubbish\xff")
    reading = read(path)
    assert len(reading.lines) == 2
    assert set(rules(reading)) & {"survey-58", "survey-59"}
    assert reading.crs == ("" if ending == "prj" else "EPSG:28355")


def test_a_file_with_hardly_a_datum_is_not_given_a_code(tmp_path: Path):
    path = write(tmp_path / "a.shp", [SQUARE], "Polygon", crs="EPSG:7855")
    prj = tmp_path / "a.prj"
    text = prj.read_text()
    start, end = text.index('DATUM["') + 7, text.index('"', text.index('DATUM["') + 7)
    prj.write_text(text[:start] + "unknown" + text[end:])
    crs = read(path).crs
    assert crs
    assert not crs.startswith("EPSG:")


@pytest.mark.rules(fires="survey-49 survey-50")
def test_shapes_never_closed_or_spiked_or_thin(tmp_path: Path):
    sliver = shapely.Polygon([(0, 0), (500, 0.1), (1000, 0), (500, -0.1)])
    speck = shapely.Polygon([(0, 0), (0, 0.5), (0.5, 0.5)])
    spiked = shapely.Polygon([(0, 0), (0, 100), (50, 100), (50, 300), (50, 100), (100, 100), (100, 0)])
    reading = read(write(tmp_path / "a.shp", [sliver, speck, spiked], "Polygon"))
    assert [(line.name, len(line.xy)) for line in reading.lines] == [("p0", 5), ("p2", 6)]
    told = {(f.rule, f.place.row): f.message for f in reading.troubles}
    assert set(told) == {("survey-49", 1), ("survey-49", 2), ("survey-50", 3)}
    assert told["survey-49", 1].endswith("a sliver; kept.")
    assert told["survey-49", 2].endswith("a sliver; left out.")
    assert "50, 300" in told["survey-50", 3]


def test_thin_rings_of_fields_in_degrees_are_not_taken_for_slivers(tmp_path: Path):
    field = shapely.Polygon([(144.0001, -37.0), (144.001, -37.0), (144.001, -37.001), (144.0001, -37.001)])
    assert read(write(tmp_path / "a.gpkg", [field], crs="EPSG:4326")).troubles == ()
    wrong = read(write(tmp_path / "b.gpkg", [field], crs="EPSG:28355"))
    assert len(wrong.lines) == 1
    assert [(f.rule, f.severity) for f in wrong.troubles] == [("survey-59", "error")]


def test_a_code_this_program_does_not_know_leaves_the_lines(tmp_path: Path):
    path = write(tmp_path / "a.shp", [SQUARE], "Polygon")
    (tmp_path / "a.prj").write_text('PROJCS["nonsense"]')
    reading = read(path)
    assert (len(reading.lines), reading.crs) == (1, "")
    assert "survey-59" in rules(reading)


def test_many_of_a_kind_are_told_in_one_finding_that_names_the_rows(tmp_path: Path):
    path = write(tmp_path / "a.shp", [SQUARE, *[None] * 29], "Polygon")
    troubles = [f for f in read(path).troubles if f.rule == "survey-40"]
    assert len(troubles) == 21
    assert troubles[-1].message.endswith("is broken 9 more times, in rows 22 to 30.")


def test_feature_by_feature_names_what_it_cannot_read(tmp_path: Path):
    path = write(tmp_path / "a.fgb", [SQUARE, AWAY, SQUARE, AWAY])
    path.write_bytes(path.read_bytes()[:-150])
    troubles = Troubles(str(path))
    found = feature_by_feature.read_features(path, "a", ("FlatGeobuf",), troubles)
    assert found is not None
    crs, shapes, rows, fields, columns = found
    assert rows == [1, 2, 3]
    assert "name" in fields
    assert len(columns[0]) == len(shapes) == 3
    assert "28355" in crs
    assert {f.rule for f in troubles.findings()} <= {"survey-55", "survey-56"}
    assert troubles.findings()


def test_a_library_that_stumbles_over_a_spoilt_layer_is_no_fault_of_the_program(tmp_path: Path, monkeypatch):
    import fiona

    class Spoilt(fiona.Collection):
        def __iter__(self):
            raise ValueError("Null layer")

    path = write(tmp_path / "a.fgb", [SQUARE, AWAY])
    monkeypatch.setattr("fiona.open", lambda name, **_: Spoilt(str(name)))
    assert feature_by_feature.read_features(path, "a", ("FlatGeobuf",), Troubles(str(path))) is None


@pytest.mark.rules(fires="survey-69")
def test_a_flatgeobuf_that_breaks_off_keeps_what_is_whole(tmp_path: Path):
    path = write(tmp_path / "a.fgb", [SQUARE, AWAY, SQUARE, AWAY])
    path.write_bytes(path.read_bytes()[:-150])
    reading = read(path)
    assert len(reading.lines) == 3
    assert set(rules(reading)) & {"survey-55", "survey-56"}


KML = '<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>{}</Document></kml>'
PLACE = (
    "<Placemark><name>{}</name><LineString><coordinates>144.5,-37.5,{} 144.51,-37.5,{}</coordinates></LineString>"
    "</Placemark>"
)


@pytest.mark.rules(fires="survey-60")
def test_links_in_a_kml_are_not_followed(tmp_path: Path):
    path = tmp_path / "a.kml"
    link = "<NetworkLink><Link><href>http://192.0.2.1/more.kml</href></Link></NetworkLink>"
    path.write_text(KML.format(PLACE.format("a", 5, 6) + link))
    reading = read(path)
    assert [line.name for line in reading.lines] == ["a"]
    assert "survey-60" in rules(reading)


def test_a_kml_that_breaks_off_gives_its_whole_places(tmp_path: Path):
    path = tmp_path / "a.kml"
    text = KML.format("".join(PLACE.format(n, 5, 6) for n in "abc"))
    path.write_text(text[: text.rindex("LineString")])
    reading = read(path)
    assert [line.name for line in reading.lines] == ["a", "b"]
    assert "survey-56" in rules(reading)


def test_a_kml_with_words_of_its_own_is_refused(tmp_path: Path):
    path = tmp_path / "a.kml"
    path.write_text(KML.format(PLACE.format("&a;", 5, 6)).replace("<kml", '<!DOCTYPE kml [<!ENTITY a "b">]><kml'))
    with pytest.raises(FileTrouble, match="is not sound: undefined entity"):
        read(path)


def test_curves_are_read_as_straight_sides(tmp_path: Path):
    path = tmp_path / "a.gml"
    path.write_text(
        '<ogr:FeatureCollection xmlns:ogr="http://ogr.maptools.org/" xmlns:gml="http://www.opengis.net/gml/3.2">'
        '<gml:featureMember><ogr:f gml:id="f.1"><ogr:geom><gml:Curve srsName="urn:ogc:def:crs:EPSG::7855">'
        "<gml:segments><gml:Arc><gml:posList>500000 5800000 500050 5800050 500100 5800000</gml:posList></gml:Arc>"
        "</gml:segments></gml:Curve></ogr:geom></ogr:f></gml:featureMember></ogr:FeatureCollection>"
    )
    (line,) = read(path).lines
    assert shapely.LineString(line.xy).length == pytest.approx(157.08, abs=0.05)


def test_progress_can_stop_the_reading(tmp_path: Path):
    from planner.errors import Cancelled

    class Impatient:
        def report(self, fraction: float, text: str) -> None:
            pass

        def stop_if_cancelled(self) -> None:
            raise Cancelled

    path = write(tmp_path / "a.gpkg", [SQUARE])
    with pytest.raises(Cancelled):
        read(path, progress=Impatient())


@pytest.mark.rules(fires="survey-54")
def test_a_hole_outside_its_outline_is_told_with_its_place(tmp_path: Path):
    odd = shapely.Polygon(SQUARE.exterior.coords, [[(300200, 5800200), (300210, 5800200), (300210, 5800210)]])
    told = [f for f in read(write(tmp_path / "odd.gpkg", [odd], "Polygon")).troubles if f.rule == "survey-54"]
    assert len(told) == 1
    assert "Hole lies outside shell" in told[0].message
    assert told[0].place.row == 1
    assert "survey-54" not in rules(read(write(tmp_path / "sound.gpkg", [HOLED], "Polygon")))


@pytest.mark.parametrize("kind", ["TEXT", "BLOB"])
def test_a_virtual_table_is_seen_whether_it_is_written_as_text_or_as_bytes(tmp_path: Path, kind: str):
    path = write(tmp_path / "a.gpkg", [SQUARE])
    with closing(sqlite3.connect(path)) as database, database:
        database.execute("PRAGMA writable_schema = ON")
        database.execute("INSERT INTO sqlite_master VALUES ('table', 'outside', 'outside', 0, CAST(? AS " + kind + "))",
                         ("CREATE VIRTUAL TABLE outside USING elsewhere('/etc/passwd')",))
    with pytest.raises(FileTrouble, match="virtual table 'outside'"):
        read(path)


def test_a_schema_of_bytes_is_read_all_the_same(tmp_path: Path):
    path = write(tmp_path / "a.gpkg", [SQUARE])
    with closing(sqlite3.connect(path)) as database, database:
        database.execute("PRAGMA writable_schema = ON")
        database.execute("UPDATE sqlite_master SET sql = CAST(sql AS BLOB) WHERE sql IS NOT NULL")
    assert len(read(path).lines) == 1
