"""Preferences: kept, checked, and acted on at once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot
from window_steps import settle

from planner.errors import BadSetting
from planner.ui.main_window import MainWindow
from planner.ui.preferences import PREFERENCES, Preferences


def again(tmp_path: Path) -> Preferences:
    return Preferences(QSettings(str(tmp_path / "likes.ini"), QSettings.Format.IniFormat))


def test_defaults_stand_in_the_table(preferences: Preferences) -> None:
    for row in PREFERENCES:
        assert preferences.value(row.name) == row.default
        assert row.meaning.endswith(".")


def test_what_is_chosen_is_kept(preferences: Preferences, tmp_path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(preferences.changed) as told:
        preferences.choose("units", "chains")
    assert told.args == ["units"]
    preferences.choose("text_percent", 150)
    preferences.flush()
    assert again(tmp_path).text("units") == "chains"
    assert again(tmp_path).number("text_percent") == 150
    assert again(tmp_path).measures().system == "chains"
    assert again(tmp_path).look().scale == 1.5


@pytest.mark.parametrize(("name", "value"), [("units", "cubits"), ("text_percent", 151), ("text_percent", 79),
                                             ("text_percent", "large")])
def test_what_cannot_be_is_refused(preferences: Preferences, name: str, value: str | int) -> None:
    with pytest.raises(BadSetting, match=r"cannot be chosen|is not a number from"):
        preferences.choose(name, value)


def test_an_unknown_name_is_refused(preferences: Preferences) -> None:
    with pytest.raises(BadSetting, match="there is no preference 'colour'"):
        preferences.value("colour")


@pytest.mark.parametrize("percent", [80, 150])
def test_limits_themselves_are_kept(preferences: Preferences, percent: int) -> None:
    preferences.choose("text_percent", percent)
    assert preferences.number("text_percent") == percent


def test_a_damaged_file_gives_defaults(tmp_path: Path) -> None:
    (tmp_path / "likes.ini").write_text("[preferences]\nunits=cubits\ntext_percent=900\n", encoding="utf-8")
    assert again(tmp_path).text("units") == "metric"
    assert again(tmp_path).number("text_percent") == 100


def test_recent_jobs_stand_in_order_once_each_while_they_are_there(preferences: Preferences, tmp_path: Path) -> None:
    paths = [tmp_path / f"{name}.job.gpkg" for name in ("a", "b", "c")]
    for path in paths:
        path.write_bytes(b"")
        preferences.remember_job(path)
    preferences.remember_job(paths[0])
    assert preferences.recent() == [p.resolve() for p in (paths[0], paths[2], paths[1])]
    paths[2].unlink()
    assert preferences.recent() == [p.resolve() for p in (paths[0], paths[1])]


def test_colours_and_units_change_at_once(sample_window: MainWindow, qtbot: QtBot) -> None:
    window = sample_window
    assert window.work is not None
    window.actions_table["theme"].trigger()
    assert window.look.name == "dark"
    assert window.work.canvas.theme.name == "dark"
    window.preferences.choose("units", "imperial")
    assert window.way.posts["line"].state.figure.endswith("mi")
    assert window.way.posts["loads"].state.figure.endswith("lbf pull")
    window.actions_table["text_larger"].trigger()
    assert window.look.scale == pytest.approx(1.1)
    settle(window, qtbot)


def test_the_next_run_wears_the_same_colours(make_window: Callable[..., MainWindow]) -> None:
    make_window(theme="contrast").close()
    assert make_window().look.name == "contrast"
