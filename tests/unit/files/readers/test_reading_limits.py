"""What readers tell of a file, on both sides of each limit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import fiona
import numpy as np
import pytest
import shapely

from planner.files.read import read
from planner.files.readers.feature_by_feature import read_features
from planner.files.readers.grids import Grid
from planner.files.readers.level_units import levels_in_metres
from planner.files.readers.polygons import say_slivers
from planner.files.readers.rules import Troubles
from planner.files.readers.shapefile_repair import sound_shapefile
from planner.files.readers.shapes import Layer, read_layer
from planner.geometry.arrays import frozen
from planner.survey.fixes import MeasuredLine, Reading

MGA = Grid("EPSG:28355")
GPX = '<gpx version="1.1"><rte><rtept lat="-37" lon="144"/><rtept lat="-37.001" lon="144"/>{}</rte></gpx>'
POINT = '<rtept lat="{}" lon="{}"/>'
LINE = "easting,northing,rl,time,line\n5000,5000,{},{},F\n5000,{},{},{},F\n"
MARK = "easting,northing,rl,code,width\n{},5000,{},gate,{}\n5100,5100,210,gate,3.6\n"
TOOTH = "POLYGON ((0 100, 0 300, {} 100, 50 100, 150 0, 150 100, 50 0, 0 0, 0 100))"
"""A ring that crosses itself, with a tooth 200 m long; of rings that are sound no tooth is looked at."""
HOUR = "2024-03-01T02:00:0{}Z"


def line(north: str = "5100", levels: Sequence[str] = ("", ""), times: Sequence[str] = ("", "")) -> str:
    return LINE.format(levels[0], times[0], north, levels[1], times[1])


def mark(east: str = "5000", level: str = "200", width: str = "3.6") -> str:
    return MARK.format(east, level, width)


def ring(*xy: tuple[float, float]) -> str:
    """A polygon, its corners east and north of a place so far from 0, 0 that they do not read like degrees."""
    return shapely.Polygon([(4096.0 + x, 4096.0 + y) for x, y in (*xy, xy[0])]).wkt


def box(wide: float, high: float, east: float = 0.0, north: float = 0.0) -> str:
    return ring((east, north), (east + wide, north), (east + wide, north + high), (east, north + high))


def parts(*polygons: str) -> str:
    return shapely.MultiPolygon([shapely.from_wkt(polygon) for polygon in polygons]).wkt


BOW = ring((500, 0), (600, 100), (600, 0), (500, 100))


def told(folder: Path, text: str) -> list[str]:
    path = folder / ("a.gpx" if text.startswith("<gpx") else "a.csv")
    path.write_text(text, encoding="utf-8")
    return [f"{f.rule} {f.severity}" for f in read(path).troubles]


def read_shape(wkt: str) -> tuple[list[str], int]:
    """Rules told of a shape in a grid of metres, and how many lines it gives."""
    troubles = Troubles("a.gpkg")
    with np.errstate(invalid="ignore"):
        shape = shapely.from_wkt(wkt)
    lines, _ = read_layer(Layer("a", np.array([shape]), [1]), MGA, troubles)
    return [f.rule for f in troubles.findings()], len(lines)


def measured(xy: Any, level: float | None = None) -> MeasuredLine:
    levels = None if level is None else frozen(np.full(len(xy), level))
    return MeasuredLine("R", frozen(np.array(xy)), levels, None, True, "ring", "unknown", "a.dxf", 1)


@pytest.mark.rules(limit="survey-44 survey-46 survey-47 survey-55 survey-65 survey-66")
@pytest.mark.parametrize(("rule", "well", "odd"), [
    ("survey-44", GPX.format(POINT.format(90, 144)), GPX.format(POINT.format(90.0001, 144))),
    ("survey-44", GPX.format(POINT.format(-37, 360)), GPX.format(POINT.format(-37, 360.0001))),
    ("survey-44", mark(east="100000000"), mark(east="100000001")),
    ("survey-46", line(levels=("8999.9", "-499.9")), line(levels=("9000", "5"))),
    ("survey-46", line(levels=("8999.9", "-499.9")), line(levels=("5", "-500"))),
    ("survey-46", mark(level="8999.9"), mark(level="9000")),
    ("survey-46", mark(level="-499.9"), mark(level="-500")),
    ("survey-47", line(levels=("0", "0.1")), line(levels=("0", "0.0"))),
    ("survey-55", mark(width="0"), mark(width="-0.1")),
    ("survey-65", line(north="105000"), line(north="105000.5")),
    ("survey-66", line(times=(HOUR.format(0), HOUR.format(1))), line(times=(HOUR.format(0), HOUR.format(0))))])
def test_a_file_is_told_of_beyond_a_limit_alone(tmp_path: Path, rule: str, well: str, odd: str):
    """The poles, once round, 100 000 km, levels that ground has, a level or a width of nought, 100 km, one time."""
    assert rule not in "".join(told(tmp_path, well))
    assert [one.partition(" ")[0] for one in told(tmp_path, odd)] == [rule]


@pytest.mark.rules(limit="survey-62")
def test_a_northing_of_three_times_the_easting_tells_itself_apart(tmp_path: Path):
    assert told(tmp_path, "A,3000.375,1000.125\nB,3000.375,1000.125\n") == ["survey-62 warning"]
    assert told(tmp_path, "A,3000.25,1000.125\nB,3000.25,1000.125\n") == ["survey-62 error"]


@pytest.mark.rules(limit="survey-62")
def test_numbers_up_to_60_before_large_ones_are_zones(tmp_path: Path):
    assert told(tmp_path, "60,500000,5800000\n60,500010,5800010\n").count("survey-62 warning") == 2
    assert told(tmp_path, "61,500000,5800000\n61,500010,5800010\n").count("survey-62 warning") == 1


@pytest.mark.rules(limit="survey-63")
def test_seconds_below_60_may_be_packed_and_three_rows_of_them_are_a_warning(tmp_path: Path):
    head, rows = "name,lat,lon\n", ["F,-37.5959,144.2529\n", "B,-37.3910,143.5535\n", "C,-37.3911,143.5536\n"]
    assert told(tmp_path, head + "".join(rows)) == ["survey-63 warning"]
    assert told(tmp_path, head + "".join(rows[:2])) == ["survey-63 note"]
    assert told(tmp_path, head + "".join(rows).replace("5959", "5960")) == []


@pytest.mark.rules(fires="survey-42 survey-53", limit="survey-42 survey-49 survey-50 survey-53 survey-59")
@pytest.mark.parametrize(("rule", "well", "odd"), [
    ("survey-42", ring((0, 0), (9, 0), (9, 9)), ring((0, 0), (9, 0), (0, 0))),
    ("survey-49", box(0.75, 0.5), box(0.75, 0.4375)),
    ("survey-50", TOOTH.format(0.00021), TOOTH.format(0.0002)),
    ("survey-53", parts(box(9, 9), box(9, 9, 9, 9), BOW), parts(box(9, 9), box(9, 9, 9, 8.5), BOW)),
    ("survey-59", "LINESTRING (0 0, 180.5 90)", "LINESTRING (0 0, 180 90)"),
    ("survey-59", "LINESTRING (0 0, 180 90.5)", "LINESTRING (0 0, 180 90)")])
def test_a_shape_is_told_of_beyond_a_limit_alone(rule: str, well: str, odd: str):
    """Three corners, 0.3 m of width, a millionth of a turn, a corner or half a metre shared, what degrees can be."""
    assert rule not in read_shape(well)[0]
    assert rule in read_shape(odd)[0]


@pytest.mark.rules(fires="survey-49")
def test_a_sliver_is_left_out_where_it_is_less_than_two_metres_round():
    assert read_shape(box(0.5, 0.5)) == (["survey-49"], 1)
    assert read_shape(box(0.5, 0.4375)) == (["survey-49"], 0)


@pytest.mark.rules(fires="survey-43")
def test_a_corner_that_is_no_number_is_left_out_with_a_word():
    assert read_shape("LINESTRING (5000 5000, NaN 5100, 5100 5100)") == (["survey-43"], 1)


@pytest.mark.rules(fires="survey-52")
def test_a_part_inside_another_is_taken_as_its_hole_with_a_word():
    assert read_shape(parts(box(100, 100), box(20, 20, 40, 40))) == (["survey-52"], 2)


@pytest.mark.rules(fires="survey-48", limit="survey-48")
def test_a_drawn_ring_that_crosses_itself_is_no_sliver_from_two_metres_round():
    bow = np.array([(0, 0), (0.5, 0.375), (0.5, 0), (0, 0.375), (0, 0)])
    rules = []
    for size in (1.0, 0.9375):
        troubles = Troubles("a.dxf")
        kept = say_slivers([measured(4096.0 + size * bow)], MGA, troubles)
        rules.append((len(kept), [f.rule for f in troubles.findings()]))
    assert rules == [(1, ["survey-48"]), (0, ["survey-49"])]


@pytest.mark.rules(fires="survey-70", limit="survey-70")
@pytest.mark.parametrize(("well", "odd"), [(0.3058, 0.3057), (0.3038, 0.3039)])
def test_units_within_a_millimetre_of_a_foot_are_feet(well: float, odd: float):
    def told_of_levels(unit_m: float) -> list[str]:
        crs = f"+proj=tmerc +lon_0=147 +ellps=GRS80 +to_meter={unit_m} +type=crs"
        reading = Reading("a.gpkg", "", (measured([(0, 0), (9, 9)], 5.0),))
        return [f.rule for f in levels_in_metres(reading, {}, crs=crs).troubles]

    assert told_of_levels(well) == []
    assert told_of_levels(odd) == ["survey-70"]


@pytest.mark.rules(limit="survey-58")
def test_the_head_of_a_table_of_fields_is_longer_than_33_bytes_and_its_rows_than_one(tmp_path: Path):
    def told_of_head(head: int, row: int) -> list[str]:
        table = bytes(8) + head.to_bytes(2, "little") + row.to_bytes(2, "little") + bytes(21)
        for ending, content in ((".shp", b""), (".shx", b""), (".dbf", table)):
            (tmp_path / f"a{ending}").write_bytes(content)
        troubles = Troubles("a.shp")
        with sound_shapefile(tmp_path / "a.shp", troubles):
            return [f.rule for f in troubles.findings()]

    assert told_of_head(34, 2) == []
    assert told_of_head(33, 2) == told_of_head(34, 1) == ["survey-58"]


@pytest.mark.rules(limit="survey-56")
def test_reading_is_given_up_after_a_hundred_rows_that_cannot_be_read(monkeypatch: pytest.MonkeyPatch):
    def told_of_bad_rows(count: int) -> list[str]:
        rows = Rows(count)
        monkeypatch.setattr(fiona, "open", lambda *_, **__: rows)
        troubles = Troubles("a.fgb")
        assert read_features(Path("a.fgb"), "a", ("FlatGeobuf",), troubles) is not None
        return [f.rule for f in troubles.findings() if f.rule != "survey-55"]

    assert told_of_bad_rows(99) == []
    assert told_of_bad_rows(100) == ["survey-56"]


class Rows:
    """A layer of so many rows of which none can be read."""

    crs_wkt = ""

    def __init__(self, bad: int) -> None:
        self.left = bad
        self.schema: dict[str, dict[str, str]] = {"properties": {}}

    def __enter__(self) -> Rows:
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def __iter__(self) -> Iterator[SimpleNamespace]:
        return self

    def __next__(self) -> SimpleNamespace:
        if not self.left:
            raise StopIteration
        self.left -= 1
        raise ValueError("spoilt")
