"""The table of actions: complete, without clashes, and everything derived from it."""

from __future__ import annotations

from collections import Counter

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QMenu

from planner.ui.actions import ACTIONS, MENUS, keys_of, tip_of, tools
from planner.ui.main_window import MainWindow
from planner.ui.window_actions import deeds


def test_no_two_actions_share_an_id_or_a_key() -> None:
    keys = Counter(QKeySequence(key).toString() for row in ACTIONS for key in keys_of(row))
    assert max(keys.values()) == 1
    assert max(Counter(row.id for row in ACTIONS).values()) == 1
    assert all(not QKeySequence(key).isEmpty() for row in ACTIONS for key in keys_of(row))


def test_every_row_says_what_it_does() -> None:
    for row in ACTIONS:
        assert row.tip.endswith((".", "?"))
        assert tip_of(row).startswith(row.tip)
        assert row.menu in MENUS


def test_every_action_does_something(window: MainWindow) -> None:
    assert set(deeds(window)) == {row.id for row in ACTIONS}


def test_the_menu_holds_every_action(window: MainWindow) -> None:
    shown = [action.objectName() for part in window.head.menu.findChildren(QMenu) for action in part.actions()
             if action.objectName()]
    assert Counter(shown) == Counter(row.id for row in ACTIONS)


def test_the_rail_holds_every_tool_with_its_key(sample_window: MainWindow) -> None:
    assert sample_window.work is not None
    assert [button.text() for button in sample_window.work.rail.buttons] == [row.rail for row in tools()]
    assert all(len(keys_of(row)) == 1 and len(keys_of(row)[0]) == 1 for row in tools())


def test_what_needs_a_job_waits_for_one(window: MainWindow) -> None:
    for row in ACTIONS:
        assert window.actions_table[row.id].isEnabled() == (row.needs == "nothing")
