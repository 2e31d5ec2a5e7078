"""GPX: tracks, routes, waypoints, and everything that can be wrong with a point."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from planner.errors import FileTrouble
from planner.files.read import read

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">'
TWO = '<trkpt lat="-37.5" lon="144.5"/><trkpt lat="-37.6" lon="144.6"/>'


def gpx(tmp_path: Path, body: str, head: str = HEAD) -> Path:
    path = tmp_path / "walk.gpx"
    path.write_text(f"{head}{body}</gpx>", encoding="utf-8")
    return path


def rules(reading):
    return [f.rule for f in reading.troubles]


@pytest.mark.rules(silent="survey-40 survey-41 survey-43 survey-44 survey-45 survey-46 survey-47 survey-55 survey-56 "
                          "survey-61 survey-65 survey-66 survey-68")
def test_each_segment_is_a_line_with_what_it_knows(tmp_path: Path):
    reading = read(
        gpx(
            tmp_path,
            "<trk><name>Creek side</name><trkseg>"
            '<trkpt lat="-37.5" lon="144.5"><ele>300</ele><time>2024-03-01T12:03:04.25+10:00</time></trkpt>'
            '<trkpt lat="-37.6" lon="144.6"><time>2024-03-01T02:03:06Z</time></trkpt></trkseg>'
            f"<trkseg>{TWO}</trkseg></trk><rte><name>R</name>"
            '<rtept lat="1" lon="2"/><rtept lat="1.1" lon="2.1"/></rte>',
        )
    )
    first, second, route = reading.lines
    assert [line.name for line in reading.lines] == ["Creek side part 1", "Creek side part 2", "R"]
    assert first.xy.tolist() == [[144.5, -37.5], [144.6, -37.6]]
    assert first.level_m is not None
    assert first.level_m[0] == 300
    assert math.isnan(first.level_m[1])
    assert first.time_s is not None
    assert first.time_s.tolist() == [1709258584.25, 1709258586.0]
    assert (first.kind, first.accuracy, first.row, first.closed) == ("track", "handheld", 1, False)
    assert (second.level_m, second.time_s, route.kind) == (None, None, "route")
    assert reading.crs == "EPSG:4326"
    assert reading.troubles == ()


def test_waypoints_with_codes_and_widths(tmp_path: Path):
    reading = read(
        gpx(
            tmp_path,
            '<wpt lat="-37.5" lon="144.5"><ele>12.5</ele><name>Gate 4,2 m</name></wpt>'
            '<wpt lat="-37.5" lon="144.6"><name>7</name><type>Floodgate</type></wpt>'
            '<wpt lat="-37.5" lon="144.7"><name>BM 3</name></wpt>',
        )
    )
    assert [(p.name, p.code, p.width_m, p.level_m, p.accuracy) for p in reading.points] == [
        ("Gate 4,2 m", "gate", 4.2, 12.5, "handheld"),
        ("7", "crossing", None, None, "handheld"),
        ("BM 3", "", None, None, "handheld"),
    ]


@pytest.mark.rules(fires="survey-44 survey-55")
@pytest.mark.parametrize(
    ("bad", "rule", "said"),
    [
        ('<trkpt lat="-37.55"/>', "survey-55", "has none for its lon"),
        ('<trkpt lat="south" lon="144.5"/>', "survey-55", "says 'south' for its lat"),
        ('<trkpt lat="nan" lon="144.5"/>', "survey-55", "says 'nan' for its lat"),
        ('<trkpt lat="inf" lon="144.5"/>', "survey-55", "says 'inf' for its lat"),
        ('<trkpt lat="90.5" lon="144.5"/>', "survey-44", "a latitude beyond 90 degrees"),
        ('<trkpt lat="0" lon="0"/>', "survey-44", "longitude 0, latitude 0"),
        ('<trkpt lat="-37.5" lon="361"/>', "survey-44", "a longitude beyond 360 degrees"),
    ],
)
def test_a_bad_point_is_named_and_the_rest_kept(tmp_path: Path, bad: str, rule: str, said: str):
    reading = read(gpx(tmp_path, f"<trk><name>T</name><trkseg>{TWO}{bad}</trkseg></trk>"))
    (found,) = reading.troubles
    assert found.rule == rule
    assert said in found.message
    assert found.place.row == 1
    assert len(reading.lines[0].xy) == 2


def test_the_poles_and_the_date_line_are_in_reach(tmp_path: Path):
    reading = read(gpx(tmp_path, '<rte><rtept lat="-90" lon="180"/><rtept lat="-89.999" lon="-180"/></rte>'))
    assert reading.lines[0].xy.tolist() == [[180.0, -90.0], [-180.0, -89.999]]
    assert reading.troubles == ()


@pytest.mark.rules(fires="survey-61")
def test_decimal_commas_are_read_as_meant_and_said(tmp_path: Path):
    reading = read(
        gpx(
            tmp_path,
            '<rte><rtept lat="-37,50" lon="144,5"><ele>300,5</ele></rtept><rtept lat="-37.6" lon="144.6"/></rte>',
        )
    )
    (line,) = reading.lines
    assert line.xy[0].tolist() == [144.5, -37.5]
    assert line.level_m is not None
    assert line.level_m[0] == 300.5
    assert rules(reading) == ["survey-61"] * 3


def test_swapped_axes_are_suspected_and_can_be_chosen(tmp_path: Path):
    path = gpx(tmp_path, '<rte><rtept lat="147.1" lon="-36.2"/><rtept lat="147.2" lon="-36.3"/></rte>')
    reading = read(path)
    assert reading.lines == ()
    assert "Latitude and longitude look as if they had changed places" in reading.troubles[0].remedy
    assert read(path, columns={"axes": "swapped"}).lines[0].xy.tolist() == [[147.1, -36.2], [147.2, -36.3]]


@pytest.mark.rules(fires="survey-41", limit="survey-41")
def test_segments_without_a_line_are_told(tmp_path: Path):
    reading = read(
        gpx(tmp_path, f'<trk><trkseg/><trkseg><trkpt lat="1" lon="2"/></trkseg><trkseg>{TWO}</trkseg></trk><trk/>')
    )
    assert len(reading.lines) == 1
    assert [(f.rule, f.severity) for f in reading.troubles if f.rule == "survey-41"] == [
        ("survey-41", "warning"),
        ("survey-41", "note"),
        ("survey-41", "warning"),
    ]


@pytest.mark.rules(fires="survey-45")
def test_standing_still_is_one_corner(tmp_path: Path):
    reading = read(gpx(tmp_path, f"<trk><name>T</name><trkseg>{TWO[:32]}{TWO[:32]}{TWO}</trkseg></trk>"))
    assert len(reading.lines[0].xy) == 2
    assert reading.troubles[0].message == "2 repeated corners left out of T."


@pytest.mark.rules(fires="survey-65")
def test_a_jump_over_half_the_earth_is_an_error_but_the_date_line_is_not(tmp_path: Path):
    far = read(gpx(tmp_path, '<rte><rtept lat="-37" lon="144"/><rtept lat="-37" lon="100"/></rte>'))
    near = read(gpx(tmp_path, '<rte><rtept lat="-16.62" lon="179.9985"/><rtept lat="-16.615" lon="-179.999"/></rte>'))
    assert [(f.rule, f.severity) for f in far.troubles] == [("survey-65", "error")]
    assert near.troubles == ()


@pytest.mark.rules(fires="survey-66")
@pytest.mark.parametrize("stamp", ["yesterday", "2024-13-01T00:00:00Z", "2024-02-30T00:00:00Z"])
def test_a_bad_time_is_told_and_not_given(tmp_path: Path, stamp: str):
    reading = read(
        gpx(
            tmp_path,
            f'<rte><rtept lat="1" lon="2"><time>{stamp}</time></rtept><rtept lat="3" lon="4"/></rte>'.replace("4", "2"),
        )
    )
    assert "survey-66" in rules(reading)
    assert reading.lines[0].time_s is None


@pytest.mark.rules(fires="survey-46")
@pytest.mark.parametrize("level", ["-99999", "9000", "32767"])
def test_an_absurd_level_is_told_and_not_given(tmp_path: Path, level: str):
    reading = read(
        gpx(
            tmp_path,
            f'<rte><rtept lat="1" lon="2"><ele>{level}</ele></rtept>'
            '<rtept lat="1.1" lon="2"><ele>5</ele></rtept></rte>',
        )
    )
    assert rules(reading) == ["survey-46"]
    assert reading.lines[0].level_m is not None
    assert math.isnan(reading.lines[0].level_m[0])
    assert reading.lines[0].level_m[1] == 5


@pytest.mark.rules(fires="survey-47")
def test_levels_that_are_all_nought_are_none(tmp_path: Path):
    reading = read(
        gpx(
            tmp_path,
            '<rte><rtept lat="1" lon="2"><ele>0</ele></rtept><rtept lat="1.1" lon="2"><ele>0.0</ele></rtept></rte>',
        )
    )
    assert rules(reading) == ["survey-47"]
    assert reading.lines[0].level_m is None


@pytest.mark.rules(fires="survey-56 survey-68")
def test_definitions_are_taken_out_and_words_of_their_own_refused(tmp_path: Path):
    head = HEAD.replace("\n", '\n<!DOCTYPE gpx [<!ENTITY a "b"><!ENTITY c SYSTEM "file:///etc/hostname">]>')
    harmless = read(gpx(tmp_path, f"<trk><trkseg>{TWO}</trkseg></trk>", head))
    assert rules(harmless) == ["survey-68"]
    used = read(
        gpx(tmp_path, f"<trk><trkseg>{TWO}</trkseg></trk><trk><name>&c;</name><trkseg>{TWO}</trkseg></trk>", head)
    )
    assert len(used.lines) == 1
    assert "survey-56" in rules(used)
    with pytest.raises(FileTrouble, match="definition that cannot be taken out"):
        read(gpx(tmp_path, "<!DOCTYPE x []><!ENTITY a 'b'>", HEAD))


def test_a_file_that_breaks_off_gives_what_is_whole(tmp_path: Path):
    path = gpx(tmp_path, f'<trk><trkseg>{TWO}<trkpt lat="-37.7" lon="144.7"><ele>3')
    path.write_text(path.read_text(encoding="utf-8").removesuffix("</gpx>"), encoding="utf-8")
    reading = read(path)
    assert len(reading.lines[0].xy) == 2
    assert rules(reading) == ["survey-56"]


def test_other_namespaces_and_odd_extras_do_not_disturb(tmp_path: Path):
    head = '<g:gpx version="1.1" xmlns:g="http://www.topografix.com/GPX/1/1" xmlns:x="urn:x">'
    body = (
        '<g:trk><g:number>one</g:number><g:trkseg><g:trkpt lat="1" lon="2"><g:hdop>bad</g:hdop>'
        '<g:extensions><x:hr>9</x:hr></g:extensions></g:trkpt><g:trkpt lat="1.1" lon="2"/></g:trkseg></g:trk></g:gpx>'
    )
    path = tmp_path / "odd.gpx"
    path.write_text(head + body, encoding="utf-8")
    reading = read(path)
    assert len(reading.lines[0].xy) == 2


@pytest.mark.rules(fires="survey-40")
def test_nothing_in_it_is_said(tmp_path: Path):
    assert rules(read(gpx(tmp_path, ""))) == ["survey-40"]
