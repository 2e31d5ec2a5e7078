"""Faces of a network of fences: against areas worked out by hand, and where ends nearly meet."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planner.surroundings.faces import OUTSIDE, Faces, polygonized


def faces(*courses: list[tuple[float, float]], planned: int | None = None) -> Faces:
    lines = np.empty(len(courses), dtype=object)
    lines[:] = [shapely.LineString(course) for course in courses]
    return polygonized(lines, planned=len(courses) if planned is None else planned)


SQUARE = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0)]


def areas(found: Faces) -> list[float]:
    return sorted(np.round(shapely.area(found.shapes), 1).tolist())


def test_a_ring_and_a_fence_across_it():
    assert areas(faces(SQUARE, [(30, 0), (30, 100)])) == [3000.0, 7000.0]


@pytest.mark.parametrize(("short_by", "parts"), [(0.0, 2), (0.3, 2), (0.5, 2), (0.51, 1)])
def test_an_end_meets_what_it_comes_within_half_a_metre_of(short_by: float, parts: int):
    assert len(faces(SQUARE, [(30, short_by), (30, 100)]).shapes) == parts


def test_an_end_that_goes_past_meets_as_well():
    assert areas(faces(SQUARE, [(30, -0.4), (30, 100.4)])) == [3000.0, 7000.0]


@pytest.mark.parametrize(("gap", "parts"), [(0.4, 1), (0.6, 0)])
def test_a_ring_whose_ends_nearly_meet_is_one(gap: float, parts: int):
    assert len(faces([*SQUARE[:-1], (0.0, gap)]).shapes) == parts


def test_an_end_that_meets_its_own_line_encloses_land():
    assert areas(faces([(-50, 0), (0, 0), (100, 0), (100, 100), (0, 100), (0, 0.3)])) == [10000.0]


def test_a_fence_within_another_is_cut_out_of_it():
    inner = [(20.0, 20.0), (40.0, 20.0), (40.0, 40.0), (20.0, 40.0), (20.0, 20.0)]
    assert areas(faces(SQUARE, inner)) == [400.0, 9600.0]


def test_one_fence_drawn_twice_leaves_no_sliver():
    assert areas(faces(SQUARE, [(100.3, 0), (200, 0), (200, 100), (100.3, 100), (100.3, 0)])) == [9970.0, 10000.0]


def test_each_edge_knows_its_fence_and_length():
    found = faces(SQUARE, [(30, 0), (30, 100)])
    left = int(np.argmin(shapely.area(found.shapes)))
    mine = found.edge_face == left
    assert {int(f): float(found.edge_m[mine & (found.edge_fence == f)].sum()) for f in (0, 1)} == pytest.approx(
        {0: 160.0, 1: 100.0})


def test_places_lie_in_faces_or_outside():
    found = faces(SQUARE)
    assert found.at(shapely.points([(50, 50), (150, 50)])).tolist() == [0, OUTSIDE]
    one, other = found.on_sides(np.array([[50.0, 0.0]]), np.array([[1.0, 0.0]]))
    assert (one.tolist(), other.tolist()) == ([0], [OUTSIDE])


def test_nothing_is_enclosed_by_nothing():
    found = polygonized(np.array([], dtype=object), planned=0)
    assert len(found.shapes) == len(found.edge_m) == 0
    assert found.at(shapely.points([(0, 0)])).tolist() == [OUTSIDE]
