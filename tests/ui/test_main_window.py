"""The window as a person uses it: mouse and keys."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from window_steps import settle, take_up

from planner.errors import FileTrouble
from planner.job.edits import MoveCorner, RenameJob
from planner.job.job import Job
from planner.ui.main_window import MainWindow
from planner.ui.way_state import STEPS


def test_opens_on_the_first_page(window: MainWindow) -> None:
    assert not window.has_job
    assert window.windowTitle() == "Strainwright[*]"
    assert [door.text() for door in window.first.doors] == [
        "Open the sample job", "Start from a file", "Start on a blank grid"]
    assert "advisory" in window.first.caution.text()
    assert not window.way.isEnabled()
    assert not window.actions_table["save"].isEnabled()
    assert window.actions_table["sample"].isEnabled()


def test_the_sample_door_opens_the_sample_job(window: MainWindow, qtbot: QtBot) -> None:
    qtbot.mouseClick(window.first.doors[0], Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: window.has_job, timeout=60_000)
    settle(window, qtbot)
    assert window.windowTitle() == "Sample farm[*]"
    assert window.document.plan is not None
    assert window.way.posts["sections"].state.figure == "34 strains"
    assert window.way.posts["survey"].state.state != "nothing"
    assert window.way.posts["jobpack"].state.state == "nothing"


def test_steps_are_taken_by_mouse_and_by_keys(sample_window: MainWindow, qtbot: QtBot) -> None:
    window = sample_window
    qtbot.mouseClick(window.way.posts["loads"], Qt.MouseButton.LeftButton)
    assert window.step == "loads"
    for number, step in enumerate(STEPS, 1):
        qtbot.keyClick(window, Qt.Key(Qt.Key.Key_0 + number), Qt.KeyboardModifier.AltModifier)
        assert window.step == step.key
        assert window.way.posts[step.key].isChecked()
        assert window.work is not None
        assert step.key in window.work.panels.pages
    window.way.posts["survey"].setFocus()
    qtbot.keyClick(window.way.posts["survey"], Qt.Key.Key_Space)
    assert window.step == "survey"


def test_undo_and_redo_carry_the_name_of_what_they_do(sample_window: MainWindow, qtbot: QtBot) -> None:
    window, table = sample_window, sample_window.actions_table
    assert not table["undo"].isEnabled()
    line = window.document.job.lines[0]
    window.document.do(MoveCorner(line.name, 2, float(line.xy[2, 0]) + 5.0, float(line.xy[2, 1])))
    assert table["undo"].text() == f"Undo: move a corner of {line.name}"
    assert window.head.undo.accessibleName() == table["undo"].text()
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.job.lines[0] is line
    assert table["redo"].text() == f"Do again: move a corner of {line.name}"
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    assert window.document.job.lines[0] is not line
    settle(window, qtbot)


def test_f6_goes_round_the_parts_of_the_window(sample_window: MainWindow, qtbot: QtBot) -> None:
    window = sample_window
    window.activateWindow()
    window.way.posts[window.step].setFocus()
    seen = []
    for _ in window.areas():
        qtbot.keyClick(window, Qt.Key.Key_F6)
        focus = QApplication.focusWidget()
        seen.append(next(i for i, area in enumerate(window.areas()) if area is focus or area.isAncestorOf(focus)))
    assert seen == [1, 2, 3, 4, 0]
    qtbot.keyClick(window, Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    focus = QApplication.focusWidget()
    assert focus is window.areas()[4]


@pytest.mark.parametrize(("answer", "stays"), [("stay", True), ("leave", False), ("save", False)])
def test_closing_asks_about_changes(sample_window: MainWindow, tmp_path: Path, answer: str, stays: bool) -> None:
    window = sample_window
    asked: list[tuple[str, str]] = []
    window.desk.ask_unsaved = lambda name, what: asked.append((name, what)) or answer  # type: ignore[func-returns-value]
    window.document.path = tmp_path / "farm.job.gpkg"
    window.document.do(RenameJob("Hill farm"))
    assert window.isWindowModified()
    window.close()
    assert asked == [("Hill farm", "closing the window")]
    assert window.isVisible() is stays
    assert (tmp_path / "farm.job.gpkg").is_file() is (answer == "save")
    window.desk.ask_unsaved = lambda name, what: "leave"


def test_a_saved_job_is_closed_without_a_question(sample_window: MainWindow) -> None:
    sample_window.desk.ask_unsaved = lambda name, what: pytest.fail("asked")
    assert sample_window.close()


def test_save_says_so_once_the_file_stands(sample_window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    window = sample_window
    window.document.path = target = tmp_path / "farm.job.gpkg"
    window.document.do(RenameJob("Hill farm"))
    assert window.foot.saved.text() == "changed, not saved"
    with qtbot.waitSignal(window.desk.saving.saved, timeout=30_000):
        qtbot.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert target.is_file()
    assert window.document.is_saved
    assert window.foot.saved.text().startswith("saved")
    assert window.messages.all[-1].what == "Saved as farm.job.gpkg"
    assert window.preferences.recent() == [target.resolve()]


def test_a_saved_job_opens_again_as_the_same_job(sample_window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    window = sample_window
    before = window.document.job
    assert window.desk.saving.save_now(tmp_path / "farm")
    with qtbot.waitSignal(window.desk.opened, timeout=60_000):
        window.desk.open(tmp_path / "farm.job.gpkg")
    after = window.document.job
    assert (after.name, after.lines, after.settings, after.features) == (
        before.name, before.lines, before.settings, before.features)
    settle(window, qtbot)


def test_a_file_that_is_no_job_is_told_in_the_strip(window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    (tmp_path / "broken.job.gpkg").write_bytes(b"no job")
    with qtbot.waitSignal(window.desk.opening_failed, timeout=30_000):
        window.desk.open(tmp_path / "broken.job.gpkg")
    assert not window.has_job
    assert window.strip_of_messages.isVisible()
    shown = window.strip_of_messages.shown[0]
    assert shown.kind == "trouble"
    assert str(tmp_path) in shown.where


def test_a_dropped_job_is_opened(window: MainWindow, tmp_path: Path, sample: Job, qtbot: QtBot) -> None:
    from planner.files.job_file import write_job

    write_job(tmp_path / "farm.job.gpkg", sample)
    files = QMimeData()
    files.setUrls([QUrl.fromLocalFile(str(tmp_path / "farm.job.gpkg"))])
    with qtbot.waitSignal(window.desk.opened, timeout=60_000):
        window.dropEvent(QDropEvent(QPointF(50, 50), Qt.DropAction.CopyAction, files, Qt.MouseButton.LeftButton,
                                    Qt.KeyboardModifier.NoModifier))
    assert window.has_job
    settle(window, qtbot)


def test_a_blank_grid_gives_an_empty_job(window: MainWindow, qtbot: QtBot) -> None:
    window.desk.opening.open_blank("EPSG:2193")
    assert window.has_job
    assert window.document.job.crs == "EPSG:2193"
    assert window.document.is_saved
    assert window.foot.grid.text().startswith("NZGD2000")
    assert window.actions_table["tool_draw"].isEnabled()
    assert not window.actions_table["tool_gate"].isEnabled()


def test_a_line_is_on_the_map_before_it_has_a_plan(window: MainWindow, sample: Job, qtbot: QtBot) -> None:
    window.document.start(sample)
    window.show_work()
    roles = {layer.role for layer in window.work.canvas.layers}
    assert "fence" in roles
    settle(window, qtbot)
    assert "fence" not in {layer.role for layer in window.work.canvas.layers}


def test_closing_the_job_goes_back_to_the_first_page(sample_window: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(sample_window, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
    assert not sample_window.has_job
    assert sample_window.pages.currentWidget() is sample_window.first


def test_trouble_in_the_work_is_told_and_a_bug_is_reported(sample_window: MainWindow) -> None:
    window = sample_window
    window.take_trouble(FileTrouble("it is gone", where="hill.tif", remedy="put it back"))
    assert window.strip_of_messages.shown[-1].what == "it is gone"
    window.take_trouble(AttributeError("no such thing"))
    assert window.strip_of_messages.shown[-1].kind == "bug"
    assert window.isVisible()


def test_sizes_are_kept_for_the_next_run(make_window: Callable[..., MainWindow], sample: Job, qtbot: QtBot) -> None:
    first = make_window(1300, 820)
    take_up(first, sample, qtbot)
    assert first.work is not None
    first.work._whole.setSizes([700, 500])
    before = first.work._whole.sizes()
    first.close()
    second = make_window(1300, 820)
    take_up(second, sample, qtbot)
    assert second.work is not None
    assert second.work._whole.sizes() == pytest.approx(before, abs=4)


def test_a_tool_is_taken_and_put_down_by_its_key(sample_window: MainWindow, qtbot: QtBot) -> None:
    window = sample_window
    assert window.work is not None
    qtbot.keyClick(window, Qt.Key.Key_D)
    assert window.work.tools.in_hand == "tool_draw"
    assert window.actions_table["tool_draw"].isChecked()
    assert window.foot.hint.text() == window.work.tools.tool.hint
    qtbot.keyClick(window.work.canvas, Qt.Key.Key_Escape)
    assert window.work.tools.in_hand == ""
    assert not window.actions_table["tool_draw"].isChecked()
    assert window.foot.hint.text() == ""


def test_escape_puts_the_tool_down_from_wherever_the_keyboard_is(sample_window: MainWindow, qtbot: QtBot) -> None:
    window = sample_window
    assert window.work is not None
    qtbot.keyClick(window, Qt.Key.Key_G)
    window.way.posts["survey"].setFocus()
    assert window.focusWidget() is window.way.posts["survey"]
    assert window.work.tools.in_hand == "tool_gate"
    qtbot.keyClick(window.way.posts["survey"], Qt.Key.Key_Escape)
    assert window.work.tools.in_hand == ""


def test_a_job_that_is_closed_takes_its_tool_along(sample_window: MainWindow, sample: Job, qtbot: QtBot) -> None:
    """The next job starts with free hands."""
    window = sample_window
    assert window.work is not None
    qtbot.keyClick(window, Qt.Key.Key_G)
    assert window.work.tools.in_hand == "tool_gate"
    window.desk.close_job()
    assert not window.has_job
    take_up(window, sample, qtbot)
    assert window.work.tools.in_hand == ""
    assert not any(button.isChecked() for button in window.work.rail.buttons)


def test_a_finding_is_shown_on_the_map(sample_window: MainWindow, qtbot: QtBot) -> None:
    window = sample_window
    assert window.work is not None
    plan = window.document.plan
    assert plan is not None
    finding = next(f for f in plan.findings if f.place.chainage_m is not None and f.place.line)
    before = window.work.canvas.view.units_per_px
    window.work.map.show_finding(finding)
    line = next(p for p in plan.lines if p.line.name == finding.place.line)
    x, y = line.ground.place_at(finding.place.chainage_m)
    west, south, east, north = window.work.canvas.view.bounds
    assert west < float(x) < east
    assert south < float(y) < north
    assert window.work.canvas.view.units_per_px < before
    settle(window, qtbot)


def test_a_section_picked_on_the_map_is_in_hand_everywhere(sample_window: MainWindow, qtbot: QtBot) -> None:
    window = sample_window
    assert window.work is not None
    plan = window.document.plan
    assert plan is not None
    section = max((s for s in plan.lines[0].sections if not s.is_gate), key=lambda s: s.plan_length_m)
    x, y = plan.lines[0].ground.place_at(section.from_m + 0.37 * section.plan_length_m)
    canvas = window.work.canvas
    sx, sy = canvas.view.to_screen(float(x), float(y))
    qtbot.mouseMove(canvas, QPointF(sx, sy).toPoint())
    qtbot.mouseClick(canvas, Qt.MouseButton.LeftButton, pos=QPointF(sx, sy).toPoint())
    assert window.document.selection.section == section.id
    qtbot.waitUntil(lambda: window.foot.north.text().startswith("N 5"), timeout=3_000)
    assert "level" in window.foot.grid.text()


def test_a_click_on_the_strip_changes_nothing(sample_window: MainWindow, qtbot: QtBot) -> None:
    window = sample_window
    assert window.work is not None
    strip, before = window.work.strip, window.document.job
    for x in range(60, strip.width() - 20, 6):
        qtbot.mouseClick(strip, Qt.MouseButton.LeftButton, pos=QPointF(x, strip.height() / 2).toPoint())
    assert window.document.job is before


def test_the_job_pack_step_says_when_the_pack_of_this_very_job_was_written(sample_window: MainWindow, tmp_path: Path,
                                                                          qtbot: QtBot) -> None:
    window = sample_window
    assert window.work is not None
    window.take_step("jobpack")
    window.work.packed.emit(tmp_path)
    assert window.way.posts["jobpack"].state.figure.startswith("written ")
    window.document.do(RenameJob("Hill farm"))
    assert window.way.posts["jobpack"].state.state == "nothing"
    window.document.wait_for_plan()


def test_files_given_on_the_first_page_go_to_the_import_and_make_a_job(window: MainWindow, qtbot: QtBot,
                                                                       monkeypatch: pytest.MonkeyPatch) -> None:
    from planner.job.edits import TakeIn
    from planner.ui.dialogs.import_dialog import ImportDialog

    given: list[Path] = []

    def take_in(dialog: ImportDialog) -> int:
        given.extend(dialog.work.paths)
        dialog.done(0)
        window.document.do(TakeIn(replace(window.document.job, crs="EPSG:7855"), "walk.gpx"))
        return 1

    monkeypatch.setattr(ImportDialog, "exec", take_in)
    walk = Path(__file__).resolve().parents[2] / "sample_data" / "division-walk.gpx"
    window.desk.take_files([walk])
    assert given == [walk]
    assert window.has_job
    assert window.document.job.made_at
    assert not window.document.is_saved
    assert window.actions_table["undo"].text() == "Undo: import walk.gpx"
    settle(window, qtbot)
