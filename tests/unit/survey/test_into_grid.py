from __future__ import annotations

import numpy as np
import pytest

from planner.errors import GridTrouble, NothingToPlan
from planner.findings import Finding, Place
from planner.geometry.arrays import frozen
from planner.geometry.lines import leg_lengths
from planner.survey.datum import bring, geodesic
from planner.survey.fixes import MeasuredLine, MeasuredPoint, Reading
from planner.survey.into_grid import into_grid

WGS84 = "EPSG:4326"
NO_DATUM = "+proj=utm +zone=55 +south +ellps=GRS80 +units=m"
WALK = [(147.1, -36.2), (147.11, -36.2), (147.11, -36.21)]
PADDOCK = [(500000.0, 6000000.0), (500400.0, 6000000.0), (500400.0, 6000300.0), (500000.0, 6000000.0)]


def line(name: str, xy: list[tuple[float, float]], *, closed: bool = False, file: str = "walk.gpx",
         row: int = 1) -> MeasuredLine:
    levels = frozen(200.0 + np.arange(len(xy)))
    return MeasuredLine(name, frozen(np.array(xy, dtype=float)), levels, None, closed, "ring" if closed else "track",
                        "handheld", file, row)


def point(name: str, x: float, y: float, row: int, file: str = "marks.csv") -> MeasuredPoint:
    return MeasuredPoint(name, x, y, 210.0, "gate", 4.2, "rtk", file, row)


def reading(*lines: MeasuredLine, crs: str = WGS84, file: str = "walk.gpx") -> Reading:
    return Reading(file, crs, lines)


def rules(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.rule for finding in findings]


@pytest.mark.rules(silent="survey-25")
def test_a_walk_comes_into_the_national_grid_with_its_levels() -> None:
    survey = into_grid([reading(line("Walk", WALK))])
    assert (survey.crs, survey.crs_name) == ("EPSG:7855", "GDA2020 / MGA zone 55")
    assert survey.lines[0].level_m is not None
    np.testing.assert_array_equal(survey.lines[0].level_m, [200.0, 201.0, 202.0])
    np.testing.assert_allclose(survey.lines[0].xy, bring(np.array(WALK), source=WGS84, target="EPSG:7855").xy)
    assert survey.findings == ()
    assert survey.notes == (
        "The working grid is GDA2020 / MGA zone 55: it is the national grid there.",
        "WGS 84 to GDA2020 by 'Inverse of GDA2020 to WGS 84 (2)', which is good to about 3 m and no better.")


def test_a_grid_that_is_given_is_taken() -> None:
    survey = into_grid([reading(line("Walk", WALK))], grid="EPSG:28355")
    assert survey.crs_name == "GDA94 / MGA zone 55"
    assert not any(note.startswith("The working grid") for note in survey.notes)


def test_a_given_grid_must_serve() -> None:
    with pytest.raises(GridTrouble, match=r"Pseudo-Mercator stretches lengths .*; choose a working grid"):
        into_grid([reading(line("Walk", WALK))], grid="EPSG:3857")


def test_the_grid_that_most_positions_came_in_is_kept() -> None:
    ring = line("P", PADDOCK, closed=True, file="p.shp")
    survey = into_grid([reading(line("Walk", WALK)), reading(ring, crs="EPSG:28355", file="p.shp")])
    assert survey.crs == "EPSG:28355"
    np.testing.assert_array_equal(survey.lines[1].xy, PADDOCK)
    assert survey.lines[1].closed


def test_troubles_and_notes_of_the_readings_are_kept_first() -> None:
    trouble = Finding("survey-43", "error", "Row 4 has no number.", "Give one.", Place(file="walk.gpx", row=4))
    given = Reading("walk.gpx", WGS84, (line("Walk", WALK),), (), (trouble,), ("GPX is WGS 84.",))
    survey = into_grid([given])
    assert survey.findings == (trouble,)
    assert survey.notes[0] == "GPX is WGS 84."


