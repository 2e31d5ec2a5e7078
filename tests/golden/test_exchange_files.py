"""Files for other people's programs: valid by their own standards, read by others, the same each time."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
from outside_programs import layer_counts, said, schema
from sheet_jobs import many_corners_job, planned, ridge_job

from planner.alignment.line import FenceLine
from planner.files.derived_layers import exchange_layers
from planner.files.writers.drawing_file import LAYERS, write_lines_dxf
from planner.files.writers.earth_file import FOLDERS, NAMESPACE, write_lines_kml
from planner.files.writers.line_files import write_lines_geojson, write_lines_gpkg
from planner.files.writers.peg_files import write_pegs_csv, write_pegs_gpx
from planner.files.writers.shapefile_set import ENDINGS, FIELDS, write_lines_shp
from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.survey.datum import from_lonlat
from planner.survey.features import Feature

HOSTILE = '=cmd|"/c" & <b>Ngāi Tahu</b> \x0b №1 🐑 %%d \u2028 end'
WRITERS = {"lines.geojson": write_lines_geojson, "lines.kml": write_lines_kml, "lines.gpkg": write_lines_gpkg,
           "lines.dxf": write_lines_dxf, "lines.shp": write_lines_shp, "pegs.gpx": write_pegs_gpx,
           "pegs.csv": write_pegs_csv}
KML = f"{{{NAMESPACE}}}"


@pytest.fixture(scope="module")
def plan() -> JobPlan:
    """A ridge and a gully with a gate, mid-run joins, and a name that tries every format."""
    job = ridge_job()
    line = replace(job.lines[0], name=HOSTILE)
    return planned(replace(job, name=HOSTILE, lines=(line,), features=marked_beside(line),
                           levels={HOSTILE: job.levels[job.lines[0].name]},
                           made_at="2026-03-01T12:00:00+00:00"))


def marked_beside(line: FenceLine) -> tuple[Feature, ...]:
    """A creek in two parts, a stand of trees with a clearing, and a thing whose meaning is not known, named badly."""
    (x, y), *_ = line.xy.tolist()
    return (Feature("Creek", "water", f"MULTILINESTRING (({x} {y + 60}, {x + 90} {y + 70}), ({x + 95} {y + 70}, "
                    f"{x + 200} {y + 50}))", (("flood", "high"),), "creeks.shp, row 1"),
            Feature("Stand", "trees", f"POLYGON (({x} {y + 90}, {x + 40} {y + 90}, {x + 40} {y + 130}, {x} {y + 90}), "
                    f"({x + 20} {y + 95}, {x + 30} {y + 95}, {x + 30} {y + 105}, {x + 20} {y + 95}))"),
            Feature(HOSTILE, "Old, <well> %%d", f"POINT Z ({x - 20} {y + 30} 231.5)"))


@pytest.fixture(scope="module")
def folder(plan: JobPlan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    found = tmp_path_factory.mktemp("exchange")
    for name, write in WRITERS.items():
        write(found / name, plan)
    return found


@pytest.fixture(scope="module")
def over_the_date_line(tmp_path_factory: pytest.TempPathFactory) -> tuple[JobPlan, Path]:
    """Line (179.9985, -16.62) to (-179.9990, -16.615), in UTM zone 60 south, which goes on beyond 180 degrees."""
    from planner.survey.datum import from_lonlat

    xy = from_lonlat(np.array([(179.9985, -16.62), (-179.9990, -16.615)]), "EPSG:32760")
    found = tmp_path_factory.mktemp("date-line")
    made = planned(Job("Taveuni", "EPSG:32760", lines=(FenceLine("Over", "cattle-barbed-4", xy),)))
    for name, write in WRITERS.items():
        write(found / name, made)
    return made, found


def counts(plan: JobPlan) -> dict[str, int]:
    return {layer.name: len(rows) for layer, rows, _ in exchange_layers(plan)}


# the same each time


@pytest.mark.parametrize("name", [n for n in WRITERS if n != "lines.gpkg"])
def test_the_same_plan_gives_the_same_file(plan: JobPlan, folder: Path, tmp_path: Path, name: str):
    WRITERS[name](tmp_path / name, plan)
    for path in tmp_path.iterdir():
        assert path.read_bytes() == (folder / path.name).read_bytes(), path.name


# GeoJSON


def test_geojson_is_rfc_7946(plan: JobPlan, folder: Path):
    whole = json.loads((folder / "lines.geojson").read_text("utf-8"))
    assert set(whole) == {"type", "features"}, "no crs member: clause 4 has only WGS 84"
    assert len(whole["features"]) == sum(counts(plan).values())
    for feature in whole["features"]:
        assert set(feature) == {"type", "geometry", "properties"}
        places = np.array(feature["geometry"]["coordinates"]).reshape(-1, 3)
        assert (np.abs(places[:, 0]) <= 180).all()
        assert (np.abs(places[:, 1]) <= 90).all()


def test_geojson_is_cut_on_the_date_line(over_the_date_line: tuple[JobPlan, Path]):
    """RFC 7946, clause 3.1.9."""
    whole = json.loads((over_the_date_line[1] / "lines.geojson").read_text("utf-8"))
    line = whole["features"][0]["geometry"]
    assert line["type"] == "MultiLineString"
    for piece in line["coordinates"]:
        assert np.ptp([place[0] for place in piece]) < 1.0


# KML


def test_kml_holds_folders_by_meaning(plan: JobPlan, folder: Path):
    root = ElementTree.parse(folder / "lines.kml").getroot()
    assert root.tag == f"{KML}kml"
    wanted = counts(plan)
    found = {f.findtext(f"{KML}name"): f.findall(f"{KML}Placemark") for f in root.iter(f"{KML}Folder")}
    assert len(found["Fence lines"]) == wanted["fence_lines"]
    assert len(found["Strains"]) + len(found["Gates"]) == wanted["sections"]
    assert len(found["Line posts"]) + len(found["Ends, corners and other fixed posts"]) == wanted["posts"]
    assert len(found["Joins"]) == wanted["joins"]
    assert len(found["Pegs"]) == wanted["pegs"]
    styles = {style.get("id") for style in root.iter(f"{KML}Style")}
    assert styles == {"marked", *(f.style for f in FOLDERS.values())}
    assert [len(found[name]) for name in ("water", "trees", "Old, <well> %%d")] == [1, 1, 1]
    (creek,), (well,) = found["water"], found["Old, <well> %%d"]
    assert len(creek.findall(f".//{KML}LineString")) == 2
    facts = {cell.get("name"): cell.findtext(f"{KML}value") for cell in creek.iter(f"{KML}Data")}
    assert facts == {"meaning": "water", "flood": "high", "origin": "creeks.shp, row 1"}
    assert well.findtext(f".//{KML}coordinates").endswith(",231.500")
    assert {url.text for url in root.iter(f"{KML}styleUrl")} <= {f"#{style}" for style in styles}


def test_kml_asks_for_nothing_from_the_network(folder: Path):
    text = (folder / "lines.kml").read_text("utf-8")
    assert "NetworkLink" not in text
    assert "href" not in text
    assert text.count("http") == 1, "the namespace alone"


def test_kml_carries_every_figure(folder: Path):
    root = ElementTree.parse(folder / "lines.kml").getroot()
    (strains,) = [f for f in root.iter(f"{KML}Folder") if f.findtext(f"{KML}name") == "Strains"]
    facts = {d.get("name"): d.findtext(f"{KML}value") for d in strains.find(f"{KML}Placemark").iter(f"{KML}Data")}
    assert float(facts["slope_length_m"]) > 50
    assert facts["kind"] == "run"
    assert facts["line"] == HOSTILE.replace("\x0b", "")


def test_kml_keeps_to_its_schema(folder: Path, over_the_date_line: tuple[JobPlan, Path]):
    """OGC 07-147r2 with its schema ogckml22.xsd."""
    for path in (folder, over_the_date_line[1]):
        assert "validates" in said("xmllint", "--noout", "--nonet", "--schema", schema("ogckml22.xsd"),
                                   path / "lines.kml")


def test_kml_parts_a_line_on_the_date_line(over_the_date_line: tuple[JobPlan, Path]):
    root = ElementTree.parse(over_the_date_line[1] / "lines.kml").getroot()
    (line,) = [f for f in root.iter(f"{KML}Folder") if f.findtext(f"{KML}name") == "Fence lines"]
    assert len(list(line.iter(f"{KML}LineString"))) == 2


# GPX


def test_gpx_keeps_to_its_schema(folder: Path, over_the_date_line: tuple[JobPlan, Path]):
    """GPX 1.1 with its schema gpx.xsd, where longitudes end below 180."""
    for path in (folder, over_the_date_line[1]):
        assert "validates" in said("xmllint", "--noout", "--nonet", "--schema", schema("gpx.xsd"), path / "pegs.gpx")


def test_gpx_waypoints_have_short_unique_names(plan: JobPlan, folder: Path):
    root = ElementTree.parse(folder / "pegs.gpx").getroot()
    space = "{http://www.topografix.com/GPX/1/1}"
    assert root.tag == f"{space}gpx"
    assert root.get("version") == "1.1"
    names = [w.findtext(f"{space}name") for w in root.findall(f"{space}wpt")]
    assert names == [peg.name for line in plan.lines for peg in line.pegs]
    assert len(set(names)) == len(names)
    assert max(map(len, names)) <= 10
    for point in root.findall(f"{space}wpt"):
        order = [child.tag.removeprefix(space) for child in point]
        assert order == ["ele", "name", "desc", "type"], "a sequence in the schema"
        assert -180.0 <= float(point.get("lon")) < 180.0


def test_gpsbabel_reads_every_waypoint(plan: JobPlan, folder: Path, tmp_path: Path):
    said("gpsbabel", "-i", "gpx", "-f", folder / "pegs.gpx", "-o", "unicsv", "-F", tmp_path / "out.csv")
    rows = (tmp_path / "out.csv").read_text("utf-8").strip().split("\n")
    assert len(rows) == 1 + sum(len(line.pegs) for line in plan.lines)


def test_gpx_holds_each_line_as_a_route_along_its_corners(plan: JobPlan, folder: Path, tmp_path: Path):
    root = ElementTree.parse(folder / "pegs.gpx").getroot()
    space = "{http://www.topografix.com/GPX/1/1}"
    (route,) = root.findall(f"{space}rte")
    points = route.findall(f"{space}rtept")
    lonlat = np.array([(float(p.get("lon")), float(p.get("lat"))) for p in points])
    back = from_lonlat(lonlat, plan.job.crs)
    assert np.abs(back - plan.lines[0].line.xy).max() < 0.01  # 8 decimals are 1 mm; the datums differ by nothing here
    said("gpsbabel", "-r", "-i", "gpx", "-f", folder / "pegs.gpx", "-o", "unicsv", "-F", tmp_path / "out.csv")
    assert len((tmp_path / "out.csv").read_text("utf-8").strip().split("\n")) == 1 + len(points)


def test_a_closed_line_is_a_route_that_ends_where_it_began(tmp_path: Path):
    ring = np.array([(0.0, 0.0), (90.0, 0.0), (90.0, 80.0), (0.0, 0.0)]) + np.array([500_000.0, 6_000_000.0])
    made = planned(Job("Ring", "EPSG:7855", lines=(FenceLine("Ring", "cattle-barbed-4", ring, closed=True),)))
    write_pegs_gpx(tmp_path / "pegs.gpx", made)
    points = list(ElementTree.parse(tmp_path / "pegs.gpx").getroot().iter("{http://www.topografix.com/GPX/1/1}rtept"))
    assert len(points) == 4
    assert points[0].attrib == points[-1].attrib


# Shapefiles


def test_shapefile_sets_are_whole(folder: Path):
    for stem in ("lines", "lines-posts", "lines-joins", "lines-pegs"):
        for ending in ENDINGS:
            assert (folder / f"{stem}{ending}").stat().st_size > 0
        assert (folder / f"{stem}.cpg").read_text().strip() == "UTF-8"
        assert (folder / f"{stem}.prj").read_text().startswith("PROJCS[")
        assert (folder / f"{stem}.dbf").read_bytes()[1:4] == bytes((126, 3, 1)), "the day the job was made"


def test_shapefile_fields_are_short_and_documented():
    from planner.files.writers import shapefile_set

    assert all(len(name) <= 10 and name == name.upper() for name in FIELDS.values())
    assert len(set(FIELDS.values())) == len(FIELDS)
    assert all(name in shapefile_set.__doc__ for name in FIELDS.values())


def test_shapefile_texts_come_back(plan: JobPlan, folder: Path):
    frame = pyogrio.read_dataframe(folder / "lines.shp")
    assert set(frame["LINE"]) == {HOSTILE}
    assert frame.crs.to_epsg() == 7855
    assert frame.geometry.has_z.all()
    assert frame["SLOPE_M"].sum() == pytest.approx(float(plan.lines[0].ground.slope_m[-1]))


def test_shapefile_texts_beyond_the_format_are_cut_with_a_sign(tmp_path: Path):
    job = ridge_job()
    name = "羊圈" * 60
    line = replace(job.lines[0], name=name)
    write_lines_shp(tmp_path / "lines.shp", planned(replace(
        job, lines=(line,), levels={name: job.levels[job.lines[0].name]})))
    (told,) = set(pyogrio.read_dataframe(tmp_path / "lines.shp")["LINE"])
    assert told.endswith("…")
    assert name.startswith(told[:-1])
    assert len(told.encode()) <= 254


@pytest.mark.filterwarnings("ignore:Measured")  # an empty set of points with levels may hold measures as well
def test_a_layer_without_anything_is_a_set_all_the_same(tmp_path: Path):
    job = ridge_job("electric-1")
    made = planned(replace(job, lines=(replace(job.lines[0], gates=()),)))
    assert counts(made)["joins"] == 0
    write_lines_shp(tmp_path / "lines.shp", made)
    assert len(pyogrio.read_dataframe(tmp_path / "lines-joins.shp")) == 0


# DXF


def test_drawing_is_r2010_in_metres_and_passes_the_audit(folder: Path):
    drawing = ezdxf.readfile(folder / "lines.dxf")
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert drawing.dxfversion == "AC1024"
    assert drawing.header["$INSUNITS"] == 6
    assert dict(drawing.header.custom_vars.properties)["grid"] == "GDA2020 / MGA zone 55"


def test_drawing_has_layers_by_meaning_and_true_heights(plan: JobPlan, folder: Path):
    drawing = ezdxf.readfile(folder / "lines.dxf")
    space, wanted = drawing.modelspace(), counts(plan)
    assert set(LAYERS) <= {layer.dxf.name for layer in drawing.layers}
    ground = {"GROUND-WATER", "GROUND-TREES", "GROUND-OLD-WELL-D"}
    assert ground <= {layer.dxf.name for layer in drawing.layers}
    assert {entity.dxf.layer for entity in space} == ground | set(LAYERS) - {"CROSSINGS"}
    assert len(space.query('LWPOLYLINE[layer=="GROUND-WATER"]')) == 2
    assert len(space.query('LWPOLYLINE[layer=="GROUND-TREES"]')) == 2
    (well,) = space.query('POINT[layer=="GROUND-OLD-WELL-D"]')
    assert well.dxf.location.z == 231.5
    lines = space.query('POLYLINE[layer=="FENCE-LINES"]')
    assert len(lines) == wanted["fence_lines"]
    assert all(line.is_3d_polyline for line in lines)
    heights = [vertex.dxf.location.z for line in lines for vertex in line.vertices]
    assert min(heights) == pytest.approx(205.0, abs=1.0)
    assert max(heights) == pytest.approx(251.0, abs=1.0)
    assert len(space.query("POINT")) == wanted["posts"] + wanted["joins"] + wanted["pegs"] + 1
    ids = {text.dxf.text for text in space.query('TEXT[layer=="TEXT-STRAINS"]')}
    assert ids == {section.id for section in plan.lines[0].sections}


def test_drawing_names_hold_no_code_of_the_format(folder: Path):
    (name,) = ezdxf.readfile(folder / "lines.dxf").modelspace().query('TEXT[layer=="TEXT-LINES"]')
    assert "%%" not in name.dxf.text
    assert "\n" not in name.dxf.text
    assert "Ngāi Tahu" in name.dxf.text


# read by others


@pytest.mark.parametrize("name", ["lines.geojson", "lines.gpkg", "lines.kml", "lines.dxf", "pegs.gpx"])
def test_gdal_reads_every_feature(plan: JobPlan, folder: Path, name: str):
    found, wanted = layer_counts(folder / name), counts(plan)
    pegs = sum(len(line.pegs) for line in plan.lines)
    texts = wanted["fence_lines"] + wanted["sections"] + wanted["pegs"]
    whole = {"lines.geojson": sum(wanted.values()), "lines.gpkg": sum(wanted.values()),
             "lines.kml": sum(wanted.values()) + 3, "lines.dxf": sum(wanted.values()) + texts + 5 + 3,
             "pegs.gpx": pegs + len(plan.lines) + sum(len(line.line.xy) for line in plan.lines)}
    assert sum(found.values()) == whole[name]
    if name == "lines.gpkg":
        assert found == wanted


def test_gdal_reads_the_shapefile_sets(plan: JobPlan, folder: Path):
    wanted = counts(plan)
    for stem, layer in (("lines", "sections"), ("lines-posts", "posts"), ("lines-joins", "joins"),
                        ("lines-pegs", "pegs")):
        assert layer_counts(folder / f"{stem}.shp") == {stem: wanted[layer]}


def test_many_corners_are_read_as_well(tmp_path: Path):
    made = planned(many_corners_job(40))
    write_lines_gpkg(tmp_path / "lines.gpkg", made)
    write_lines_dxf(tmp_path / "lines.dxf", made)
    assert len(pyogrio.read_dataframe(tmp_path / "lines.gpkg", layer="sections")) == counts(made)["sections"]
    assert not ezdxf.readfile(tmp_path / "lines.dxf").audit().errors
