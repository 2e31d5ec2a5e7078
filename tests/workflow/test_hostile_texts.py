"""Names that a stranger chose, from the file to every file of the job pack: text stays text, inside the folder."""

from __future__ import annotations

import csv
import json
import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest
from command_line import GRID, command

EAST, NORTH = 455_200.0, 5_951_800.0
FORMULA = "=HYPERLINK(\"http://127.0.0.1:9/\";\"x\")"
NAMES = (FORMULA, "+1+1", "-2+3", "@SUM(A1:A9)", "<script>alert(1)</script>", "../../outside/escape",
         "C:\\outside\\escape",
         "]]><!ENTITY x>", "a\tb\r\n=1+1", "nul\u0000byte", "\u202egnp.exe", "%n%s{0}", "'; DROP TABLE lines; --")
STARTS = ("=", "+", "-", "@", "\t", "\r")


@pytest.fixture(scope="module")
def pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The whole job pack of a job whose every name is such a text."""
    folder = tmp_path_factory.mktemp("hostile") / "in"
    folder.mkdir()
    lines = [{"type": "Feature", "properties": {"name": name}, "geometry": {"type": "LineString", "coordinates": [
        [EAST, NORTH + 60 * k], [EAST + 300, NORTH + 60 * k + 5], [EAST + 600, NORTH + 60 * k]]}}
        for k, name in enumerate(NAMES)]
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::7855"}}
    (folder / "lines.geojson").write_text(json.dumps({"type": "FeatureCollection", "crs": crs, "features": lines}),
                                          encoding="utf-8")
    water = [{"type": "Feature", "properties": {"name": name, "neighbour": name}, "geometry": {
        "type": "LineString", "coordinates": [[EAST - 5, NORTH - 10 + 2 * k], [EAST + 605, NORTH - 10 + 2 * k]]}}
        for k, name in enumerate(NAMES)]
    (folder / "around.geojson").write_text(json.dumps({"type": "FeatureCollection", "crs": crs, "features": water}),
                                           encoding="utf-8")
    with (folder / "points.csv").open("w", newline="", encoding="utf-8") as out:
        rows = csv.writer(out)
        rows.writerow(("name", "easting", "northing", "code", "width"))
        rows.writerows((name, EAST + 150, NORTH + 60 * k + 2.5, "gate", 4.2) for k, name in enumerate(NAMES)
                       if "\u0000" not in name)
    job = folder / "hostile.job.gpkg"
    planned = command("plan", folder / "lines.geojson", folder / "points.csv", "--job", job, "--crs", GRID,
                      "--accuracy", "survey")
    assert planned.status == 0, planned.err
    for meaning in ("boundary", "water"):
        assert command("features", folder / "around.geojson", "--job", job, "--meaning", meaning).status == 0
    assert command("pack", job, "--to", folder.parent / "out" / "pack").status == 0
    return folder.parent / "out" / "pack"


def test_nothing_is_written_outside_the_folder(pack: Path):
    assert [path.name for path in pack.parent.iterdir()] == ["pack"]
    assert sorted(path.name for path in pack.parent.parent.iterdir()) == ["in", "out"]
    expected = r"[a-z-]+\.(json|pdf|xlsx|csv|gpx|geojson|kml|gpkg|dxf|shp|shx|dbf|prj|cpg)"
    assert all(path.is_file() and re.fullmatch(expected, path.name) for path in pack.iterdir())


def test_workbook_cells_with_names_are_texts_and_no_formula_speaks_of_them(pack: Path):
    with zipfile.ZipFile(pack / "materials.xlsx") as book:
        shared = book.read("xl/sharedStrings.xml").decode()
        assert "HYPERLINK" in shared, "the names are in the workbook"
        for sheet in (name for name in book.namelist() if name.startswith("xl/worksheets/sheet")):
            text = book.read(sheet).decode()
            for formula in re.findall(r"<f[^>]*>(.*?)</f>", text, flags=re.DOTALL):
                assert "HYPERLINK" not in formula
                assert "127.0.0.1" not in formula
            assert "<hyperlink" not in text


@pytest.mark.parametrize("name", ["materials.csv", "pegs.csv"])
def test_no_cell_of_a_table_begins_like_a_formula(pack: Path, name: str):
    with (pack / name).open(newline="", encoding="utf-8-sig") as text:
        cells = [cell for row in csv.reader(text) for cell in row]
    wrong = [cell for cell in cells if cell.startswith(STARTS) and not re.fullmatch(r"[-+]?[\d.]+(e-?\d+)?", cell)]
    assert wrong == []


@pytest.mark.parametrize("name", ["lines.kml", "pegs.gpx"])
def test_markup_holds_names_as_text(pack: Path, name: str):
    tree = ElementTree.fromstring((pack / name).read_bytes())
    assert not [one for one in tree.iter() if one.tag.rpartition("}")[2].lower() == "script"]
    texts = [one.text or "" for one in tree.iter()]
    assert any("<script>" in text for text in texts) or name == "pegs.gpx"


def test_json_holds_names_as_text(pack: Path):
    names = {line["name"] for line in json.loads((pack / "plan.json").read_text(encoding="utf-8"))["lines"]}
    assert {FORMULA, "<script>alert(1)</script>", "../../outside/escape"} <= names
    assert json.loads((pack / "lines.geojson").read_text(encoding="utf-8"))["features"]


def test_the_sheets_are_written(pack: Path):
    pytest.importorskip("PySide6.QtGui", reason="no Qt on this machine")
    assert (pack / "job-pack.pdf").read_bytes().startswith(b"%PDF")
    assert b"/JavaScript" not in (pack / "job-pack.pdf").read_bytes()
    assert b"/URI" not in (pack / "job-pack.pdf").read_bytes()
