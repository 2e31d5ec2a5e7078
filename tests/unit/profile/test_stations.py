from __future__ import annotations

import numpy as np
import pytest

from planner.errors import OutOfRange
from planner.geometry.lines import chainages
from planner.profile.stations import nearest_station, stations

BENT = np.array([[0.0, 0.0], [10.5, 0.0], [10.5, 3.0], [14.0, 3.0]])


def test_stations_restart_at_every_corner_in_equal_steps() -> None:
    at = stations(BENT, step_m=1.0)
    assert np.isin(chainages(BENT), at).all()
    assert len(at) == 11 + 3 + 4 + 1
    assert np.diff(at).max() <= 1.0 + 1e-12
    assert np.diff(at)[:11] == pytest.approx(10.5 / 11)


def test_a_leg_of_whole_steps_has_no_step_more() -> None:
    assert len(stations(np.array([[0.0, 0.0], [0.3, 0.0]]), step_m=0.1)) == 4


def test_extra_places_are_added_once_and_none_off_the_line() -> None:
    at = stations(BENT, step_m=5.0, extra_at_m=np.array([2.0, -1.0, 2.0, 2.0005, 10.5004, 99.0, 0.0]))
    assert at.tolist() == [0.0, 2.0, 3.5, 7.0, 10.5, 13.5, 17.0]


def test_nearest_station_goes_to_the_nearer_and_clips() -> None:
    assert nearest_station(np.array([0.0, 1.0, 4.0]), np.array([-5.0, 0.4, 0.6, 2.4, 2.6, 9.0])).tolist() == [
        0, 0, 1, 1, 2, 2]


@pytest.mark.parametrize(("xy", "step", "match"), [
    (np.array([[0.0, 0.0]]), 1.0, "two corners"),
    (np.array([[0.0, 0.0], [np.nan, 1.0]]), 1.0, "two corners"),
    (np.array([[0.0, 0.0], [5.0, 1.0], [5.0, 1.0]]), 1.0, "corners 2 and 3 are the same place"),
    (BENT, 0.0, "profile step"),
])
def test_what_is_no_line_is_refused(xy: np.ndarray, step: float, match: str) -> None:
    with pytest.raises(OutOfRange, match=match):
        stations(xy, step_m=step)
