"""Zip archives: what is in them, and what is not let out of them."""

from __future__ import annotations

import stat
import zipfile
from pathlib import Path

import pytest
import shapely

from planner.errors import FileTrouble
from planner.files.read import read
from planner.files.readers import archives

GPX = '<gpx version="1.1"><rte><name>{}</name><rtept lat="1" lon="2"/><rtept lat="1.1" lon="2"/></rte></gpx>'


def packed(tmp_path: Path, members: dict[str, str | bytes], name: str = "all.zip") -> Path:
    path = tmp_path / name
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for member, content in members.items():
            archive.writestr(member, content)
    return path


def test_members_of_all_folders_come_together(tmp_path: Path):
    path = packed(
        tmp_path,
        {
            "a/one.gpx": GPX.format("n"),
            "b/deep/one.GPX": GPX.format("n"),
            "__MACOSX/a/._one.gpx": b"x",
            "readme.txt": "hello",
            "photo.jpg": b"x",
        },
    )
    reading = read(path)
    assert [line.name for line in reading.lines] == ["n", "n (2)"]
    assert {line.file for line in reading.lines} == {str(path)}
    assert [dict(line.attributes)["layer"] for line in reading.lines] == ["a/one.gpx", "b/deep/one.GPX"]
    assert {f.rule for f in reading.troubles} == {"survey-60"}
    told = " ".join(f.message for f in reading.troubles)
    assert "photo.jpg" in told
    assert "readme.txt" in told


def test_a_bad_member_is_named_and_the_rest_kept(tmp_path: Path):
    reading = read(packed(tmp_path, {"good.gpx": GPX.format("n"), "bad.gpx": "<gpx", "empty.gpx": ""}))
    assert [line.name for line in reading.lines] == ["n"]
    assert sorted(f.message for f in reading.troubles if f.rule == "survey-55")[0].startswith(
        "the member bad.gpx cannot be read"
    )
    assert all("strainwright-" not in f.message for f in reading.troubles)


def test_findings_name_the_archive_and_the_member(tmp_path: Path):
    path = packed(
        tmp_path,
        {
            "in/a.gpx": GPX.format("n")
            .replace('lat="1.1"', 'lat="91"')
            .replace("<rte>", "<rte><rtept lat='1.1' lon='2'/>")
        },
    )
    (found,) = read(path).troubles
    assert found.message.startswith("in/a.gpx: ")
    assert found.place.file == str(path)


@pytest.mark.parametrize("name", ["../out.gpx", "a/../../out.gpx", "/etc/out.gpx", "..\\out.gpx", "C:/out.gpx"])
def test_members_that_want_out_are_refused(tmp_path: Path, name: str):
    path = packed(tmp_path, {name: GPX.format("n")})
    with pytest.raises(FileTrouble, match="wants to be unpacked elsewhere"):
        read(path)
    assert not (tmp_path.parent / "out.gpx").exists()


def test_links_are_refused(tmp_path: Path):
    path = tmp_path / "link.zip"
    member = zipfile.ZipInfo("a.gpx")
    member.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(member, "/etc/passwd")
    with pytest.raises(FileTrouble, match="holds a link"):
        read(path)


def test_a_member_that_grows_out_of_proportion_is_refused(tmp_path: Path):
    path = packed(tmp_path, {"bomb.csv": b"0" * (60 * 2**20)})
    with pytest.raises(FileTrouble, match="grows out of all proportion"):
        read(path)


def test_too_much_in_all_is_refused(tmp_path: Path, monkeypatch):
    monkeypatch.setattr(archives, "LARGEST_BYTES", 50)
    path = packed(tmp_path, {"a.gpx": GPX.format("n")})
    with pytest.raises(FileTrouble, match="too large when unpacked"):
        read(path)


def test_too_many_members_are_refused(tmp_path: Path, monkeypatch):
    monkeypatch.setattr(archives, "MOST_MEMBERS", 1)
    path = packed(tmp_path, {"a.gpx": GPX.format("n"), "b.gpx": GPX.format("m")})
    with pytest.raises(FileTrouble, match="holds 2 files"):
        read(path)


def test_archives_in_archives_are_told(tmp_path: Path):
    inner = packed(tmp_path, {"a.gpx": GPX.format("n")}, "inner.zip").read_bytes()
    reading = read(packed(tmp_path, {"inner.zip": inner, "b.gpx": GPX.format("m")}))
    assert [line.name for line in reading.lines] == ["m"]
    assert "inner.zip" in reading.troubles[0].message


def test_companions_without_their_shapes_are_told(tmp_path: Path):
    path = packed(tmp_path, {"a.dbf": b"x", "b.gpx": GPX.format("m")})
    assert "a.dbf" in read(path).troubles[0].message


def test_an_archive_of_nothing_known_is_refused(tmp_path: Path):
    path = packed(tmp_path, {"photo.jpg": b"x"})
    with pytest.raises(FileTrouble, match="holds no file that can be read"):
        read(path)


def test_an_archive_that_is_none_is_refused(tmp_path: Path):
    path = tmp_path / "a.zip"
    path.write_bytes(b"PK\x03\x04 and no more")
    with pytest.raises(FileTrouble, match="zip archive that cannot be opened"):
        read(path)


def test_a_shapefile_in_capitals_with_an_odd_name(tmp_path: Path):
    import numpy as np
    import pyogrio.raw

    square = shapely.box(300000, 5800000, 300100, 5800100)
    pyogrio.raw.write(
        tmp_path / "a.shp",
        geometry=shapely.to_wkb(np.array([square])),
        field_data=[],
        fields=[],
        geometry_type="Polygon",
        crs="EPSG:28355",
    )
    members: dict[str, str | bytes] = {
        f"My!Farm.zip.SHP/x{p.suffix.upper()}": p.read_bytes() for p in tmp_path.glob("a.*")
    }
    reading = read(packed(tmp_path, members))
    assert (len(reading.lines), reading.crs) == (1, "EPSG:28355")
