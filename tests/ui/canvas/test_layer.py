from __future__ import annotations

import numpy as np
import pytest

from planner.errors import OutOfRange
from planner.ui.canvas.layer import VectorLayer, bounds_of


def test_lines_become_one_layer() -> None:
    layer = VectorLayer.of_lines("tracks", [np.array([[0.0, 0.0], [1.0, 1.0]]), np.array([[5.0, 5.0, 9.0]] * 3)])
    assert layer.offsets.tolist() == [0, 2, 5]
    assert layer.bounds == (0.0, 0.0, 5.0, 5.0)
    assert layer.origin == (2.5, 2.5)


def test_corners_cannot_be_changed() -> None:
    layer = VectorLayer.of_lines("tracks", [np.zeros((2, 2))])
    with pytest.raises(ValueError, match="read-only"):
        layer.xy[0, 0] = 1.0


def test_an_empty_layer_has_no_bounds() -> None:
    assert VectorLayer.of_lines("nothing", []).bounds is None
    assert bounds_of([VectorLayer.of_lines("nothing", [])]) is None


@pytest.mark.parametrize("offsets", [[0, 1], [1, 2], [0, 3, 2], []])
def test_offsets_that_do_not_match_are_refused(offsets: list[int]) -> None:
    with pytest.raises(OutOfRange, match="layer 'odd': the offsets of its lines do not match"):
        VectorLayer("odd", np.zeros((2, 2)), np.array(offsets, dtype=np.int64))


def test_a_corner_that_is_no_number_is_refused() -> None:
    with pytest.raises(OutOfRange, match="no finite number"):
        VectorLayer("odd", np.array([[0.0, np.nan], [1.0, 1.0]]), np.array([0, 2]))
