"""What was noticed while files were read can be set aside like any other finding, each by itself."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import bad_numbers
import ezdxf
import numpy as np
import pyogrio.raw
import pytest
import shapely
from plain_jobs import EAST, NORTH, straight_job
from terrain_files import write_raster
from waiving import check_waiver

from planner.files import survey_in
from planner.files.read import read
from planner.files.readers import rules
from planner.files.survey_in import Wanted, readings_into
from planner.findings import Finding
from planner.geometry.arrays import frozen
from planner.job.job import Job
from planner.job.noticed import with_noticed
from planner.survey import features_in, position_checks, there_and_back
from planner.survey.features_in import Taking, features_of, things
from planner.survey.fixes import MeasuredLine, MeasuredPoint, Reading
from planner.survey.into_grid import into_grid
from planner.survey.there_and_back import way_out
from tests.rule_marks import NO_ASIDE

MGA, MGA94, WGS84, NO_DATUM = "EPSG:7855", "EPSG:28355", "EPSG:4326", "+proj=utm +zone=55 +south +ellps=GRS80 +units=m"
READ = sorted({*features_in.RULES, *position_checks.RULES, *rules.RULES, *survey_in.RULES, *there_and_back.RULES}
              - set(NO_ASIDE))
TWO = '<rtept lat="-37" lon="144"/><rtept lat="-37.001" lon="144"/>'
TEXTS = {
    "commas.gpx": '<gpx version="1.1"><rte><rtept lat="-37,5" lon="144"/><rtept lat="-37.501" lon="144"/></rte></gpx>',
    "words.gpx": f'<!DOCTYPE gpx [<!ENTITY a "b">]><gpx version="1.1"><rte>{TWO}</rte></gpx>',
    "broken.gpx": f'<gpx version="1.1"><rte>{TWO}<rtept lat="-37.002" lon="1',
    "one.gpx": '<gpx version="1.1"><rte><rtept lat="-37" lon="144"/></rte></gpx>',
    "pole.gpx": f'<gpx version="1.1"><rte>{TWO}<rtept lat="91" lon="144"/></rte></gpx>',
    "rows.csv": "easting,northing,rl\n5000,5000,9999\neast,5000,1\n",
    "far.csv": "easting,northing,line\n5000,5000,F\n5000,205000,F\n",
    "plain.csv": "3000.5,1000.5\n3001.5,1001.5\n",
    "packed.csv": "name,lat,lon\nF,-37.5959,144.2529\nB,-37.3910,143.5535\nC,-37.3911,143.5536\n",
    "none.kml": '<kml xmlns="http://www.opengis.net/kml/2.2"><Document/></kml>',
}
RINGS = {
    "no shape": None,
    "two places": [[(0, 0), (9, 0), (0, 0), (0, 0)]],
    "crossed": [[(0, 0), (90, 90), (90, 0), (0, 90), (0, 0)]],
    "sliver": [[(0, 0), (90, 0), (90, 0.1), (0, 0.1), (0, 0)]],
    "spike": [[(0, 0), (0, 90), (50, 90), (50, 300), (50, 90), (90, 90), (90, 0), (0, 0)]],
    "open": [[(0, 0), (90, 0), (90, 90), (0, 90)]],
    "hole outside": [[(0, 0), (90, 0), (90, 90), (0, 90), (0, 0)], [(200, 0), (209, 0), (209, 9), (200, 0)]],
}
BOX = [(0, 0), (90, 0), (90, 90), (0, 90), (0, 0)]
PARTS = {"inside": [(20, 20), (40, 20), (40, 40), (20, 40), (20, 20)],
         "beside": [(90, 0), (99, 0), (99, 90), (90, 90), (90, 0)]}


def placed(ring: list[tuple[float, float]]) -> list[tuple[float, float]]:
    return [(EAST + x, NORTH + y) for x, y in ring]


def shapes() -> str:
    """A GeoJSON text with a row for each fault of a polygon."""
    forms: list[dict[str, object] | None] = [
        rings and {"type": "Polygon", "coordinates": [placed(ring) for ring in rings]} for rings in RINGS.values()]
    forms += [{"type": "MultiPolygon", "coordinates": [[placed(BOX)], [placed(part)]]} for part in PARTS.values()]
    return json.dumps({
        "type": "FeatureCollection", "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::7855"}},
        "features": [{"type": "Feature", "properties": {}, "geometry": form} for form in forms]})


def line(xy: list[tuple[float, float]], name: str = "L", file: str = "a.gpx") -> MeasuredLine:
    return MeasuredLine(name, frozen(np.array(xy, dtype=float)), None, None, False, "track", "handheld", file, 1)


def layer(path: Path, crs: str, *corners: tuple[float, ...]) -> Path:
    wkb = np.array([shapely.to_wkb(shapely.LineString(corners), output_dimension=len(corners[0]))], dtype=object)
    pyogrio.raw.write(path, wkb, [np.array(["a"], dtype=object)], ["name"], crs=crs,
                      geometry_type="LineString Z" if len(corners[0]) == 3 else "LineString")
    return path


def of_files(folder: Path) -> Iterator[Finding]:
    """What the readers say."""
    for name, text in {**TEXTS, "shapes.geojson": shapes()}.items():
        (folder / name).write_text(text, encoding="utf-8")
        yield from read(folder / name).troubles
    drawing = ezdxf.new("R2010")
    drawing.header["$INSUNITS"] = 4
    drawing.modelspace().add_line((0, 0), (3000, 4000))
    drawing.saveas(folder / "plan.dxf")
    yield from read(folder / "plan.dxf").troubles
    yield from read(layer(folder / "feet.gpkg", "EPSG:2263", (1e6, 2e5, 9.0), (1.1e6, 2e5, 9.0))).troubles
    shapefile = layer(folder / "a.shp", MGA, (5e5, 6e6), (5.1e5, 6e6))
    shapefile.with_suffix(".dbf").write_bytes(b"\x01rubbish")
    shapefile.with_suffix(".prj").unlink()
    yield from read(shapefile).troubles
    bad_numbers.write(folder / "nan.gpkg", bad_numbers.LINES["nan"])
    yield from read(folder / "nan.gpkg").troubles


def of_grids() -> Iterator[Finding]:
    """What is said while positions are brought into one grid."""
    good = [(147.1, -36.2), (147.11, -36.2)]
    for crs, *lines in (
            (WGS84, [(147.1, np.nan), *good], [(0.0, 0.0), *good],
             [(147.1, 95.0), *good, *good], [(147.1, 85.0), *good],
             [(147.1, -36.2), (147.1, -36.2)]),
            (WGS84, [(y, x) for x, y in good]), (WGS84, [(147.1, -36.2), (147.1, -37.2)]),
            (WGS84, [(3e5, 5.8e6), (3e5, 5.9e6)]), (MGA94, good), (MGA94, [(1.3e6, 5.8e6), (1.3e6, 5.8001e6)]),
            (MGA94, [(1e38, 0.0), (3e5, 5.8e6), (3e5, 5.8001e6)])):
        yield from into_grid([Reading("a.gpx", crs, tuple(line(xy) for xy in lines))], grid=MGA).findings
    point = MeasuredPoint("G", 0.0, 0.0, None, "gate", None, "rtk", "m.csv", 2)
    yield from into_grid([Reading("m.csv", MGA, (), (point,))], grid=MGA).findings
    here = placed([(0, 0), (90, 0)])
    yield from into_grid([Reading(f"{crs}.shp", crs, (line(here, file=f"{crs}.shp"),))
                          for crs in (MGA94, MGA, "EPSG:7856")]).findings
    yield from into_grid([Reading("b.shp", NO_DATUM, (line(here),))]).findings
    yield from into_grid([Reading("c.shp", "EPSG:4269", (line([(-80.0, 35.0), (-80.001, 35.0)]),))], grid="EPSG:3358",
                         allow_ballpark=True).findings


def of_jobs(folder: Path) -> Iterator[Finding]:
    """What is said of a walk, of terrain that is elsewhere, and of things beside fences."""
    out = placed([(x, 0) for x in range(0, 401, 20)])
    found = way_out(line([*out, *out[::-1]]))
    yield from (found[1],) if found else ()
    away = write_raster(folder / "away.tif", np.ones((9, 9)), west=EAST + 50_000.0, north=NORTH)
    yield from readings_into(straight_job(), [], [away], Wanted("general-mesh", stated=MGA)).findings
    tree = MeasuredPoint("T", EAST, NORTH, None, "", None, "rtk", "t.csv", 2, (("height", "tall"),))
    yield from features_of(things((), (tree,)), lambda _: Taking("trees")).findings
    yield from features_of(things((line(out),), ()), lambda _: Taking("trough")).findings
    yield from features_of(things((line(out, "x"),), ()), lambda _: Taking()).findings


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    """A plain job that has noticed the first finding of each rule, of those that are more than a note."""
    folder = tmp_path_factory.mktemp("read")
    first: dict[str, Finding] = {}
    for finding in (*of_files(folder), *of_grids(), *of_jobs(folder)):
        if finding.severity != "note":
            first.setdefault(finding.rule, finding)
    return with_noticed(straight_job(), first.values())


@pytest.mark.rules(aside="feature-01 feature-02 feature-03 survey-01 survey-02 survey-03 survey-04 survey-05 "
                         "survey-06 survey-07 survey-09 survey-10 survey-11 survey-20 survey-21 survey-23 "
                         "survey-24 survey-25 survey-26 survey-28 survey-30 survey-31 survey-40 survey-41 "
                         "survey-42 survey-43 survey-44 survey-46 survey-48 survey-49 survey-50 survey-51 "
                         "survey-52 survey-53 survey-54 survey-55 survey-56 survey-58 survey-59 survey-60 "
                         "survey-61 survey-62 survey-63 survey-64 survey-65 survey-68 survey-70")
@pytest.mark.parametrize("rule", READ)
def test_it_is_set_aside_alone(job: Job, rule: str):
    check_waiver(job, rule)


def test_every_rule_of_what_is_read_is_set_aside_above_or_a_note_alone(job: Job):
    mark = next(m for m in test_it_is_set_aside_alone.pytestmark if m.name == "rules")
    assert sorted(mark.kwargs["aside"].split()) == READ == sorted(finding.rule for finding in job.noticed)
