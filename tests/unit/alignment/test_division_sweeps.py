"""Areas and lengths behind lines and rays, against polygons clipped by shapely."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planner.alignment.division_fences import pieces_inside
from planner.alignment.division_sweeps import ParallelSweep, TurningSweep, cut_at, edges_of, least

INDENTED = shapely.Polygon(
    [(-100, -60), (120, -80), (140, 90), (60, 20), (20, 110), (-10, 10), (-90, 100)],
    [[(40, -30), (70, -30), (60, -5)], [(-60, -20), (-60, 10), (-30, -10)]])
BEARINGS = np.array([0.0, 17.0, 90.0, 123.4, 250.0])


def clip(bearing: float, at: float) -> shapely.Polygon:
    angle = np.radians(bearing)
    right, ahead = np.array([np.cos(angle), -np.sin(angle)]), np.array([np.sin(angle), np.cos(angle)])
    return shapely.Polygon([at * right - 1e3 * ahead, at * right + 1e3 * ahead, (at - 2e3) * right + 1e3 * ahead,
                            (at - 2e3) * right - 1e3 * ahead])


def test_area_behind_a_line_and_its_length() -> None:
    at = np.tile(np.linspace(-150.0, 150.0, 13), (len(BEARINGS), 1))
    area, length = ParallelSweep(*edges_of(INDENTED), BEARINGS).behind(at)
    for i, bearing in enumerate(BEARINGS):
        for j, where in enumerate(at[i]):
            half = clip(bearing, where)
            assert area[i, j] == pytest.approx(INDENTED.intersection(half).area, abs=1e-7)
            line = shapely.LineString(shapely.get_coordinates(half)[:2])
            assert length[i, j] == pytest.approx(INDENTED.intersection(line).length, abs=1e-7)


@pytest.mark.parametrize("point", [(0.0, -40.0), (-100.0, -60.0), (10.0, -70.0), (300.0, 50.0), (55.0, -20.0)],
                         ids=["inside", "corner", "edge", "outside", "in a hole"])
def test_area_behind_a_ray(point: tuple[float, float]) -> None:
    moved = shapely.transform(INDENTED, lambda xy: xy - point)
    first = np.radians([0.0, 200.0])
    turns = np.tile(np.linspace(0.0, 2 * np.pi, 17), (2, 1))
    area = TurningSweep(*edges_of(moved), first).behind(turns)[0]
    for i, start in enumerate(first):
        for j, turn in enumerate(turns[i]):
            rim = start + np.linspace(0.0, turn, 200)
            wedge = shapely.Polygon([(0, 0), *np.column_stack((np.sin(rim), np.cos(rim))) * 1e4, (0, 0)])
            expected = moved.intersection(shapely.make_valid(wedge)).area if turn else 0.0
            assert area[i, j] == pytest.approx(expected, abs=1e-5)


def test_a_ray_is_as_long_as_the_paddock_there() -> None:
    moved = shapely.transform(INDENTED, lambda xy: xy - (300.0, 50.0))
    sweep = TurningSweep(*edges_of(moved), np.zeros(1))
    turns = np.radians(np.linspace(200.0, 330.0, 20))[None]
    for turn, length in zip(turns[0], sweep.fence(turns)[0], strict=True):
        line = shapely.LineString([(0, 0), (1e4 * np.sin(turn), 1e4 * np.cos(turn))])
        assert length == pytest.approx(moved.intersection(line).length, abs=1e-7)


def test_cuts_leave_the_wanted_areas_behind() -> None:
    sweep = ParallelSweep(*edges_of(INDENTED), BEARINGS)
    wanted = INDENTED.area * np.array([0.001, 0.2, 0.5, 0.999])
    at = cut_at(sweep, wanted)
    assert sweep.behind(at)[0] == pytest.approx(np.tile(wanted, (len(BEARINGS), 1)), abs=1e-5)


def test_fence_along_an_edge_is_no_new_fence() -> None:
    notched = shapely.Polygon([(0, 0), (300, 0), (300, 200), (200, 200), (200, 100), (0, 100)])
    sweep = ParallelSweep(*edges_of(notched), np.array([90.0]))  # south of the line is right of it
    assert sweep.fence(np.array([[-100.0]]))[0, 0] == pytest.approx(100.0, abs=1e-3)


def test_pieces_leave_out_edges_and_holes() -> None:
    notched = shapely.Polygon([(0, 0), (300, 0), (300, 200), (200, 200), (200, 100), (0, 100)])
    pieces = pieces_inside(notched, np.array([[-10.0, 100.0], [310.0, 100.0]]))
    assert [piece.tolist() for piece in pieces] == [[[200.0, 100.0], [300.0, 100.0]]]
    holed = shapely.box(0, 0, 100, 100) - shapely.box(40, 40, 60, 60)
    pieces = pieces_inside(holed, np.array([[50.0, -1.0], [50.0, 101.0]]))
    assert [round(float(piece[1, 1] - piece[0, 1]), 9) for piece in pieces] == [40.0, 40.0]


def test_a_line_that_bends_inside_stays_one_piece() -> None:
    pieces = pieces_inside(shapely.box(0, 0, 100, 100), np.array([[-10.0, 50.0], [50.0, 60.0], [110.0, 50.0]]))
    assert len(pieces) == 1
    assert pieces[0] == pytest.approx(np.array([[0.0, 51.666667], [50.0, 60.0], [100.0, 51.666667]]), abs=1e-6)


def test_least_finds_a_place_between_the_given_ones() -> None:
    best, value = least(lambda b: np.abs(np.sin(np.radians(b - 33.3217))), np.arange(0.0, 180.0, 5.0), period=180.0,
                        room=1)
    assert best == pytest.approx(33.3217, abs=2e-5)
    assert value == pytest.approx(0.0, abs=1e-6)
