from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from job_samples import EAST, NORTH, corners

from planner.alignment.corner_accuracy import corner_sd
from planner.alignment.line import FenceLine
from planner.geometry.arrays import frozen
from planner.geometry.lines import points_along
from planner.job.adding import AS_READ, RULES, add_lines
from planner.job.job import Job
from planner.survey.fixes import MeasuredLine, MeasuredPoint
from planner.survey.track_fit import fit_track

JOB = Job("J", "EPSG:7855", lines=(FenceLine("Home", "general-mesh", corners((0, 0), (400, 0)), accuracy="survey"),))


def measured(name: str, *xy: tuple[float, float], kind="polyline", accuracy="survey", closed=False) -> MeasuredLine:
    return MeasuredLine(name, frozen(corners(*xy)), None, None, closed, kind, accuracy, "a.shp", 1)


def point(name: str, x: float, y: float, code: str, *, width=None, level=None) -> MeasuredPoint:
    return MeasuredPoint(name, EAST + x, NORTH + y, level, code, width, "survey", "p.csv", 7)


def test_lines_are_added_with_their_fence_and_origin():
    added = add_lines(JOB, [measured("Creek", (0, 500), (100, 500))], [], fence="sheep-mesh")
    assert added.names == ("Creek",)
    assert added.job.lines[0] is JOB.lines[0]
    new = added.job.lines[1]
    assert (new.fence, new.accuracy, new.origin, new.closed) == ("sheep-mesh", "survey", "a.shp, row 1", False)
    assert added.findings == ()


def test_a_person_knows_the_accuracy_better():
    (_, new) = add_lines(JOB, [measured("Creek", (0, 500), (100, 500))], [], fence="x", accuracy="rtk").job.lines
    assert new.accuracy == "rtk"


def test_names_that_are_taken_get_numbers():
    twice = [measured("Home", (0, 500), (100, 500)), measured("Home", (0, 600), (100, 600))]
    assert add_lines(JOB, twice, [], fence="x").names == ("Home (2)", "Home (3)")


def test_a_line_that_comes_back_to_its_start_is_closed():
    square = measured("Ring", (0, 100), (50, 100), (50, 150), (0, 100))
    assert add_lines(JOB, [square], [], fence="x").job.lines[1].closed


def test_there_and_back_along_the_same_leg_is_not_closed():
    back = measured("Back", (0, 100), (50, 100), (0, 100))
    assert not add_lines(JOB, [back], [], fence="x").job.lines[1].closed


@pytest.mark.parametrize(("off", "met"), [(0.03, True), (0.0399, True), (0.0401, False)])
def test_an_end_within_twice_its_deviation_is_taken_to_meet(off: float, met: bool):
    """A surveyed corner has 0.02 m, so 0.04 m is the limit itself."""
    added = add_lines(JOB, [measured("T", (200, off), (200, 100))], [], fence="x")
    assert [f.rule for f in added.findings] == ["line-51"] * met
    assert added.job.lines[1].xy[0].tolist() == [EAST + 200, NORTH + (0.0 if met else off)]


@pytest.mark.rules(silent="line-52 line-53")
def test_gates_and_crossings_go_to_the_nearest_line():
    points = [point("G", 100, 0.5, "gate", width=4.2), point("F", 300, -4.9, "Crossing 2", width=30.0),
              point("P", 50, 0, "ground", level=12.5)]
    added = add_lines(JOB, [], points, fence="x")
    (home,) = added.job.lines
    assert [(g.name, g.x - EAST, g.y - NORTH, g.width_m) for g in home.gates] == [("G", 100.0, 0.0, 4.2)]
    assert [(c.name, c.span_m) for c in home.crossings] == [("F", 30.0)]
    assert [p.name for p in added.job.points] == ["P"]
    assert added.findings == ()


@pytest.mark.rules(fires="line-52")
def test_a_gate_on_no_line_is_said_and_left_out():
    added = add_lines(JOB, [], [point("G", 100, 5.1, "gate", width=4.2)], fence="x")
    (found,) = added.findings
    assert (found.rule, found.severity, found.place.row) == ("line-52", "warning", 7)
    assert "5.1 m from 'Home'" in found.message
    assert added.job.lines[0].gates == ()


