from __future__ import annotations

from dataclasses import replace

import pytest

from planner.errors import OutOfRange
from planner.findings import Finding, Place
from planner.job.noticed import with_noticed
from planner.ui.document import Document, Selection
from planner.ui.panels.survey import SurveyPanel


def test_it_shows_what_was_read_and_how_well_it_is_known(planned: Document, show) -> None:
    panel = show(SurveyPanel, planned)
    assert panel.name.field.text() == "Sample farm"
    assert panel.facts.figure("Datum") == "GDA2020"
    assert panel.facts.figure("Grid") == "MGA zone 55"
    assert panel.lines.texts() == [["Home block", "survey ± 0.02", "11", "closed"],
                                   ["Gully division", "handheld ± 4.0", "4", "open"]]
    assert panel.points.figure("Surveyed points") == "18 18 with a level"
    assert panel.grounds.texts() == [["terrain.tif", "open"]]
    assert "Working grid GDA2020 / MGA zone 55." in panel.notes.text()
    assert "/" not in panel.more_notes.text().split("survey-points.csv")[0][-1:]


def test_a_better_accuracy_class_is_chosen_and_undone(planned: Document, show) -> None:
    panel = show(SurveyPanel, planned)
    assert panel.lines.rows_model.setData(panel.lines.rows_model.index(1, 1), "rtk")
    assert planned.job.lines[1].accuracy == "rtk"
    assert panel.lines.texts()[1][1] == "rtk ± 0.05"
    planned.undo()
    assert panel.lines.texts()[1][1] == "handheld ± 4.0"


def test_a_row_and_a_selection_made_elsewhere_are_one(planned: Document, show) -> None:
    panel = show(SurveyPanel, planned)
    panel.lines.selectRow(1)
    assert planned.selection.line == "Gully division"
    assert panel.line_words.text().startswith("From division-walk.gpx, row 1. Corners are known to ± 4.0 m, open")
    planned.select(Selection("Home block", "A3"))
    assert panel.lines.key_in_hand == "Home block"


def test_the_job_is_renamed_and_no_name_is_refused(planned: Document, show) -> None:
    panel = show(SurveyPanel, planned)
    panel.name.field.setText("Hill farm")
    panel.name.field.editingFinished.emit()
    assert planned.job.name == "Hill farm"
    with pytest.raises(OutOfRange, match="needs a name"):
        panel._rename("")


def test_a_file_that_is_gone_is_said(planned: Document, show) -> None:
    planned.start(replace(planned.job, grounds=("/nowhere/hills.tif",)))
    panel = show(SurveyPanel, planned)
    assert panel.grounds.texts() == [["hills.tif", "not found"]]
    assert "are kept in the job" in panel.ground_words.text()


def test_heights_of_a_walk_are_no_flat_plan(planned: Document, show) -> None:
    """Without terrain and surveyed levels it is told which walk they come from, and how many lines have none."""
    walked = replace(planned.job.levels["Home block"], names=("heights of the walk",))
    planned.start(replace(planned.job, grounds=(), points=(), levels={"Home block": walked}))
    panel = show(SurveyPanel, planned)
    assert panel.ground_words.text() == ("No terrain and no surveyed levels: taken from heights of the walk. "
                                         "1 line without a level is planned flat.")
    planned.start(replace(planned.job, levels={line.name: walked for line in planned.job.lines}))
    panel.refresh()
    assert panel.ground_words.text().endswith("taken from heights of the walk.")


def test_rows_that_were_left_out_stand_to_look_at_until_they_are_set_aside(planned: Document, show) -> None:
    row = Finding("read-01", "error", "line 3 has 'north' for its y; left out.", "Mend that row.",
                  Place(file="points.csv", row=3))
    planned.start(with_noticed(planned.job, [row]))
    planned.wait_for_plan()
    panel = show(SurveyPanel, planned)
    assert [shown.finding for shown in panel.findings.rows] == [row]
    assert row.message not in panel.notes.text() + panel.more_notes.text()
    panel.findings.waived.emit(row, "that row is the heading")
    planned.wait_for_plan()
    assert not panel.findings.rows
    assert [shown.finding.waived for shown in panel.findings.set_aside] == ["that row is the heading"]


def test_an_empty_job_says_what_to_do(document: Document, show, qtbot) -> None:
    panel = show(SurveyPanel, document)
    assert panel.no_lines.text().startswith("There is no line yet")
    assert panel.facts.figure("Datum") == "not chosen yet"
    assert "planned flat" in panel.ground_words.text()
    with qtbot.waitSignal(panel.import_wanted):
        panel.bring.click()
