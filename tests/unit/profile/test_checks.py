from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from unit.profile.grounds import Made, hill

from planner.findings import Finding
from planner.geometry.lines import points_along
from planner.profile.checks import NOISY_SHARE, RULES, check_profile
from planner.profile.grade_breaks import grade_chain
from planner.profile.ground_line import ground_line, record_levels
from planner.survey.ground import TRACK, PointGround, RecordedLevels, TrackGround
from planner.units import FOOT_M

LINE = np.array([[0.0, 0.0], [600.0, 0.0], [900.0, 300.0]])
WALK = points_along(LINE, np.arange(0.0, 1020.0, 5.0))
WALKED = hill(WALK[:, 0], WALK[:, 1])


def _findings(record: RecordedLevels | None, line: np.ndarray = LINE) -> dict[str, Finding]:
    found = check_profile("North", ground_line(line, record, grid="", step_m=1.0), record)
    assert {f.rule for f in found} <= set(RULES)
    assert all(f.place.line == "North" and f.message and f.remedy for f in found)
    assert not any("nan" in f.message or "inf" in f.message for f in found)
    return {f.rule: f for f in found}


@pytest.mark.rules(silent="profile-01 profile-02 profile-03 profile-05 profile-07 profile-10")
def test_fine_terrain_all_along_finds_nothing() -> None:
    assert _findings(record_levels(LINE, [Made(hill)], step_m=1.0)) == {}


@pytest.mark.rules(fires="profile-01")
def test_a_line_without_levels_says_it_is_planned_flat() -> None:
    for record in (None, record_levels(LINE, [], step_m=1.0)):
        found = _findings(record)
        assert list(found) == ["profile-01"]
        assert "its length is that of the map" in found["profile-01"].message


@pytest.mark.rules(fires="profile-02")
def test_a_short_gap_is_a_note_and_a_long_end_a_warning() -> None:
    short = Made(lambda x, y: np.where((x > 100) & (x < 120), np.nan, hill(x, y)))
    found = _findings(record_levels(LINE, [short], step_m=1.0))["profile-02"]
    assert found.severity == "note"
    assert "20 m of the line's 1024 m have no level of their own; the longest gap, 20 m" in found.message
    assert found.place.chainage_m == 100.0
    found = _findings(record_levels(LINE, [Made(hill, east=500.0)], step_m=1.0))["profile-02"]
    assert found.severity == "warning"
    assert "524 m of the line's 1024 m" in found.message
    assert "level with the last known place" in found.message
    assert (found.place.chainage_m, found.place.x) == (500.0, 500.0)


@pytest.mark.rules(fires="profile-03", limit="profile-03")
@pytest.mark.parametrize(("cell", "rule"), [(5.0, ""), (5.01, "profile-03"), (30.0, "profile-03")])
def test_coarse_terrain_is_named_with_its_cell(cell: float, rule: str) -> None:
    found = _findings(record_levels(LINE, [Made(hill, cell_m=cell)], step_m=1.0))
    assert ("profile-03" in found) == bool(rule)
    if rule:
        assert f"Profile too coarse: the terrain has {cell:.3g} m cells" in found["profile-03"].message


@pytest.mark.rules(fires="profile-04")
def test_noisy_heights_are_named_and_good_ones_are_not() -> None:
    rng = np.random.default_rng(7)
    handheld = TrackGround(WALK, WALKED + rng.normal(size=len(WALK)) * 3.0, "walk")
    found = _findings(record_levels(LINE, [handheld], step_m=1.0))
    assert "Noisy heights" in found["profile-04"].message
    rtk = TrackGround(WALK, WALKED + rng.normal(size=len(WALK)) * 0.015, "walk", accuracy="rtk")
    assert "profile-04" not in _findings(record_levels(LINE, [rtk], step_m=1.0))


def test_slow_wander_is_noisy_too() -> None:
    rng = np.random.default_rng(7)
    error = np.zeros(len(WALK))
    for k in range(1, len(WALK)):
        error[k] = 0.98 * error[k - 1] + 0.597 * rng.normal()
    track = TrackGround(WALK, WALKED + error, "walk")
    assert "profile-04" in _findings(record_levels(LINE, [track], step_m=1.0))


@pytest.mark.rules(silent="profile-04")
def test_noisy_heights_that_nothing_rests_on_are_not_told() -> None:
    handheld = TrackGround(WALK, WALKED + np.random.default_rng(7).normal(size=len(WALK)) * 3.0, "walk")
    assert "profile-04" not in _findings(record_levels(LINE, [Made(hill), handheld], step_m=1.0))


