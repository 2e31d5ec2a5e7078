from __future__ import annotations

from itertools import combinations
from typing import get_args

import numpy as np
import pytest
from canvas_pictures import as_array
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter

from planner.render.fonts import FILES, load_fonts
from planner.render.symbols import SYMBOL_OF_JOIN, SYMBOL_OF_PEG, SYMBOL_OF_POST, SYMBOLS, draw_symbol, legend
from planner.sections.posts import PostKind
from planner.shipped import resources

WANTED = ("end", "corner", "gate", "junction", "crossing", "rise", "dip", "deviation", "line post", "mid-run join",
          "roll join", "mid-run join at a roll end", "sight peg", "control mark", "water", "trees", "rock",
          "service", "existing fence", "trough", "yard", "energiser", "photo point", "protected")


def drawn(name: str, size: float, rotation: float = 0.0) -> np.ndarray:
    image = QImage(80, 80, QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    draw_symbol(painter, name, QPointF(40, 40), size_px=size, ink="#000000", ground="#ffffff", rotation_deg=rotation)
    painter.end()
    return as_array(image)[:, :, 0] < 128


def test_every_symbol_is_there() -> None:
    assert tuple(SYMBOLS) == WANTED


@pytest.mark.parametrize("size", [14.0, 28.0])
def test_all_are_told_apart_in_black_and_white(qapp, size: float) -> None:
    shapes = {name: drawn(name, size) for name in SYMBOLS}
    for one, other in combinations(SYMBOLS, 2):
        either = (shapes[one] | shapes[other]).sum()
        assert (shapes[one] ^ shapes[other]).sum() > 0.12 * either, f"{one} looks like {other}"


@pytest.mark.parametrize("name", WANTED)
def test_each_fills_its_box_about_its_middle(qapp, name: str) -> None:
    rows, columns = np.nonzero(drawn(name, 40.0))
    assert 20 <= max(np.ptp(rows), np.ptp(columns)) <= 46
    assert 14 <= rows.mean() <= 66
    assert columns.min() >= 15
    assert columns.max() <= 65


def test_sizes_are_kept_legible(qapp) -> None:
    np.testing.assert_array_equal(drawn("end", 0.5), drawn("end", 6.0))
    np.testing.assert_array_equal(drawn("end", 500.0), drawn("end", 64.0))


def test_turning_turns(qapp) -> None:
    assert (drawn("rise", 30.0) ^ drawn("rise", 30.0, 180.0)).any()


def test_kinds_of_the_plan_all_have_a_symbol() -> None:
    assert set(SYMBOL_OF_POST) == set(get_args(PostKind))
    assert set(SYMBOL_OF_JOIN) == {"mid-run", "roll", "both"}
    assert set(SYMBOL_OF_PEG) == {*get_args(PostKind), "join", "sight"}
    assert {*SYMBOL_OF_POST.values(), *SYMBOL_OF_JOIN.values(), *SYMBOL_OF_PEG.values()} <= set(SYMBOLS)


def test_legend_keeps_the_order_of_the_table() -> None:
    assert [symbol.name for symbol in legend({"dip", "end", "roll join"})] == ["end", "dip", "roll join"]
    assert [symbol.name for symbol in legend()] == list(SYMBOLS)
    assert len({symbol.meaning for symbol in legend()}) == len(SYMBOLS)


def test_figures_of_the_font_have_one_width(qapp, qtbot) -> None:
    from PySide6.QtGui import QFont

    font = QFont(load_fonts(), 20)
    assert len({QFontMetricsF(font).horizontalAdvance(digit) for digit in "0123456789"}) == 1
    assert load_fonts() == load_fonts() == "Source Sans Pro"


def test_font_comes_with_its_licence() -> None:
    folder = resources() / "fonts"
    assert all((folder / name).is_file() for name in FILES)
    assert "SIL Open Font License, Version 1.1" in (folder / "SourceSansPro-OFL.txt").read_text(encoding="utf-8")