@pytest.mark.rules(limit="line-52")
@pytest.mark.parametrize(("off", "rule"), [(5.0, ""), (5.01, "line-52")])
def test_a_gate_belongs_to_a_line_within_five_metres(off: float, rule: str):
    found = add_lines(JOB, [], [point("G", 100, off, "gate", width=4.2)], fence="x").findings
    assert [f.rule for f in found] == [rule] * bool(rule)


def test_a_gate_where_there_is_no_line_at_all():
    (found,) = add_lines(Job("J", "EPSG:7855"), [], [point("G", 0, 0, "gate")], fence="x").findings
    assert "there is no line" in found.message


@pytest.mark.rules(fires="line-53")
@pytest.mark.parametrize(("code", "width"), [("gate", 4.2), ("crossing", 20.0)])
def test_an_opening_without_a_width_gets_the_usual_one_and_says_so(code: str, width: float):
    added = add_lines(JOB, [], [point("G", 100, 0, code)], fence="x")
    assert [f.rule for f in added.findings] == ["line-53"]
    (home,) = added.job.lines
    assert [g.width_m for g in home.gates] + [c.span_m for c in home.crossings] == [width]


def test_two_gates_of_one_name_are_told_apart():
    points = [point("", 100, 0, "gate", width=4.2), point("", 200, 0, "gate", width=3.0),
              point("G", 300, 0, "gate", width=4.2), point("G", 350, 0, "crossing", width=9.0)]
    job = add_lines(JOB, [], points, fence="x").job
    (home,) = add_lines(job, [], points[:1], fence="x").job.lines
    assert [g.name for g in home.gates] == ["gate", "gate (2)", "G", "gate (3)"]
    assert [c.name for c in home.crossings] == ["G (2)"]


@pytest.mark.rules(fires="line-50")
def test_a_walk_is_fitted_unless_it_is_wanted_as_walked():
    at = np.arange(0.0, 200.0)
    wiggle = np.random.default_rng(0).normal(0, 0.5, len(at))
    walk = measured("Walk", *zip(at, 300 + wiggle, strict=True), kind="track", accuracy="handheld")
    fitted = add_lines(JOB, [walk], [], fence="x")
    assert len(fitted.job.lines[1].xy) < 10
    assert fitted.findings[0].rule == "line-50"
    assert len(add_lines(JOB, [walk], [], fence="x", fitting=AS_READ).job.lines[1].xy) == len(at)


@pytest.mark.rules(fires="line-59", limit="line-59", silent="line-59")
@pytest.mark.parametrize(("again", "rule", "said"), [
    (0, "", ""),
    (1, "line-59", "'L0' is in the job already, corner by corner, as 'L0'; it was added again as 'L0 (2)'."),
    (2, "line-59", "2 lines of the file are in the job already, corner by corner, 'L0' the first; they were added "
     "again, that one as 'L0 (2)'.")])
def test_a_file_that_comes_again_is_told_once(again: int, rule: str, said: str):
    lines = [measured(f"L{k}", (0, 500 + 50 * k), (100, 500 + 50 * k)) for k in range(3)]
    job = add_lines(JOB, lines[:2], [], fence="x").job
    added = add_lines(job, [*lines[:again], lines[2]], [], fence="x")
    assert [f.message for f in added.findings if f.rule == "line-59"] == [said] * bool(rule)


@pytest.mark.rules(limit="line-50", silent="line-50")
@pytest.mark.parametrize(("fixes", "rule"), [(2, ""), (3, "line-50")])
def test_a_walk_of_which_every_fix_is_a_corner_was_not_fitted(fixes: int, rule: str):
    walk = measured("Walk", *((60.0 * k, 500.0) for k in range(fixes)), kind="track", accuracy="handheld")
    added = add_lines(JOB, [walk], [], fence="x")
    assert [f.rule for f in added.findings] == [rule] * bool(rule)
    assert len(added.job.lines[1].xy) == 2