@pytest.mark.rules(limit="profile-04")
@pytest.mark.parametrize(("more", "rule"), [(-1e-6, ""), (0.0, ""), (1e-6, "profile-04")])
def test_heights_are_noisy_above_a_quarter_of_a_per_cent(more: float, rule: str) -> None:
    record = record_levels(LINE, [TrackGround(WALK, WALKED, "walk")], step_m=1.0)
    quality = replace(record.quality, walked_raw_m=1024.0 * (1.0 + NOISY_SHARE + more), walked_smooth_m=1024.0,
                      walked_noise_m=0.4)
    assert ("profile-04" in _findings(replace(record, quality=quality))) == bool(rule)


@pytest.mark.rules(limit="profile-08")
@pytest.mark.parametrize(("rule", "off", "spread", "severity"), [
    ("", 3.0, 6.0, None), ("", 0.1, 4.5, None), ("profile-08", 0.1, 6.01, "warning"),
    ("profile-08", 3.01, 6.0, "warning"), ("profile-08", -3.01, 1.49, "note"), ("profile-08", -3.01, 1.51, "warning"),
    ("profile-08", 30.0, 7.49, "note"), ("profile-08", 30.0, 7.5, "warning")])
def test_walked_heights_against_terrain_at_each_limit(rule: str, off: float, spread: float,
                                                      severity: str | None) -> None:
    record = record_levels(LINE, [Made(hill)], step_m=1.0)
    found = _findings(replace(record, quality=replace(record.quality, walked_off_m=off, walked_spread_m=spread)))
    assert (found["profile-08"].severity if "profile-08" in found else None) == severity


@pytest.mark.rules(fires="profile-05", limit="profile-05")
@pytest.mark.parametrize(("step", "severity"), [(0.1, "note"), (0.49, "note"), (0.5, "warning"), (1.0, "warning")])
def test_rounded_terrain_is_named(step: float, severity: str) -> None:
    rounded = Made(lambda x, y: np.round(hill(x, y) / step) * step, quantum_m=step, noise_m=step / np.sqrt(12))
    found = _findings(record_levels(LINE, [rounded], step_m=1.0))["profile-05"]
    assert found.severity == severity
    assert f"rounded to {step:.3g} m" in found.message


@pytest.mark.rules(fires="profile-06")
def test_a_jump_where_the_source_changes_is_named_with_its_place() -> None:
    # the two do not overlap, so nothing can be moved to meet
    walked = Made(lambda x, y: hill(x, y) + 12.0, name="walk", kind=TRACK, cell_m=None, sd_m=1.0, west=301.0)
    found = _findings(record_levels(LINE, [Made(hill, east=300.0), walked], step_m=1.0))["profile-06"]
    assert "jumps 12.0" in found.message
    assert "up within 1.0 m where terrain levels end and track levels begin" in found.message
    assert found.place.chainage_m == 300.0
    within = Made(lambda x, y: hill(x, y) + 2.9, name="walk", kind=TRACK, cell_m=None, sd_m=1.0, west=301.0)
    assert "profile-06" not in _findings(record_levels(LINE, [Made(hill, east=300.0), within], step_m=1.0))


@pytest.mark.rules(limit="profile-06")
@pytest.mark.parametrize(("jump", "rule"), [(15.0, ""), (15.01, "profile-06")])
def test_a_jump_is_told_above_three_deviations_of_both(jump: float, rule: str) -> None:
    """3 m and 4 m make 5 m."""
    low, high = (Made(lambda x, y, level=level: np.full(np.shape(x), level), **sides, sd_m=sd)  # type: ignore[misc]
                 for level, sd, sides in ((0.0, 3.0, {"east": 300.0}),
                                          (jump, 4.0, {"west": 301.0, "kind": TRACK, "cell_m": None})))
    found = _findings(record_levels(LINE, [low, high], step_m=1.0))
    assert ("profile-06" in found) == bool(rule)


@pytest.mark.rules(silent="profile-06")
def test_sources_that_overlap_make_no_jump() -> None:
    walked = Made(lambda x, y: hill(x, y) + 12.0, name="walk", kind=TRACK, cell_m=None, sd_m=1.0, west=250.0)
    found = _findings(record_levels(LINE, [Made(hill, east=300.0), walked], step_m=1.0))
    assert "profile-06" not in found


@pytest.mark.rules(fires="profile-07")
def test_a_moved_line_says_that_its_levels_are_old() -> None:
    record = record_levels(LINE, [Made(hill)], step_m=1.0)
    moved = LINE.copy()
    moved[2, 0] += 50.0
    found = _findings(record, moved)
    assert "moved after its levels were taken" in found["profile-07"].message
    assert "profile-07" in _findings(record, LINE + 9000.0)


