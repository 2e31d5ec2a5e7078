from __future__ import annotations

import numpy as np
import pytest
from unit.profile.grounds import Made, hill

from planner.errors import Cancelled, GridTrouble, OutOfRange
from planner.geometry.lines import chainages, points_along
from planner.profile.ground_line import ground_line, is_stale, record_levels
from planner.survey.ground import NONE, SURVEY, TERRAIN, TRACK, Levels, PointGround, TrackGround

LINE = np.array([[0.0, 0.0], [300.0, 0.0], [300.0, 120.5], [420.0, 200.0]])
RING = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 0.0]])


def _flat(level: float):
    return lambda x, y: np.full(len(x), level)


def test_every_corner_is_a_station_with_its_own_level() -> None:
    record = record_levels(LINE, [Made(hill)], step_m=1.0)
    ground = ground_line(LINE, record, grid="", step_m=1.0)
    assert np.array_equal(np.column_stack((ground.x, ground.y))[ground.vertices], LINE)
    assert ground.chainage_m[ground.vertices] == pytest.approx(chainages(LINE), abs=1e-9)
    assert ground.level_m == pytest.approx(hill(ground.x, ground.y), abs=1e-12)
    assert (np.diff(ground.chainage_m) > 0).all()
    assert set(record.source.tolist()) == {TERRAIN}
    assert record.names == ("made",)
    assert record.quality.cell_m == 2.0


def test_slope_distance_is_the_sum_over_the_stations() -> None:
    ground = ground_line(LINE, record_levels(LINE, [Made(hill)], step_m=1.0), grid="", step_m=1.0)
    steps = np.hypot(np.hypot(np.diff(ground.x), np.diff(ground.y)), np.diff(ground.level_m))
    assert ground.slope_m[-1] == pytest.approx(steps.sum(), rel=1e-12)
    assert ground.slope_m[0] == 0.0


def test_the_step_is_never_coarser_than_half_the_finest_cell() -> None:
    record = record_levels(LINE, [Made(hill, cell_m=10.0), Made(hill, cell_m=0.8)], step_m=1.0)
    assert np.diff(record.at_m).max() <= 0.4 + 1e-12
    assert np.diff(record_levels(LINE, [Made(hill, cell_m=10.0)], step_m=7.0).at_m).max() <= 5.0 + 1e-12


def test_no_ground_at_all_is_flat_and_unknown() -> None:
    for record in (None, record_levels(LINE, [], step_m=1.0)):
        ground = ground_line(LINE, record, grid="", step_m=1.0)
        assert (ground.level_m == 0.0).all()
        assert (ground.source == NONE).all()
        assert np.isnan(ground.sd_m).all()
        assert ground.slope_m[-1] == pytest.approx(chainages(LINE)[-1])


def test_surveyed_feet_are_stations_with_the_surveyed_level() -> None:
    points = PointGround(np.array([[50.37, 1.0, 207.0], [301.0, 60.2, 195.0], [150.0, 30.0, 999.0]]))
    record = record_levels(LINE, [Made(hill), points], step_m=1.0)
    for at, x, y, level in ((50.37, 50.37, 1.0, 207.0), (360.2, 301.0, 60.2, 195.0)):
        station = int(np.argmin(np.abs(record.at_m - at)))
        assert record.at_m[station] == pytest.approx(at, abs=1e-9)
        assert record.source[station] == SURVEY
        foot = points_along(LINE, np.array([at]))[0]
        # carried to the line along the slope of the terrain beside it
        slope = float((hill(foot[:1], foot[1:]) - hill(np.array([x]), np.array([y])))[0])
        assert record.level_m[station] == pytest.approx(level + slope)
    assert record.level_m.max() < 300.0
    assert record.names == ("surveyed points", "made")


def test_a_terrain_on_another_datum_makes_no_cliff_beside_a_surveyed_point() -> None:
    points = PointGround(np.array([[100.0, 0.0, hill(np.array([100.0]), np.zeros(1))[0] + 47.3]]))
    record = record_levels(LINE, [Made(hill), points], step_m=1.0)
    place = points_along(LINE, record.at_m)
    assert record.level_m == pytest.approx(hill(place[:, 0], place[:, 1]) + 47.3, abs=1e-9)
    assert record.quality.survey_off_m == pytest.approx(47.3)


