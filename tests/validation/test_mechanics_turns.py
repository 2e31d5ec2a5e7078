"""Force on a post where wires turn, by statics: per unit of pull, 2 sin(turn / 2)."""

import pytest

from planner.loads.turns_and_uplift import side_force, uplift


@pytest.mark.parametrize(("turn_deg", "share"), [
    (0, 0.0), (2, 0.035), (5, 0.087), (10, 0.174), (15, 0.261), (20, 0.347), (30, 0.518), (45, 0.765), (60, 1.0),
    (90, 1.414), (180, 2.0)])
def test_share_of_the_pull_by_turn(turn_deg: float, share: float) -> None:
    assert side_force(1.0, turn_deg) == pytest.approx(share, abs=0.0005)
    assert side_force(1.0, -turn_deg) == side_force(1.0, turn_deg)


@pytest.mark.parametrize("turn_deg", [5.0, 12.0, 30.0])
def test_an_even_dip_lifts_as_a_turn_pulls(turn_deg: float) -> None:
    lifts = uplift(9600.0, grade_before_deg=-turn_deg / 2, grade_after_deg=turn_deg / 2)
    assert lifts == pytest.approx(side_force(9600.0, turn_deg), rel=1e-12)


def test_eight_wire_mesh_over_a_dip_of_ten_degrees() -> None:
    # 8 wires at 1.2 kN: about 1.7 kN, 170 kgf
    assert uplift(9600.0, grade_before_deg=-5, grade_after_deg=5) == pytest.approx(1673, abs=1)
