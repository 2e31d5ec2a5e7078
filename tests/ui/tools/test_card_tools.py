"""Set back, divide, straighten, bearings: worked out beside the window, the latest question wins, one step."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from PySide6.QtCore import Qt

from planner.alignment.line import FenceLine, Gate
from planner.geometry.lines import nearest_on
from planner.job.edits import AddFeature, AddLine, RemoveFeature
from planner.survey.features import Feature

PADDOCK = FenceLine("Small", "general-mesh", np.array(
    [[456_000.0, 5_952_000.0], [456_300.0, 5_952_000.0], [456_300.0, 5_951_900.0], [456_000.0, 5_951_900.0],
     [456_000.0, 5_952_000.0]]), True, "survey")


@pytest.fixture
def there(hand):
    hand.document.do(AddLine(PADDOCK))
    hand.look_at(456_150, 5_951_950, 1.6)
    return hand


def finish(hand) -> None:
    hand.qtbot.waitUntil(lambda: not hand.tool.is_busy, timeout=60_000)


def choose(box, key: str) -> None:
    index = box.findData(key)
    assert index >= 0
    box.setCurrentIndex(index)
    box.activated.emit(index)


def test_a_paddock_is_divided_and_the_fences_added_in_one_step(there):
    there.take("tool_divide")
    there.click(456_150, 5_951_950)
    assert there.tool.paddock.currentData() == "Small"
    there.tool.parts.setText("3")
    there.tool.work_out()
    finish(there)
    assert [round(part.area_m2) for part in there.tool.result.parts] == [10_000] * 3
    assert there.tool.result.new_fence_m == pytest.approx(200.0, abs=0.01)
    before = len(there.document.job.lines)
    there.tool.card.apply_button.click()
    assert len(there.document.job.lines) == before + 2
    assert there.document.history.can_undo == "divide Small"
    assert there.tool is None
    there.document.undo()
    assert len(there.document.job.lines) == before


def test_a_closed_line_inside_the_paddock_is_left_out_and_said(there):
    grove = np.array([(100, -60), (120, -60), (120, -40), (100, -40), (100, -60)]) + np.array([456_000, 5_952_000])
    there.document.do(AddLine(FenceLine("Grove", "general-mesh", grove, True)))
    there.take("tool_divide")
    choose(there.tool.paddock, "Small")
    there.tool.work_out()
    finish(there)
    assert sum(part.area_m2 for part in there.tool.result.parts) == pytest.approx(29_600.0)
    assert "The land inside 'Grove' is left out. Areas are those of the grid" in there.tool.card.note.text()


def test_given_areas_a_bearing_and_a_lane(there):
    there.take("tool_divide")
    choose(there.tool.paddock, "Small")
    there.tool.parts.setText("1; 0,5; rest")
    choose(there.tool.way, "bearing")
    there.tool.bearing.setText("90")
    there.tool.work_out()
    finish(there)
    assert [round(part.area_m2) for part in there.tool.result.parts] == [10_000, 5_000, 15_000]
    there.tool.parts.setText("4")
    choose(there.tool.way, "lane")
    finish(there)
    assert there.tool.result.lane is not None
    there.tool.card.apply_button.click()
    lanes = [line for line in there.document.job.lines if "lane fence" in line.name]
    assert len(lanes) == 2
    assert sum(len(line.gates) for line in lanes) == 4
    assert all(nearest_on(line.xy, (gate.x, gate.y))[1] < 1e-6 for line in lanes for gate in line.gates)


def test_fences_run_from_a_clicked_point(there):
    there.take("tool_divide")
    choose(there.tool.paddock, "Small")
    choose(there.tool.way, "point")
    assert "Click where" in there.tool.card.note.text()
    there.click(456_100, 5_951_940)
    finish(there)
    assert there.tool.result.from_point


@pytest.mark.parametrize(("text", "said"), [("1", "2 to 100"), ("lots", "no area"), ("9; 9", "do not make up"),
                                            ("1,234; rest", "'1,234' is no area"),
                                            ("", "into how many")])
def test_parts_that_cannot_be_are_refused(there, text, said):
    there.take("tool_divide")
    choose(there.tool.paddock, "Small")
    finish(there)
    there.tool.parts.setText(text)
    there.tool.work_out()
    finish(there)
    assert said in there.tool.card.note.text()
    assert not there.tool.card.apply_button.isEnabled()
    assert there.tool.result is None


def test_the_latest_question_wins(there):
    there.take("tool_divide")
    choose(there.tool.paddock, "Small")
    for parts in ("2", "5", "4"):
        there.tool.parts.setText(parts)
        there.tool.work_out()
    finish(there)
    assert len(there.tool.result.parts) == 4


def test_putting_the_tool_down_in_the_middle_leaves_nothing(there):
    before = there.document.job
    there.take("tool_divide")
    there.tool.parts.setText("6")
    there.tool.work_out()
    there.take("tool_none")
    assert there.tool is None
    assert there.document.job is before


def test_a_pond_is_fenced_all_round(there):
    pond = shapely.Point(456_150, 5_951_700).buffer(20.0)
    there.document.do(AddFeature(Feature("Pond", "water", pond.wkt)))
    there.take("tool_setback")
    assert there.tool.result is None
    assert there.tool.baseline.currentData() == "centreline"  # the creek says so, and how wide it is
    assert there.tool.half.text().startswith("6")
    there.click(456_150, 5_951_700)
    assert there.tool.of.currentText() == "Pond"
    assert "Say what was drawn" in there.tool.card.note.text()
    choose(there.tool.bank, "around")
    choose(there.tool.paddock, "")
    choose(there.tool.baseline, "edge")
    finish(there)
    (line,) = there.tool.result.lines
    assert line.figures.least_setback_m == pytest.approx(10.0, abs=0.02)
    there.tool.card.apply_button.click()
    added = there.document.job.lines[-1]
    assert added.closed
    assert shapely.Polygon(added.xy).contains(pond)
    assert added.name == "Pond around set-back"
    assert there.document.history.can_undo == "draw Pond around set-back"


def creek_in_pieces(there) -> list[Feature]:
    """Three stretches that go on in one another, and one that lies apart."""
    ways = ([(456_000, 5_951_700), (456_150, 5_951_720)], [(456_150, 5_951_720), (456_300, 5_951_690)],
            [(456_300, 5_951_690), (456_450, 5_951_700)], [(456_000, 5_951_900), (456_100, 5_951_900)])
    drawn = [Feature(f"Reach {n}", "water", shapely.LineString(way).wkt,
                     (("part", "centreline"), ("width", str(2 * n)))) for n, way in enumerate(ways, 1)]
    for feature in drawn:
        there.document.do(AddFeature(feature))
    return drawn


def test_a_creek_that_was_drawn_in_pieces_is_fenced_as_one(there):
    creek_in_pieces(there)
    there.take("tool_setback")
    tool = there.tool
    there.click(456_060, 5_951_708)
    assert tool.of.currentText() == "Reach 1"
    assert [tool.along.itemText(row) for row in range(tool.along.count())] == ["only what is clicked",
                                                                               "the 2 that touch"]
    assert [feature.name for feature in tool.taken] == ["Reach 1"]
    choose(tool.bank, "left")
    choose(tool.along, "touching")
    assert [feature.name for feature in tool.taken] == ["Reach 1", "Reach 2", "Reach 3"]
    assert tool.measures.parse_length(tool.half.text()) == 3.0  # the widest
    finish(there)
    (line,) = tool.result.lines
    assert line.figures.length_m > 440.0
    tool.card.apply_button.click()
    added = there.document.job.lines[-1]
    assert added.name == "Reach 1 left set-back"
    assert added.origin == "set-back of 10 m from Reach 1 and 2 others"


def test_shift_takes_one_along_and_leaves_it_out(there):
    creek_in_pieces(there)
    there.take("tool_setback")
    tool, shift = there.tool, Qt.KeyboardModifier.ShiftModifier
    there.click(456_060, 5_951_708)
    there.click(456_240, 5_951_702, shift)
    assert [feature.name for feature in tool.taken] == ["Reach 1", "Reach 2"]
    choose(tool.along, "touching")
    assert len(tool.taken) == 3
    there.click(456_240, 5_951_702, shift)
    assert [feature.name for feature in tool.taken] == ["Reach 1", "Reach 3"]
    there.click(456_050, 5_951_900)
    assert [feature.name for feature in tool.taken] == ["Reach 4"]
    assert tool.along.count() == 1
    assert not tool.card.form.isRowVisible(tool.along)


def test_water_that_is_taken_back_under_the_set_back_tool_is_no_longer_offered(there):
    creek_in_pieces(there)
    there.take("tool_setback")
    choose(there.tool.of, str(there.tool.of.findText("Reach 4")))
    there.document.undo()
    assert there.tool.of.findText("Reach 4") == -1
    assert there.tool.of.currentIndex() >= 0
    assert len(there.tool.taken) == 1


def test_a_set_back_that_cannot_be_is_refused(there):
    there.document.do(AddFeature(Feature("Pond", "water", shapely.Point(456_150, 5_951_700).buffer(20.0).wkt)))
    there.take("tool_setback")
    choose(there.tool.of, str(there.tool.of.findText("Pond")))
    there.tool.distance.setText("0")
    choose(there.tool.baseline, "edge")
    assert "set-back of 0" in there.tool.card.note.text()
    there.tool.distance.setText("ten")
    there.tool.work_out()
    assert "'ten' is no length" in there.tool.card.note.text()


def test_no_water_is_said(there):
    for feature in there.document.job.features:
        there.document.do(RemoveFeature(feature))
    there.take("tool_setback")
    assert "No water" in there.tool.card.note.text()
    assert not there.tool.card.apply_button.isEnabled()


def test_a_traced_line_is_straightened_and_its_gate_stays_on_it(there):
    along = np.linspace(0.0, 300.0, 40)
    xy = np.column_stack((456_000.0 + along, 5_951_700.0 + 1.5 * np.sin(along / 9.0)))
    there.document.do(AddLine(FenceLine("Traced", "general-mesh", xy, gates=(Gate("Q1", *xy[20], 4.2),))))
    there.take("tool_straighten")
    choose(there.tool.line, "Traced")
    finish(there)
    assert len(there.tool.result.xy) == 2
    there.tool.card.apply_button.click()
    line = there.document.job.lines[-1]
    assert len(line.xy) == 2
    assert nearest_on(line.xy, (line.gates[0].x, line.gates[0].y))[1] < 1e-6
    assert there.document.history.can_undo == "straighten Traced"


def test_a_walk_kept_as_walked_is_fitted(there):
    random = np.random.default_rng(3)
    corners = np.array([[456_000.0, 5_951_500.0], [456_400.0, 5_951_500.0], [456_400.0, 5_951_800.0]])
    along = np.concatenate([corners[i] + np.linspace(0, 1, 120)[:, None] * (corners[i + 1] - corners[i])
                            for i in range(2)])
    there.document.do(AddLine(FenceLine("Walk", "general-mesh", along + random.normal(0, 1.0, along.shape))))
    there.take("tool_straighten")
    choose(there.tool.line, "Walk")
    there.tool.tolerance.setText("")
    choose(there.tool.way, "fit")
    finish(there)
    found = there.tool.result.xy
    assert len(found) == 3
    assert np.hypot(*(found[1] - corners[1])) < 2.0


def start_legs(there, legs: str) -> None:
    there.take("tool_traverse")
    there.click(456_100, 5_951_700)
    there.tool.legs.setPlainText(legs)


def test_a_traverse_is_typed_and_added(there):
    start_legs(there, "90 00 00, 300\n180, 200\n270, 300\nN, 200")
    there.tool.work_out()
    finish(there)
    assert there.tool.result.result.misclose_m == pytest.approx(0.0, abs=1e-6)
    assert there.tool.result.result.area_m2 == pytest.approx(60_000.0)
    there.tool.name.setText("Plan 12")
    there.tool.card.apply_button.click()
    line = there.document.job.lines[-1]
    assert (line.name, line.closed, len(line.xy)) == ("Plan 12", True, 5)
    assert "not a survey" in line.origin
    assert there.document.history.can_undo == "draw Plan 12"


def test_a_gross_misclose_is_left_open_and_said(there):
    start_legs(there, "90, 300\n180, 200\n270, 250\n0, 200")
    choose(there.tool.close, "start")
    finish(there)
    assert not there.tool.result.closed
    assert "left open" in there.tool.card.note.text()
    assert there.tool.result.result.misclose_m == pytest.approx(50.0)
    choose(there.tool.adjust, "share")
    there.tool.work_out()
    finish(there)
    assert there.tool.result.closed
    assert "measure again" in there.tool.card.note.text()


def test_legs_that_may_be_packed_angles_stay_to_be_looked_at(there):
    start_legs(there, "90.1420, 300\n180.0250, 200\n270.1130, 300")
    there.tool.work_out()
    finish(there)
    there.tool.card.apply_button.click()
    assert [finding.rule for finding in there.document.job.noticed] == ["traverse-03"]
    there.document.undo()
    assert there.document.job.noticed == ()


def test_a_row_that_cannot_be_read_is_named(there):
    start_legs(there, "90, 300\nsouthish, 200")
    there.tool.work_out()
    assert "ow 2" in there.tool.card.note.text()
    assert not there.tool.card.apply_button.isEnabled()


def test_chains_are_read(there):
    start_legs(there, "90, 5")
    choose(there.tool.unit, "chain")
    there.tool.work_out()
    finish(there)
    (ax, ay), (bx, by) = there.tool.result.xy
    assert math.hypot(bx - ax, by - ay) == pytest.approx(5 * 20.1168)


def test_a_card_folds_up_and_gives_the_map_back(there):
    there.take("tool_divide")
    card = there.tool.card
    open_size = card.size()
    assert not card.is_folded
    assert card.apply_button.isVisible()
    there.qtbot.mouseClick(card.fold_button, Qt.MouseButton.LeftButton)
    assert card.is_folded
    assert not card.apply_button.isVisible()
    assert not card.words.isVisible()
    assert card.title.isVisible()
    assert card.title.width() >= card.title.sizeHint().width()
    assert card.width() * card.height() < 0.2 * open_size.width() * open_size.height()
    assert card.geometry().right() <= there.tool.canvas.width()
    card.show_figures((("Area", "1 ha"),))
    assert card.height() < 60
    there.qtbot.keyClick(card.fold_button, Qt.Key.Key_Space)
    assert card.apply_button.isVisible()
    assert card.width() == open_size.width()
