"""Distances and leg tables as plans write them, and what is said about rows that cannot be read."""

from __future__ import annotations

import math

import pytest

from planner.errors import OutOfRange
from planner.survey.traverse_legs import arc_leg, parse_distance, parse_legs


@pytest.mark.parametrize(("text", "unit", "metres"), [
    ("412.36", "m", 412.36), ("412,36", "m", 412.36), ("412.36 m", "ft", 412.36), ("100", "ft", 30.48),
    ("100ft", "m", 30.48), ("12.34", "chain", 12.34 * 20.1168), ("12c 34l", "m", 12.34 * 20.1168),
    ("12 ch 34 lk", "ft", 12.34 * 20.1168), ("12 chains 34.5 links", "m", 12.345 * 20.1168), ("1234 links", "m",
    12.34 * 20.1168), ("12' 6\"", "m", 3.81), ("4 rods", "m", 20.1168), (".5 chain", "m", 10.0584),
])
def test_distances(text: str, unit: str, metres: float) -> None:
    assert parse_distance(text, unit=unit) == pytest.approx(metres, abs=1e-9)  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["", "abc", "12 34", "-3", "0", "1,234.5", "12 furlongs", "34l 12c", "12c 34c", "1e3"])
def test_no_distances(text: str) -> None:
    with pytest.raises(OutOfRange, match="distance"):
        parse_distance(text)


@pytest.mark.rules(fires="traverse-02")
def test_headings_in_any_order_with_units() -> None:
    table = parse_legs("To;Distance (ft);Azimuth;Owner\nA;100;N 45-00-00 E;Smith\n\n# a remark\nB;50;S;Jones\n")
    assert [(leg.bearing_deg, round(leg.distance_m, 6), leg.row) for leg in table.legs] == [
        (45.0, 30.48, 2), (180.0, 15.24, 5)]
    assert [(f.rule, f.severity) for f in table.findings] == [("traverse-02", "note")]
    assert "'Owner'" in table.findings[0].message


@pytest.mark.rules(silent="traverse-01 traverse-02")
@pytest.mark.parametrize("text", [
    "92°14'20\",412.36\n", "\"92°14'20\"\"\",412.36\n", "92 14 20,412.36", "92-14-20\t412.36", "92:14:20;412,36",
    "\ufeffbearing,distance\n92°14'20\",412.36\n", "S 87°45'40\" E,412.36"])
def test_ways_to_write_one_leg(text: str) -> None:
    table = parse_legs(text)
    assert table.findings == ()
    (leg,) = table.legs
    assert leg.bearing_deg == pytest.approx(92.2388889, abs=1e-6)
    assert leg.distance_m == pytest.approx(412.36)


@pytest.mark.rules(fires="traverse-03")
def test_packed_angles_are_asked_about_and_read_when_said() -> None:
    text = "92.1420,412.36\n88.0250,318.91\n118.0250,205.44\n"
    asked = parse_legs(text)
    assert [f.rule for f in asked.findings] == ["traverse-03"]
    assert asked.legs[0].bearing_deg == 92.142
    said = parse_legs(text, packed=True)
    assert said.findings == ()
    assert said.legs[0].bearing_deg == pytest.approx(92.2388889, abs=1e-6)


@pytest.mark.rules(fires="traverse-01")
def test_bad_rows_are_named_and_good_ones_kept() -> None:
    table = parse_legs("bearing,distance,radius,hand,arc,chord\n"
                       "92°14'20\",412.36\n"
                       "92°74'20\",412.36\n"
                       "370,10\n"
                       "90\n"
                       ",10\n"
                       "90,ten\n"
                       "90,,180,up,20\n"
                       "90,,180,left\n"
                       "90,,10,left,,21\n"
                       "90,,10,left,63\n"
                       "90,10,,left\n"
                       "180,10\n")
    assert [leg.row for leg in table.legs] == [2, 13]
    assert [f.place.row for f in table.findings] == list(range(3, 13))
    assert all(f.rule == "traverse-01" and f.severity == "error" for f in table.findings)
    said = " ".join(f.message for f in table.findings)
    for part in ("below 60", "0 to 360", "no distance", "no bearing", "'up' is no hand", "a length or a chord",
                 "longer than the diameter", "more than once round", "urve without a radius"):
        assert part in said


def test_an_empty_table_is_an_error() -> None:
    (finding,) = parse_legs(" \n,,\n# nothing\n").findings
    assert (finding.severity, finding.message) == ("error", "The table is empty.")


