from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from canvas_pictures import pixels
from PySide6.QtGui import QColor, QImage

from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.tiles import EQUATOR_M, TileFolder, lonlat_of, tile_at
from planner.ui.canvas.view import MapView

RADIUS = 6_378_137.0


def mercator(lonlat: np.ndarray) -> np.ndarray:
    return np.column_stack((np.radians(lonlat[:, 0]) * RADIUS, np.arcsinh(np.tan(np.radians(lonlat[:, 1]))) * RADIUS))


def back(xy: np.ndarray) -> np.ndarray:
    return np.column_stack((np.degrees(xy[:, 0] / RADIUS), np.degrees(np.arctan(np.sinh(xy[:, 1] / RADIUS)))))


@pytest.mark.parametrize(("zoom", "tile", "lonlat"), [
    (0, (0, 0), (-180.0, 85.0511287798)), (1, (1, 1), (0.0, 0.0)), (2, (3, 1), (90.0, 66.5132604431))])
def test_corners_of_the_web_mercator_quad(zoom: int, tile: tuple[int, int], lonlat: tuple[float, float]) -> None:
    assert lonlat_of(zoom, *tile) == pytest.approx(lonlat)
    assert tile_at(zoom, *lonlat) == pytest.approx(tile, abs=1e-9)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for column, row, colour in ((0, 0, "#ff0000"), (1, 0, "#00ff00"), (0, 1, "#0000ff")):
        image = QImage(256, 256, QImage.Format.Format_RGB32)
        image.fill(QColor(colour))
        path = tmp_path / "1" / str(column) / f"{row}.png"
        path.parent.mkdir(parents=True, exist_ok=True)
        assert image.save(str(path))
    return tmp_path


def test_tiles_lie_in_their_places_and_missing_ones_leave_the_paper(canvas: MapCanvas, folder: Path) -> None:
    canvas.set_backdrop(TileFolder(folder, to_grid=mercator, to_lonlat=back))
    canvas.set_view(MapView(0.0, 0.0, EQUATOR_M / 512 * 1.6, 640, 400), exact=True)
    shown = pixels(canvas)
    assert shown[150, 270].tolist() == [0, 0, 255]
    assert shown[150, 370].tolist() == [0, 255, 0]
    assert shown[250, 270].tolist() == [255, 0, 0]
    assert shown[250, 370].tolist() == list(QColor(canvas.theme.ground).getRgb()[2::-1])


def test_far_below_the_finest_zoom_the_tiles_are_enlarged(canvas: MapCanvas, folder: Path) -> None:
    tiles = TileFolder(folder, to_grid=mercator, to_lonlat=back)
    assert tiles.zooms == (1,)
    canvas.set_backdrop(tiles)
    canvas.set_view(MapView(-1e6, 1e6, 100.0, 640, 400), exact=True)
    assert pixels(canvas)[200, 320].tolist() == [0, 0, 255]


def test_tiles_are_asked_for_and_drawn_once_they_are_kept(canvas: MapCanvas, folder: Path) -> None:
    asked: list[str] = []
    tiles = TileFolder(folder, to_grid=mercator, to_lonlat=back, wanting=lambda: asked.append("asked"))
    canvas.set_backdrop(tiles)
    canvas.set_view(MapView(0.0, 0.0, EQUATOR_M / 512 * 1.6, 640, 400), exact=True)
    paper = list(QColor(canvas.theme.ground).getRgb()[2::-1])
    assert asked
    assert pixels(canvas)[150, 270].tolist() == paper
    keys = tiles.wanted()
    assert set(keys) == {(1, 0, 0), (1, 1, 0), (1, 0, 1), (1, 1, 1)}
    assert tiles.wanted() == ()
    asked.clear()
    tiles.keep({key: tiles.read(key) for key in keys})
    canvas.set_backdrop(tiles)
    canvas.set_view(canvas.view, exact=True)
    assert pixels(canvas)[150, 270].tolist() == [0, 0, 255]
    assert not asked


def test_a_coarser_tile_stands_in_for_one_that_is_not_read_yet(canvas: MapCanvas, folder: Path) -> None:
    (folder / "2").mkdir()
    tiles = TileFolder(folder, to_grid=mercator, to_lonlat=back, wanting=lambda: None)
    tiles.keep({(1, 0, 0): tiles.read((1, 0, 0))})
    canvas.set_backdrop(tiles)
    canvas.set_view(MapView(-5e6, 5e6, EQUATOR_M / 1024, 640, 400), exact=True)
    assert pixels(canvas)[200, 320].tolist() == [0, 0, 255]
    assert all(zoom == 2 for zoom, _, _ in tiles.wanted())


def test_a_folder_that_is_not_there_shows_nothing(canvas: MapCanvas, tmp_path: Path) -> None:
    canvas.set_backdrop(TileFolder(tmp_path / "none", to_grid=mercator, to_lonlat=back))
    canvas.set_view(MapView(0.0, 0.0, 1000.0, 640, 400), exact=True)
    assert len(np.unique(pixels(canvas).reshape(-1, 3), axis=0)) == 1
    assert math.isfinite(EQUATOR_M)
