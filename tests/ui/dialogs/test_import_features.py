"""Features in the import: what lines, polygons and points are taken as, and which columns say their facts."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import shapely
from PySide6.QtCore import Qt

from planner.survey.feature_meanings import choice_of, number_of
from planner.ui.dialogs.import_dialog import ImportDialog
from planner.ui.dialogs.import_form import FACTS, POINTS, TROUBLES
from planner.ui.document import Document

EAST, NORTH = 147.0, -36.6


@pytest.fixture
def source(tmp_path: Path) -> Path:
    box = shapely.box(EAST, NORTH, EAST + 0.01, NORTH + 0.01)
    hole = shapely.box(EAST + 0.004, NORTH + 0.004, EAST + 0.006, NORTH + 0.006)
    rows = [(box.difference(hole), {"name": "Tor", "type": "rock", "class": "ledge"}),
            (shapely.Point(EAST, NORTH), {"name": "Gum", "type": "tree", "height": "high", "tall": "22"}),
            (shapely.Point(EAST, NORTH + 0.001), {"name": "P9", "type": "peg"}),
            (shapely.LineString([(EAST, NORTH), (EAST + 0.01, NORTH)]), {"name": "North", "type": "line"})]
    path = tmp_path / "around.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [
        {"type": "Feature", "properties": said, "geometry": shapely.geometry.mapping(shape)}
        for shape, said in rows]}), encoding="utf-8")
    return path


@pytest.fixture
def dialog(qapp: object, qtbot, source: Path):
    document = Document()
    made = ImportDialog(document, [source], "general-mesh")
    qtbot.addWidget(made)
    made.wait()
    yield made
    made.done(0)
    document.wait_for_plan()
    document.close()


def brought(dialog: ImportDialog):
    dialog.bring.click()
    dialog.wait()
    return dialog._document.job


def test_rows_are_guessed_and_come_in_whole(dialog: ImportDialog):
    assert "1 fence line, 2 things on the ground" in dialog.headline.text()
    assert [dialog.points.table.item(row, 0).text() for row in range(2)] == ["trees", "survey point"]
    job = brought(dialog)
    assert [line.name for line in job.lines] == ["North"]
    by_name = {feature.name: feature for feature in job.features}
    assert set(by_name) == {"Tor", "Gum"}
    assert choice_of(by_name["Tor"], "class") == "ledge"
    assert len(shapely.from_wkt(by_name["Tor"].wkt).interiors) == 1


def test_a_column_is_chosen_for_a_fact_and_what_does_not_fit_is_told(dialog: ImportDialog):
    assert not dialog.page_buttons[FACTS].isHidden()
    assert dialog.facts.boxes["trees", "height"].currentData() == "height"
    assert dialog.page_buttons[TROUBLES].text() == "To look at 1"
    box = dialog.facts.boxes["trees", "height"]
    box.setCurrentIndex(box.findData("tall"))
    box.activated.emit(box.currentIndex())
    assert dialog.page_buttons[TROUBLES].text() == "Notes"
    gum = next(feature for feature in brought(dialog).features if feature.name == "Gum")
    assert number_of(gum, "height") == 22.0
    assert gum.fact("height as read") == "high"


def test_points_are_taken_as_something_else(dialog: ImportDialog):
    dialog.page_buttons[POINTS].click()
    heads = [dialog.points.table.horizontalHeaderItem(column) for column in range(dialog.points.table.columnCount())]
    for column, head in enumerate(heads):
        cell = dialog.points.table.item(0, column)
        assert head is not None
        assert cell is not None
        right = Qt.AlignmentFlag.AlignRight
        assert bool(head.textAlignment() & right) == bool(cell.textAlignment() & right) == (column >= 3)
    dialog.points.table.selectRow(1)
    dialog.points.take_as("trough")
    dialog.points.table.selectRow(0)
    dialog.points.take_as("survey")
    assert [dialog.points.table.item(row, 0).text() for row in range(2)] == ["survey point", "trough"]
    assert [(f.name, f.meaning) for f in brought(dialog).features] == [("Tor", "ground"), ("P9", "trough")]


def test_points_left_out_are_named(dialog: ImportDialog):
    dialog.points.table.selectRow(0)
    dialog.points.take_as("none")
    job = brought(dialog)
    assert all(feature.name != "Gum" for feature in job.features)
    assert any("Left out on purpose: 'Gum'" in note for note in job.notes)