@pytest.mark.rules(limit="profile-07")
@pytest.mark.parametrize(("by_m", "rule"), [(1e-6, ""), (1.1e-6, "profile-07")])
def test_a_line_is_moved_from_a_thousandth_of_a_millimetre_on(by_m: float, rule: str) -> None:
    found = _findings(record_levels(LINE, [Made(hill)], step_m=1.0), LINE + np.array([[by_m, 0.0], [0, 0], [0, 0]]))
    assert ("profile-07" in found) == bool(rule)


@pytest.mark.rules(limit="profile-01")
@pytest.mark.parametrize(("places", "rule"), [(1, ""), (0, "profile-01")])
def test_one_known_level_is_enough_not_to_be_flat_for_want_of_any(places: int, rule: str) -> None:
    grounds = [PointGround(np.array([[300.0, 0.0, 12.0]]))][:places]
    assert ("profile-01" in _findings(record_levels(LINE, grounds, step_m=1.0))) == bool(rule)


@pytest.mark.rules(fires="profile-08")
def test_a_constant_offset_of_walked_heights_is_named() -> None:
    track = TrackGround(WALK, WALKED + 31.7, "walk")
    found = _findings(record_levels(LINE, [Made(hill), track], step_m=1.0))["profile-08"]
    assert found.severity == "note"
    assert "31.7 m above the terrain all along" in found.message
    small = TrackGround(WALK, WALKED + 2.5, "walk")
    assert "profile-08" not in _findings(record_levels(LINE, [Made(hill), small], step_m=1.0))


@pytest.mark.rules(silent="profile-04 profile-06 profile-08 profile-09 profile-12")
def test_sources_of_one_mind_have_nothing_to_say() -> None:
    grounds = [Made(hill), _surveyed(0.3, -0.3, 0.2), TrackGround(WALK, WALKED + 0.5, "walk")]
    record = record_levels(LINE, grounds, step_m=1.0)
    assert record.quality.walked_off_m == pytest.approx(0.5, abs=0.1)
    assert record.quality.survey_off_m == pytest.approx(0.2, abs=0.1)
    assert _findings(record) == {}


def test_walked_heights_that_follow_other_ground_are_a_warning() -> None:
    track = TrackGround(WALK, 200.0 + 0.2 * WALK[:, 0], "walk")
    found = _findings(record_levels(LINE, [Made(hill), track], step_m=1.0))["profile-08"]
    assert found.severity == "warning"
    assert "disagree" in found.message


def _surveyed(*lift: float) -> PointGround:
    at = np.linspace(50.0, 550.0, len(lift))
    return PointGround(np.column_stack((at, np.zeros(len(lift)), hill(at, np.zeros(len(lift))) + lift)))


@pytest.mark.rules(fires="profile-09")
def test_surveyed_levels_off_the_terrain_are_named() -> None:
    found = _findings(record_levels(LINE, [Made(hill), _surveyed(2.0, 2.0, 2.1)], step_m=1.0))["profile-09"]
    assert "Surveyed levels lie 2.00 m above the terrain" in found.message
    assert "profile-09" not in _findings(record_levels(LINE, [Made(hill), _surveyed(0.3, -0.3, 0.2)], step_m=1.0))


def test_one_wrong_surveyed_level_is_named_with_its_place() -> None:
    found = _findings(record_levels(LINE, [Made(hill), _surveyed(0.0, 0.0, -10.0, 0.0, 0.1)], step_m=1.0))["profile-09"]
    assert "One surveyed level lies 10.00 m below" in found.message
    assert found.place.chainage_m == 300.0


@pytest.mark.rules(limit="profile-02")
@pytest.mark.parametrize(("wide", "severity"), [(29.0, "note"), (30.0, "note"), (31.0, "warning")])
def test_a_gap_of_thirty_metres_is_a_note(wide: float, severity: str) -> None:
    gap = Made(lambda x, y: np.where((x > 100) & (x < 100 + wide), np.nan, hill(x, y)))
    assert _findings(record_levels(LINE, [gap], step_m=1.0))["profile-02"].severity == severity


@pytest.mark.rules(limit="profile-10")
@pytest.mark.parametrize(("wide", "rule"), [(1.0, ""), (2.0, "profile-10")])
def test_ground_is_steep_from_two_metres_of_it(wide: float, rule: str) -> None:
    step = Made(lambda x, y: np.clip(x - 300.0, 0.0, wide) * 1.2)
    assert ("profile-10" in _findings(record_levels(LINE, [step], step_m=1.0))) == bool(rule)