def test_without_a_coordinate_system_it_asks_and_says_what_the_numbers_look_like() -> None:
    with pytest.raises(GridTrouble, match=r"^walk.csv: no coordinate system is stated \(its numbers look like "
                                          r"longitude and latitude\); say --crs with a code"):
        into_grid([reading(line("Walk", WALK), crs="", file="walk.csv")])


def test_a_coordinate_system_that_a_person_states_is_taken_and_noted() -> None:
    survey = into_grid([reading(line("P", PADDOCK, closed=True), crs="", file="p.shp")], stated="EPSG:28355")
    assert survey.crs == "EPSG:28355"
    assert survey.notes[0] == "p.shp states no coordinate system; it was taken as said: GDA94 / MGA zone 55."


def test_what_a_file_states_is_not_overruled() -> None:
    survey = into_grid([reading(line("P", PADDOCK, closed=True), crs="EPSG:28355")], stated="EPSG:7855")
    np.testing.assert_array_equal(survey.lines[0].xy, PADDOCK)
    assert survey.crs == "EPSG:28355"


@pytest.mark.rules(fires="survey-26")
def test_a_datum_that_is_not_stated_is_a_warning() -> None:
    survey = into_grid([reading(line("P", PADDOCK, closed=True), crs=NO_DATUM)])
    assert rules(survey.findings) == ["survey-26"]
    assert survey.crs == NO_DATUM
    assert "datum not stated" in survey.crs_name


def test_a_person_may_state_the_datum_that_a_file_leaves_open() -> None:
    survey = into_grid([reading(line("P", PADDOCK, closed=True), crs=NO_DATUM)], stated="EPSG:28355")
    assert survey.crs == "EPSG:28355"
    assert survey.findings == ()
    assert survey.notes[0] == "walk.gpx does not state its datum; it was taken as said: GDA94."


def test_a_stated_datum_of_another_projection_does_not_fit_an_open_one() -> None:
    survey = into_grid([reading(line("P", PADDOCK, closed=True), crs=NO_DATUM)], stated="EPSG:28354")
    assert survey.crs == NO_DATUM


def test_a_file_without_datum_is_not_brought_into_a_job_that_has_one() -> None:
    with pytest.raises(GridTrouble, match=r"^p.shp: .*does not say its datum, so it cannot be brought"):
        into_grid([reading(line("P", PADDOCK, closed=True), crs=NO_DATUM, file="p.shp")], grid="EPSG:7855")


@pytest.mark.rules(fires="survey-25")
def test_ballpark_is_refused_with_the_file_and_taken_when_said() -> None:
    given = [reading(line("L", [(-80.0, 35.0), (-80.001, 35.0)]), crs="EPSG:4269", file="old.shp")]
    grid = "EPSG:3358"  # NAD83(HARN) / North Carolina, in metres
    with pytest.raises(GridTrouble, match=r"^old.shp: no operation of known accuracy leads from NAD83 "):
        into_grid(given, grid=grid)
    survey = into_grid(given, grid=grid, allow_ballpark=True)
    assert rules(survey.findings) == ["survey-25"]
    assert len(survey.lines) == 1


@pytest.mark.rules(fires="survey-24")
@pytest.mark.parametrize(("other", "says"), [
    (WGS84, "mixes GDA94 (p.shp) with WGS 84 (walk.gpx)"),
    ("EPSG:7844", "mixes GDA94 (p.shp) with GDA2020 (walk.gpx)")])
def test_gda94_beside_wgs84_or_gda2020_names_the_shift(other: str, says: str) -> None:
    ring = line("P", PADDOCK, closed=True, file="p.shp")
    survey = into_grid([reading(line("Walk", WALK), crs=other), reading(ring, crs="EPSG:28355", file="p.shp")])
    assert rules(survey.findings) == ["survey-24"]
    message = survey.findings[0].message
    assert says in message
    assert "1.5 to 1.8 m apart across Australia, 1.54 m here" in message


