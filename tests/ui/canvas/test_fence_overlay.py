from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from canvas_pictures import pixels
from PySide6.QtCore import QRect
from PySide6.QtGui import QColor

from planner.job.plan import JobPlan
from planner.ui.canvas.colours import LIGHT
from planner.ui.canvas.fence_overlay import PARTS, FenceOverlay
from planner.ui.canvas.fence_shapes import apart, fence_shapes, places_at, section_polyline
from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.view import MapView


@pytest.fixture
def overlay(qapp, plan: JobPlan) -> FenceOverlay:
    made = FenceOverlay()
    made.set_plan(plan)
    return made


VIEW = MapView(300.0, 200.0, 1.0, 900, 700)


def test_sections_tile_their_line(plan: JobPlan) -> None:
    shapes = fence_shapes(plan)
    for line in plan.lines:
        own = [s for s in shapes.sections if s.line == line.line.name]
        parts = [shapes.segments[s.first:s.stop] for s in own]
        length = sum(float(np.hypot(p[:, 2] - p[:, 0], p[:, 3] - p[:, 1]).sum()) for p in parts)
        assert length == pytest.approx(float(np.hypot(*np.diff(line.line.xy, axis=0).T).sum()), rel=1e-9)
        for before, after in pairwise(parts):
            np.testing.assert_allclose(before[-1, 2:], after[0, :2], atol=1e-9)


def test_a_section_keeps_the_corners_inside_it(plan: JobPlan) -> None:
    line = plan.lines[0]
    for section in line.sections:
        xy = section_polyline(line.ground, section)
        assert len(xy) >= 2
        assert np.isfinite(xy).all()


def test_places_are_those_of_the_profile(plan: JobPlan) -> None:
    for line in plan.lines:
        at = np.array([post.chainage_m for post in line.posts])
        np.testing.assert_allclose(places_at(line.ground, at), np.column_stack(line.ground.place_at(at)), atol=1e-6)


def test_every_post_and_join_is_there_once(plan: JobPlan) -> None:
    shapes = fence_shapes(plan)
    posts = [m.id for m in (*shapes.marks, *shapes.line_posts) if m.what == "post"]
    assert sorted(posts) == sorted(name for line in plan.lines for name in line.post_names)
    assert {s.kind for s in shapes.sections} == {"run", "gate", "crossing"}
    assert len(shapes.swings) == 1


def test_gate_swing_is_as_wide_as_the_gate(plan: JobPlan) -> None:
    x1, y1, x2, y2 = fence_shapes(plan).swings[0]
    assert np.hypot(x2 - x1, y2 - y1) == pytest.approx(4.0, rel=0.01)


def test_places_kept_apart_are_apart_and_the_first_stay() -> None:
    xy = np.random.default_rng(3).uniform(0, 100, (400, 2))
    kept = apart(xy, 9.0)
    gaps = np.hypot(*(xy[kept][:, None] - xy[kept][None]).transpose(2, 0, 1)) + np.eye(len(kept)) * 99
    assert kept[0] == 0
    assert gaps.min() >= 9.0
    lost = np.setdiff1d(np.arange(400), kept)
    near = np.hypot(*(xy[lost][:, None] - xy[kept][None]).transpose(2, 0, 1))
    assert (near.min(axis=1) < 9.0).all()


def test_a_post_is_hit_before_its_section(overlay: FenceOverlay) -> None:
    sx, sy = VIEW.to_screen(600.0, 0.0)
    hit = overlay.hit(VIEW, sx + 4, sy - 3)
    assert hit is not None
    assert (hit.what, hit.line) == ("post", "North")
    assert hit.chainage_m == pytest.approx(600.0, rel=5e-3)  # ground distance, far from the grid's middle


def test_a_section_is_hit_with_its_chainage(overlay: FenceOverlay, plan: JobPlan) -> None:
    sx, sy = VIEW.to_screen(300.0, 283.0)
    hit = overlay.hit(VIEW, sx + 5, sy)
    assert hit is not None
    assert (hit.what, hit.line) == ("section", "Lane")
    assert hit.chainage_m == pytest.approx(283.0, rel=5e-3)
    section = next(s for line in plan.lines for s in line.sections if s.id == hit.id)
    assert section.from_m <= hit.chainage_m <= section.to_m


def test_beside_the_fence_nothing_is_hit(overlay: FenceOverlay) -> None:
    assert overlay.hit(VIEW, *VIEW.to_screen(100.0, 300.0)) is None
    assert FenceOverlay().hit(VIEW, 0, 0) is None


