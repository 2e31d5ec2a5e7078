from __future__ import annotations

from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from planner.ui.panels.combo import Combo
from planner.ui.theme import style_sheet, theme

LONG = "Sheep mesh with belly and top wire"


def test_a_choice_without_room_is_cut_short_with_dots(qtbot: QtBot) -> None:
    host = QWidget()
    host.setStyleSheet(style_sheet(theme("light")))
    qtbot.addWidget(host)
    combo = Combo("Fence", host)
    combo.set_theme(theme("light"))
    combo.show_choices([("sheep", LONG), ("one", "One")], "sheep")
    combo.setGeometry(0, 0, 400, 26)
    host.resize(420, 40)
    host.show()
    letters = combo.fontMetrics()
    assert combo.shown_text(letters.horizontalAdvance(LONG) + 4) == LONG
    shown = combo.shown_text(120)
    assert shown.endswith("…")
    assert LONG.startswith(shown[:-1])
    assert letters.horizontalAdvance(shown) <= 120
    combo.resize(150, 26)
    cut_short = combo.grab().toImage()
    combo.setItemText(0, f"{LONG} and very much more that is never seen")
    assert combo.grab().toImage() == cut_short
    host.hide()
