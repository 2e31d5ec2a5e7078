"""The register: which reader takes which file, and what is refused with one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.errors import FileTrouble, PlannerError, TooLarge
from planner.files.read import CHOICES, READERS, read, readable_endings
from planner.files.readers.file_kinds import ENDINGS
from planner.files.readers.rules import RULES

GPX = '<gpx version="1.1"><rte><name>r</name><rtept lat="1" lon="2"/><rtept lat="1.1" lon="2"/></rte></gpx>'


def file(tmp_path: Path, name: str, content: bytes | str) -> Path:
    path = tmp_path / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("a.gpx", b"", "the file is empty"),
        ("a.csv", b" \r\n\0", "the file is empty"),
        ("farm.job.gpkg", b"SQLite format 3\0", "is a job, not a source"),
        ("dem.tif", b"II*\0rest", "is a raster, which gives ground levels"),
        ("dem.txt", b"ncols 3\nnrows 2\n", "is a raster"),
        ("dem.asc", b"no header", "named as a raster"),
        ("photo.gpx", b"\xff\xd8\xff\xe0", "is a raster"),
        ("a.dbf", b"\x03abc", "only a companion of a shapefile; give the .shp"),
        ("a.shx", b"\0\0\x27\x0a", "only a companion"),
        ("a.gpx", b"plain words", "not of a kind that is read here; give one of .csv"),
        ("a.pdf", b"%PDF-1.7\0", "not of a kind"),
        ("a.gml", b"<OGRVRTDataSource><OGRVRTLayer/></OGRVRTDataSource>", "not of a kind"),
        ("a.gml", b"<!-- <OGRVRTDataSource> --><x xmlns='http://www.opengis.net/gml'/>", "not of a kind"),
        ("a.html", b"<html><body/></html>", "not of a kind"),
        ("a.json", b"[1, 2]", "not of a kind"),
        ("a.json", b'{"a": 1}', "cannot be read"),
        ("a.shp", b"\0\0\x27\x0a short", "cannot be restored"),
    ],
)
def test_what_is_no_source_is_refused_with_one_sentence(tmp_path: Path, name: str, content: bytes, said: str):
    path = file(tmp_path, name, content)
    with pytest.raises(FileTrouble, match=said) as caught:
        read(path)
    assert str(path) in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path):
    with pytest.raises(FileTrouble, match="there is no such file"):
        read(tmp_path / "none.gpx")
    with pytest.raises(FileTrouble, match="is a folder"):
        read(tmp_path)


@pytest.mark.parametrize("name", ["/vsicurl/http://192.0.2.1/a.geojson", "http://192.0.2.1/a.gpx", "zip://a.zip!b.shp"])
def test_a_name_is_never_an_instruction(name: str):
    with pytest.raises(FileTrouble, match="there is no such file"):
        read(Path(name))


def test_a_sheet_is_told_how_to_come_in(tmp_path: Path):
    import zipfile

    with zipfile.ZipFile(tmp_path / "a.xlsx", "w") as book:
        book.writestr("[Content_Types].xml", "<x/>")
    with pytest.raises(FileTrouble, match="save the sheet as CSV"):
        read(tmp_path / "a.xlsx")


POINT = '{"type": "Point", "coordinates": [144, -37]}'


@pytest.mark.rules(fires="survey-67")
@pytest.mark.parametrize(
    ("name", "content", "lines", "points"),
    [("a.kml", GPX, 1, 0), ("a.csv", GPX, 1, 0), ("track!of.zip", GPX, 1, 0), ("a.shp", POINT, 0, 1)],
)
def test_content_counts_not_the_ending(tmp_path: Path, name: str, content: str, lines: int, points: int):
    reading = read(file(tmp_path, name, content))
    assert (len(reading.lines), len(reading.points)) == (lines, points)
    assert "survey-67" in [f.rule for f in reading.troubles]


@pytest.mark.rules(silent="survey-67")
@pytest.mark.parametrize(("name", "content"), [("my.zip!x.csv.json", POINT), ("a.log", "x,y\n1,2\n")])
def test_an_ending_that_fits_or_promises_nothing_needs_no_word(tmp_path: Path, name: str, content: str):
    assert len(read(file(tmp_path, name, content)).points) == 1


def test_every_kind_has_its_reader_and_every_ending_is_offered():
    assert set(ENDINGS.values()) == {*READERS, "zip", "kmz"}
    assert set(readable_endings()) == set(ENDINGS)
    assert all(ending.startswith(".") for ending in readable_endings())


def test_every_rule_is_one_of_this_room_and_says_what_to_do():
    assert all(40 <= int(rule.removeprefix("survey-")) <= 79 for rule in RULES)
    assert all(r.meaning.endswith(".") and r.remedy.endswith(".") for r in RULES.values())


def test_every_choice_is_explained():
    assert {"x", "y", "lon", "lat", "level", "line", "angles", "separator", "axes", "layer", "unit"} <= set(CHOICES)


def test_a_million_comments_before_the_root_do_not_hold_it_up(tmp_path: Path):
    path = file(tmp_path, "a.gpx", "<!-- -->" * 200_000 + "<oops")
    with pytest.raises(PlannerError):
        read(path)


@pytest.mark.parametrize(("beyond", "said", "is_read"), [(0, {}, True), (1, {}, False), (1, {"size": "any"}, True)])
def test_a_very_large_file_is_asked_about_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, beyond: int,
                                                said: dict[str, str], is_read: bool):
    path = tmp_path / "points.csv"
    path.write_text("x,y,line\n500000,6000000,F\n500100,6000000,F\n")
    monkeypatch.setattr("planner.files.read.LARGE_BYTES", path.stat().st_size - beyond)
    if is_read:
        assert read(path, columns=said).lines
    else:
        with pytest.raises(TooLarge, match="read it all the same with --columns size=any"):
            read(path, columns=said)


def test_a_size_that_is_none_is_refused(tmp_path: Path):
    path = tmp_path / "points.csv"
    path.write_text("x,y\n1,2\n")
    with pytest.raises(FileTrouble, match="a size cannot be 'huge'"):
        read(path, columns={"size": "huge"})