def test_walked_heights_meet_the_terrain_where_it_ends() -> None:
    walk = points_along(LINE, np.arange(0.0, chainages(LINE)[-1], 4.0))
    track = TrackGround(walk, hill(walk[:, 0], walk[:, 1]) + 31.7, "walk", accuracy="rtk")
    record = record_levels(LINE, [track, Made(hill, east=200.0)], step_m=1.0)
    assert set(record.source.tolist()) == {TERRAIN, TRACK}
    place = points_along(LINE, record.at_m)
    assert np.abs(record.level_m - hill(place[:, 0], place[:, 1])).max() < 0.5
    assert np.abs(np.diff(record.level_m)).max() < 0.35
    assert record.quality.walked_off_m == pytest.approx(31.7, abs=0.2)
    assert record.sd_m[record.source == TRACK] == pytest.approx(track.sd_m)


def test_the_finest_of_several_terrains_stands_first() -> None:
    record = record_levels(LINE, [Made(_flat(5.0), name="coarse", cell_m=30.0, sd_m=9.0),
                                  Made(hill, name="fine", cell_m=1.0, east=150.0)], step_m=1.0)
    assert record.names == ("fine", "coarse")
    assert record.quality.cell_m == 30.0
    assert record.sd_m[0] == 0.15
    assert record.sd_m[-1] == 9.0
    assert np.abs(np.diff(record.level_m)).max() < 0.3  # the coarse one was moved to meet the fine one


def test_a_gap_is_bridged_straight_and_marked() -> None:
    line = np.array([[0.0, 0.0], [100.0, 0.0]])
    slope = Made(lambda x, y: np.where((x > 40) & (x < 60), np.nan, 0.1 * x))
    record = record_levels(line, [slope], step_m=1.0)
    assert record.level_m == pytest.approx(0.1 * record.at_m, abs=1e-12)
    gap = (record.at_m > 40) & (record.at_m < 60)
    assert np.array_equal(record.source == NONE, gap)
    assert record.sd_m[record.at_m == 50.0] == pytest.approx(np.hypot(0.15, 0.02 * 10))
    assert np.isfinite(record.sd_m).all()


def test_the_ends_are_level_with_the_last_known_place() -> None:
    line = np.array([[0.0, 0.0], [100.0, 0.0]])
    record = record_levels(line, [Made(lambda x, y: 0.1 * x, west=20.0, east=90.0)], step_m=1.0)
    assert record.level_m[record.at_m <= 20] == pytest.approx(2.0)
    assert record.level_m[record.at_m >= 90] == pytest.approx(9.0)
    assert record.sd_m[0] == pytest.approx(np.hypot(0.15, 0.1 * 20))
    assert record.sd_m[-1] == pytest.approx(np.hypot(0.15, 0.1 * 10))


def test_levels_of_the_corners_stand_first_and_the_ground_is_straight_between_them() -> None:
    own = Levels(np.array([10.0, np.nan, 14.0, 11.0]), np.full(4, 0.03), np.full(4, SURVEY))
    record = record_levels(LINE, [], step_m=1.0, vertex_levels=own)
    corners = chainages(LINE)
    assert record.level_m == pytest.approx(np.interp(record.at_m, corners[[0, 2, 3]], [10.0, 14.0, 11.0]))
    assert (record.source == SURVEY).sum() == 3


def test_levels_that_are_not_one_to_a_corner_are_refused() -> None:
    own = Levels(np.zeros(3), np.zeros(3), np.full(3, SURVEY))
    with pytest.raises(OutOfRange, match="3 levels for 4 corners"):
        record_levels(LINE, [], step_m=1.0, vertex_levels=own)


def test_a_closed_line_ends_at_the_level_it_started_from() -> None:
    points = PointGround(np.array([[-0.3, -0.5, 3.0], [100.0, 50.0, 8.0]]))
    record = record_levels(RING, [Made(_flat(0.0)), points], step_m=1.0, closed=True)
    assert record.level_m[0] == pytest.approx(3.0)
    assert record.level_m[-1] == pytest.approx(3.0)
    assert record.source[[0, -1]].tolist() == [SURVEY, SURVEY]
    assert np.abs(np.diff(record.level_m)).max() < 0.1


def test_extra_places_become_stations() -> None:
    record = record_levels(LINE, [Made(hill)], step_m=5.0, extra_at_m=np.array([12.34]))
    assert 12.34 in record.at_m


