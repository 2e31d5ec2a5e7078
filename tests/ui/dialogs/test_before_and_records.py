"""Before the first post, and the work since it began, in the window: typed, issued, undone."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from window_steps import settle

from planner.surroundings.before_start import ISSUED
from planner.surroundings.clearances import Clearance
from planner.ui.dialogs.before_sheet import OWN, BeforeSheet
from planner.ui.dialogs.records_sheet import RecordsSheet
from planner.ui.main_window import MainWindow
from planner.ui.panels.table import RowTable
from tests.command_line import write_lines

LATER = date.today() + timedelta(days=60)


@pytest.fixture
def before(sample_window: MainWindow) -> BeforeSheet:
    sample_window.actions_table["before"].trigger()
    sheet = sample_window.findChild(BeforeSheet)
    assert isinstance(sheet, BeforeSheet)
    return sheet


@pytest.fixture
def records(sample_window: MainWindow) -> RecordsSheet:
    sample_window.actions_table["records"].trigger()
    sheet = sample_window.findChild(RecordsSheet)
    assert isinstance(sheet, RecordsSheet)
    return sheet


def _type(table: RowTable, row: int, title: str, text: str) -> None:
    """What the delegate does once a person typed into a cell."""
    column = next(k for k, c in enumerate(table.rows_model.columns) if c.title == title)
    table.rows_model.setData(table.rows_model.index(row, column), text, Qt.ItemDataRole.EditRole)


def test_everything_settled_is_issued_and_withdrawn(before: BeforeSheet, sample_window: MainWindow,
                                                   qtbot: QtBot) -> None:
    document = sample_window.document
    assert before.standing.title.text() == "Not issued for build"
    assert not before.issue.isEnabled()
    for row in range(len(before.list.rows)):
        _type(before.list, row, "settled on", date.today().isoformat())
        _type(before.list, row, "holds until", LATER.isoformat())
    settle(sample_window, qtbot)
    assert {item.state for item in before.list.rows} == {"settled"}
    assert before.issue.isEnabled()
    before.issue.click()
    assert "gives a name" in before.refusal.text
    before.who.setText("J. Doe")
    before.issue.click()
    settle(sample_window, qtbot)
    assert before.standing.title.text() == f"Issued for build on {date.today()} by J. Doe"
    before.withdraw.click()
    settle(sample_window, qtbot)
    assert before.standing.title.text() == "Not issued for build"
    assert all(clearance.kind != ISSUED for clearance in document.job.clearances)
    document.undo()
    settle(sample_window, qtbot)
    assert document.plan is not None
    assert document.plan.issued is not None


def test_what_cannot_be_is_said_and_nothing_changes(before: BeforeSheet, sample_window: MainWindow,
                                                        qtbot: QtBot) -> None:
    job = sample_window.document.job
    _type(before.list, 0, "settled on", "yesterday")
    assert "'yesterday' is no date" in before.refusal.text
    assert sample_window.document.job is job
    _type(before.list, 0, "settled on", "2026-03-01")
    settle(sample_window, qtbot)
    _type(before.list, 0, "holds until", "2026-02-01")
    assert "2026-02-01 is before 2026-03-01" in before.refusal.text


def test_one_in_hand_is_settled_today_and_taken_back(before: BeforeSheet, sample_window: MainWindow,
                                                        qtbot: QtBot) -> None:
    before.list.choose(("services", ""))
    assert not before.back.isEnabled()
    before.today.click()
    settle(sample_window, qtbot)
    assert Clearance("services", settled=date.today()) in sample_window.document.job.clearances
    before.list.choose(("services", ""))
    assert before.back.isEnabled()
    before.list.selectRow(1)
    assert not before.back.isEnabled()
    before.list.selectRow(0)
    before.back.click()
    settle(sample_window, qtbot)
    assert sample_window.document.job.clearances == ()
    assert not before.back.isEnabled()


def test_one_more_thing_and_why_another_is_not_needed(before: BeforeSheet, sample_window: MainWindow,
                                                        qtbot: QtBot) -> None:
    before.kind.setCurrentIndex(before.kind.findData(OWN))
    before.about.setText("shearing over")
    before.add.click()
    settle(sample_window, qtbot)
    row = [item.kind for item in before.list.rows].index("shearing over")
    assert before.list.rows[row].state == "open"
    _type(before.list, row, "not needed because", "sheep are sold")
    settle(sample_window, qtbot)
    assert before.list.rows[row].state == "not needed"


def test_progress_is_typed_by_section(records: RecordsSheet, sample_window: MainWindow,
                                                        qtbot: QtBot) -> None:
    _type(records.progress, 0, "posts %", "40")
    settle(sample_window, qtbot)
    (made,) = sample_window.document.job.records.progress
    assert (made.section, made.component, made.share) == (records.progress.rows[0].section, "posts", 0.4)
    _type(records.progress, 0, "posts %", "140")
    assert "'140' is not a number from 0 to 100" in records.refusal.text
    _type(records.progress, 0, "posts %", "60")
    settle(sample_window, qtbot)
    assert [p.share for p in sample_window.document.job.records.progress] == [0.6], "one a day"


def test_a_line_is_finished_and_becomes_an_asset(records: RecordsSheet, sample_window: MainWindow,
                                                        qtbot: QtBot) -> None:
    row = records.progress.rows[0]
    records.progress.choose((row.line, row.section))
    records.finish.click()
    settle(sample_window, qtbot)
    assert [asset.name for asset in records.assets.rows] == [row.line]
    assert records.assets.rows[0].cost is not None, "the sample is fully priced"
    _type(records.assets, 0, "cost new", "9000")
    _type(records.assets, 0, "life", "30")
    settle(sample_window, qtbot)
    (built,) = sample_window.document.job.records.built
    assert (built.cost, built.life_years) == (Decimal(9000), 30.0)


def test_inspections_and_losses_are_made_filled_in_and_dropped(records: RecordsSheet,
                                                               sample_window: MainWindow, qtbot: QtBot) -> None:
    document = sample_window.document
    records.new_inspection.click()
    settle(sample_window, qtbot)
    _type(records.inspections, 0, "found", "top wire slack")
    _type(records.inspections, 0, "kV", "4.2")
    _type(records.inspections, 0, "done", "yes")
    settle(sample_window, qtbot)
    (made,) = document.job.records.inspections
    assert (made.found, made.far_end_kv, made.done) == ("top wire slack", 4.2, True)
    records.new_loss.click()
    settle(sample_window, qtbot)
    _type(records.losses, 0, "cause", "flood")
    _type(records.losses, 0, "to", "-5")
    assert records.refusal.text, "it would end before it begins"
    _type(records.losses, 0, "to", "60")
    settle(sample_window, qtbot)
    (lost,) = document.job.records.losses
    assert (lost.cause, lost.to_m) == ("flood", 60.0)
    for button, table in ((records.drop_inspection, records.inspections), (records.drop_loss, records.losses)):
        table.choose(0)
        button.click()
        settle(sample_window, qtbot)
    assert (document.job.records.inspections, document.job.records.losses) == ((), ())


def test_a_track_of_what_was_built_is_brought_in(records: RecordsSheet, sample_window: MainWindow, qtbot: QtBot,
                                                 tmp_path) -> None:
    line = sample_window.document.job.lines[0]
    track = write_lines(tmp_path / "built.geojson", {"walk": (line.xy[:4, :2] - (500_000.0, 6_000_000.0)).tolist()})
    records.bring_in([track])
    qtbot.waitUntil(lambda: bool(sample_window.document.job.records.as_built), timeout=10_000)
    settle(sample_window, qtbot)
    (found,) = records.measured.rows
    assert found.line == line.name
    assert found.greatest_off_m == pytest.approx(0.0, abs=1e-3)
    records.measured.choose((found.name, found.line, found.from_m))
    records.drop_measured.click()
    assert sample_window.document.job.records.as_built == ()


def test_a_file_that_is_none_is_said(records: RecordsSheet, qtbot: QtBot, tmp_path) -> None:
    records.bring_in([tmp_path / "nothing.gpx"])
    qtbot.waitUntil(lambda: "nothing.gpx" in records.refusal.text, timeout=10_000)
