"""Tension along a wire drawn round posts.

The capstan equation of Euler and Eytelwein: the encyclopedia entry "Capstan equation" prints the factor 153,552,935;
that it is for five full turns at a friction of 0.6 is from memory. The law itself is checked by integrating the
balance of a short piece of wire, dT = -mu T dtheta, with scipy.
"""

from __future__ import annotations

import math

import pytest
from scipy.integrate import solve_ivp

from planner.sections.friction import far_end_ratio


def test_printed_factor() -> None:
    assert 1 / far_end_ratio(5 * 2 * math.pi, 0.6) == pytest.approx(153_552_935, rel=1e-8)


@pytest.mark.parametrize(("turn_deg", "mu"), [(5.0, 0.25), (37.3, 0.25), (90.0, 0.4), (360.0, 0.1)])
def test_balance_of_a_short_piece(turn_deg: float, mu: float) -> None:
    turn = math.radians(turn_deg)
    path = solve_ivp(lambda _, tension: -mu * tension, (0.0, turn), [1.0], rtol=1e-10, atol=1e-12)
    assert far_end_ratio(turn, mu) == pytest.approx(path.y[0, -1], rel=1e-8)


def test_losses_of_two_stretches_multiply() -> None:
    assert far_end_ratio(0.7, 0.25) == pytest.approx(far_end_ratio(0.3, 0.25) * far_end_ratio(0.4, 0.25))
