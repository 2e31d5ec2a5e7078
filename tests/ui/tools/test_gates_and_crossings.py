"""Gates and crossings: placed, widened, dragged, removed; crossings proposed where lines meet water."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from map_hand import shifted
from PySide6.QtCore import Qt

from planner.alignment.line import Crossing, FenceLine
from planner.geometry.lines import nearest_on
from planner.job.edits import AddFeature, AddLine
from planner.surroundings.crossing_places import USUAL_M, proposals
from planner.survey.features import Feature

LINE = "Gully division"


def line_of(hand, name: str = LINE):
    return next(line for line in hand.document.job.lines if line.name == name)


@pytest.fixture
def gate(hand):
    hand.take("tool_gate")
    hand.look_at(456_200, 5_952_100, 1.8)
    return hand


def test_a_click_places_a_gate_on_the_line(gate):
    xy = line_of(gate).xy
    middle = (xy[1] + xy[2]) / 2
    gate.click(*shifted(middle, 6.0, 4.0))
    placed = line_of(gate).gates[-1]
    assert placed.name == "G5"
    assert placed.width_m == pytest.approx(4.2)
    assert nearest_on(xy, (placed.x, placed.y))[1] < 1e-6
    gate.document.wait_for_plan()
    assert any(section.is_gate and section.from_m > 100 for section in gate.document.plan.lines[1].sections)
    gate.document.undo()
    assert len(line_of(gate).gates) == 1
    gate.document.redo()
    assert line_of(gate).gates[-1] is placed


def test_plus_and_minus_go_through_the_widths_that_are_sold(gate):
    gate.key(Qt.Key.Key_Plus)
    assert gate.tool.width_m == pytest.approx(4.8)
    gate.key(Qt.Key.Key_Minus)
    gate.key(Qt.Key.Key_Minus)
    assert gate.tool.width_m == pytest.approx(3.6)
    for _ in range(20):
        gate.key(Qt.Key.Key_Minus)
    assert gate.tool.width_m == min(gate.tool.widths)


def test_a_width_is_typed_for_the_gate_in_hand(gate):
    xy = line_of(gate).xy
    gate.click(*((xy[1] + xy[2]) / 2))
    gate.type("5.5")
    gate.key(Qt.Key.Key_Return)
    assert line_of(gate).gates[-1].width_m == pytest.approx(5.5)
    rows = dict(gate.tool.told(5.5))
    assert rows["Leaves open"].startswith("0.70")


@pytest.mark.parametrize("text", ["0", "900", "0.5"])
def test_a_width_that_no_gate_has_is_refused(gate, text):
    xy = line_of(gate).xy
    gate.click(*((xy[1] + xy[2]) / 2))
    gate.type(text)
    gate.key(Qt.Key.Key_Return)
    assert line_of(gate).gates[-1].width_m == pytest.approx(4.2)


def test_a_gate_is_dragged_along_its_line_and_removed(gate):
    xy = line_of(gate).xy
    middle, target = (xy[1] + xy[2]) / 2, xy[1] * 0.2 + xy[2] * 0.8
    gate.click(*middle)
    gate.drag(tuple(middle), shifted(target, 20.0, 20.0))
    moved = line_of(gate).gates[-1]
    assert gate.document.history.can_undo == "change gate G5"
    assert nearest_on(xy, (moved.x, moved.y))[1] < 1e-6
    assert np.hypot(moved.x - target[0], moved.y - target[1]) < 25.0
    gate.key(Qt.Key.Key_Delete)
    assert len(line_of(gate).gates) == 1


def test_escape_puts_a_dragged_gate_back(gate, qtbot):
    xy = line_of(gate).xy
    middle = (xy[1] + xy[2]) / 2
    gate.click(*middle)
    job = gate.document.job
    gate.drag(tuple(middle), tuple(xy[2]), release=False)
    gate.key(Qt.Key.Key_Escape)
    gate.release(*xy[2])
    qtbot.waitUntil(lambda: not gate.document.is_previewing)
    assert gate.document.job is job


def test_a_click_far_from_any_line_places_nothing(gate):
    job = gate.document.job
    gate.click(456_350, 5_952_400)
    assert gate.document.job is job
    assert "no fence line" in gate.tool.hint


def test_a_crossing_is_proposed_where_a_line_meets_water(hand):
    line = FenceLine("Flat", "general-mesh", np.array([[455_400.0, 5_951_500.0], [455_400.0, 5_952_000.0]]))
    hand.document.do(AddLine(line))
    hand.look_at(455_500, 5_951_750, 1.5)
    hand.take("tool_crossing")
    one = next(p for p in hand.tool.proposed if p.line == "Flat")
    assert (one.water, one.span_m) == ("Tallow Creek", 16.0 if one.is_measured else USUAL_M)
    hand.click(one.x, one.y)
    placed = line_of(hand, "Flat").crossings[0]
    assert (placed.x, placed.y) == pytest.approx((one.x, one.y))
    assert placed.span_m == one.span_m
    assert not [p for p in hand.tool.proposed if p.line == "Flat"]


def test_the_span_comes_from_the_banks():
    fence = FenceLine("A", "general-mesh", np.array([[0.0, 0.0], [200.0, 0.0]]))
    pond = Feature("Pond", "water", shapely.box(90.0, -50.0, 108.4, 50.0).wkt)
    (one,) = proposals([fence], [pond])
    assert (one.at_m, one.span_m, one.is_measured) == (pytest.approx(99.2), 23.0, True)


def test_two_drawn_banks_are_one_crossing():
    fence = FenceLine("A", "general-mesh", np.array([[0.0, 0.0], [200.0, 0.0]]))
    banks = Feature("Creek", "water", "MULTILINESTRING ((90 -50, 90 50), (102 -50, 102 50))")
    (one,) = proposals([fence], [banks])
    assert one.span_m == 16.0


def test_a_stated_width_counts():
    fence = FenceLine("A", "general-mesh", np.array([[0.0, 0.0], [200.0, 0.0]]))
    creek = Feature("Creek", "water", "LINESTRING (100 -50, 100 50)", (("width", "8.5"),))
    (one,) = proposals([fence], [creek])
    assert (one.span_m, one.is_measured) == (13.0, True)


def test_what_is_crossed_already_is_not_proposed_and_an_end_at_water_is_no_crossing():
    fence = FenceLine("A", "general-mesh", np.array([[0.0, 0.0], [200.0, 0.0]]),
                      crossings=(Crossing("X1", 96.0, 0.0, 20.0),))
    creek = Feature("Creek", "water", "LINESTRING (100 -50, 100 50)")
    assert proposals([fence], [creek]) == ()
    assert proposals([FenceLine("B", "general-mesh", np.array([[0.0, 0.0], [100.0, 0.0]]))], [creek]) == ()


def test_all_proposals_are_taken_in_one_step(hand):
    before = sum(len(line.crossings) for line in hand.document.job.lines)
    for number, x in enumerate((455_400.0, 455_900.0)):
        hand.document.do(AddLine(FenceLine(f"Flat {number}", "general-mesh",
                                           np.array([[x, 5_951_300.0], [x, 5_952_000.0]]))))
    hand.take("tool_crossing")
    count = len(hand.tool.proposed)
    assert count >= 2
    hand.key(Qt.Key.Key_A)
    assert sum(len(line.crossings) for line in hand.document.job.lines) == before + count
    assert hand.tool.proposed == ()
    hand.document.undo()
    assert sum(len(line.crossings) for line in hand.document.job.lines) == before


def test_water_marked_while_the_tool_is_in_hand_is_seen(hand):
    hand.take("tool_crossing")
    before = len(hand.tool.proposed)
    hand.document.do(AddFeature(Feature("Drain", "water", "LINESTRING (456200 5951900, 456400 5952400)")))
    assert len(hand.tool.proposed) == before + 1