@pytest.mark.rules(limit="profile-09")
@pytest.mark.parametrize(("sds", "rule"), [
    (-3.0, ""), (2.99, ""), (3.0, ""), (3.01, "profile-09"), (-3.01, "profile-09")])
def test_surveyed_levels_are_off_the_terrain_above_three_deviations(sds: float, rule: str) -> None:
    record = record_levels(LINE, [Made(hill)], step_m=1.0)
    (sd,) = set(ground_line(LINE, record, grid="", step_m=1.0).sd_m.tolist())
    quality = replace(record.quality, survey_off_m=sds * sd, survey_spread_m=0.0, survey_worst_m=0.0,
                      survey_worst_at_m=300.0)
    assert ("profile-09" in _findings(replace(record, quality=quality))) == bool(rule)


@pytest.mark.rules(fires="profile-10", limit="profile-10")
def test_ground_steeper_than_45_degrees_is_named() -> None:
    cliff = Made(lambda x, y: np.clip(x - 300.0, 0.0, 10.0) * 1.2)
    found = _findings(record_levels(LINE, [cliff], step_m=1.0))["profile-10"]
    assert "10 m of the line are steeper than 45 degrees, up to 50 degrees" in found.message
    just = Made(lambda x, y: np.clip(x - 300.0, 0.0, 10.0))
    assert "profile-10" not in _findings(record_levels(LINE, [just], step_m=1.0))


def test_a_record_without_its_quality_is_harmless() -> None:
    record = record_levels(LINE, [Made(hill, cell_m=30.0)], step_m=1.0)
    bare = replace(record, quality=type(record.quality)())
    assert _findings(bare) == {}


@pytest.mark.rules(fires="profile-11", silent="profile-11", limit="profile-11")
@pytest.mark.parametrize(
    ("noise", "rule", "told"), [
        (0.05, "", []), (0.25, "", []), (0.26, "profile-11", ["note"]), (0.5, "profile-11", ["note"]),
        (0.51, "profile-11", ["warning"]), (15.0, "profile-11", ["warning"])])
def test_levels_too_rough_for_grade_breaks(noise: float, rule: str, told: list[str]) -> None:
    line = np.array([[0.0, 0.0], [100.0, 0.0]])
    recorded = record_levels(line, [PointGround(np.array([[0.0, 0.0, 10.0], [50.0, 0.0, 12.0], [100.0, 0.0, 10.0]]))],
                             step_m=1.0)
    ground = replace(ground_line(line, recorded, grid="", step_m=1.0), noise_m=noise)
    chain = grade_chain(ground, tolerance_m=0.15)
    found = [f for f in check_profile("A", ground, recorded, chain) if f.rule == "profile-11"]
    assert [f.severity for f in found] == told


@pytest.mark.parametrize(("factor", "lift", "named"), [
    (1.0 / FOOT_M, 0.0, True), (1.0, 0.0, False),
    (1.0, 2.28 * 200.0, False),  # as far apart as feet would be, but with the same rise and fall
])
def test_surveyed_levels_in_feet_are_named_and_nothing_else_is_said_of_them(factor: float, lift: float,
                                                                            named: bool) -> None:
    at = np.linspace(20.0, 580.0, 15)
    survey = PointGround(np.column_stack((at, np.zeros(15), factor * hill(at, np.zeros(15)) + lift)))
    found = _findings(record_levels(LINE, [Made(hill), survey], step_m=1.0))
    assert ("profile-12" in found) == named
    if named:
        assert "The surveyed levels look like feet" in found["profile-12"].message
        assert not {"profile-08", "profile-09"} & found.keys()


@pytest.mark.rules(fires="profile-12", limit="profile-12")
@pytest.mark.parametrize(("level", "rule"), [(8.7, ""), (8.8, "profile-12")])
def test_feet_are_thought_of_from_20_metres_apart(level: float, rule: str) -> None:
    """8.78 m in feet is 28.78: 20 m apart."""
    survey = PointGround(np.array([[at, 0.0, level / FOOT_M] for at in (100.0, 300.0, 500.0)]))
    flat = Made(lambda x, y: np.full(np.shape(x), level))
    assert ("profile-12" in _findings(record_levels(LINE, [flat, survey], step_m=1.0))) == bool(rule)


def test_terrain_in_feet_is_named_by_what_was_walked() -> None:
    track = TrackGround(WALK, WALKED, "walk")
    found = _findings(record_levels(LINE, [Made(lambda x, y: hill(x, y) / FOOT_M), track], step_m=1.0))
    assert "levels of the terrain look like feet" in found["profile-12"].message