def test_line_posts_are_hit_only_when_they_are_drawn(overlay: FenceOverlay, plan: JobPlan) -> None:
    line = plan.lines[1]
    post = next(p for p in line.posts if p.kind == "line" and 100 < p.chainage_m < 150)
    x, y = line.ground.place_at(post.chainage_m)
    near = MapView(float(x), float(y), 0.05, 900, 700)
    hit = overlay.hit(near, 450, 350)
    assert hit is not None
    assert (hit.what, hit.chainage_m) == ("post", pytest.approx(post.chainage_m))
    far = MapView(float(x), float(y), 2.0, 900, 700)
    other = overlay.hit(far, 450, 350)
    assert other is None or other.chainage_m != post.chainage_m


def test_labels_keep_their_places_while_panning(overlay: FenceOverlay) -> None:
    before = overlay._labels_at(VIEW)
    assert before
    assert overlay._labels_at(VIEW.panned(123, -45)) is before


def test_no_label_covers_the_symbol_of_a_feature(overlay: FenceOverlay) -> None:
    before = overlay._labels_at(VIEW)
    assert before
    middle = before[0].box.center()
    overlay.keep_clear(np.array([[middle.x() * VIEW.units_per_px, -middle.y() * VIEW.units_per_px]]))
    assert not any(one.box.contains(middle) for one in overlay._labels_at(VIEW))


def test_the_label_in_hand_is_always_shown(overlay: FenceOverlay, plan: JobPlan) -> None:
    far = MapView(300.0, 200.0, 40.0, 900, 700)
    overlay.in_hand = plan.lines[0].sections[0].id
    assert [one.label.key for one in overlay._labels_at(far)] == [overlay.in_hand]


def test_what_is_in_hand_is_drawn_in_the_accent(canvas: MapCanvas, overlay: FenceOverlay, plan: JobPlan) -> None:
    canvas.add_overlay(overlay)
    canvas.set_view(MapView(300.0, 200.0, 1.0, 640, 400), exact=True)
    accent = np.array(QColor(LIGHT.accent).getRgb()[2::-1])
    without = (pixels(canvas) == accent).all(axis=2).sum()
    overlay.in_hand = plan.lines[1].sections[0].id
    canvas.dirty(overlay)
    assert without == 0
    assert (pixels(canvas) == accent).all(axis=2).sum() > 200


def test_the_cursor_stands_at_its_chainage(canvas: MapCanvas, overlay: FenceOverlay) -> None:
    overlay.parts = frozenset()
    canvas.add_overlay(overlay)
    canvas.set_view(MapView(300.0, 200.0, 1.0, 640, 400), exact=True)
    overlay.cursor = ("Lane", 200.0)
    accent = np.array(QColor(LIGHT.accent).getRgb()[2::-1])
    rows, columns = np.nonzero((np.abs(pixels(canvas).astype(int) - accent) < 12).all(axis=2))
    sx, sy = canvas.view.to_screen(*overlay.place_of("Lane", 200.0))
    assert (columns.mean(), rows.mean()) == pytest.approx((sx, sy), abs=1.5)


def test_parts_can_recede(canvas: MapCanvas, overlay: FenceOverlay) -> None:
    canvas.add_overlay(overlay)
    canvas.set_view(MapView(300.0, 200.0, 1.5, 640, 400), exact=True)
    full = pixels(canvas)
    for part in ("posts", "labels"):
        overlay.parts = PARTS - {part}
        assert (pixels(canvas) != full).any()


def test_bounds_hold_the_fence(overlay: FenceOverlay) -> None:
    assert overlay.bounds == pytest.approx((0.0, 0.0, 600.0, 500.0))
    assert overlay.bounds_px(VIEW).contains(QRect(200, 100, 500, 400))
    assert FenceOverlay().bounds_px(VIEW).isEmpty()


def test_used_symbols_make_the_legend(overlay: FenceOverlay) -> None:
    assert {"end", "corner", "gate", "line post", "crossing"} <= overlay.used_symbols()


def test_no_plan_draws_nothing(canvas: MapCanvas, overlay: FenceOverlay, settle: Callable) -> None:
    empty = FenceOverlay()
    canvas.add_overlay(empty)
    canvas.set_view(VIEW, exact=True)
    before = pixels(canvas)
    empty.set_plan(overlay._plan)
    assert (pixels(canvas) != before).any()
    empty.set_plan(None)
    assert (pixels(canvas) == before).all()
