from __future__ import annotations

import math

import numpy as np
import pytest

from planner.ui.document import Document, Selection
from planner.ui.measures import Measures
from planner.ui.panels.legs import legs_of, moved_corner, openings_of
from planner.ui.panels.line import LinePanel

BEARING, DISTANCE = 3, 4


def test_legs_are_those_of_the_coordinates(planned: Document) -> None:
    line = planned.plan.lines[1]
    legs = legs_of(line)
    (x0, y0), (x1, y1) = line.line.xy[:2].tolist()
    assert legs[0].bearing_deg == pytest.approx(math.degrees(math.atan2(x1 - x0, y1 - y0)) % 360)
    assert legs[0].ground_m * legs[0].scale == pytest.approx(math.hypot(x1 - x0, y1 - y0), abs=1e-6)
    assert [leg.has_next for leg in legs] == [True, True, True, False]


def test_a_closed_line_has_as_many_legs_as_corners(planned: Document) -> None:
    legs = legs_of(planned.plan.lines[0])
    assert len(legs) == 11
    assert all(leg.has_next for leg in legs)


def test_typing_the_same_leg_moves_nothing(planned: Document) -> None:
    line = planned.plan.lines[0]
    for leg in legs_of(line):
        edit = moved_corner(line, leg, bearing_deg=leg.bearing_deg, ground_m=leg.ground_m)
        after = edit.apply(planned.job).lines[0].xy
        assert np.abs(after - line.line.xy).max() < 1e-6


def test_it_shows_lengths_corners_gates_and_crossings(planned: Document, show) -> None:
    panel = show(LinePanel, planned)
    assert panel.facts.figure("Ground length") == "7 840.7 m"
    assert panel.facts.figure("Slope length").startswith("7 851.6 m ± 0.2")
    assert panel.corners.texts()[0][:2] == ["1", "corner"]
    assert len(panel.corners.rows) == 11
    assert [row[0] for row in panel.openings.texts()] == ["X2", "G3", "G2", "X3", "G1"]
    assert panel.fence.currentData() == "general-mesh"


def test_a_bearing_typed_over_moves_the_next_corner_and_undo_brings_it_back(planned: Document, show) -> None:
    planned.select(Selection("Gully division"))
    panel = show(LinePanel, planned)
    before = planned.job.lines[1].xy.copy()
    leg = panel.corners.rows[0]
    assert panel.corners.rows_model.setData(panel.corners.rows_model.index(0, BEARING), "10 30")
    moved = planned.job.lines[1].xy
    turned = moved[1] - moved[0]
    assert math.degrees(math.atan2(turned[0], turned[1])) == pytest.approx(10.5)
    assert math.hypot(*turned) == pytest.approx(leg.ground_m * leg.scale)
    assert (moved[[0, 2, 3]] == before[[0, 2, 3]]).all()
    planned.wait_for_plan()
    assert panel.corners.texts()[0][BEARING] == "10.50°"
    planned.undo()
    assert (planned.job.lines[1].xy == before).all()


def test_a_distance_is_typed_in_any_unit(planned: Document, show) -> None:
    planned.select(Selection("Gully division"))
    panel = show(LinePanel, planned)
    panel.corners.rows_model.setData(panel.corners.rows_model.index(1, DISTANCE), "10 ch")
    planned.wait_for_plan()
    assert panel.corners.rows[1].ground_m == pytest.approx(201.168, abs=0.005)


@pytest.mark.parametrize(("column", "typed", "said"), [
    (BEARING, "over there", "is no bearing"), (DISTANCE, "0", "leg of 0 m is none"),
    (DISTANCE, "far", "is no length"), (DISTANCE, "-5", "leg of -5 m is none")])
def test_what_cannot_be_a_leg_is_refused_in_place(planned: Document, show, column: int, typed: str, said: str) -> None:
    panel = show(LinePanel, planned)
    job = planned.job
    assert not panel.corners.rows_model.setData(panel.corners.rows_model.index(2, column), typed)
    assert said in panel.corner_refusal.text
    assert panel.corner_refusal.isVisible()
    assert planned.job is job


def test_nothing_is_moved_by_a_plan_that_is_no_longer_the_jobs(planned: Document, show) -> None:
    panel = show(LinePanel, planned)
    panel.name.field.setText("Home")
    panel.name.field.editingFinished.emit()
    job = planned.job
    panel.corners.rows_model.setData(panel.corners.rows_model.index(2, DISTANCE), "500")
    assert "made anew" in panel.corner_refusal.text
    assert planned.job is job


def test_corners_are_selected_both_ways(planned: Document, show, qtbot) -> None:
    panel = show(LinePanel, planned)
    with qtbot.waitSignal(planned.cursor_moved) as caught:
        panel.corners.selectRow(2)
    assert planned.selection == Selection("Home block", corner=2)
    assert caught.args == ["Home block", planned.plan.lines[0].corners[2].chainage_m]
    planned.select(Selection("Home block", corner=5))
    assert panel.corners.key_in_hand == 5


def test_a_gate_is_moved_along_the_line_and_given_another_width(planned: Document, show) -> None:
    panel = show(LinePanel, planned)
    row = [r.name for r in panel.openings.rows].index("G3")
    model = panel.openings.rows_model
    assert model.setData(model.index(row, 2), "2900")
    planned.wait_for_plan()
    moved = next(r for r in openings_of(planned.plan.lines[0]) if r.name == "G3")
    assert moved.chainage_m == pytest.approx(2900.0, abs=0.01)
    row = [r.name for r in panel.openings.rows].index("G3")
    assert model.setData(model.index(row, 3), "4.2")
    assert planned.job.lines[0].gates[2].width_m == pytest.approx(4.2)


