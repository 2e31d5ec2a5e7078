"""Tables of points: headings, no headings, separators, commas, angles, and lines from rows."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.errors import FileTrouble
from planner.files.read import read


def table(tmp_path: Path, text: str, name: str = "points.csv", encoding: str = "utf-8") -> Path:
    path = tmp_path / name
    path.write_bytes(text.encode(encoding))
    return path


def places(reading):
    return [(p.name, p.x, p.y, p.level_m) for p in reading.points]


def rules(reading):
    return [f.rule for f in reading.troubles]


@pytest.mark.rules(silent="survey-62")
@pytest.mark.parametrize(
    "head",
    [
        "id,easting,northing,rl",
        "Point,E,N,Z",
        "name,X,Y,Elev",
        "pt,East (m),North (m),Level [m]",
        "no,Eastings,Northings,Height",
    ],
)
def test_headings_are_known(tmp_path: Path, head: str):
    reading = read(table(tmp_path, f"{head}\n7,500000.5,5800000.25,212.3\n8,500010,5800020,\n"))
    assert places(reading) == [("7", 500000.5, 5800000.25, 212.3), ("8", 500010, 5800020, None)]
    assert [p.row for p in reading.points] == [2, 3]
    assert (reading.crs, reading.troubles) == ("", ())
    assert reading.points[0].accuracy == "unknown"


@pytest.mark.parametrize(
    "text",
    [
        "id;easting;northing;rl\n7;500000,5;5800000,25;212,3\n",
        "id\teasting\tnorthing\trl\n7\t500000,5\t5800000,25\t212,3\n",
        'id,easting,northing,rl\n7,"500000,5","5800000,25","212,3"\n',
    ],
)
def test_decimal_commas(tmp_path: Path, text: str):
    reading = read(table(tmp_path, text))
    assert places(reading) == [("7", 500000.5, 5800000.25, 212.3)]
    assert rules(reading) == ["survey-61"]


def test_blanks_part_cells_too(tmp_path: Path):
    reading = read(
        table(tmp_path, "P1  5800000.5  500000.25  210.0  GATE\nP2  5800010.5  500010.25  211.0  GS\n", "p.txt")
    )
    assert places(reading) == [("P1", 500000.25, 5800000.5, 210.0), ("P2", 500010.25, 5800010.5, 211.0)]
    assert [p.code for p in reading.points] == ["gate", "ground"]


@pytest.mark.rules(fires="survey-62")
@pytest.mark.parametrize(
    ("row", "x", "y"),
    [
        ("1,5800000.5,500000.25,210,gate", 500000.25, 5800000.5),
        ("1,500000.25,5800000.5,210,gate", 500000.25, 5800000.5),
        ("5800000.5,500000.25,210", 500000.25, 5800000.5),
        ("A1,1500.5,1000.5,210", 1000.5, 1500.5),
    ],
)
def test_without_headings_the_order_is_told_by_size_and_said(tmp_path: Path, row: str, x: float, y: float):
    reading = read(table(tmp_path, f"{row}\n{row.replace('1,', '2,', 1)}\n"))
    assert (reading.points[0].x, reading.points[0].y, reading.points[0].level_m) == (x, y, 210)
    (found,) = reading.troubles
    assert found.rule == "survey-62"
    assert found.severity == ("error" if "tell" in found.message else "warning")


def test_without_headings_the_columns_can_be_chosen(tmp_path: Path):
    path = table(tmp_path, "1,1000.5,1500.5,210\n2,1001.5,1501.5,211\n")
    assert read(path).points[0].x == 1500.5
    reading = read(path, columns={"x": "2", "y": "3", "level": "4", "name": "1"})
    assert places(reading)[0] == ("1", 1000.5, 1500.5, 210)
    assert reading.troubles == ()


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ({"x": "9", "y": "2"}, "no column '9' for x; choose among columns 1 to 4"),
        ({"angles": "grads"}, "no angles 'grads'"),
        ({"separator": "dot"}, "no separator 'dot'"),
        ({"colour": "red"}, "nothing can be chosen by the name 'colour'"),
        ({"axes": "up"}, "axes cannot be 'up'"),
    ],
)
def test_choices_that_are_none(tmp_path: Path, columns: dict[str, str], said: str):
    path = table(tmp_path, "1,1000.5,1500.5,210\n2,1001.5,1501.5,211\n")
    with pytest.raises(FileTrouble, match=said):
        read(path, columns=columns)


@pytest.mark.parametrize(("cell", "said"), [("north", "line 2 has 'north' for its y"), (" ", "line 2 has nothing for")])
def test_a_row_left_out_says_what_stands_in_it(tmp_path: Path, cell: str, said: str):
    reading = read(table(tmp_path, f"id,easting,northing\n1,500000,{cell}\n2,500001,5800000\n"))
    assert [said in finding.message for finding in reading.troubles if finding.rule == "survey-55"] == [True]


def test_rows_that_do_not_read_are_named_by_their_line(tmp_path: Path):
    reading = read(
        table(
            tmp_path,
            "id,easting,northing,rl,time\n\n# a remark\n7,500000,5800000,high,\n8,east,5800000,1,\n9,500000\n"
            "10,nan,1,1,\n11,1e400,1,2,\n12,500001,5800000,12,noon\n",
        )
    )
    assert places(reading) == [("7", 500000, 5800000, None), ("12", 500001, 5800000, 12)]
    assert [(f.rule, f.place.row) for f in reading.troubles] == [
        ("survey-46", 4),
        ("survey-55", 5),
        ("survey-55", 6),
        ("survey-55", 7),
        ("survey-55", 8),
        ("survey-66", 9),
    ]


@pytest.mark.rules(silent="survey-63")
def test_longitude_and_latitude_are_wgs84_and_a_note_says_so(tmp_path: Path):
    reading = read(table(tmp_path, "name,lat,lon\na,-37.123456,144.987654\nb,-37.2,144.5\nc,-97,144\nd,0,0\n"))
    assert reading.crs == "EPSG:4326"
    assert places(reading) == [("a", 144.987654, -37.123456, None), ("b", 144.5, -37.2, None)]
    assert "taken as WGS 84" in reading.notes[0]
    assert rules(reading) == ["survey-44", "survey-44"]


@pytest.mark.rules(fires="survey-63")
def test_packed_degrees_are_asked_about_and_chosen(tmp_path: Path):
    path = table(tmp_path, "name,lat,lon\nF,-37.57037203,144.25295244\nB,-37.39101561,143.55353839\nG,-37.5,143.5\n")
    asked = read(path)
    assert [(f.rule, f.severity) for f in asked.troubles] == [("survey-63", "warning")]
    assert asked.points[0].y == -37.57037203
    chosen = read(path, columns={"angles": "packed-dms"})
    assert chosen.points[0].y == pytest.approx(-(37 + 57 / 60 + 3.7203 / 3600), abs=1e-12)
    assert chosen.points[2].y == pytest.approx(-(37 + 50 / 60), abs=1e-12)
    assert chosen.troubles == ()
    assert "survey-63" not in rules(read(path, columns={"angles": "decimal"}))


def test_degrees_with_signs(tmp_path: Path):
    reading = read(
        table(tmp_path, "id;latitude;longitude\n1;37°57'03.7203\"S;144°25'29.5244\"E\n2;37 57 03 S;144.5 E\n")
    )
    assert reading.points[0].y == pytest.approx(-37.951033417, abs=1e-9)
    assert reading.points[0].x == pytest.approx(144.424867889, abs=1e-9)
    assert reading.points[1].x == 144.5


@pytest.mark.parametrize(
    ("row", "x", "y"),
    [("a,-37.12345,144.98765", 144.98765, -37.12345), ("a,144.98765,-37.12345", 144.98765, -37.12345)],
)
def test_degrees_without_headings_are_told_apart_by_their_reach(tmp_path: Path, row: str, x: float, y: float):
    reading = read(table(tmp_path, f"{row}\n{row}6\n"))
    assert (reading.points[0].x, reading.points[0].y, reading.crs) == (x, y, "EPSG:4326")
    assert "survey-62" in rules(reading)


def test_rows_of_a_line_are_joined_in_their_order(tmp_path: Path):
    text = (
        "line,e,n,z,code,width\nA,0,0,1,,\nB,5,5,,,\nA,100,0,2,gate,3.6\n,7,7,3,BM,\nA,100,50,,,\nB,5,50,,,\n"
        "B,5,5,,,\nB,9,5,,,\nC,1,1,,,\n"
    )
    reading = read(table(tmp_path, text))
    a, b = reading.lines
    assert a.xy.tolist() == [[0, 0], [100, 0], [100, 50]]
    assert a.level_m is not None
    assert a.level_m[:2].tolist() == [1, 2]
    assert (a.row, b.level_m, b.closed) == (2, None, False)
    assert [(p.x, p.code, p.width_m) for p in reading.points] == [(100, "gate", 3.6), (7, "bm", None)]
    assert [(f.rule, f.place.row) for f in reading.troubles] == [("survey-41", 10)]


def test_a_line_column_can_be_chosen_and_closes_where_it_ends_at_its_start(tmp_path: Path):
    path = table(tmp_path, "north,0,0\nnorth,100,0\nnorth,100,100\nnorth,0,0\n")
    (line,) = read(path, columns={"line": "1", "x": "2", "y": "3"}).lines
    assert (line.name, line.closed, line.kind, len(line.xy)) == ("north", True, "polyline", 4)


@pytest.mark.rules(fires="survey-57")
def test_letters_of_old_and_marks_of_new_encodings(tmp_path: Path):
    text = "name,e,n\nPeña,1,2\n"
    old = read(table(tmp_path, text, encoding="cp1252"))
    assert (old.points[0].name, rules(old)) == ("Peña", ["survey-57"])
    assert read(table(tmp_path, text, encoding="utf-16")).points[0].name == "Peña"
    marked = read(table(tmp_path, text, encoding="utf-8-sig"))
    assert (marked.points[0].name, marked.troubles) == ("Peña", ())


@pytest.mark.rules(silent="survey-57")
def test_letters_of_today_need_no_word(tmp_path: Path):
    reading = read(table(tmp_path, "name,e,n\nPeña,1,2\n"))
    assert (reading.points[0].name, reading.troubles) == ("Peña", ())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("id,easting,northing\n", "headings and no rows"),
        ("once upon a time, there was\na fence, and it fell\n", "coordinates cannot be told"),
        ("id,easting,northing\n1,a,b\n", "no row that gives a position"),
    ],
)
def test_tables_that_are_none(tmp_path: Path, text: str, said: str):
    path = table(tmp_path, text)
    with pytest.raises(FileTrouble, match=said):
        read(path)


def test_small_numbers_get_a_note(tmp_path: Path):
    assert any("small enough to be degrees" in n for n in read(table(tmp_path, "x,y\n144.5,-37.5\n")).notes)
