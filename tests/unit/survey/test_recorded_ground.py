from __future__ import annotations

import numpy as np

from planner.profile.ground_line import record_levels
from planner.survey.ground import NONE, SURVEY, TERRAIN, Levels, PointGround
from planner.survey.recorded_ground import RecordedGround, recorded_grounds, single_stations

LINE = np.array([[0.0, 0.0], [100.0, 0.0]])


class West:
    """Terrain that ends half-way along the line."""

    name, cell_m = "west", 4.0

    def levels(self, xy):
        known = xy[:, 0] <= 50.0
        level = np.where(known, 20.0 + 0.1 * xy[:, 0], np.nan)
        return Levels(level, np.where(known, 0.1, np.nan), np.where(known, TERRAIN, NONE).astype(np.int64))


def recorded():
    points = PointGround(np.array([[30.5, 0.0, 24.0], [80.25, 0.0, 30.0]]))
    return record_levels(LINE, [points, West()], step_m=1.0)


def test_each_kind_of_source_apart():
    survey, terrain = recorded_grounds(recorded())
    assert survey.cell_m is None
    assert terrain.cell_m == 4.0
    assert survey.name == terrain.name == "surveyed points, west"


def test_surveyed_levels_hold_at_their_own_place_only():
    ground = RecordedGround(recorded(), SURVEY)
    levels = ground.levels(np.array([[30.5, 0.0], [31.0, 0.0], [80.25, 0.0], [80.25, 0.5]]))
    np.testing.assert_array_equal(levels.level_m, [24.0, np.nan, 30.0, np.nan])
    assert levels.source.tolist() == [SURVEY, NONE, SURVEY, NONE]


def test_terrain_holds_between_its_stations_and_not_beyond():
    levels = RecordedGround(recorded(), TERRAIN).levels(np.array([[10.0, 0.0], [10.5, 0.0], [60.0, 0.0], [10.0, 1.0]]))
    assert np.isfinite(levels.level_m).tolist() == [True, True, False, False]
    assert levels.level_m[1] == (levels.level_m[0] + RecordedGround(recorded(), TERRAIN).levels(
        np.array([[11.0, 0.0]])).level_m[0]) / 2


def test_taking_the_profile_again_from_its_own_record_changes_nothing():
    first = recorded()
    again = record_levels(LINE, recorded_grounds(first), step_m=1.0, extra_at_m=single_stations(first))
    np.testing.assert_array_equal(again.at_m, first.at_m)
    np.testing.assert_allclose(again.level_m, first.level_m, rtol=0, atol=1e-12)
    np.testing.assert_array_equal(again.source, first.source)
    np.testing.assert_allclose(again.sd_m, first.sd_m, rtol=0, atol=1e-12)
