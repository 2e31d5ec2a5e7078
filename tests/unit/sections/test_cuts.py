import numpy as np
import pytest

from planner.sections.cuts import equal_cuts

NONE = np.empty(0)


def cuts(length: float, longest: float, breaks: list[float], share: float = 0.15) -> list[float]:
    return equal_cuts(length, longest=longest, breaks=np.array(breaks), move_share=share).round(6).tolist()


@pytest.mark.parametrize(("length", "count"), [(399.9, 0), (400.0, 0), (400.001, 1), (800.0, 1), (801.0, 2)])
def test_fewest_equal_parts(length: float, count: int) -> None:
    found = equal_cuts(length, longest=400.0, breaks=NONE, move_share=0.15)
    assert len(found) == count
    assert np.allclose(np.diff(np.concatenate(([0.0], found, [length]))), length / (count + 1))


def test_a_cut_moves_to_the_nearest_break_within_reach() -> None:
    assert cuts(600.0, 400.0, [256.0, 330.0, 350.0]) == [330.0]
    assert cuts(600.0, 400.0, [255.0]) == [255.0]
    assert cuts(600.0, 400.0, [254.9]) == [300.0]


def test_a_move_that_makes_a_part_too_long_is_not_made() -> None:
    assert cuts(790.0, 400.0, [389.0]) == [395.0]
    assert cuts(790.0, 400.0, [390.0]) == [390.0]
    assert cuts(800.0, 400.0, [399.0, 401.0]) == [400.0]


def test_as_many_cuts_move_as_can() -> None:
    # the nearest break of each: 380 and 810, but then the middle part is 430; 390 and 790 keep all three
    assert cuts(1170.0, 410.0, [380.0, 390.0, 791.0, 810.0]) == [390.0, 791.0]


def test_nothing_moves_when_no_share_is_given() -> None:
    assert cuts(600.0, 400.0, [301.0], share=0.0) == [300.0]
