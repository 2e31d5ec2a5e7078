"""Standard deviation of slope lengths, against a Monte Carlo that moves every corner and lifts every level.

Source: propagation of variance (Gauss), first order. The Monte Carlo uses errors a twentieth as large, so that what is
left out (second order) is small, and scales its answer back; 3000 runs know a standard deviation to 1.3 %.
"""

from __future__ import annotations

import numpy as np
import pytest
from unit.profile.grounds import Made

from planner.errors import OutOfRange
from planner.geometry.lines import leg_lengths
from planner.profile.ground_line import GroundLine, ground_line, record_levels
from planner.profile.length_uncertainty import slope_length_sd

OPEN = np.array([[0.0, 0.0], [120.0, 10.0], [200.0, 90.0], [260.0, 60.0], [300.0, 200.0]])
RING = np.vstack((OPEN, OPEN[:1]))
SMALL = 0.05


def _ground(line: np.ndarray, sd: float = 0.5) -> GroundLine:
    made = Made(lambda x, y: 300.0 + 10.0 * np.sin(x / 30.0) + 0.1 * y, cell_m=None, sd_m=sd)
    return ground_line(line, record_levels(line, [made], step_m=1.0), grid="", step_m=1.0)


def _monte_carlo(line: np.ndarray, ground: GroundLine, corner_sd: np.ndarray, start: np.ndarray, end: np.ndarray,
                 ) -> np.ndarray:
    rng = np.random.default_rng(12)
    chainage, corner = ground.chainage_m, ground.chainage_m[ground.vertices]
    leg = np.clip(np.searchsorted(corner, chainage, side="right") - 1, 0, len(line) - 2)
    share = (chainage - corner[leg]) / np.diff(corner)[leg]
    knots = np.linspace(0.0, chainage[-1], round(chainage[-1] / 50.0) + 1)
    lengths = []
    for _ in range(3000):
        moved = rng.normal(size=line.shape) * corner_sd[:, None] * SMALL
        if np.array_equal(line[0], line[-1]):
            moved[-1] = moved[0]
        legs = leg_lengths(line + moved)
        along = np.concatenate(([0.0], np.cumsum(legs)))[leg] + share * legs[leg]
        lift = np.interp(chainage, knots, rng.normal(size=len(knots)) * 0.5 * SMALL)
        slope = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(along), np.diff(ground.level_m + lift)))))
        lengths.append(np.interp(end, chainage, slope) - np.interp(start, chainage, slope))
    return np.std(lengths, axis=0) / SMALL


@pytest.mark.parametrize("line", [OPEN, RING], ids=["open", "closed"])
def test_closed_form_agrees_with_a_monte_carlo(line: np.ndarray) -> None:
    ground = _ground(line)
    end = ground.chainage_m[-1]
    corner_sd = np.array([1.0, 0.5, 2.0, 0.2, 1.0, 1.0])[:len(line)]
    # the whole, inside one leg, over a corner, from corner to corner, to the end, over three legs
    start = np.array([0.0, 30.0, 100.0, 0.0, ground.chainage_m[ground.vertices[1]], 333.0, 30.0])
    stop = np.array([end, 60.0, 150.0, ground.chainage_m[ground.vertices[1]], ground.chainage_m[ground.vertices[3]],
                     end, 270.0])
    sd = slope_length_sd(ground, corner_sd_m=corner_sd, from_m=start, to_m=stop)
    assert _monte_carlo(line, ground, corner_sd, start, stop) == pytest.approx(sd, rel=0.04)


def test_a_straight_level_line_has_the_error_of_its_two_ends() -> None:
    line = np.array([[0.0, 0.0], [300.0, 400.0]])
    flat = Made(lambda x, y: np.zeros(len(x)), cell_m=None, sd_m=0.5)
    ground = ground_line(line, record_levels(line, [flat], step_m=1.0), grid="", step_m=1.0)
    sd = slope_length_sd(ground, corner_sd_m=np.array([0.3, 0.4]), from_m=np.array([0.0, 0.0]),
                         to_m=np.array([500.0, 250.0]))
    assert sd == pytest.approx([0.5, 0.25])


def test_a_straight_slope_has_the_level_error_of_its_two_ends() -> None:
    line = np.array([[0.0, 0.0], [400.0, 0.0]])
    slope = Made(lambda x, y: 0.3 * x, cell_m=None, sd_m=0.2)
    ground = ground_line(line, record_levels(line, [slope], step_m=1.0), grid="", step_m=1.0)
    sd = slope_length_sd(ground, corner_sd_m=np.zeros(2), from_m=np.array([0.0]), to_m=np.array([400.0]))
    assert sd == pytest.approx(0.2 * np.sqrt(2) * 0.3 / np.hypot(1, 0.3))


def test_a_corner_in_a_straight_adds_nothing() -> None:
    line = np.array([[0.0, 0.0], [100.0, 0.0], [300.0, 0.0]])
    flat = Made(lambda x, y: np.zeros(len(x)), cell_m=None)
    ground = ground_line(line, record_levels(line, [flat], step_m=1.0), grid="", step_m=1.0)
    sd = slope_length_sd(ground, corner_sd_m=np.array([0.3, 50.0, 0.4]), from_m=np.zeros(1), to_m=np.array([300.0]))
    assert sd == pytest.approx([0.5])


def test_a_stretch_of_no_length_has_no_error() -> None:
    ground = _ground(OPEN)
    at = np.array([0.0, 50.0, ground.chainage_m[ground.vertices[1]], ground.chainage_m[-1]])
    assert slope_length_sd(ground, corner_sd_m=np.ones(5), from_m=at, to_m=at) == pytest.approx(0.0, abs=1e-9)


def test_levels_that_nobody_knows_add_nothing() -> None:
    ground = ground_line(OPEN, None, grid="", step_m=1.0)
    sd = slope_length_sd(ground, corner_sd_m=np.zeros(5), from_m=np.zeros(1), to_m=ground.chainage_m[-1:])
    assert sd.tolist() == [0.0]


def test_what_does_not_fit_is_refused() -> None:
    ground = _ground(OPEN)
    with pytest.raises(OutOfRange, match="3 standard deviations for 5 corners"):
        slope_length_sd(ground, corner_sd_m=np.ones(3), from_m=np.zeros(1), to_m=np.ones(1))
    with pytest.raises(OutOfRange, match="ends before it starts"):
        slope_length_sd(ground, corner_sd_m=np.ones(5), from_m=np.ones(1), to_m=np.zeros(1))
