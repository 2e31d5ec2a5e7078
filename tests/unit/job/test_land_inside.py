"""Land inside a closed line: exclosures left out or told, and grid areas told from those on the ground."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planner.alignment.line import FenceLine
from planner.job.job import Job
from planner.job.land_inside import grid_words, land_inside
from planner.survey.scale import ellipsoidal_area

CORNER = np.array([455_000.0, 5_951_000.0])
NORTH = 5_951_000.0


def ring(name: str, x: float, y: float, side: float, *, closed: bool = True) -> FenceLine:
    xy = np.array([(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)])
    return FenceLine(name, "general-mesh", xy + CORNER, closed)


COUNTED = ("is counted with it: left out are only sound outlines that stand clear of its edge and of each other.")
HOME = ring("Home", 0, 0, 1000)


@pytest.mark.parametrize(("others", "hectares", "words"), [
    ([], 100.0, ()),
    ([ring("Grove", 100, 100, 100)], 99.0, ("The land inside 'Grove' is left out.",)),
    ([ring("Grove", 100, 100, 100), ring("Core", 120, 120, 10), ring("Dam", 500, 500, 200)], 95.0,
     ("The land inside 'Grove', 'Core' and 'Dam' is left out.",)),
    ([ring("Track", 100, 100, 100, closed=False)], 100.0, ()),
    ([ring("Next", 1000, 0, 100)], 100.0, ()),
    ([ring("Whole farm", -100, -100, 2000)], 100.0, ()),
    ([ring("Across", -50, 100, 100)], 100.0, ()),
    ([ring("Yard", 0, 0, 100)], 100.0, (f"The land inside 'Yard' {COUNTED}",)),
    ([ring("A", 0.001, 0.001, 100)], 99.0, ("The land inside 'A' is left out.",)),
    ([FenceLine("Bow", "x", np.array([(10, 10), (20, 20), (20, 10), (10, 20), (10, 10)]) + CORNER, True)], 100.0,
     (f"The land inside 'Bow' {COUNTED}",)),
])
def test_closed_lines_inside_are_left_out_or_told(others: list[FenceLine], hectares: float, words: tuple[str, ...]):
    found = land_inside(HOME, [HOME, *others])
    assert found.shape.area / 1e4 == pytest.approx(hectares, abs=1e-4)
    assert found.words == words


def test_rings_that_shut_a_piece_off_are_told_and_not_left_out():
    """Four squares round a fifth place, corner to corner: what is left would be two pieces."""
    others = [ring(name, x, y, 100) for name, x, y in (("W", 300, 400), ("E", 500, 400), ("S", 400, 300),
                                                       ("N", 400, 500))]
    found = land_inside(HOME, [HOME, *others])
    assert found.shape.area == pytest.approx(1e6)
    assert found.left_out == ()
    assert found.kept == ("W", "E", "S", "N")


def test_what_is_on_the_ground_agrees_with_the_ellipsoid():
    """At sea level the ground is the ellipsoid, whose area a general library gives: 0.08 % more than in this grid."""
    shape = shapely.Polygon(HOME.xy)
    true, _ = ellipsoidal_area(HOME.xy, "EPSG:7855")
    words = grid_words(shape, "Home", Job("j", "EPSG:7855", (HOME,)))
    assert f"on the ground they are {100.0 * (true / shape.area - 1.0):.2f} % more, {true / 1e4:.2f} ha in all" in words


@pytest.mark.parametrize(("east", "told"), [(500_000.0, True), (320_000.0, False)])
def test_where_the_grid_is_as_long_as_the_ground_nothing_is_said(east: float, told: bool):
    """The scale factor of a UTM zone is 0.9996 in its middle and 1 about 180 km beside it."""
    shape = shapely.box(east, NORTH, east + 1000.0, NORTH + 1000.0)
    assert bool(grid_words(shape, "", Job("j", "EPSG:7855"))) == told
