import math

import numpy as np
import pytest
from unit.sections.ground_of import chain_of, ground_of, line_of

from planner.alignment.corners import corners
from planner.sections.friction import far_end_ratio, turning_along
from planner.settings import Settings


def test_every_turn_counts_once_without_sign() -> None:
    line = line_of((0, 0), (100, 0), (200, 10), (300, 0))
    ground = ground_of(line, [0, 50, 150, 300], [0, 5, 0, 0])
    chain = chain_of(ground, [50, 150])
    turning = turning_along(corners(line, ground, Settings()), chain)
    plan = math.atan(0.1)
    crest, dip = math.atan(0.1) + math.atan(0.05), math.atan(0.05)
    turned, vertical = turning.before(np.array([0.0, 50.0, 50.1, 120.0, 400.0]))
    assert turned.tolist() == pytest.approx([0.0, 0.0, crest, crest + plan, crest + dip + 3 * plan])
    assert vertical.tolist() == pytest.approx([0.0, 0.0, crest, crest, crest + dip])


def test_a_straight_level_line_does_not_turn() -> None:
    line = line_of((0, 0), (100, 0))
    ground = ground_of(line)
    turning = turning_along(corners(line, ground, Settings()), chain_of(ground, []))
    assert [float(t) for t in turning.before(100.0)] == [0.0, 0.0]


@pytest.mark.parametrize(("turn", "mu", "ratio"), [(0.0, 0.3, 1.0), (2.0, 0.0, 1.0), (1.0, 1.0, 1 / math.e)])
def test_far_end_ratio(turn: float, mu: float, ratio: float) -> None:
    assert far_end_ratio(turn, mu) == pytest.approx(ratio)
