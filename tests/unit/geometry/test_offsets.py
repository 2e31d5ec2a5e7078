"""Mitred offsets against the GEOS library's offset curve."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString

from planner.errors import OutOfRange
from planner.geometry.lines import chainages, turns
from planner.geometry.offsets import mitred_excess, mitred_offset

# a chain of grades: chainage and level
CHAIN = np.array([[0, 212], [260, 244], [520, 205], [830, 251], [1120, 214], [1400, 236]], dtype=float)


@pytest.mark.parametrize("height", [0.4, 0.9, 1.2, 5.0, -1.2])
def test_the_offset_is_the_library_s_mitred_offset_curve(height: float) -> None:
    curve = LineString(CHAIN).offset_curve(height, join_style="mitre", mitre_limit=100.0)
    ours = mitred_offset(CHAIN, distance=height)
    assert ours == pytest.approx(np.array(curve.coords), abs=1e-9)
    assert chainages(ours)[-1] == pytest.approx(curve.length, rel=1e-12)


@pytest.mark.parametrize("height", [0.4, 0.9, 1.2, 5.0, -1.2])
def test_the_excess_is_minus_two_h_tan_half_the_break_summed(height: float) -> None:
    line = LineString(CHAIN)
    longer = line.offset_curve(height, join_style="mitre", mitre_limit=100.0).length - line.length
    assert mitred_excess(turns(CHAIN, closed=False), distance=height) == pytest.approx(longer, abs=1e-12 * line.length)


def test_a_wire_is_shorter_over_a_dip_and_longer_over_a_crest() -> None:
    assert mitred_excess(np.array([np.radians(20.0)]), distance=1.2) == pytest.approx(-0.42318, abs=1e-5)
    assert mitred_excess(np.array([np.radians(-20.0)]), distance=1.2) == pytest.approx(0.42318, abs=1e-5)


@pytest.mark.parametrize(("xy", "says"), [
    ([[0.0, 0.0]], "two corners"),
    ([[0.0, 0.0], [1.0, 0.0], [1.0, 0.0]], "corner 3: a corner is repeated"),
    ([[0.0, 0.0], [1.0, 0.0], [0.0, 0.0]], "corner 2: the line turns right back"),
])
def test_what_has_no_offset_is_said(xy: list[list[float]], says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        mitred_offset(np.array(xy), distance=1.0)
