from __future__ import annotations

import numpy as np
import pytest

from planner.geometry.arrays import frozen
from planner.survey.fixes import MeasuredLine
from planner.survey.usable_lines import kept_corners, unique_names, without_repeats


def line(xy: list[tuple[float, float]], *, closed: bool = False, name: str = "A") -> MeasuredLine:
    count = len(xy)
    return MeasuredLine(name, frozen(np.array(xy, dtype=float)), frozen(np.arange(count) * 1.0),
                        frozen(np.arange(count) * 10.0), closed, "ring" if closed else "track", "rtk", "f.gpx", 3)


SQUARE = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0)]


def test_nothing_to_mend_gives_the_same_line() -> None:
    given = line(SQUARE, closed=True)
    assert without_repeats(given) == (given, [])
    assert kept_corners(given, np.zeros(5, dtype=bool)) is given


@pytest.mark.rules(fires="survey-22")
def test_repeated_corners_go_with_their_levels_and_times() -> None:
    kept, findings = without_repeats(line([(0, 0), (0, 0.0005), (5, 0), (5, 0), (9, 0)]))
    assert kept is not None
    np.testing.assert_array_equal(kept.xy, [(0, 0), (5, 0), (9, 0)])
    np.testing.assert_array_equal(kept.level_m, [0, 2, 4])
    np.testing.assert_array_equal(kept.time_s, [0, 20, 40])
    assert [(f.rule, f.severity) for f in findings] == [("survey-22", "note")]
    assert findings[0].message == "Left out 2 corners that stood within 1 mm of the corner before."
    assert (findings[0].place.line, findings[0].place.row) == ("A", 3)


@pytest.mark.rules(limit="survey-22")
def test_the_limit_itself_counts_as_one_place() -> None:
    kept, told = without_repeats(line([(0, 0), (0.001, 0), (5, 0)]))
    assert kept is not None
    assert len(kept.xy) == 2
    assert [f.rule for f in told] == ["survey-22"]
    kept, told = without_repeats(line([(0, 0), (0.0011, 0), (5, 0)]))
    assert kept is not None
    assert len(kept.xy) == 3
    assert told == []


def test_a_slow_creep_is_not_one_place() -> None:
    creep = [(step * 0.0009, 0.0) for step in range(1001)]
    kept, _ = without_repeats(line(creep))
    assert kept is not None
    assert len(kept.xy) == 501
    assert kept.xy[-1, 0] > 0.89


def test_a_ring_stays_closed_when_corners_go() -> None:
    given = line([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0.0004), (0, 0)], closed=True)
    kept, findings = without_repeats(given)
    assert kept is not None
    np.testing.assert_array_equal(kept.xy, SQUARE)
    assert findings[0].message == "Left out 1 corner that stood within 1 mm of the corner before."
    first_gone = kept_corners(line(SQUARE, closed=True), np.array([True, False, False, False, True]))
    assert first_gone is not None
    np.testing.assert_array_equal(first_gone.xy, [(10, 0), (10, 10), (0, 10), (10, 0)])


@pytest.mark.rules(limit="survey-21")
def test_a_line_needs_two_places_and_a_ring_three() -> None:
    kept, findings = without_repeats(line([(0, 0), (0, 0.0001)]))
    assert kept is None
    assert findings[0].message == "Line 'A' was left out, because it has only 1 place; a line needs two."
    kept, findings = without_repeats(line([(0, 0), (5, 0), (0, 0)], closed=True))
    assert kept is None
    assert findings[0].message == "Line 'A' was left out, because it has only 2 different places; a ring needs three."
    assert findings[0].rule == "survey-21"
    assert without_repeats(line([(0, 0), (5, 0)]))[1] == []
    assert without_repeats(line([(0, 0), (5, 0), (5, 5), (0, 0)], closed=True))[1] == []


def test_an_open_line_may_come_back_to_its_start() -> None:
    there_and_back = line([(0, 0), (5, 0), (0, 0)])
    assert without_repeats(there_and_back) == (there_and_back, [])


def test_too_few_corners_left() -> None:
    assert kept_corners(line([(0, 0), (5, 0)]), np.array([True, False])) is None


def test_names_are_made_unique_without_taking_a_later_lines_name() -> None:
    named, notes = unique_names([line(SQUARE, name=name) for name in ("A", "A", "A (2)", "A", "B")])
    assert [one.name for one in named] == ["A", "A (3)", "A (2)", "A (4)", "B"]
    assert [note.rule for note in notes] == ["survey-27"] * 2
    assert notes[0].message == "More than one line is called 'A'; this one is now 'A (3)'."
