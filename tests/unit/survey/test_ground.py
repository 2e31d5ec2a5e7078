from __future__ import annotations

import numpy as np
import pytest

from planner.errors import OutOfRange
from planner.geometry.lines import chainages, points_along
from planner.settings import Settings
from planner.survey.fixes import Accuracy, MeasuredPoint
from planner.survey.ground import NONE, SURVEY, TRACK, PointGround, TrackGround

XYZ = np.array([[0.0, 0.0, 50.0], [40.0, 1.0, 52.0], [70.0, 9.0, 99.0]])
LINE = np.array([[0.0, 0.0], [100.0, 0.0]])


def _point(x: float, level: float | None, accuracy: str) -> MeasuredPoint:
    return MeasuredPoint("p", x, 0.0, level, "", None, accuracy, "points.csv", 1)  # type: ignore[arg-type]


def test_points_speak_for_the_line_within_reach_only() -> None:
    at, own, levels = PointGround(XYZ).along(LINE)
    assert at.tolist() == [0.0, 40.0]
    assert own.tolist() == [[0.0, 0.0], [40.0, 1.0]]
    assert levels.level_m.tolist() == [50.0, 52.0]
    assert levels.source.tolist() == [SURVEY, SURVEY]
    assert levels.sd_m == pytest.approx([0.03, np.hypot(0.03, 0.1)])


def test_a_position_takes_the_nearest_point_within_reach() -> None:
    levels = PointGround(XYZ).levels(np.array([[0.0, 2.0], [0.0, 2.01], [40.0, 1.0], [np.nan, 0.0]]))
    assert levels.level_m[[0, 2]].tolist() == [50.0, 52.0]
    assert np.isnan(levels.level_m[[1, 3]]).all()
    assert levels.source.tolist() == [SURVEY, NONE, SURVEY, NONE]


def test_only_surveyed_and_rtk_points_count_as_survey_and_points_without_level_are_passed_over() -> None:
    points = [_point(5, 1.0, "survey"), _point(10, 2.0, "rtk"), _point(15, 3.0, "handheld"), _point(20, None, "survey")]
    _, _, levels = PointGround(points, settings=Settings(sd_handheld_m=2.0)).along(LINE)
    assert levels.level_m.tolist() == [1.0, 2.0, 3.0]
    assert levels.source.tolist() == [SURVEY, SURVEY, TRACK]
    assert levels.sd_m == pytest.approx([0.03, 0.075, 3.0])


def test_no_points_are_harmless() -> None:
    empty = PointGround(np.empty((0, 3)))
    assert np.isnan(empty.levels(LINE).level_m).all()
    assert empty.along(LINE)[0].shape == (0,)


def test_points_of_another_shape_are_refused() -> None:
    with pytest.raises(OutOfRange, match="east, north and level"):
        PointGround(np.zeros((4, 2)))


def _walk() -> np.ndarray:
    return np.column_stack((np.arange(0.0, 1000.1, 5.0), np.full(201, 2.0)))


def test_walked_heights_hold_within_reach_of_the_walk() -> None:
    track = TrackGround(_walk(), 100.0 + 0.05 * _walk()[:, 0], "walk", reach_m=10.0)
    levels = track.levels(np.array([[500.0, 12.0], [500.0, 12.1], [502.5, 0.0]]))
    assert levels.level_m[[0, 2]] == pytest.approx([125.0, 125.125])
    assert np.isnan(levels.level_m[1])
    assert levels.source.tolist() == [TRACK, NONE, TRACK]


def test_noise_and_rounding_decide_how_far_walked_heights_are_trusted() -> None:
    slope = 100.0 + 0.05 * _walk()[:, 0]
    rng = np.random.default_rng(1)
    assert TrackGround(_walk(), slope + rng.normal(size=201) * 0.015, accuracy="rtk").sd_m == 0.05
    assert TrackGround(_walk(), slope + rng.normal(size=201) * 0.4, accuracy="rtk").sd_m == 3.0
    assert TrackGround(_walk(), np.round(slope), accuracy="rtk").sd_m == 3.0
    assert TrackGround(_walk(), slope + rng.normal(size=201) * 5.0).sd_m > 4.0
    assert TrackGround(_walk(), slope, sd_m=0.5).sd_m == 0.5


def test_raw_and_smoothed_length_of_a_noisy_walk() -> None:
    noisy = TrackGround(_walk(), 100.0 + np.random.default_rng(1).normal(size=201) * 3.0)
    assert noisy.raw_m > 1.2 * noisy.smooth_m
    assert noisy.smooth_m == pytest.approx(1000.0, rel=0.003)


