"""Draw: by clicks, by typing, along a line, beside a line; what is caught; what the keys do."""

from __future__ import annotations

import math

import numpy as np
import pytest
from map_hand import shifted
from PySide6.QtCore import Qt

from planner.geometry.lines import nearest_on
from planner.job.job import Job
from planner.ui.tools.leg_reading import turn_between

SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def draw(hand):
    hand.take("tool_draw")
    hand.look_at(455_700, 5_951_600, 1.8)
    return hand


def test_a_line_with_two_corners_over_an_imported_boundary(draw):
    boundary = draw.document.job.lines[0].xy
    draw.click(*shifted(boundary[0], 2.0, 1.0))
    draw.click(455_500, 5_951_600)
    draw.click(455_900, 5_951_700)
    draw.click(455_950, 5_951_400)
    draw.key(Qt.Key.Key_Return)
    line = draw.document.job.lines[-1]
    assert len(line.xy) == 4
    assert line.xy[0].tolist() == pytest.approx(boundary[0].tolist(), abs=1e-9)
    assert draw.document.history.can_undo == "draw Line 3"
    assert line.name in draw.document.job.levels
    draw.document.undo()
    assert len(draw.document.job.lines) == 2
    draw.document.redo()
    assert draw.document.job.lines[-1] is line


def test_the_snap_says_what_it_caught(draw):
    boundary = draw.document.job.lines[0].xy
    draw.move(*shifted(boundary[0], 4.0, 3.0))
    assert (draw.tool.snap.kind, draw.tool.snap.what) == ("corner", "Home block")
    middle = (boundary[0] + boundary[1]) / 2
    draw.move(*shifted(middle, 5.0, 0.0))
    assert (draw.tool.snap.kind, draw.tool.snap.what) == ("edge", "Home block")
    point = draw.document.job.points[0]
    draw.move(point.x + 3.0, point.y + 3.0)
    assert (draw.tool.snap.kind, draw.tool.snap.what) == ("fix", point.name)
    draw.move(455_600, 5_951_550)
    assert draw.tool.snap is None


def test_straight_on_and_right_angle_are_caught(draw):
    draw.click(455_500, 5_951_550)
    draw.click(455_700, 5_951_550)
    draw.move(455_850, 5_951_556)
    assert draw.tool.snap.kind == "extension"
    draw.move(455_706, 5_951_450)
    assert draw.tool.snap.kind == "right angle"


def test_bearing_and_distance_are_typed_at_once(draw):
    draw.click(455_500, 5_951_550)
    draw.move(455_600, 5_951_560)
    draw.type("45")
    draw.key(Qt.Key.Key_Tab)
    draw.type("250")
    draw.key(Qt.Key.Key_Return)
    (ax, ay), (bx, by) = draw.tool.corners
    assert math.degrees(math.atan2(bx - ax, by - ay)) == pytest.approx(45.0, abs=1e-6)
    scale = draw.tool._meter.scale_at((ax, ay))
    assert math.hypot(bx - ax, by - ay) / scale == pytest.approx(250.0, abs=1e-6)
    assert 0.999 < scale < 1.001
    assert scale != 1.0


def test_a_typed_bearing_alone_leaves_the_distance_to_the_pointer(draw):
    draw.click(455_500, 5_951_550)
    draw.type("90")
    draw.move(455_700, 5_951_620)
    draw.key(Qt.Key.Key_Return)
    (ax, ay), (bx, by) = draw.tool.corners
    assert by == pytest.approx(ay, abs=1e-6)
    assert bx - ax == pytest.approx(200.0, abs=2.0)


@pytest.mark.parametrize("text", ["400", "9 9 9 9", "-", "N"])
def test_nonsense_places_nothing(draw, text):
    draw.click(455_500, 5_951_550)
    draw.move(455_600, 5_951_560)
    draw.type("1")
    draw.tool.boxes.boxes[0].setText(text)
    draw.key(Qt.Key.Key_Return)
    assert len(draw.tool.corners) == 1


def test_a_distance_of_nothing_is_refused(draw):
    draw.click(455_500, 5_951_550)
    draw.key(Qt.Key.Key_Tab)
    draw.key(Qt.Key.Key_Tab)
    draw.type("0")
    draw.key(Qt.Key.Key_Return)
    assert len(draw.tool.corners) == 1
    assert "leads nowhere" in draw.tool.boxes.toolTip()


def test_escape_leaves_the_boxes_then_the_line_then_the_tool(draw):
    draw.click(455_500, 5_951_550)
    draw.move(455_600, 5_951_560)
    draw.type("45")
    draw.key(Qt.Key.Key_Escape)
    assert len(draw.tool.corners) == 1
    assert draw.tool.boxes.boxes[0].text() == ""
    draw.key(Qt.Key.Key_Escape)
    assert draw.tool.corners == []
    draw.key(Qt.Key.Key_Escape)
    assert draw.tool is None
    assert len(draw.document.job.lines) == 2


def test_backspace_takes_the_last_corner_back(draw):
    draw.click(455_500, 5_951_550)
    draw.click(455_700, 5_951_550)
    draw.key(Qt.Key.Key_Backspace)
    assert len(draw.tool.corners) == 1
    draw.key(Qt.Key.Key_Backspace)
    draw.key(Qt.Key.Key_Backspace)
    assert draw.tool.corners == []


