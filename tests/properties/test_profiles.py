"""Whatever the line and the grounds, a profile is whole: every corner in it, finite, rising, no longer made up."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from unit.profile.grounds import Made, hill

from planner.geometry.lines import chainages, leg_lengths
from planner.profile.checks import check_profile
from planner.profile.ground_line import ground_line, record_levels
from planner.profile.length_uncertainty import slope_length_sd
from planner.survey.ground import NONE, TRACK, PointGround

COORDINATE = st.floats(-200.0, 200.0, allow_nan=False).map(lambda v: round(v, 2))
LINES = (st.lists(st.tuples(COORDINATE, COORDINATE), min_size=2, max_size=8, unique=True)
         .map(np.array).filter(lambda xy: leg_lengths(xy).min() > 0.01))
POINTS = st.lists(st.tuples(COORDINATE, COORDINATE, st.floats(150.0, 250.0)), max_size=6).map(
    lambda rows: np.array(rows, dtype=float).reshape(-1, 3))


@settings(max_examples=60, deadline=None)
@given(line=LINES, points=POINTS, west=COORDINATE, east=COORDINATE, step=st.sampled_from([0.5, 1.0, 7.0]))
def test_a_profile_is_whole(line: np.ndarray, points: np.ndarray, west: float, east: float, step: float) -> None:
    grounds = [Made(hill, west=west), PointGround(points, reach_m=5.0),
               Made(lambda x, y: hill(x, y) + 30.0, name="walk", kind=TRACK, cell_m=None, sd_m=3.0, east=east)]
    record = record_levels(line, grounds, step_m=step)
    ground = ground_line(line, record, grid="", step_m=step)
    assert (np.diff(record.at_m) > 0).all()
    assert np.diff(record.at_m).max() <= min(step, 1.0) + 1e-9
    assert np.array_equal(np.column_stack((ground.x, ground.y))[ground.vertices], line)
    assert np.isfinite(ground.level_m).all()
    assert (np.diff(ground.chainage_m) > 0).all()
    assert (np.diff(ground.slope_m) >= np.diff(ground.chainage_m) - 1e-12).all()
    assert abs(ground.chainage_m[-1] - chainages(line)[-1]) < 1e-6
    nothing = bool((ground.source == NONE).all())
    assert np.isfinite(ground.sd_m).all() != nothing
    check_profile("any", ground, record)
    cuts = np.linspace(0.0, ground.chainage_m[-1], 7)
    sd = slope_length_sd(ground, corner_sd_m=np.ones(len(line)), from_m=cuts[:-1], to_m=cuts[1:])
    assert np.isfinite(sd).all()
    assert (sd >= 0).all()


@settings(max_examples=40, deadline=None)
@given(line=LINES, moved=LINES)
def test_a_moved_line_never_loses_its_shape(line: np.ndarray, moved: np.ndarray) -> None:
    record = record_levels(line, [Made(hill)], step_m=2.0)
    ground = ground_line(moved, record, grid="", step_m=2.0)
    assert np.isfinite(ground.level_m).all()
    known = ground.source != NONE
    assert np.abs(ground.level_m[known] - hill(ground.x[known], ground.y[known])).max(initial=0.0) < 0.2