def test_one_line_across_180_is_one_line() -> None:
    """614.3 m on the ellipsoid, and not the 38,400 km round the other way."""
    survey = into_grid([reading(line("Fiji", [(179.9985, -16.62), (-179.9990, -16.615)]))])
    start, end = (tuple(corner) for corner in survey.lines[0].xy.tolist())
    _, _, length = geodesic(start, end, survey.crs)
    assert length == pytest.approx(614.3, abs=0.05)
    assert leg_lengths(survey.lines[0].xy)[0] == pytest.approx(614.3 * 1.00085, abs=0.1)
    assert survey.findings == ()


def test_a_job_across_two_zones_is_in_one() -> None:
    survey = into_grid([reading(line("A", [(149.99, -30.0), (150.02, -30.0)]))])
    assert survey.crs == "EPSG:7856"
    assert leg_lengths(survey.lines[0].xy)[0] == pytest.approx(2895.0, abs=5.0)
    assert survey.findings == ()


@pytest.mark.rules(fires="survey-20 survey-21")
def test_bad_lines_go_one_by_one_and_the_good_ones_stay() -> None:
    survey = into_grid([reading(
        line("good", WALK, row=1), line("swap", [(147.1, -36.2), (147.1, 95.0)], row=2),
        line("gone", [(147.1, np.nan), (147.11, -36.2)], row=3), line("jump", [(147.1, -36.2), (102.0, -36.2)], row=4),
        line("spot", [(147.1, -36.2), (147.1, -36.2)], row=5), line("pole", [(0.0, -89.9999), (1.0, -89.9999)], row=6),
        line("zero", [(147.1, -36.2), (0.0, 0.0), (147.11, -36.2)], row=7))])
    assert [(one.name, len(one.xy)) for one in survey.lines] == [("good", 3), ("zero", 2)]
    left_out = {f.place.line: f.rule for f in survey.findings if f.place.line}
    assert left_out == {"swap": "survey-20", "gone": "survey-20", "jump": "survey-07", "spot": "survey-21",
                        "pole": "survey-20"}
    causes = {f.rule: f.place.row for f in survey.findings if not f.place.line}
    assert causes == {"survey-01": 3, "survey-03": 2, "survey-04": 7, "survey-10": 6}
    assert all(f.place.file == "walk.gpx" for f in survey.findings)
    assert np.isfinite(np.concatenate([one.xy for one in survey.lines])).all()


@pytest.mark.parametrize(("xy", "crs", "why"), [
    ([(0.0, -89.9999), (1.0, -89.9999)], WGS84, "beyond 84 north or 80 south"),
    ([(-36.2, 147.1), (-36.21, 147.1)], WGS84, r"Axes swapped\?"),
    ([(144.5, -37.5), (144.5, -37.4)], "EPSG:28355", "in degrees by the look of 144.5, -37.5")])
def test_when_nothing_can_be_used_the_reason_is_said(xy: list[tuple[float, float]], crs: str, why: str) -> None:
    with pytest.raises(NothingToPlan, match=f"^bad.shp: there is no position that can be used; .*{why}"):
        into_grid([reading(line("L", xy), crs=crs, file="bad.shp")])


def test_nothing_at_all() -> None:
    with pytest.raises(NothingToPlan, match=r"^empty.gpx: there is no position that can be used; give a file with"):
        into_grid([Reading("empty.gpx", WGS84)])
    assert into_grid([Reading("empty.gpx", "")], grid="EPSG:7855").lines == ()