def test_far_from_any_fix_with_a_height_nothing_is_known() -> None:
    level = 100.0 + 0.05 * _walk()[:, 0]
    level[60:140] = np.nan  # 300 m to 700 m
    levels = TrackGround(_walk(), level).levels(np.array([[340.0, 2.0], [500.0, 2.0], [660.0, 2.0]]))
    assert levels.level_m[[0, 2]] == pytest.approx([117.0, 133.0])
    assert np.isnan(levels.level_m[1])


def test_a_walk_without_heights_knows_nothing() -> None:
    assert np.isnan(TrackGround(_walk(), np.full(201, np.nan)).levels(_walk()).level_m).all()


def test_steady_heights_rounded_to_a_tenth_are_not_taken_for_rtk():
    """A receiver that filters its heights shows little noise and wanders all the same."""
    x = np.arange(0.0, 600.0, 1.5)
    xy = np.column_stack((x, np.zeros_like(x)))
    wandering = 300 + 3 * np.sin(x / 25) + np.random.default_rng(2).normal(0, 0.02, len(x))
    phone = TrackGround(xy, np.round(wandering, 1), accuracy="rtk")
    rtk = TrackGround(xy, np.round(wandering, 3), accuracy="rtk")
    assert (phone.noise_m, phone.sd_m) == (0.3, 3.0)
    assert (rtk.noise_m < 0.05, rtk.sd_m) == (True, 0.05)
    assert phone.smooth_m < rtk.smooth_m


@pytest.mark.parametrize(("accuracy", "sd"), [
    ("survey", 0.05), ("rtk", 0.05), ("dgnss", 3.0), ("handheld", 3.0), ("traced", 3.0), ("unknown", 3.0)])
def test_the_class_and_not_smoothness_makes_heights_those_of_rtk(accuracy: Accuracy, sd: float) -> None:
    level = np.round(300 + 3 * np.sin(_walk()[:, 0] / 60) + np.random.default_rng(2).normal(0, 0.02, 201), 4)
    track = TrackGround(_walk(), level, accuracy=accuracy)
    assert track.sd_m == sd
    assert (track.noise_m >= 0.3) == (sd == 3.0)


def _zig_zag() -> np.ndarray:
    """Six legs of 150 m up a slope, 8 m apart: nearer to each other than a receiver's error and the reach."""
    corners = np.array([(150.0 * ((i + 1) // 2 % 2), 8.0 * (i // 2) + 4.0 * (i % 2)) for i in range(7)])
    return points_along(corners, np.arange(0.0, chainages(corners)[-1], 3.0))


def test_a_line_up_hairpins_takes_each_level_from_its_own_pass() -> None:
    walk, rng = _zig_zag(), np.random.default_rng(4)
    rising = 100.0 + 0.2 * chainages(walk)
    line = walk[::50]
    at = np.linspace(0.0, chainages(line)[-1], 800)
    track = TrackGround(walk + rng.normal(size=walk.shape), rising + rng.normal(size=len(walk)), accuracy="handheld")
    levels = track.along_line(line, at)
    known = np.isfinite(levels.level_m)
    assert known.mean() > 0.9
    assert np.abs(levels.level_m - (100.0 + 0.2 * at))[known].max() < 4.0
    grade = np.diff(levels.level_m) / np.diff(at)
    assert np.nanmin(grade) > -0.05
    assert np.nanmax(grade) < 0.6
    nearest = track.levels(points_along(line, at)).level_m  # what it must not be
    assert np.nanmax(np.abs(np.diff(nearest))) > 10.0


def test_a_way_back_takes_its_levels_from_the_way_back() -> None:
    walk = np.vstack((_walk(), _walk()[-2::-1] + np.array([0.0, 0.5])))
    track = TrackGround(walk, 100.0 + 0.1 * chainages(walk), "walk")
    line = np.array([[0.0, 2.0], [1000.0, 2.2], [0.0, 2.5]])
    at = np.linspace(0.0, 2000.0, 1000)
    assert track.along_line(line, at).level_m == pytest.approx(100.0 + 0.1 * at, abs=1.5)


def test_along_a_line_nothing_is_known_beyond_the_reach_or_without_heights() -> None:
    level = 100.0 + 0.05 * _walk()[:, 0]
    line, at = np.array([[0.0, 2.0], [500.0, 2.0], [1000.0, 62.0]]), np.array([0.0, 400.0, 990.0])
    found = TrackGround(_walk(), level, reach_m=10.0).along_line(line, at)
    assert found.level_m[:2] == pytest.approx([100.0, 120.0], abs=0.5)
    assert np.isnan([found.level_m[2], found.sd_m[2]]).all()
    assert found.source.tolist() == [TRACK, TRACK, NONE]
    assert np.isnan(TrackGround(_walk(), np.full(201, np.nan)).along_line(line, at).level_m).all()
