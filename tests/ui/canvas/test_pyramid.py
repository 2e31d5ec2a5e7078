from __future__ import annotations

import numpy as np
import pytest
import shapely
from canvas_pictures import as_array, differing, wandering
from PySide6.QtCore import QPointF, QRect, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPen, QPixmap, QPolygonF

from planner.ui.canvas.layer import VectorLayer
from planner.ui.canvas.protocols import Frame
from planner.ui.canvas.pyramid import TOLERANCE_PX, Level, Pyramid, first_level, fit_scale, other_levels
from planner.ui.canvas.scene import Drawing, Scene

LINES = [np.add(line, (500_000.0, 6_000_000.0)) for line in wandering(120, 500)]
LAYER = VectorLayer.of_lines("lines", LINES, role="#202020")


def built(layer: VectorLayer) -> Pyramid:
    pyramid = Pyramid(layer)
    first = first_level(layer, layer.bounds)
    for level in [*([first] if first else []), *other_levels(layer, layer.bounds)]:
        pyramid = pyramid.with_level(level)
    return pyramid


PYRAMID = built(LAYER)


def test_finest_level_has_every_segment() -> None:
    finest = PYRAMID.levels[0]
    whole = np.concatenate([np.concatenate((line[:-1], line[1:]), axis=1) for line in LINES])
    ours = finest.segments + np.array(LAYER.origin * 2)
    assert finest.scale == 0.0
    np.testing.assert_allclose(np.sort(ours, axis=0), np.sort(whole, axis=0), atol=1e-6)


def test_levels_grow_coarser_and_smaller() -> None:
    scales = [level.scale for level in PYRAMID.levels]
    sizes = [len(level.segments) for level in PYRAMID.levels]
    assert len(scales) >= 6
    assert scales == sorted(scales)
    assert sizes == sorted(sizes, reverse=True)


@pytest.mark.parametrize("number", range(1, len(PYRAMID.levels)))
def test_no_level_strays_farther_than_half_a_pixel_of_its_scale(number: int) -> None:
    level = PYRAMID.levels[number]
    true = shapely.multilinestrings([line - LAYER.origin for line in LINES])
    shapely.prepare(true)
    corners = shapely.points(level.segments[::5, :2].astype(np.float64))
    assert shapely.distance(corners, true).max() <= 1e-3
    middles = shapely.points((level.segments[::5, :2] + level.segments[::5, 2:]).astype(np.float64) / 2)
    assert shapely.distance(middles, true).max() <= 1.5 * TOLERANCE_PX * level.scale


def test_boxes_hold_their_chunks() -> None:
    for level in PYRAMID.levels:
        for i in range(len(level.boxes)):
            part = level.segments[level.starts[i]:level.starts[i + 1]].reshape(-1, 2)
            assert (part >= level.boxes[i, :2] - 1e-3).all()
            assert (part <= level.boxes[i, 2:] + 1e-3).all()


def test_stretches_in_sight_hold_every_segment_that_touches() -> None:
    level = PYRAMID.levels[0]
    west, south, east, north = -200.0, -300.0, 150.0, 100.0
    chosen = np.zeros(len(level.segments), dtype=bool)
    for a, b in level.in_sight(west, south, east, north):
        chosen[a:b] = True
    boxes = shapely.box(west, south, east, north)
    touch = shapely.intersects(shapely.linestrings(level.segments.reshape(-1, 2, 2)), boxes)
    assert chosen[touch].all()
    assert chosen.sum() < 0.6 * len(chosen)


def test_level_for_a_scale_is_the_coarsest_that_is_good_enough() -> None:
    for level in PYRAMID.levels[1:]:
        assert PYRAMID.level_for(level.scale) is level
    assert PYRAMID.level_for(1e-6) is PYRAMID.levels[0]
    assert PYRAMID.level_for(1e9) is PYRAMID.levels[-1]


def test_before_the_fine_levels_are_ready_the_coarse_one_serves() -> None:
    coarse = PYRAMID.levels[-2]
    assert Pyramid(LAYER, (coarse,)).level_for(1e-6) is coarse
    assert Pyramid(LAYER).level_for(1.0) is None


def test_small_lines_are_left_out_of_coarse_levels_only() -> None:
    dust = [np.array([[i * 100.0, 0.0], [i * 100.0 + 0.01, 0.0]]) for i in range(30)]
    layer = VectorLayer.of_lines("dust", [*LINES, *dust])
    pyramid = built(layer)
    low = [level for level in pyramid.levels if level.scale >= 1.0]
    ends = np.concatenate([level.segments.reshape(-1, 2) + layer.origin for level in low])
    assert low
    assert (ends[:, 1] > 1000.0).all()
    assert len(pyramid.levels[0].segments) == sum(len(line) - 1 for line in LINES) + 30


@pytest.mark.parametrize("lines", [[], [np.zeros((1, 2))], [np.zeros((0, 2))], [np.zeros((2, 2))],
                                   [np.array([[0.0, 0.0], [1.0, 1.0]]), np.zeros((1, 2))]])
def test_layers_with_next_to_nothing(lines: list[np.ndarray]) -> None:
    layer = VectorLayer.of_lines("few", lines)
    pyramid = built(layer) if len(layer.xy) else Pyramid(layer)
    assert sum(len(level.segments) for level in pyramid.levels) == sum(max(len(line) - 1, 0) for line in lines)


def drawn_by_scene(frame: Frame, levels: tuple[Level, ...]) -> np.ndarray:
    scene = Scene()
    scene.pyramids = (Pyramid(LAYER, levels),)
    pixmap = QPixmap(frame.width, frame.height)
    assert Drawing(scene, pixmap, frame, [QRect(0, 0, frame.width, frame.height)]).run(60.0)
    return as_array(pixmap.toImage())


def drawn_in_full(frame: Frame) -> np.ndarray:
    """Every corner of every line, by the painter's own polylines."""
    image = QImage(frame.width, frame.height, QImage.Format.Format_RGB32)
    image.fill(QColor(Scene().theme.ground))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen = QPen(QColor("#202020"), 1.0)
    pen.setCosmetic(True)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    for line in LINES:
        at = (line - (frame.left, frame.top)) * (1.0, -1.0) / frame.units_per_px
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in at.tolist()]))
    painter.end()
    return as_array(image)


@pytest.mark.parametrize("closer", [1.0, 1.25, 2.0, 3.9, 16.0])
def test_at_most_one_pixel_in_a_hundred_differs_from_a_full_drawing(qapp, closer: float) -> None:
    u = fit_scale(LAYER.bounds) / closer
    x, y = LINES[50][250] if closer > 2.0 else LAYER.origin
    frame = Frame(x - 400 * u, y + 250 * u, u, 800, 500)
    ours, full = drawn_by_scene(frame, PYRAMID.levels), drawn_in_full(frame)
    assert (full < 200).any(axis=2).mean() > 0.001
    assert differing(ours, full) <= 0.01
