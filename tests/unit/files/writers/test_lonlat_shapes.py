from __future__ import annotations

import numpy as np

from planner.files.writers.lonlat_shapes import cut_at_date_line


def test_a_line_that_stays_on_one_side_is_one_piece():
    line = np.array([[179.9, -16.0], [179.95, -16.5], [179.99, -17.0]])
    (piece,) = cut_at_date_line(line)
    np.testing.assert_array_equal(piece, line)


def test_a_line_over_the_date_line_is_cut_on_it():
    """RFC 7946, clause 3.1.9: a LineString from 45N 170E across the antimeridian to 45N 170W."""
    east, west = cut_at_date_line(np.array([[170.0, 45.0], [-170.0, 45.0]]))
    assert east.tolist() == [[170.0, 45.0], [180.0, 45.0]]
    assert west.tolist() == [[-180.0, 45.0], [-170.0, 45.0]]


def test_there_and_back_again_keeps_levels():
    pieces = cut_at_date_line(np.array([[-179.0, 0.0, 10.0], [179.0, 2.0, 30.0], [-179.0, 4.0, 50.0]]))
    assert [p.tolist() for p in pieces] == [
        [[-179.0, 0.0, 10.0], [-180.0, 1.0, 20.0]],
        [[180.0, 1.0, 20.0], [179.0, 2.0, 30.0], [180.0, 3.0, 40.0]],
        [[-180.0, 3.0, 40.0], [-179.0, 4.0, 50.0]],
    ]
