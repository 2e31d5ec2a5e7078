"""Capstan equation of Euler and Eytelwein, T_far = T exp(-mu turn): against the forces on short pieces of wire.

On a piece that turns by d the posts press with 2 T sin(d / 2), and friction takes mu times that. Summing such pieces
knows nothing of the exponential, and comes to it as the pieces grow short.
"""

import math

import pytest

from planner.loads.turns_and_uplift import side_force
from planner.sections.friction import far_end_ratio


@pytest.mark.parametrize("turn_deg", [5.0, 30.0, 90.0, 180.0])
@pytest.mark.parametrize("mu", [0.0, 0.25, 0.6])
def test_loss_against_the_sum_of_many_small_turns(turn_deg: float, mu: float) -> None:
    pieces, tension = 20_000, 1.0
    for _ in range(pieces):
        tension -= mu * side_force(tension, turn_deg / pieces)
    assert far_end_ratio(math.radians(turn_deg), mu) == pytest.approx(tension, rel=1e-4)


@pytest.mark.parametrize(("turn_deg", "ratio"), [(0, 1.0), (37.2, 0.85), (90, 0.675), (180, 0.456)])
def test_figures_at_a_friction_of_a_quarter(turn_deg: float, ratio: float) -> None:
    assert far_end_ratio(math.radians(turn_deg), 0.25) == pytest.approx(ratio, abs=0.0005)


def test_losses_of_two_bends_multiply() -> None:
    assert far_end_ratio(0.3 + 0.5, 0.25) == pytest.approx(far_end_ratio(0.3, 0.25) * far_end_ratio(0.5, 0.25))
