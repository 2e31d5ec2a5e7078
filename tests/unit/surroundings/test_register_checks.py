"""Mapped layers against ground-checked points."""

import math

import numpy as np
import pytest
from scipy import stats
from unit.surroundings.ground_jobs import fence, found, job_of, thing

from planner.surroundings.register_checks import offset_limit_m


def point(x: float, y: float, east: float, north: float, of: str = "creeks"):
    """A checked point that the map shows by so much further east and north."""
    return thing("control point", f"POINT ({x} {y})", of=of, east=str(x + east), north=str(y + north))


def rules(*points):
    job = job_of([fence((0, 0), (100, 0))], list(points))
    return [f.rule for rule in ("register-01", "register-02", "register-03") for f in found(job, rule)]


def test_the_limit_is_the_quantile_of_the_mean_of_offsets_without_a_shift():
    offsets = np.array([[0.3, -0.1], [0.5, 0.4], [-0.2, 0.1], [0.1, 0.2]])
    variance = ((offsets - offsets.mean(axis=0)) ** 2).sum() / 6
    expected = math.sqrt(2 * variance * stats.f.ppf(0.95, 2, 6) / 4)
    assert offset_limit_m(offsets) == pytest.approx(expected, rel=1e-12)


def test_the_limit_lets_one_in_twenty_through():
    many = np.random.default_rng(7).normal(size=(20_000, 3, 2))
    beyond = [np.hypot(*one.mean(axis=0)) > offset_limit_m(one) for one in many]
    assert np.mean(beyond) == pytest.approx(0.05, abs=0.006)


@pytest.mark.rules(fires="register-01")
def test_a_constant_offset_is_told_with_the_shift_that_mends_it():
    points = [point(0, 0, 5.0, -3.0), point(900, 0, 5.2, -3.1), point(0, 900, 4.9, -2.9)]
    job = job_of([fence((0, 0), (100, 0))], points)
    (finding,) = found(job, "register-01")
    assert "5.03 m east, 3.00 m south" in finding.message
    assert "-5.03 m east and +3.00 m north" in finding.remedy
    assert "GDA94" not in finding.message


def test_the_step_between_two_datums_is_named_as_a_possibility():
    job = job_of([fence((0, 0), (100, 0))], [point(0, 0, -0.51, -1.45), point(900, 0, -0.51, -1.45)])
    (finding,) = found(job, "register-01")
    assert "GDA94" in finding.message


@pytest.mark.rules(limit="register-01 register-02 register-03")
@pytest.mark.parametrize(("rule", "below", "at"), [
    ("register-01", [(0, 0, 0.2999, 0.0), (0, 1024, 0.2999, 0.0)], [(0, 0, 0.3, 0.0), (0, 1024, 0.3, 0.0)]),
    ("register-02", [(0, 0, 0.5999, 0.0), (0, 900, -0.5999, 0.0)], [(0, 0, 0.6, 0.0), (0, 900, -0.6, 0.0)]),
    ("register-03", [(0, 0, 0.2999, 0.0)], [(0, 0, 0.3, 0.0)])])
def test_an_offset_that_moves_no_fence_is_not_told(
        rule: str, below: list[tuple[float, ...]], at: list[tuple[float, ...]]):
    assert rules(*(point(*one) for one in below)) == []
    assert rules(*(point(*one) for one in at)) == [rule]


@pytest.mark.rules(silent="register-01 register-02 register-03")
def test_layers_that_lie_where_the_ground_is_need_no_word():
    assert rules(point(0, 0, 0.1, 0.0), point(900, 0, 0.2, -0.1), point(0, 900, 0.0, 0.1, of="roads")) == []


def test_a_mean_within_the_scatter_of_its_points_is_no_shift():
    """Offsets of 2 m to and fro about 0.5 m."""
    assert rules(point(0, 0, 2.5, 0.0), point(0, 900, -1.5, 0.0)) == ["register-02"]


@pytest.mark.rules(fires="register-02")
def test_points_that_disagree_are_no_shift():
    assert rules(point(0, 0, 3.0, 0.0), point(900, 0, -3.0, 0.5), point(0, 900, 0.0, -3.0)) == ["register-02"]


@pytest.mark.rules(fires="register-03")
def test_one_point_is_not_enough_and_two_layers_are_two_layers():
    assert rules(point(0, 0, 3.0, 0.0)) == ["register-03"]
    assert rules(point(0, 0, 3.0, 0.0), point(900, 0, 3.0, 0.0, of="roads")) == ["register-03"] * 2
    assert rules(point(0, 0, 0.1, 0.0)) == []
