"""Every text can be read on what it stands on, in every theme, and what cannot be used looks so."""

from __future__ import annotations

from itertools import product

import pytest
from PySide6.QtCore import QSize
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QCheckBox, QPushButton, QStyle, QStyleOptionButton, QWidget
from pytestqt.qtbot import QtBot

from planner.ui.theme import ThemeName, palette_of, style_sheet, theme

THEMES: tuple[ThemeName, ...] = ("light", "dark", "contrast")
READABLE, SEEN = 4.5, 3.0
"""Least contrast of text, and of a sign. WCAG 2.2, success criteria 1.4.3 and 1.4.11."""


def luminance(colour: QColor) -> float:
    """Relative luminance. WCAG 2.2, definition of relative luminance."""
    parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
             for c in (colour.redF(), colour.greenF(), colour.blueF())]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: QColor | str, other: QColor | str) -> float:
    """Contrast ratio. WCAG 2.2, definition of contrast ratio."""
    light, dark = sorted((luminance(QColor(one)), luminance(QColor(other))), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def dressed(qtbot: QtBot, colours: ThemeName) -> QWidget:
    look = theme(colours)
    host = QWidget()
    host.setObjectName("page")
    host.setPalette(palette_of(look))
    host.setStyleSheet(style_sheet(look))
    host.resize(QSize(200, 60))
    qtbot.addWidget(host)
    return host


def test_black_on_white_has_the_contrast_that_the_source_gives() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == pytest.approx(1.0)


@pytest.mark.parametrize("colours", THEMES)
def test_every_text_colour_can_be_read_on_cards_and_on_the_ground(colours: ThemeName) -> None:
    look = theme(colours)
    for name, ground in product(("ink", "soft_ink", "wrong_ink"), ("card", "paper")):
        assert contrast(getattr(look, name), getattr(look, ground)) >= READABLE, (name, ground)
    for ink, ground in ((look.on_accent, look.accent), (look.accent, look.card), (look.ink, look.accent_soft),
                        (look.wrong_ink, look.accent_soft),
                        (look.way_ink, look.way), (look.way_soft, look.way), (look.way_ink, look.way_in_hand)):
        assert contrast(ink, ground) >= READABLE, (ink, ground)
    for ground in (look.way, look.way_in_hand):
        assert contrast(look.way_accent, ground) >= SEEN


@pytest.mark.parametrize("colours", THEMES)
def test_a_tick_and_its_box_are_seen(qtbot: QtBot, colours: ThemeName) -> None:
    host = dressed(qtbot, colours)
    box = QCheckBox("quote.pdf", host)
    box.setGeometry(10, 10, 150, 30)
    host.show()

    def shades() -> tuple[QColor, list[QColor]]:
        option = QStyleOptionButton()
        box.initStyleOption(option)
        rect = box.style().subElementRect(QStyle.SubElement.SE_CheckBoxIndicator, option, box)
        picture = box.grab().toImage()
        return picture.pixelColor(rect.left(), rect.center().y()), [
            picture.pixelColor(x, y) for x in range(rect.left() + 2, rect.right() - 1)
            for y in range(rect.top() + 2, rect.bottom() - 1)]

    ground = QColor(theme(colours).card)
    edge, inside = shades()
    assert contrast(edge, theme(colours).paper) >= SEEN
    assert {shade.name() for shade in inside} == {ground.name()}
    box.setChecked(True)
    _, inside = shades()
    assert max(contrast(shade, ground) for shade in inside) >= READABLE
    host.hide()


@pytest.mark.parametrize("kind", ["", "main", "quiet"])
@pytest.mark.parametrize("colours", THEMES)
def test_a_button_that_cannot_be_used_has_no_accent(qtbot: QtBot, colours: ThemeName, kind: str) -> None:
    host = dressed(qtbot, colours)
    made = QPushButton("Drop", host)
    made.setObjectName(kind)
    made.setEnabled(False)
    made.setGeometry(10, 10, 120, 30)
    host.show()
    accent, picture = QColor(theme(colours).accent), made.grab().toImage()
    assert made.palette().buttonText().color() == QColor(theme(colours).soft_ink)
    assert all(picture.pixelColor(x, y) != accent for x in range(picture.width()) for y in range(picture.height()))
    host.hide()
