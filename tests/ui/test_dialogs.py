"""Sheets beside the work: settings, keys, guide, about, messages, the working grid, the question about changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QSpinBox
from pytestqt.qtbot import QtBot
from window_steps import settle

from planner.settings import Settings
from planner.ui.actions import ACTIONS, keys_of
from planner.ui.dialogs.about import About, about_page
from planner.ui.dialogs.grid_dialog import GridDialog
from planner.ui.dialogs.guide import HOW, Guide
from planner.ui.dialogs.message_log import MessageLog
from planner.ui.dialogs.settings_dialog import SettingsDialog
from planner.ui.dialogs.shortcut_sheet import ShortcutSheet
from planner.ui.dialogs.unsaved_dialog import UnsavedDialog
from planner.ui.main_window import MainWindow
from planner.ui.preferences import PREFERENCES
from planner.ui.way_state import STEPS

NAMES = [field.name for field in fields(Settings)]


def test_the_settings_page_shows_both_tables_whole(sample_window: MainWindow) -> None:
    sheet = SettingsDialog.show_for(sample_window)
    assert set(sheet.choosers) == {row.name for row in PREFERENCES}
    assert sheet.table.rowCount() == len(NAMES)
    row = NAMES.index("corner_deg")
    assert [sheet.table.item(row, column).text() for column in range(5)] == [
        "turn above which a strain ends", "20", "deg", "0", "30"]
    assert "England FG2" in sheet.table.item(row, 5).text()
    assert SettingsDialog.show_for(sample_window) is sheet
    sheet.close()


def test_a_setting_is_changed_and_undone(sample_window: MainWindow, qtbot: QtBot) -> None:
    sheet = SettingsDialog.show_for(sample_window)
    cell = sheet.table.item(NAMES.index("corner_deg"), 1)
    cell.setText("25")
    assert sample_window.document.job.settings.corner_deg == 25.0
    assert cell.font().bold()
    sample_window.document.undo()
    assert cell.text() == "20"
    assert not cell.font().bold()
    sheet.close()
    settle(sample_window, qtbot)


@pytest.mark.parametrize("typed", ["31", "many", ""])
def test_a_setting_outside_its_limits_is_refused_in_place(sample_window: MainWindow, typed: str) -> None:
    sheet = SettingsDialog.show_for(sample_window)
    cell = sheet.table.item(NAMES.index("corner_deg"), 1)
    cell.setText(typed)
    assert sample_window.document.job.settings.corner_deg == 20.0
    assert cell.text() == "20"
    assert "corner_deg" in sheet.trouble.text()
    assert sheet.trouble.isVisible()
    sheet.close()


def test_preferences_are_chosen_in_the_sheet(sample_window: MainWindow, qtbot: QtBot) -> None:
    sheet = SettingsDialog.show_for(sample_window)
    units, size = sheet.choosers["units"], sheet.choosers["text_percent"]
    assert isinstance(units, QComboBox)
    assert isinstance(size, QSpinBox)
    units.setCurrentIndex(units.findData("imperial"))
    size.setValue(120)
    assert sample_window.measures.system == "imperial"
    assert sample_window.look.scale == pytest.approx(1.2)
    sheet.close()
    settle(sample_window, qtbot)


def test_settings_are_found_by_a_word(sample_window: MainWindow, qtbot: QtBot) -> None:
    sheet = SettingsDialog.show_for(sample_window)
    qtbot.keyClicks(sheet.search, "waste")
    shown = [name for row, name in enumerate(NAMES) if not sheet.table.isRowHidden(row)]
    assert shown == ["waste_wire", "waste_mesh", "waste_posts", "waste_fixings"]
    sheet.close()


def test_the_sheet_of_keys_has_every_key(window: MainWindow) -> None:
    sheet = ShortcutSheet.show_for(window)
    text = sheet.page.toPlainText()
    for row in ACTIONS:
        if keys_of(row):
            assert row.text in text
    sheet.close()


def test_the_guide_speaks_of_every_step_and_tool(window: MainWindow) -> None:
    assert set(HOW) == {step.key for step in STEPS}
    sheet = Guide.show_for(window)
    text = sheet.page.toPlainText()
    assert all(step.asks in text for step in STEPS)
    assert all(row.tip in text for row in ACTIONS if row.rail)
    assert "a leaning post" in text
    sheet.close()


@pytest.mark.parametrize(("action", "kind"), [("guide", Guide), ("shortcuts", ShortcutSheet), ("about", About),
                                              ("messages", MessageLog), ("settings", SettingsDialog)])
def test_each_sheet_opens_from_its_action_and_closes_on_escape(window: MainWindow, qtbot: QtBot, action: str,
                                                               kind: type) -> None:
    window.actions_table[action].trigger()
    sheet = window.findChild(kind)
    assert sheet.isVisible()
    qtbot.keyClick(sheet, Qt.Key.Key_Escape)
    assert not sheet.isVisible()


def test_about_names_what_the_program_is_built_on() -> None:
    page = about_page()
    assert "LGPL" in page
    assert "SIL Open Font License" in page
    assert "numpy" in page


def test_the_log_keeps_what_was_said(window: MainWindow) -> None:
    window.messages.done("Saved as hill.job.gpkg")
    sheet = MessageLog.show_for(window)
    window.messages.done("Job pack written")
    lines = sheet.page.toPlainText().splitlines()
    assert [line.partition("  ")[2] for line in lines] == ["Job pack written.", "Saved as hill.job.gpkg."]
    sheet.close()


def test_the_working_grid_is_said_back(qtbot: QtBot) -> None:
    dialog = GridDialog("EPSG:2193")
    qtbot.addWidget(dialog)
    assert dialog.words.text().startswith("NZGD2000")
    assert dialog.start.isEnabled()
    dialog.code.setText("EPSG:3857")
    qtbot.waitUntil(lambda: not dialog._later.isActive(), timeout=5_000)
    assert not dialog.start.isEnabled()
    dialog.code.setText("7855")
    qtbot.waitUntil(lambda: dialog.start.isEnabled(), timeout=5_000)
    assert dialog.crs == "EPSG:7855"


@pytest.mark.parametrize("answer", ["save", "leave", "stay"])
def test_the_question_about_changes(qtbot: QtBot, answer: str) -> None:
    dialog = UnsavedDialog("Hill farm", "closing the window")
    qtbot.addWidget(dialog)
    dialog.buttons[answer].click()
    assert dialog.answer == answer


def test_escape_means_stay(qtbot: QtBot) -> None:
    dialog = UnsavedDialog("Hill farm", "closing the window")
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    assert dialog.answer == "stay"


def test_messages_pass_or_stay(window: MainWindow, qtbot: QtBot, make_window: Callable[..., MainWindow]) -> None:
    strip, place = window.strip_of_messages, window.pages.geometry()
    window.messages.done("Saved")
    for number in range(5):
        window.messages.offer(f"Offer {number}", "", [])
    window.messages.offer("Offer 4", "", [])
    assert [message.what for message in strip.shown] == ["Offer 2", "Offer 3", "Offer 4"]
    assert strip.y() >= window.pages.y()
    assert strip.height() >= sum(card.height() for card in strip._cards)
    assert window.pages.geometry() == place, "a message moves what a person works on"
    strip.clear()
    assert not strip.isVisible()
    assert window.pages.geometry() == place
    assert len(window.messages.all) == 7
