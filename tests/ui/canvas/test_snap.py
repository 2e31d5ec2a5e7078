from __future__ import annotations

import numpy as np
import pytest
import shapely
from canvas_pictures import wandering

from planner.ui.canvas.layer import VectorLayer
from planner.ui.canvas.snap import Leg, SnapIndex
from planner.ui.canvas.snap_grid import snap_grid

LINES = wandering(200, 40, seed=5)
LAYER = VectorLayer.of_lines("lines", LINES, names=tuple(f"line {i}" for i in range(200)))


def index_of(*layers: VectorLayer) -> SnapIndex:
    index = SnapIndex()
    index.set_layers(layers, wait=True)
    return index


INDEX = index_of(LAYER)
PLACES = np.random.default_rng(9).uniform(-200, 4200, (300, 2))


@pytest.mark.parametrize("radius", [2.0, 15.0, 120.0])
def test_corner_or_edge_is_the_nearest_by_brute_force(radius: float) -> None:
    whole = shapely.multilinestrings(LINES)
    corners = shapely.multipoints(np.concatenate(LINES))
    kinds = set()
    for x, y in PLACES.tolist():
        here = shapely.Point(x, y)
        corner, edge = shapely.distance(here, corners), shapely.distance(here, whole)
        snap = INDEX.nearest(x, y, radius)
        if corner <= radius:
            assert snap is not None
            assert (snap.kind, snap.distance_m) == ("corner", pytest.approx(corner, abs=1e-6))
        elif edge <= radius:
            assert snap is not None
            assert snap.kind in ("edge", "intersection")
            assert snap.kind == "intersection" or snap.distance_m == pytest.approx(edge, abs=1e-6)
            assert shapely.distance(shapely.Point(snap.x, snap.y), whole) < 1e-6
        else:
            assert snap is None
        kinds.add(snap.kind if snap else "none")
    assert kinds >= ({"none", "corner"} if radius < 100 else {"corner"})


def test_until_the_grid_is_ready_the_answer_is_the_same() -> None:
    slow = SnapIndex()
    slow._layers = (LAYER,)
    for x, y in PLACES[:60].tolist():
        one, other = slow.nearest(x, y, 15.0), INDEX.nearest(x, y, 15.0)
        assert (one is None) == (other is None)
        if one is not None and other is not None:
            assert (one.kind, one.x, one.y) == (other.kind, pytest.approx(other.x), pytest.approx(other.y))


def test_grid_from_its_thread_is_the_grid() -> None:
    index = SnapIndex()
    index.set_layers([LAYER])
    index.wait()
    assert index.is_ready
    assert index.nearest(*LINES[3][7].tolist(), 1.0) == INDEX.nearest(*LINES[3][7].tolist(), 1.0)


def test_every_segment_is_found_from_any_place_on_it() -> None:
    grid = snap_grid([VectorLayer.of_lines("long", [np.array([[0.0, 0.0], [5000.0, 3700.0]]), *LINES])])
    for share in np.linspace(0, 1, 50):
        x, y = share * 5000.0, share * 3700.0
        assert 0 in grid.near(x, y, 0.5)


def test_a_corner_goes_before_a_nearer_edge() -> None:
    index = index_of(VectorLayer.of_lines("paddock", [np.array([[0.0, 0.0], [100.0, 0.0]])], names=("north side",)))
    snap = index.nearest(4.0, 1.0, 5.0)
    assert snap is not None
    assert (snap.kind, snap.x, snap.y, snap.what) == ("corner", 0.0, 0.0, "north side")


def test_an_edge_is_caught_square_to_it() -> None:
    index = index_of(VectorLayer.of_lines("paddock", [np.array([[0.0, 0.0], [100.0, 0.0]])]))
    snap = index.nearest(40.0, 3.0, 5.0)
    assert snap is not None
    assert (snap.kind, snap.x, snap.y, snap.what, snap.distance_m) == ("edge", 40.0, 0.0, "paddock", 3.0)


def test_where_two_edges_cross() -> None:
    index = index_of(VectorLayer.of_lines("lines", [np.array([[0.0, 0.0], [100.0, 0.0]]),
                                                    np.array([[50.0, -50.0], [50.0, 50.0]])], names=("creek", "track")))
    snap = index.nearest(52.0, 1.5, 5.0)
    assert snap is not None
    assert (snap.kind, snap.x, snap.y, snap.what) == ("intersection", 50.0, 0.0, "creek and track")


def test_the_limit_itself_is_in_reach() -> None:
    index = index_of(VectorLayer.of_lines("paddock", [np.array([[0.0, 0.0], [100.0, 0.0]])]))
    assert index.nearest(50.0, 5.0, 5.0) is not None
    assert index.nearest(50.0, 5.001, 5.0) is None


def test_track_fixes_go_before_edges() -> None:
    index = index_of(VectorLayer.of_lines("paddock", [np.array([[0.0, 0.0], [100.0, 0.0]])]))
    index.set_fixes(np.array([[50.0, 3.0], [70.0, 3.0]]))
    snap = index.nearest(51.0, 1.0, 5.0)
    assert snap is not None
    assert (snap.kind, snap.x, snap.y, snap.what) == ("fix", 50.0, 3.0, "track fix 1")


def test_what_is_being_edited_can_be_caught() -> None:
    index = SnapIndex()
    index.set_layers([], wait=True)
    index.set_edited([np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]])], "Home block")
    snap = index.nearest(10.2, 0.1, 1.0)
    assert snap is not None
    assert (snap.kind, snap.x, snap.y, snap.what) == ("corner", 10.0, 0.0, "Home block")


@pytest.mark.parametrize(("place", "kind", "at"), [((30.0, 1.0), "extension", (30.0, 0.0)),
                                                   ((10.5, 40.0), "right angle", (10.0, 40.0)),
                                                   ((9.5, -40.0), "right angle", (10.0, -40.0))])
def test_extension_and_right_angle(place: tuple[float, float], kind: str, at: tuple[float, float]) -> None:
    snap = SnapIndex().nearest(*place, 2.0, leg=Leg(0.0, 0.0, 10.0, 0.0))
    assert snap is not None
    assert (snap.kind, (snap.x, snap.y)) == (kind, pytest.approx(at))


def test_back_along_the_leg_is_no_extension() -> None:
    assert SnapIndex().nearest(-30.0, 1.0, 2.0, leg=Leg(0.0, 0.0, 10.0, 0.0)) is None


def test_round_places_only_when_asked_for() -> None:
    index = SnapIndex()
    assert index.nearest(99.0, 201.0, 5.0) is None
    index.grid_step_m = 50.0
    snap = index.nearest(99.0, 201.0, 5.0)
    assert snap is not None
    assert (snap.kind, snap.x, snap.y, snap.what) == ("grid", 100.0, 200.0, "50 m grid")


def test_nothing_to_snap_to() -> None:
    assert index_of().nearest(0.0, 0.0, 100.0) is None
    assert index_of(VectorLayer.of_lines("empty", [])).nearest(0.0, 0.0, 100.0) is None
