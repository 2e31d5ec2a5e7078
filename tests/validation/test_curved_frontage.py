"""A boundary with a curved road frontage: closing, a slip of digits, chords against the arc, posts round the curve.

Source: made for this check; its figures follow from the geometry of the circle (departure r(1 - cos(a/2n)), panel
r a/n) and from the closing sum, both done by hand. The bearing of the gross misclose is 15 seconds off the leg's,
because the sound traverse misses by 5 mm itself.
"""

from __future__ import annotations

import numpy as np
import pytest

from planner.geometry.bearings import parse_angle
from planner.survey.traverse import arc_departure, traverse
from planner.survey.traverse_legs import Leg, LegTable, parse_legs

PLAN = """bearing,distance,radius,hand,arc,chord
92°14'20",412.36,,,,
88°02'50",{second},,,,
103°02'50",,180,right,94.25,93.175
118°02'50",205.44,,,,
182°31'00",540.10,,,,
270°00'00",979.14,,,,
0°00'00",662.45,,,,
"""
START = (1000.0, 5000.0)


def plan(second: str = "318.91") -> LegTable:
    return parse_legs(PLAN.format(second=second))


def arc() -> Leg:
    return plan().legs[2]


def test_it_closes_to_five_millimetres() -> None:
    table = plan()
    assert table.findings == ()
    assert traverse(table.legs, start=START).misclose_m == pytest.approx(0.005, abs=0.001)


def test_the_chord_follows_from_the_leg_before_the_arc() -> None:
    rows = [row if "180,right" not in row else ",,180,right,94.25," for row in PLAN.format(second="318.91").split("\n")]
    result = traverse(parse_legs("\n".join(rows)).legs, start=START)
    assert result.bearings_deg[2] == pytest.approx(parse_angle("103°02'50\""), abs=2 / 3600)
    assert result.misclose_m == pytest.approx(0.005, abs=0.001)


def test_swapped_digits_name_the_leg() -> None:
    result = traverse(plan("381.91").legs, start=START)
    assert result.misclose_m == pytest.approx(63.0, abs=0.05)
    assert result.misclose_bearing_deg == pytest.approx(parse_angle("88°02'50\""), abs=20 / 3600)
    assert {suspect.leg for suspect in result.suspects} == {2}
    first = result.suspects[0]
    assert (first.kind, first.written, first.instead) == ("swapped digits in the distance", "381.91", "318.91")
    assert first.left_m == pytest.approx(0.005, abs=0.001)


@pytest.mark.parametrize(("chords", "metres"), [(1, 6.13), (2, 1.54), (4, 0.385), (6, 0.17)])
def test_chords_depart_from_the_arc(chords: int, metres: float) -> None:
    assert arc_departure(180.0, arc().angle_rad, chords) == pytest.approx(metres, abs=0.005)
    corners = traverse([arc()], start=START, close_on=None, arc_within_m=metres + 0.005).corners
    assert len(corners) == chords + 1


def test_posts_at_four_metres_make_24_panels_without_a_corner() -> None:
    result = traverse([arc()], start=START, close_on=None, arc_within_m=10.0, arc_step_m=4.0)
    panels = np.hypot(*np.diff(result.corners, axis=0).T)
    assert len(panels) == 24
    assert arc().distance_m / len(panels) == pytest.approx(3.927, abs=0.0005)
    assert panels == pytest.approx(3.927, abs=0.001)
    bearings = np.degrees(np.arctan2(*np.diff(result.corners, axis=0).T))
    assert np.diff(bearings) == pytest.approx(1.25, abs=0.0005)
    assert 2 * np.sin(np.radians(1.25) / 2) == pytest.approx(0.022, abs=0.0005)  # side pull as a share of the strain