def test_rounded_terrain_is_smoothed_and_its_noise_kept() -> None:
    line = np.array([[0.0, 0.0], [600.0, 0.0]])
    rounded = Made(lambda x, y: np.round(0.05 * x), cell_m=1.0, quantum_m=1.0, noise_m=1 / np.sqrt(12))
    record = record_levels(line, [rounded], step_m=1.0)
    assert np.abs(np.diff(record.level_m)).max() < 0.06
    assert record.level_m == pytest.approx(np.round(0.05 * record.at_m), abs=0.5 + 1e-9)
    assert record.noise_m == pytest.approx(0.2887, abs=1e-4)
    assert record.quality.quantum_m == 1.0


def test_a_moved_line_keeps_the_levels_of_the_ground_it_still_passes() -> None:
    record = record_levels(LINE, [Made(hill)], step_m=1.0)
    moved = LINE.copy()
    moved[3] = (500.0, 120.5)
    assert is_stale(moved, record)
    assert not is_stale(LINE.copy(), record)
    ground = ground_line(moved, record, grid="", step_m=1.0)
    kept = ground.chainage_m <= 420.5
    assert ground.level_m[kept] == pytest.approx(hill(ground.x[kept], ground.y[kept]), abs=0.01)
    assert (ground.source[kept] == TERRAIN).all()
    assert (ground.source[ground.chainage_m > 422] == NONE).all()
    assert np.isfinite(ground.level_m).all()
    assert ground.sd_m[-1] > 5.0


def test_a_line_moved_right_away_knows_nothing() -> None:
    record = record_levels(LINE, [Made(hill)], step_m=1.0)
    ground = ground_line(LINE + 5000.0, record, grid="", step_m=1.0)
    assert (ground.level_m == 0.0).all()
    assert np.isnan(ground.sd_m).all()


def test_a_flat_record_stays_unknown_when_the_line_moves() -> None:
    record = record_levels(LINE, [], step_m=1.0)
    moved = LINE.copy()
    moved[3] += 40.0
    assert np.isnan(ground_line(moved, record, grid="", step_m=1.0).sd_m).all()


def test_a_line_without_a_place_in_its_grid_is_refused() -> None:
    with pytest.raises(GridTrouble, match="leg from corner 1 has no place"):
        ground_line(np.array([[1e9, 1e9], [1e9 + 50.0, 1e9]]), None, grid="EPSG:7855", step_m=1.0)


def test_taking_levels_stops_when_asked() -> None:
    class Impatient:
        def report(self, fraction: float, text: str) -> None: ...

        def stop_if_cancelled(self) -> None:
            raise Cancelled

    with pytest.raises(Cancelled):
        record_levels(LINE, [Made(hill)], step_m=1.0, progress=Impatient())


@pytest.mark.parametrize(("at", "level", "slope"), [
    ([0, 140, 260, 410, 520, 690, 830, 960, 1120, 1250, 1400],
     [212, 231, 244, 226, 205, 229, 251, 240, 214, 222, 236], 1411.9),
    ([0, 95, 210, 300, 430, 520, 660, 780], [100, 112, 141, 168, 171, 149, 128, 131], 792.6),
])
def test_ground_levelled_at_its_breaks_is_straight_between_them(at: list, level: list, slope: float) -> None:
    # slope lengths worked by hand, leg by leg
    points = PointGround(np.column_stack((at, np.zeros(len(at)), level)).astype(float))
    line = np.array([[0.0, 0.0], [at[-1], 0.0]])
    ground = ground_line(line, record_levels(line, [points], step_m=1.0), grid="", step_m=1.0)
    assert ground.slope_m[-1] == pytest.approx(slope, abs=0.05)
    assert ground.slope_m[-1] == pytest.approx(np.hypot(np.diff(at), np.diff(level)).sum(), abs=1e-6)


def test_only_the_walk_that_a_line_was_fitted_from_gives_its_levels_in_order() -> None:
    there = np.column_stack((np.arange(0.0, 300.1, 3.0), np.zeros(101)))
    walk = np.vstack((there, there[-2::-1] + np.array([0.0, 1.0])))
    track = TrackGround(walk, 100.0 + 0.1 * chainages(walk), "walk")
    line = np.array([[0.0, 1.0], [300.0, 0.9], [0.0, 0.1]])  # drawn beside the other pass each time
    own, other = (record_levels(line, [track], step_m=1.0, own_walk=w) for w in (track, None))
    assert own.level_m == pytest.approx(100.0 + 0.1 * own.at_m, abs=1.5)
    assert np.abs(other.level_m - own.level_m).max() > 20.0
