from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.ui.canvas.furniture import GridLines, figure, round_below, scale_bar
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
