from __future__ import annotations

from PySide6.QtGui import QImage
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
    fitting = [text for text in (f"{LONG[:n]}…" for n in range(1, len(LONG))) if combo_fits(combo, text)]
    assert any(drawn_as(combo, text) == cut_short for text in fitting)
    host.hide()


def combo_fits(combo: Combo, text: str) -> bool:
    """True when a text stands whole in the box as it is, with its arrow."""
    return combo.fontMetrics().horizontalAdvance(text) < combo.width() - 34


def drawn_as(combo: Combo, text: str) -> QImage:
    combo.setItemText(0, text)
    return combo.grab().toImage()