def test_one_corner_is_no_line(draw):
    draw.click(455_500, 5_951_550)
    draw.key(Qt.Key.Key_Return)
    assert len(draw.document.job.lines) == 2
    assert "two corners" in draw.tool.hint


def test_a_double_click_ends(draw, qtbot):
    draw.click(455_500, 5_951_550)
    draw.click(455_700, 5_951_550)
    qtbot.mouseDClick(draw.canvas, Qt.MouseButton.LeftButton, pos=draw.px(455_700, 5_951_550))
    assert len(draw.document.job.lines[-1].xy) == 2


def test_closing_on_the_first_corner_makes_a_ring(draw):
    for x, y in ((455_500, 5_951_550), (455_700, 5_951_550), (455_700, 5_951_700)):
        draw.click(x, y)
    draw.move(455_504, 5_951_553)
    assert draw.tool.snap.what == "this line, which closes it"
    draw.click(455_504, 5_951_553)
    line = draw.document.job.lines[-1]
    assert line.closed
    assert len(line.xy) == 4
    assert line.xy[0].tolist() == line.xy[-1].tolist()


def test_shift_follows_a_line_that_runs_through_both_places(draw):
    boundary = draw.document.job.lines[0].xy
    draw.look_at(float(boundary[1, 0]) + 200, float(boundary[1, 1]), 3.5)
    start, end = boundary[0] * 0.5 + boundary[1] * 0.5, boundary[1] * 0.5 + boundary[2] * 0.5
    draw.click(*start)
    draw.click(*end, keys=SHIFT)
    assert len(draw.tool.corners) == 3
    assert draw.tool.corners[1] == pytest.approx(tuple(boundary[1]))


def test_o_draws_beside_a_line_at_a_typed_distance(draw):
    boundary = draw.document.job.lines[1].xy
    draw.look_at(float(boundary[1, 0]), float(boundary[1, 1]), 3.0)
    draw.key(Qt.Key.Key_O)
    middle = (boundary[0] + boundary[1]) / 2
    draw.move(middle[0], middle[1] + 8.0)
    draw.type("12")
    draw.key(Qt.Key.Key_Return)
    line = draw.document.job.lines[-1]
    assert len(line.xy) == len(boundary)
    scale = draw.tool._meter.scale_at((float(middle[0]), float(middle[1])))
    assert nearest_on(boundary, tuple((line.xy[0] + line.xy[1]) / 2))[1] == pytest.approx(12.0 * scale, abs=1e-3)
    assert line.xy[0, 1] > boundary[0, 1]


def test_the_live_figures_are_those_of_the_plan(draw):
    draw.click(455_500, 5_951_550)
    draw.click(455_800, 5_951_650)
    draw.click(455_900, 5_951_950)
    draw.move(456_050, 5_951_650)
    shown = draw.tool._figures
    draw.click(456_050, 5_951_650)
    draw.key(Qt.Key.Key_Return)
    draw.document.wait_for_plan()
    plan = draw.document.plan.lines[-1]
    assert shown.total_m == pytest.approx(float(plan.ground.chainage_m[-1]), rel=2e-4)
    assert shown.slope_m == pytest.approx(float(plan.ground.slope_m[-1]), rel=2e-3)
    assert shown.post == plan.corners[2].role == "corner"
    assert shown.turn_deg == pytest.approx(plan.corners[2].turn_deg, abs=0.5)


def test_a_drag_pushes_the_map_and_places_nothing(draw):
    before = draw.canvas.view
    draw.drag((455_600, 5_951_650), (455_700, 5_951_700))
    assert draw.tool.corners == []
    assert draw.canvas.view.x < before.x


def test_a_job_without_a_grid_asks_for_it_once(window, qtbot):
    from map_hand import Hand

    window.document.start(Job("New", ""))
    window.show_work()
    qtbot.waitUntil(lambda: window.work.canvas.view.x > 1000.0)
    hand = Hand(window, qtbot)
    hand.take("tool_draw")
    asked = []
    hand.tool.ask_grid = lambda: asked.append(1) or ""
    x, y = hand.canvas.view.x, hand.canvas.view.y
    hand.click(x, y)
    assert hand.tool.corners == []
    hand.tool.ask_grid = lambda: asked.append(1) or "EPSG:7855"
    hand.click(x, y)
    hand.click(x + 50.0, y + 20.0)
    hand.key(Qt.Key.Key_Return)
    assert window.document.job.crs == "EPSG:7855"
    assert len(window.document.job.lines) == 1
    assert len(asked) == 2
    window.document.undo()
    assert window.document.job.crs == ""


def test_turns_are_left_positive():
    assert turn_between((0, 0), (0, 10), (10, 10)) == pytest.approx(-90.0)
    assert abs(turn_between((0, 0), (0, 10), (0, 5))) == pytest.approx(180.0)


def test_the_name_is_free_and_the_fence_is_chosen(draw):
    draw.tool.fence.setCurrentIndex(draw.tool.fence.findData("general-mesh"))
    draw.tool.name.setText("Home block")
    for x in (455_500, 455_700):
        draw.click(x, 5_951_550)
    draw.key(Qt.Key.Key_Return)
    line = draw.document.job.lines[-1]
    assert (line.name, line.fence, line.accuracy) == ("Home block (2)", "general-mesh", "traced")
    assert np.isfinite(line.xy).all()
