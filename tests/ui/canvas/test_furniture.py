from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from canvas_pictures import as_array
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QRect
from PySide6.QtGui import QColor, QImage, QPainter

from planner.ui.canvas.colours import LIGHT
from planner.ui.canvas.furniture import Furniture, GridLines, figure, round_below, scale_bar
from planner.ui.canvas.view import MapView


@given(st.floats(1e-3, 1e7))
def test_round_numbers_are_one_two_or_five_and_not_above(most: float) -> None:
    found = round_below(most)
    assert found <= most * (1 + 1e-9)
    assert found > most / 2.5 * (1 - 1e-9)
    assert f"{found:.0e}"[0] in "125"


@pytest.mark.parametrize(("units_per_px", "lengths", "text", "metres"), [
    (1.0, "metric", "100 m", 100.0), (10.0, "metric", "1 km", 1000.0), (0.004, "metric", "50 cm", 0.5),
    (1.0, "imperial", "200 ft", 200 * 0.3048), (40.0, "imperial", "2 mi", 2 * 1609.344),
    (1.0, "chains", "5 ch", 5 * 20.1168)])
def test_scale_bar_is_round_in_its_unit(units_per_px: float, lengths, text: str, metres: float) -> None:
    length, shown = scale_bar(units_per_px, 150.0, lengths)
    assert shown == text
    assert length * units_per_px == pytest.approx(metres)
    assert length <= 150.0


@settings(deadline=None)
@given(units_per_px=st.floats(0.01, 500.0))
def test_grid_lines_stand_on_round_coordinates_and_not_too_close(qapp, units_per_px: float) -> None:
    view = MapView(455_123.0, 5_951_987.0, units_per_px, 1200, 800)
    easts, norths = GridLines(150.0).lines(view)
    assert 1 <= len(easts) <= 9
    steps = {round(b - a, 6) for a, b in pairwise(easts)}
    assert all(step / units_per_px >= 149.0 for step in steps)
    assert all(view.bounds[0] <= east <= view.bounds[2] for east in easts)
    assert all(view.bounds[1] <= north <= view.bounds[3] for north in norths)


def test_figures_have_their_thousands_apart() -> None:
    assert figure(455_600.0).split() == ["455", "600"]
    assert figure(7.0) == "7"


@pytest.mark.parametrize(("part", "rows", "columns"), [
    (GridLines, slice(560, 600), slice(200, 800)), (Furniture, slice(540, 579), slice(0, 120))])
def test_letters_of_the_map_grow_with_the_text_setting(qapp, part: type[GridLines | Furniture], rows: slice,
                                                       columns: slice) -> None:
    view = MapView(455_123.0, 5_951_987.0, 1.0, 900, 600)

    def height(scale: float) -> int:
        made = part()
        made.set_text_scale(scale)
        picture = QImage(view.width, view.height, QImage.Format.Format_RGB32)
        picture.fill(QColor(LIGHT.ground))
        painter = QPainter(picture)
        made.paint(painter, view, QRect(0, 0, view.width, view.height), LIGHT)
        painter.end()
        paper = np.array(QColor(LIGHT.ground).getRgb()[2::-1])
        inked = np.abs(as_array(picture).astype(int) - paper).sum(axis=2) > 200
        return int(inked[rows, columns].any(axis=1).sum())

    assert height(1.5) > 1.3 * height(1.0) > 0


def test_larger_figures_stand_farther_apart(qapp) -> None:
    view, grid = MapView(455_123.0, 5_951_987.0, 1.0, 1200, 800), GridLines(150.0)
    usual = len(grid.lines(view)[0])
    grid.set_text_scale(1.5)
    assert len(grid.lines(view)[0]) < usual
