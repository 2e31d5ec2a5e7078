"""BTCV Fencing handbook, post-and-wire chapter: load of line wires, and NZ tests of the force that lifts a post.

Printed: 100 kgf a line wire; six wires load a straining post twice as much as three (600 and 300 kgf); 90 kgf lift a
post that was dug in and rammed, 900 kgf one that was driven through a pilot hole. The uplift of a dip post follows from
statics: 2 Q sin(theta) between grades of -g and +g, tan(theta) = g.
"""

import math

import pytest
from unit.loads.fence_of import GROUNDS, fence_of, mesh_of, plain_fence, post_of, strand_of

from planner.loads.turns_and_uplift import DRIVEN_UPLIFT_N, DUG_UPLIFT_N, hold_down, post_loads, uplift
from planner.units import KGF_N


def lift(pull_n: float, grade: float) -> float:
    angle = math.degrees(math.atan(grade))
    return uplift(pull_n, grade_before_deg=-angle, grade_after_deg=angle)


def test_six_wires_pull_twice_as_much_as_three() -> None:
    assert plain_fence(6, 100 * KGF_N).pull_n / KGF_N == pytest.approx(600)
    assert plain_fence(3, 100 * KGF_N).pull_n / KGF_N == pytest.approx(300)
    assert plain_fence(6, 100 * KGF_N).pull_n == pytest.approx(5884, abs=0.5)


@pytest.mark.parametrize(("grade", "of_12_kn", "of_12_kn_kgf", "of_six_wires_kgf"), [
    (0.05, 1198, 122, 60), (0.10, 2388, 244, 119), (0.15, 3560, 363, 178), (0.20, 4707, 480, 235)])
def test_uplift_of_a_dip_post(grade: float, of_12_kn: float, of_12_kn_kgf: float, of_six_wires_kgf: float) -> None:
    assert lift(12_000, grade) == pytest.approx(of_12_kn, rel=0.001)
    assert lift(12_000, grade) / KGF_N == pytest.approx(of_12_kn_kgf, rel=0.01)
    assert lift(600 * KGF_N, grade) / KGF_N == pytest.approx(of_six_wires_kgf, rel=0.01)


@pytest.mark.parametrize(("grade", "capacity_n", "flagged"), [
    (0.05, DUG_UPLIFT_N, False), (0.10, DUG_UPLIFT_N, True), (0.20, DUG_UPLIFT_N, True),
    (0.20, DRIVEN_UPLIFT_N, False)])
def test_six_wires_lift_a_dug_post_at_10_percent_and_no_driven_one(
    grade: float, capacity_n: float, flagged: bool) -> None:
    assert (hold_down(lift(600 * KGF_N, grade), post_capacity_n=capacity_n) != "none") is flagged


def test_12_kn_at_20_percent_do_not_lift_a_driven_post() -> None:
    assert hold_down(lift(12_000, 0.20), post_capacity_n=DRIVEN_UPLIFT_N) == "none"


@pytest.mark.parametrize(("ground", "rung"), [("stony", "buried log or stone"), ("soil", "none")])
def test_a_deep_dip_of_a_mesh_boundary_worked_by_hand(ground: str, rung: str) -> None:
    # Levels 226, 205, 229 m at 410, 520, 690 m; eight line wires at 1.2 kN, a plain wire at 1.5 and a barb at 1.2 kN:
    # 0.327 x 12.3 kN = 4.0 kN by 2 T sin(break / 2). Ours keeps the two unequal grades: 0.1 % apart.
    fence = fence_of(strand_of(1.0, 1500), strand_of(1.1, 1200), mesh=mesh_of(strain_n=1200))
    assert fence.pull_n == pytest.approx(12_300)
    before, after = (math.degrees(math.atan(g)) for g in ((205 - 226) / 110, (229 - 205) / 170))
    dip = post_of("junction", 520, before_deg=before, after_deg=after, ground=ground)
    flat = post_of("end", 0), post_of("end", 1400)
    load = post_loads([flat[0], dip, flat[1]], fence=fence, grounds=GROUNDS)[1]
    assert dip.break_deg == pytest.approx(18.8, abs=0.06)
    assert load.uplift_n == pytest.approx(0.327 * 12_300, rel=0.005)
    assert load.hold_down == rung
