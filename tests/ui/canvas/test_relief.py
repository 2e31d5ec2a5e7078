from __future__ import annotations

import numpy as np
import pytest
from canvas_pictures import pixels

from planner.ui.canvas.backdrops import ImageLayer, TerrainShade
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.relief import contour_layers, contours, halved, hillshade
from planner.ui.canvas.view import MapView


def plane(east: float, north: float) -> np.ndarray:
    rows, columns = np.mgrid[0:20, 0:30]
    return 100.0 + columns * east - rows * north


def test_level_ground_is_a_middle_tone() -> None:
    assert (hillshade(plane(0, 0), 1.0) == 190).all()


@pytest.mark.parametrize(("east", "north", "brighter"), [(0.3, -0.3, True), (-0.3, 0.3, False)])
def test_ground_that_faces_the_light_is_brighter(east: float, north: float, brighter: bool) -> None:
    # light from the north-west: ground falling to the north-west rises to the south-east
    shade = hillshade(plane(east, north), 1.0)
    assert (shade > 190).all() == brighter
    assert (shade < 190).all() != brighter


def test_brightness_of_a_plane_is_that_of_lamberts_law() -> None:
    slope = 0.2
    normal = np.array([-slope, 0.0, 1.0]) / np.hypot(slope, 1.0)
    light = np.array([np.sin(np.radians(315)), np.cos(np.radians(315)), 1.0]) * np.array([np.sqrt(0.5)] * 3)
    bright = (2 * normal @ light + normal[2]) / 3
    flat = (2 * np.sqrt(0.5) + 1) / 3
    expected = 190 + (bright - flat) / flat * 260
    assert hillshade(plane(slope, 0.0), 1.0, steepen=1.0)[5, 5] == pytest.approx(expected, abs=1.0)


def test_unknown_ground_is_paper() -> None:
    levels = plane(0.1, 0.1)
    levels[5, 5] = np.nan
    assert hillshade(levels, 1.0)[5, 5] == 255


def test_halved_is_the_mean_of_four() -> None:
    values = np.array([[0, 4, 9], [8, 12, 9]], dtype=np.uint8)
    assert halved(values).tolist() == [[6]]


def test_contours_of_a_cone_are_circles() -> None:
    rows, columns = np.mgrid[0:101, 0:101]
    cone = 60.0 - np.hypot(rows - 50, columns - 50)
    lines = contours(cone, 25.0)
    assert len(lines) == 1
    assert (lines[0][0] == lines[0][-1]).all()
    np.testing.assert_allclose(np.hypot(*(lines[0] - 50).T), 35.0, atol=0.02)


def test_contours_run_through_the_exact_level_of_a_plane() -> None:
    lines = contours(plane(1.0, 0.0), 110.0)
    assert len(lines) == 1
    np.testing.assert_allclose(lines[0][:, 0], 10.0, atol=1e-6)


def test_a_saddle_is_parted_and_nothing_crosses() -> None:
    levels = np.array([[1.0, 0.0], [0.0, 1.0]])
    lines = contours(levels, 0.4)
    assert len(lines) == 2
    assert len(contours(1.0 - levels, 0.4)) == 2


def test_unknown_cells_break_a_contour() -> None:
    levels = plane(1.0, 0.0)
    levels[10, :] = np.nan
    assert len(contours(levels, 110.5)) == 2


def test_no_contour_off_the_ground() -> None:
    assert contours(plane(1.0, 0.0), 900.0) == []


def test_contour_layers_lie_on_the_ground_they_show() -> None:
    affine = (10.0, 0.0, 500_000.0, 0.0, -10.0, 6_000_000.0)
    plain, strong = contour_layers(plane(1.0, 0.0), affine, every_m=2.0)
    assert (plain.role, strong.role) == ("contour", "index contour")
    assert strong.names == ()
    # the level at the middle of column c is 100 + c, so 110 m runs down the middle of column 10
    assert set(np.round(strong.xy[:, 0], 3)) >= {500_105.0}
    assert plain.bounds[1] >= 5_999_800.0


def test_too_many_contours_are_thinned() -> None:
    layers = contour_layers(plane(100.0, 0.0), (1.0, 0.0, 0.0, 0.0, -1.0, 0.0), every_m=0.01)
    assert sum(len(layer.offsets) - 1 for layer in layers) <= 402
    assert contour_layers(np.full((5, 5), np.nan), (1.0, 0.0, 0.0, 0.0, -1.0, 0.0), every_m=1.0) == ()


def test_shading_lies_where_the_terrain_is(canvas: MapCanvas) -> None:
    shade = TerrainShade.of(plane(0.0, 0.0), (10.0, 0.0, 1000.0, 0.0, -10.0, 2000.0))
    assert shade.bounds == (1000.0, 1800.0, 1300.0, 2000.0)
    canvas.set_backdrop(shade)
    canvas.set_view(MapView(1150.0, 1900.0, 1.0, 640, 400), exact=True)
    shown = pixels(canvas)
    paper = shown[5, 5]
    inside = (shown != paper).any(axis=2)
    rows, columns = np.nonzero(inside)
    assert (columns.min(), columns.max()) == pytest.approx((170, 469), abs=1)
    assert (rows.min(), rows.max()) == pytest.approx((100, 299), abs=1)


@pytest.mark.parametrize("units_per_px", [0.4, 1.0, 3.0, 12.0])
def test_image_keeps_its_place_at_every_scale(canvas: MapCanvas, units_per_px: float) -> None:
    picture = np.zeros((600, 800, 4), np.uint8)
    picture[..., 3] = 255
    picture[:, 400:, 0] = 255
    canvas.set_backdrop(ImageLayer(picture, (1.0, 0.0, 0.0, 0.0, -1.0, 600.0)))
    canvas.set_view(MapView(400.0, 300.0, units_per_px, 640, 400), exact=True)
    shown = pixels(canvas)
    assert shown[200, 310].tolist() == [0, 0, 0]
    assert shown[200, 330].tolist() == [0, 0, 255]


def test_a_turned_image_is_turned(canvas: MapCanvas) -> None:
    picture = np.full((300, 300, 4), 255, np.uint8)
    picture[:150, :, 1:3] = 0
    # a quarter turn: columns run north, rows run east
    canvas.set_backdrop(ImageLayer(picture, (0.0, 1.0, 0.0, 1.0, 0.0, 0.0)))
    canvas.set_view(MapView(150.0, 150.0, 1.0, 640, 400), exact=True)
    shown = pixels(canvas)
    assert shown[200, 320 - 75].tolist() == [0, 0, 255]
    assert shown[200, 320 + 75].tolist() == [255, 255, 255]
