"""Measures: one place that writes metric and imperial."""

from __future__ import annotations

import pytest

from planner.jobpack.page.measures import (
    Measures,
    degrees_text,
    grouped,
    pack_decimals,
    pieces_down,
    pieces_up,
    scale_text,
)

METRIC, IMPERIAL = Measures("metric"), Measures("imperial")


@pytest.mark.parametrize(("metres", "metric", "imperial"), [
    (0.902, "902\u00a0mm", "35½\u00a0in"), (1.15, "1\u202f150\u00a0mm", "45¼\u00a0in"), (0.0, "0\u00a0mm", "0\u00a0in"),
    (0.0032, "3\u00a0mm", "⅛\u00a0in"), (0.0254, "25\u00a0mm", "1\u00a0in")])
def test_heights(metres: float, metric: str, imperial: str) -> None:
    assert (METRIC.height(metres), IMPERIAL.height(metres)) == (metric, imperial)


def test_forces() -> None:
    # 1 kN = 224.809 lbf (international pound and standard gravity); imperial to the nearest five
    assert METRIC.force(8629.85) == "8.63\u00a0kN"
    assert IMPERIAL.force(8629.85) == "1\u202f940\u00a0lbf"
    assert METRIC.hand_force(1078.7315) == "110\u00a0kgf"
    assert IMPERIAL.hand_force(1078.7315) == "245\u00a0lbf"


def test_lengths_hands_measure() -> None:
    assert METRIC.short(1.85) == "1.85\u00a0m"
    assert IMPERIAL.short(1.85) == "6\u00a0ft 1\u00a0in"
    assert IMPERIAL.short(0.1) == "4\u00a0in"
    assert IMPERIAL.short(0.3048 * 5 - 0.001) == "5\u00a0ft 0\u00a0in"


def test_temperatures_masses_and_areas() -> None:
    assert [METRIC.temperature(t) for t in (-10, 50)] == ["−10\u00a0°C", "50\u00a0°C"]
    assert [IMPERIAL.temperature(t) for t in (-10, 50)] == ["14\u00a0°F", "122\u00a0°F"]
    assert IMPERIAL.mass(45.359237) == "100\u00a0lb"
    assert METRIC.area(10_000.0) == "1.00\u00a0ha"
    assert IMPERIAL.area(4046.8564224) == "1.00\u00a0ac"


def test_uncertainty_is_never_nothing() -> None:
    assert METRIC.plus_minus(0.0) == "±0.0"
    assert METRIC.plus_minus(0.04) == "±0.04"
    assert METRIC.plus_minus(1e-6) == "±<0.01"
    assert IMPERIAL.plus_minus(4.0, 2) == "±13.1"


def test_numbers() -> None:
    assert grouped(-0.04, 1) == "0.0"
    assert grouped(1234567.0, 0) == "1\u202f234\u202f567"
    assert degrees_text(0.04) == "0.0°"
    assert scale_text(2500) == "1\u00a0:\u00a02\u202f500"


def test_sentences_are_told_in_the_units_of_the_sheet() -> None:
    said = "A run of 337.7 m (limit 250 m) pulls 3.2 kN (326 kgf) at 102 mm on 2.5 mm wire"
    assert METRIC.sentence(said) == said
    assert IMPERIAL.sentence(said).replace("\u00a0", " ").replace("\u202f", "") == (
        "A run of 1108 ft (limit 820 ft) pulls 720 lbf at 4 in on 2.5 mm wire")


@pytest.mark.parametrize(("allowance", "up", "down"), [(8.12, 9.0, 8.0), (8.0, 8.0, 8.0), (8.0 + 1e-9, 8.0, 8.0),
                                                      (8.0 - 1e-9, 8.0, 8.0), (0.0, 0.0, 0.0)])
def test_pieces_are_whole_and_lengths_are_not(allowance: float, up: float, down: float) -> None:
    assert (pieces_up("each", allowance), pieces_down("each", allowance)) == (up, down)
    assert (pieces_up("m", allowance), pieces_down("kg", allowance)) == (allowance, allowance)


@pytest.mark.parametrize(("size", "decimals"), [(4.8, 1), (5.0, 0), (15.748, 1), (29.9, 1), (30.4, 0), (656.17, 0)])
def test_short_pieces_keep_their_tenth(size: float, decimals: int) -> None:
    assert pack_decimals(size) == decimals