@pytest.mark.rules(fires="line-50", limit="line-50")
@pytest.mark.parametrize(("gap", "severity"), [(9.9, "note"), (10.0, "note"), (10.1, "warning")])
def test_a_walk_whose_ends_were_taken_to_meet_over_more_than_ten_metres_is_a_warning(gap: float, severity: str):
    round_m = [(5.0 * k, 500.0) for k in range(20)] + [(100.0, 500.0 + 5.0 * k) for k in range(20)]
    round_m += [(100.0 - 5.0 * k, 600.0) for k in range(20)] + [(0.0, 600.0 - 5.0 * k) for k in range(18)]
    walk = measured("Walk", *round_m, (0.0, 500.0 + gap), kind="track", accuracy="handheld", closed=True)
    assert [(f.rule, f.severity) for f in add_lines(JOB, [walk], [], fence="x").findings] == [("line-50", severity)]


@pytest.mark.rules(fires="line-54", limit="line-54", silent="line-54")
@pytest.mark.parametrize(("apart_m", "rule"), [(0.0, "line-54"), (0.001, "line-54"), (0.0011, "")])
def test_a_walk_on_one_spot_holds_no_straight(monkeypatch: pytest.MonkeyPatch, apart_m: float, rule: str):
    """Corners within a millimetre are one, and one corner makes no line."""
    walk = measured("Walk", *((0.1 * k, 500.0) for k in range(20)), kind="track", accuracy="handheld")
    fit = fit_track(walk.xy)
    monkeypatch.setattr("planner.job.adding.fit_track", lambda *given, **more: replace(
        fit, corners=np.array([(0.0, 500.0), (apart_m, 500.0)]), corner_sd_m=np.array([1.0, 1.0])))
    added = add_lines(JOB, [walk], [], fence="x")
    assert ("line-54" in [f.rule for f in added.findings]) == bool(rule)
    assert (len(added.job.lines[1].xy) == 20) == bool(rule)


def test_every_rule_has_a_meaning():
    assert set(RULES) >= {"line-50", "line-51", "line-52", "line-53", "line-54"}


def test_a_fitted_line_keeps_what_its_fit_says_of_each_corner():
    legs = np.array([(EAST, NORTH + 500.0), (EAST + 300.0, NORTH + 500.0), (EAST + 300.0, NORTH + 800.0)])
    fixes = points_along(legs, np.arange(0.0, 600.1, 4.0)) + np.random.default_rng(3).normal(0.0, 2.0, (151, 2))
    walk = MeasuredLine("Walk", frozen(fixes), None, None, False, "track", "handheld", "a.gpx", 1)
    added = add_lines(JOB, [walk], [], fence="x")
    line, fit = added.job.lines[1], added.fits["Walk"]
    assert line.corner_sd_m is not None
    assert line.corner_sd_m.tolist() == fit.corner_sd_m.tolist()
    assert (corner_sd(line, JOB.settings) > np.maximum(fit.corner_sd_m, 4.0)).all()
    assert add_lines(JOB, [walk], [], fence="x", fitting=AS_READ).job.lines[1].corner_sd_m is None


@pytest.mark.rules(fires="line-59", limit="line-59")
def test_twins_are_the_same_corner_by_corner_and_no_less():
    """One corner moved by a millimetre, one fewer, or the other way about is another line; the first twin is named."""
    course = ((0, 500), (100, 500), (100, 600))
    job = add_lines(JOB, [measured("Creek", *course), measured("Again", *course)], [], fence="x").job
    others = [((0, 500), (100, 500), (100, 600.001)), course[:2], course[::-1]]
    assert not [f for f in add_lines(job, [measured("New", *xy) for xy in others], [], fence="x").findings
                if f.rule == "line-59"]
    (told,) = [f for f in add_lines(job, [measured("New", *course)], [], fence="x").findings if f.rule == "line-59"]
    assert "as 'Creek'" in told.message
