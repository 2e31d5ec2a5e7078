import numpy as np
import pytest
from unit.sections.ground_of import ground_of, line_of

from planner.sections.lean import best_setting, grade_range, smoothed_grade, turning_points

LINE = line_of((0, 0), (200, 0))


def test_a_straight_grade_stays_one_grade() -> None:
    ground = ground_of(LINE, [0, 200], [0, 20])
    at = np.array([0.0, 3.0, 100.0, 199.0, 200.0])
    grade = smoothed_grade(ground, at, from_m=0.0, to_m=200.0, window_m=15.0)
    assert grade.tolist() == pytest.approx([np.degrees(np.arctan(0.1))] * 5)


def test_a_crest_is_rounded_over_the_window() -> None:
    ground = ground_of(LINE, [0, 100, 200], [0, 20, 0])
    at = np.array([92.5, 96.25, 100.0, 107.5])
    grade = np.tan(np.radians(smoothed_grade(ground, at, from_m=0.0, to_m=200.0, window_m=15.0)))
    assert grade.tolist() == pytest.approx([0.2, 0.1, 0.0, -0.2])


def test_the_window_is_cut_off_at_the_section_end() -> None:
    ground = ground_of(LINE, [0, 100, 200], [0, 20, 0])
    grade = smoothed_grade(ground, np.array([100.0]), from_m=0.0, to_m=100.0, window_m=15.0)
    assert np.tan(np.radians(grade)).tolist() == pytest.approx([0.2])


def test_a_short_bump_is_the_grader_s() -> None:
    ground = ground_of(LINE, [0, 99, 100, 101, 200], [0, 0, 0.3, 0, 0])
    low, high = grade_range(ground, from_m=0.0, to_m=200.0, window_m=15.0)
    assert max(-low, high) == pytest.approx(np.degrees(np.arctan(0.3 / 15)))


def test_the_extremes_stand_at_the_turning_points() -> None:
    rng = np.random.default_rng(5)
    at = np.unique(np.concatenate(([0.0, 200.0], rng.uniform(0, 200, 30))))
    ground = ground_of(LINE, at.tolist(), np.cumsum(rng.normal(0, 2, len(at))).tolist())
    ends = {"from_m": 31.0, "to_m": 152.0, "window_m": 15.0}
    dense = smoothed_grade(ground, np.linspace(31.0, 152.0, 20_001), **ends)
    low, high = grade_range(ground, **ends)
    assert low <= dense.min() <= low + 0.02
    assert high - 0.02 <= dense.max() <= high
    points = turning_points(ground, **ends)
    assert points[0] == 31.0
    assert points[-1] == 152.0


def test_a_section_shorter_than_the_window() -> None:
    ground = ground_of(LINE, [0, 200], [0, 20])
    assert grade_range(ground, from_m=50.0, to_m=54.0, window_m=15.0) == pytest.approx((5.7106, 5.7106), abs=1e-4)


def test_best_setting_is_the_middle_of_the_range() -> None:
    assert best_setting(-3.0, 9.0) == (3.0, 6.0)
    assert best_setting(4.0, 4.0) == (4.0, 0.0)
