"""What each action of the table does in the window."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog, QInputDialog

from planner.ui.actions import tools
from planner.ui.way_state import STEPS, StepKey

if TYPE_CHECKING:
    from planner.ui.main_window import MainWindow
    from planner.ui.map_link import MapLink

_THEMES = ("light", "dark", "contrast")
_IMAGES = "Images (*.tif *.tiff *.jp2 *.png *.jpg *.jpeg *.vrt);;Everything (*)"


def deeds(window: MainWindow) -> Mapping[str, Callable[[], object]]:
    """Action id to what it does; one for each row of the table.

    Args:
        window: The window.
    """
    found: dict[str, Callable[[], object]] = {
        "new": lambda: window.desk.open_blank(),
        "open": lambda: window.desk.choose_and_open(),
        "sample": lambda: window.desk.open_sample(),
        "import": lambda: window.desk.choose_and_import(),
        "save": lambda: window.desk.save(),
        "save_as": lambda: window.desk.save_as(),
        "rename": lambda: _rename(window),
        "settings": lambda: _settings(window),
        "terms": lambda: _terms(window),
        "options": lambda: _options(window),
        "before": lambda: _before(window),
        "records": lambda: _records(window),
        "close_job": lambda: window.desk.close_job(),
        "quit": lambda: window.close(),
        "undo": lambda: window.document.undo(),
        "redo": lambda: window.document.redo(),
        "remove_line": lambda: _remove_line(window),
        "look_all": lambda: _on_map(window, lambda link: link.show_all()),
        "look_line": lambda: _on_map(window, lambda link: link.show_line()),
        "zoom_in": lambda: _zoom(window, 1.5),
        "zoom_out": lambda: _zoom(window, 1.0 / 1.5),
        "backdrop": lambda: _on_map(window, lambda link: link.show_relief(not link.shows_relief)),
        "backdrop_image": lambda: _on_map(window, lambda link: _lay_image(window, link)),
        "backdrop_tiles": lambda: _on_map(window, lambda link: _lay_tiles(window, link)),
        "backdrop_none": lambda: _on_map(window, lambda link: link.under.clear()),
        "theme": lambda: _next_theme(window),
        "text_larger": lambda: _text(window, +10),
        "text_smaller": lambda: _text(window, -10),
        "next_area": lambda: window.go_round(+1),
        "last_area": lambda: window.go_round(-1),
        "guide": lambda: _guide(window),
        "shortcuts": lambda: _shortcuts(window),
        "messages": lambda: _messages(window),
        "about": lambda: _about(window),
        "tool_none": lambda: _tool(window, ""),
    }
    for row in tools():
        found[row.id] = partial(_tool, window, row.id)
    for step in STEPS:
        found[f"step_{step.key}"] = partial(_step, window, step.key)
    return found


def _on_map(window: MainWindow, do: Callable[[MapLink], object]) -> None:
    if window.work is not None:
        do(window.work.map)


def _lay_image(window: MainWindow, link: MapLink) -> None:
    name, _ = QFileDialog.getOpenFileName(window, "Lay an image under the map", "", _IMAGES)
    if name:
        link.under.lay("image", Path(name), window.messages.done)


def _lay_tiles(window: MainWindow, link: MapLink) -> None:
    name = QFileDialog.getExistingDirectory(window, "Folder of map tiles (zoom/column/row.png)", "")
    if name:
        link.under.lay("tiles", Path(name), window.messages.done)


def _tool(window: MainWindow, name: str) -> None:
    if window.work is not None:
        window.work.take_tool(name)


def _step(window: MainWindow, key: StepKey) -> None:
    window.take_step(key)


def _rename(window: MainWindow) -> None:
    from planner.job.edits import RenameJob

    name, ok = QInputDialog.getText(window, "Rename the job", "Name on the sheets:", text=window.document.job.name)
    if ok and name.strip():
        window.document.do(RenameJob(name.strip()))


def _remove_line(window: MainWindow) -> None:
    from planner.job.edits import RemoveLine

    line = window.document.selection.line or (window.document.job.lines[0].name if window.document.job.lines else "")
    if line and window.document.do(RemoveLine(line)):
        window.messages.done(f"Removed {line}; undo brings it back")


def _zoom(window: MainWindow, factor: float) -> None:
    if window.work is not None:
        canvas = window.work.canvas
        canvas.set_view(canvas.view.zoom_at(factor, canvas.width() / 2.0, canvas.height() / 2.0))


def _next_theme(window: MainWindow) -> None:
    now = window.preferences.text("theme")
    window.preferences.choose("theme", _THEMES[(_THEMES.index(now) + 1) % len(_THEMES)])


def _text(window: MainWindow, percent: int) -> None:
    now = window.preferences.number("text_percent")
    window.preferences.choose("text_percent", max(80, min(150, now + percent)))


def _settings(window: MainWindow) -> None:
    from planner.ui.dialogs.settings_dialog import SettingsDialog

    SettingsDialog.show_for(window)


def _terms(window: MainWindow) -> None:
    from planner.ui.dialogs.terms_sheet import TermsSheet

    TermsSheet.show_for(window)


def _before(window: MainWindow) -> None:
    from planner.ui.dialogs.before_sheet import BeforeSheet

    BeforeSheet.show_for(window)


def _records(window: MainWindow) -> None:
    from planner.ui.dialogs.records_sheet import RecordsSheet

    RecordsSheet.show_for(window)


def _options(window: MainWindow) -> None:
    from planner.ui.dialogs.options_sheet import OptionsSheet

    OptionsSheet.show_for(window)


def _guide(window: MainWindow) -> None:
    from planner.ui.dialogs.guide import Guide

    Guide.show_for(window)


def _shortcuts(window: MainWindow) -> None:
    from planner.ui.dialogs.shortcut_sheet import ShortcutSheet

    ShortcutSheet.show_for(window)


def _messages(window: MainWindow) -> None:
    from planner.ui.dialogs.message_log import MessageLog

    MessageLog.show_for(window)


def _about(window: MainWindow) -> None:
    from planner.ui.dialogs.about import About

    About.show_for(window)
