"""Places typed or pasted as text."""

from __future__ import annotations

import numpy as np
import pyproj
import pytest

from planner.errors import GridTrouble, OutOfRange
from planner.survey.typed_places import shape_through, typed_places

GRID = "EPSG:7855"


@pytest.mark.parametrize("text", [
    "455200,5951800 455300,5951900", "455200 5951800\n455300 5951900", "(455200; 5951800) (455300; 5951900)"])
def test_pairs_of_metres_are_east_and_north_whatever_stands_between(text: str):
    assert typed_places(text, GRID).tolist() == [[455200.0, 5951800.0], [455300.0, 5951900.0]]


@pytest.mark.parametrize("text", ["146.5 -36.58; 146.51 -36.59", "-36.58, 146.5, -36.59, 146.51"])
def test_degrees_are_brought_into_the_grid_in_either_order(text: str):
    known = pyproj.Transformer.from_crs("EPSG:7844", GRID, always_xy=True)
    expected = np.column_stack(known.transform([146.5, 146.51], [-36.58, -36.59]))
    assert np.abs(typed_places(text, GRID) - expected).max() < 2.0  # WGS 84 taken as GDA2020 within its own accuracy


@pytest.mark.parametrize("text", ["", "455200", "455200 5951800 455300", "here 1 2", "1 2 m", "95 100"])
def test_what_is_no_list_of_places_is_refused(text: str):
    with pytest.raises(OutOfRange):
        typed_places(text, GRID)


def test_degrees_need_a_grid():
    with pytest.raises(GridTrouble):
        typed_places("146.5 -36.5", "")


def test_shapes_need_their_places():
    square = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    assert shape_through(square, "area").area == 1.0
    assert shape_through(square, "line").length == 3.0
    assert shape_through(square[:3], "area").area == 0.5
    for places, kind in ((square[:2], "area"), (square[:1], "line"), (square, "point"), (square[[0, 2, 1, 3]], "area")):
        with pytest.raises(OutOfRange):
            shape_through(places, kind)  # type: ignore[arg-type]