@pytest.mark.parametrize(("column", "typed", "said"), [
    (0, "G2", "already a gate or crossing"), (2, "99999", "is not on the line"), (3, "0", "is no width of a gate")])
def test_a_gate_that_cannot_be_is_refused(planned: Document, show, column: int, typed: str, said: str) -> None:
    panel = show(LinePanel, planned)
    row = [r.name for r in panel.openings.rows].index("G3")
    assert not panel.openings.rows_model.setData(panel.openings.rows_model.index(row, column), typed)
    assert said in panel.opening_refusal.text


def test_a_gate_is_selected_both_ways_and_removed(planned: Document, show) -> None:
    panel = show(LinePanel, planned)
    assert not panel.remove_opening.isEnabled()
    planned.select(Selection("Home block", "A18"))
    assert panel.openings.key_in_hand == "G2"
    panel.remove_opening.click()
    assert [g.name for g in planned.job.lines[0].gates] == ["G1", "G3"]
    planned.undo()
    assert [g.name for g in planned.job.lines[0].gates] == ["G1", "G2", "G3"]


def test_the_fence_of_the_line_is_chosen(planned: Document, show) -> None:
    panel = show(LinePanel, planned)
    panel.fence.setCurrentIndex(panel.fence.findData("cattle-barbed-4"))
    panel.fence.activated.emit(panel.fence.currentIndex())
    assert planned.job.lines[0].fence == "cattle-barbed-4"
    planned.wait_for_plan()
    assert planned.plan.lines[0].fence.key == "cattle-barbed-4"


def test_the_line_in_hand_is_chosen_renamed_and_removed(planned: Document, show) -> None:
    panel = show(LinePanel, planned)
    panel.chooser.combo.setCurrentIndex(1)
    panel.chooser.combo.activated.emit(1)
    assert planned.selection.line == "Gully division"
    assert panel.name.field.text() == "Gully division"
    panel.name.field.setText("Home block")
    panel.name.field.editingFinished.emit()
    assert "already a line" in panel.name.refusal.text
    panel.name.field.setText("Creek fence")
    panel.name.field.editingFinished.emit()
    assert [line.name for line in planned.job.lines] == ["Home block", "Creek fence"]
    assert planned.selection.line == "Creek fence"
    planned.wait_for_plan()
    panel.remove.click()
    assert [line.name for line in planned.job.lines] == ["Home block"]


def test_units_are_those_chosen(planned: Document, show) -> None:
    panel = show(LinePanel, planned)
    panel.set_measures(Measures("chains", "dms"))
    assert panel.facts.figure("Ground length") == "389.758 ch"
    assert panel.corners.texts()[0][BEARING] == "358°04′27″"


def test_an_empty_job_says_what_to_do(document: Document, show) -> None:
    panel = show(LinePanel, document)
    assert panel.nothing.isVisible()
    assert not panel.corners_card.isVisible()


def test_the_side_of_the_wires_is_chosen_for_the_line(planned: Document, show) -> None:
    panel = show(LinePanel, planned)
    name = panel.line.line.name
    assert panel.side.currentData() == ""
    panel.side.setCurrentIndex(panel.side.findData("right"))
    panel.side.activated.emit(panel.side.currentIndex())
    assert next(line for line in planned.job.lines if line.name == name).wires_on == "right"


def _type(table, row: int, title: str, text: str) -> None:
    column = next(k for k, c in enumerate(table.rows_model.columns) if c.title == title)
    table.rows_model.setData(table.rows_model.index(row, column), text)


def test_ground_is_typed_along_the_line_and_undone(planned: Document, show) -> None:
    panel = show(LinePanel, planned)
    name = panel.line.line.name

    def typed() -> list[tuple[float, float, str]]:
        line = next(line for line in planned.job.lines if line.name == name)
        return [(one.from_m, one.to_m, one.ground) for one in line.stretches]

    before = typed()
    panel.ground.add_stretch.click()
    planned.wait_for_plan()
    row = len(panel.ground.table.rows) - 1
    _type(panel.ground.table, row, "to", "120")
    planned.wait_for_plan()
    _type(panel.ground.table, row, "ground", "soft")
    planned.wait_for_plan()
    assert typed() == [*before, (0.0, 120.0, "soft")]
    _type(panel.ground.table, row, "to", "-5")
    assert "is no stretch of this line" in panel.ground.refusal.text
    panel.ground.table.choose(row)
    panel.ground.drop.click()
    planned.wait_for_plan()
    assert typed() == before
    planned.undo()
    assert typed() == [*before, (0.0, 120.0, "soft")]


def test_depth_of_a_crossing_is_typed_and_left_to_the_profile(planned: Document, show) -> None:
    panel = show(LinePanel, planned)
    row = next(k for k, one in enumerate(panel.openings.rows) if one.kind == "crossing")
    name = panel.openings.rows[row].name

    def depth() -> float | None:
        return next(c.depth_m for line in planned.job.lines for c in line.crossings if c.name == name)

    _type(panel.openings, row, "depth", "2.6")
    planned.wait_for_plan()
    assert depth() == 2.6
    _type(panel.openings, row, "depth", "")
    planned.wait_for_plan()
    assert depth() is None
    _type(panel.openings, row, "depth", "400")
    assert "is no depth of a crossing" in panel.opening_refusal.text