@pytest.mark.rules(fires="traverse-04")
def test_arc_and_chord_are_compared() -> None:
    rows = "bearing,radius,hand,arc,chord\n103°02'50\",180,R,94.25,93.175\n103°02'50\",180,R,94.25,93.675\n"
    table = parse_legs(rows)
    assert [(f.rule, f.place.row) for f in table.findings] == [("traverse-04", 3)]
    assert [leg.distance_m for leg in table.legs] == [94.25, 94.25]


def test_an_arc_from_its_chord() -> None:
    assert arc_leg(10.0, radius_m=180.0, right=False, chord_m=93.17700096940828).distance_m == pytest.approx(94.25)
    assert arc_leg(10.0, radius_m=5.0, right=False, chord_m=10.0).distance_m == pytest.approx(15.70796327)


def test_a_distance_with_a_radius_is_the_arc() -> None:
    (leg,) = parse_legs("0,31.4159265,10,left").legs
    assert (leg.radius_m, leg.right, round(leg.chord_m, 6)) == (10.0, False, 20.0)


def told(text: str) -> list[str]:
    return [finding.rule for finding in parse_legs(text).findings]


HALF = f"bearing,radius,hand,arc,chord\n90,10,left,{10 * math.pi!r},"
"""Half a turn: its chord is the diameter of 20 m."""


@pytest.mark.rules(limit="traverse-01 traverse-03 traverse-04")
@pytest.mark.parametrize(("rule", "well", "odd"), [
    ("traverse-01", "360,10", "360.5,10"), ("traverse-01", "90,0.001", "90,0"),
    ("traverse-01", "bearing,radius,hand,chord\n90,10,left,20", "bearing,radius,hand,chord\n90,10,left,20.001"),
    ("traverse-01", "bearing,radius,hand,arc\n90,10,left,62.8",
     f"bearing,radius,hand,arc\n90,10,left,{20 * math.pi!r}"),
    ("traverse-03", "92.1420,4\n88.0250,3", "92.1420,4\n88.0250,3\n118.0250,2"),
    ("traverse-03", "92.5960,4\n88.0250,3\n118.0250,2", "92.5959,4\n88.0250,3\n118.0250,2"),
    ("traverse-04", f"{HALF}19.98", f"{HALF}19.979"), ("traverse-04", f"{HALF}20.02", f"{HALF}20.021")])
def test_each_limit_on_both_sides(rule: str, well: str, odd: str) -> None:
    """Once round, a chord no longer than the diameter, three bearings, 59 seconds, 20 mm between arc and chord."""
    assert told(well) == []
    assert told(odd) == [rule]


@pytest.mark.rules(silent="traverse-03 traverse-04")
def test_decimal_bearings_and_a_curve_that_agree_need_no_word() -> None:
    assert told("bearing,distance,radius,hand,arc,chord\n92.75,4,,,,\n88.25,3,,,,\n118.99,2,,,,\n"
                "103°02'50\",,180,R,94.25,93.175") == []


@pytest.mark.rules(fires="traverse-05", silent="traverse-05", limit="traverse-05")
@pytest.mark.parametrize(("text", "rule"), [
    ("bearing;distance\n0;1,234\n90;412,360", "traverse-05"),
    ("bearing;radius;hand;arc\n0;1,234;left;1", "traverse-05"),
    ("bearing;distance\n0;12c 1,234l", "traverse-05"),
    ("0;1,23", ""), ("0;1,2345", ""), ("0;1234,567", ""), ("0;0,123", ""),  # a comma that sets no thousands apart
    ("0;1,234\n90;12,5", ""), ("0,5;1,234", "")])  # a decimal comma beside it
def test_a_comma_that_could_set_thousands_apart_is_asked_about(text: str, rule: str) -> None:
    assert told(text) == [rule] * bool(rule)


@pytest.mark.rules(fires="traverse-01")
def test_a_comma_beside_decimal_points_cannot_be_read() -> None:
    table = parse_legs('bearing,distance\n0,100.50\n90,"1,234"\n')
    assert [(f.rule, f.severity, f.place.row) for f in table.findings] == [("traverse-01", "error", 3)]
    assert "'1,234' has a comma" in table.findings[0].message


@pytest.mark.rules(fires="traverse-01")
def test_a_row_longer_than_its_headings_is_not_cut_short() -> None:
    table = parse_legs("bearing,distance\n0,100,5\n90,200,\n")
    assert [(f.rule, f.place.row) for f in table.findings] == [("traverse-01", 2)]
    assert "3 parts under 2 headings" in table.findings[0].message
    assert [leg.distance_m for leg in table.legs] == [200.0]


@pytest.mark.rules(fires="traverse-02")
def test_what_stands_after_the_fourth_part_of_a_row_without_headings_is_said_to_be_unread() -> None:
    assert told("0,100,,,A,B\n90,100,,,C\n") == ["traverse-02"]
    assert told("0,100,,,\n90,100\n") == []
