"""One corner moved: the spliced ground is the ground taken anew."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from planner.geometry.arrays import Floats
from planner.profile.ground_line import ground_line, record_levels
from planner.profile.moved_ground import carried, carried_lengths, moved_ground_line, moved_levels
from planner.survey.ground import NONE, TERRAIN, Levels, PointGround

GRID = "EPSG:7855"
EAST, NORTH = 500_000.0, 5_900_000.0
STEP_M = 5.0


class Hills:
    """A terrain made of two waves, known west of an edge."""

    name, noise_m, sd_m = "hills", 0.05, 0.15

    def __init__(self, height: float = 10.0, wave: float = 100.0, *, edge: float = np.inf, cell: float = 4.0,
                 quantum: float = 0.0) -> None:
        self.height, self.wave, self.edge, self.cell_m, self.quantum_m = height, wave, edge, cell, quantum
        self.asked = 0

    def levels(self, xy: Floats) -> Levels:
        """Levels."""
        self.asked += len(xy)
        x, y = xy[:, 0] - EAST, xy[:, 1] - NORTH
        known = x <= self.edge
        level = np.where(known, 300 + self.height * (np.sin(x / self.wave) + np.cos(y / (0.7 * self.wave))), np.nan)
        return Levels(level, np.where(known, self.sd_m, np.nan), np.where(known, TERRAIN, NONE).astype(np.int64))


def line_of(steps: list[tuple[float, float]]) -> Floats:
    """A line that goes on by steps, east each time."""
    return np.array([(EAST, NORTH)]) + np.concatenate(([(0.0, 0.0)], np.cumsum(np.array(steps), axis=0)))


STEPS = st.lists(st.tuples(st.floats(1.0, 90.0), st.floats(-60.0, 60.0)), min_size=1, max_size=12)


@given(STEPS, st.integers(0, 12), st.tuples(st.floats(-40.0, 40.0), st.floats(-40.0, 40.0)),
       st.floats(0.0, 60.0), st.floats(15.0, 400.0), st.sampled_from([1.0, 4.0, 30.0]), st.sampled_from(["", GRID]))
def test_a_moved_corner_gives_what_the_whole_way_gives(steps: list[tuple[float, float]], which: int,
                                                       by: tuple[float, float], height: float, wave: float,
                                                       cell: float, grid: str) -> None:
    xy, ground = line_of(steps), Hills(height, wave, cell=cell)
    after = xy.copy()
    after[which % len(xy)] += (by[0], 0.5 + by[1])
    if np.hypot(*np.diff(after, axis=0).T).min() < 0.01 or (after == xy).all():
        return
    old = record_levels(xy, [ground], step_m=STEP_M)
    was = ground_line(xy, old, grid=grid, step_m=STEP_M)
    new = moved_levels(old, after, [ground], step_m=STEP_M)
    assert new is not None
    whole = record_levels(after, [ground], step_m=STEP_M)
    for name in ("at_m", "level_m", "sd_m", "source"):
        np.testing.assert_allclose(getattr(new, name), getattr(whole, name), rtol=0, atol=1e-6)
    assert (new.names, new.noise_m, new.quality) == (whole.names, whole.noise_m, whole.quality)
    found, asked = (moved_ground_line(was, old, new, grid=grid),
                    ground_line(after, whole, grid=grid, step_m=STEP_M))
    for name in ("chainage_m", "x", "y", "level_m", "sd_m", "source", "slope_m", "vertices"):
        np.testing.assert_allclose(getattr(found, name), getattr(asked, name), rtol=0, atol=1e-6)
    np.testing.assert_allclose(found.scale, asked.scale, rtol=0, atol=1e-12)
    # the record is the one that the ground line takes as it stands
    np.testing.assert_allclose(ground_line(after, new, grid=grid, step_m=STEP_M).slope_m, asked.slope_m, atol=1e-6)
    cuts = was.chainage_m[was.vertices]
    np.testing.assert_allclose(carried(cuts, was, found), asked.chainage_m[asked.vertices], rtol=0, atol=1e-6)
    np.testing.assert_allclose(carried_lengths(cuts, was, found), np.diff(asked.slope_m[asked.vertices]), atol=1e-6)


XY = line_of([(60.0, 10.0)] * 6)
AFTER = XY.copy()
AFTER[3] += (2.0, 5.0)


def test_only_the_two_legs_are_asked_for() -> None:
    ground = Hills()
    old = record_levels(XY, [ground], step_m=STEP_M)
    ground.asked = 0
    assert moved_levels(old, AFTER, [ground], step_m=STEP_M) is not None
    assert 0 < ground.asked < len(old.at_m) / 2


def test_the_whole_way_is_asked_for_where_the_short_one_does_not_hold() -> None:
    plain, two = Hills(), AFTER.copy()
    two[1, 1] += 1.0
    old = record_levels(XY, [plain], step_m=STEP_M)
    start = XY.copy()
    start[0, 1] += 1.0
    assert moved_levels(old, start, [plain], step_m=STEP_M) is not None
    assert moved_levels(old, start, [plain], step_m=STEP_M, closed=True) is None
    assert moved_levels(old, XY, [plain], step_m=STEP_M) is None, "nothing moved"
    assert moved_levels(old, two, [plain], step_m=STEP_M) is None, "two moved"
    assert moved_levels(old, AFTER[:-1], [plain], step_m=STEP_M) is None, "fewer corners"
    assert moved_levels(old, AFTER, [], step_m=STEP_M) is None
    assert moved_levels(old, AFTER, [plain], step_m=0.7) is None, "other stations"
    assert moved_levels(old, AFTER, [Hills(quantum=0.05)], step_m=STEP_M) is None, "smoothed within its rounding"
    assert moved_levels(old, AFTER, [Hills(quantum=0.049)], step_m=STEP_M) is not None
    point = PointGround(np.array([(*XY[1], 310.0)]))
    assert moved_levels(old, AFTER, [plain, point], step_m=STEP_M) is None
    assert moved_levels(record_levels(XY, [point], step_m=STEP_M), AFTER, [point], step_m=STEP_M) is None
    assert moved_levels(old, AFTER, [Hills(edge=float(AFTER[3, 0] - EAST) - 1.0)], step_m=STEP_M) is None, "a gap"
    assert moved_levels(replace(old, names=("another",)), AFTER, [plain], step_m=STEP_M) is None


def test_a_corner_onto_its_neighbour_is_left_to_the_whole_way() -> None:
    old, onto = record_levels(XY, [Hills()], step_m=STEP_M), XY.copy()
    onto[3] = onto[2]
    assert moved_levels(old, onto, [Hills()], step_m=STEP_M) is None