@pytest.mark.rules(fires="survey-23")
def test_points_alone_are_fine_and_bad_ones_are_named_with_their_rows() -> None:
    given = Reading("marks.csv", "EPSG:28355", (), (
        point("G1", 500000.0, 6000000.0, 1), point("G2", 0.0, 0.0, 2), point("G3", np.nan, 6e6, 3)))
    survey = into_grid([given], grid="EPSG:7855")
    assert [(p.name, p.level_m, p.width_m, p.row) for p in survey.points] == [("G1", 210.0, 4.2, 1)]
    assert (survey.points[0].x, survey.points[0].y) == pytest.approx((500000.52, 6000001.45), abs=0.02)
    left_out = next(f for f in survey.findings if f.rule == "survey-23")
    assert left_out.message == "2 points were left out: 'G2' in row 2, 'G3' in row 3."


def test_lo_lines_are_turned_the_right_way() -> None:
    west_then_south = [(72000.0, 2847000.0), (72500.0, 2847000.0), (72500.0, 2847300.0)]
    survey = into_grid([reading(line("Lo", west_then_south), crs="EPSG:2053")])
    assert survey.crs == "EPSG:32735"
    steps = np.diff(survey.lines[0].xy, axis=0)
    assert steps[0] == pytest.approx([-500.0, 0.0], abs=12.0)
    assert steps[1] == pytest.approx([0.0, -300.0], abs=8.0)


@pytest.mark.rules(fires="survey-27")
def test_names_are_unique_over_all_sources() -> None:
    survey = into_grid([reading(line("Track", WALK)), reading(line("Track", WALK, file="b.gpx"), file="b.gpx")])
    assert [one.name for one in survey.lines] == ["Track", "Track (2)"]
    assert rules(survey.findings) == ["survey-27"]


@pytest.mark.rules(fires="survey-28")
def test_sources_far_from_each_other_are_doubted() -> None:
    """The same numbers under the neighbouring zone's name."""
    zones = ("EPSG:7855", "EPSG:7856")
    survey = into_grid([reading(line(zone, PADDOCK, closed=True, file=zone), crs=zone, file=zone) for zone in zones])
    assert rules(survey.findings) == ["survey-28", "survey-28"]
    assert survey.findings[0].message == "This source lies 540 km from the nearest other one."


@pytest.mark.rules(limit="survey-28")
def test_sources_a_hundred_km_apart_are_not_doubted_and_those_further_apart_are() -> None:
    def told(north_m: float) -> list[str]:
        there = line("There", [(x, y + north_m) for x, y in PADDOCK], closed=True, file="b.shp")
        return rules(into_grid([reading(line("Here", PADDOCK, closed=True), crs="EPSG:7855"),
                                reading(there, crs="EPSG:7855", file="b.shp")]).findings)

    assert told(100_000.0) == []
    assert told(100_000.5) == ["survey-28"] * 2


@pytest.mark.rules(silent="survey-20 survey-21 survey-22 survey-23 survey-24 survey-26 survey-27 survey-28")
def test_sound_sources_on_one_datum_need_no_word() -> None:
    marks = Reading("marks.csv", "EPSG:28355", (), (point("G1", 500000.0, 6000000.0, 1),))
    survey = into_grid([reading(line("P", PADDOCK, closed=True), crs="EPSG:28355"), marks,
                        reading(line("Walk", PADDOCK[:3], file="b.shp"), crs="EPSG:28355", file="b.shp")])
    assert (len(survey.lines), len(survey.points), survey.findings) == (2, 1, ())


def test_the_ring_and_its_last_corner_are_one() -> None:
    survey = into_grid([reading(line("P", PADDOCK, closed=True), crs="EPSG:28355")], grid="EPSG:7855")
    ring = survey.lines[0].xy
    assert (ring[0] == ring[-1]).all()
    assert not ring.flags.writeable


def test_a_hundred_thousand_corners_come_through() -> None:
    count = 100_000
    along = np.linspace(147.0, 147.5, count)
    big = MeasuredLine("big", frozen(np.column_stack((along, np.full(count, -36.0)))), None, None, False, "polyline",
                       "traced", "big.shp", 1)
    assert len(into_grid([Reading("big.shp", WGS84, (big,))]).lines[0].xy) == count
