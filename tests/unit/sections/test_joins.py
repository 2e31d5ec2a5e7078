from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from unit.sections.ground_of import ASSEMBLIES, ITEMS, chain_of, fence_of, ground_of, line_of, plain_fence

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.profile.ground_line import GroundLine
from planner.sections.checks import check_sections
from planner.sections.joins import JoinPlan, panels_of, plan_line_joins
from planner.sections.posts import Post, place_posts
from planner.sections.strains import divide
from planner.settings import Settings
from planner.spec.fence_type import FenceType

LINE = line_of((0, 0), (400, 0))
SHORTER = line_of((0, 0), (390, 0))


def plans_of(
    line: FenceLine = LINE, ground: GroundLine | None = None, breaks: tuple[float, ...] = (), *,
    fence: FenceType | None = None, take_up_per_m: float = 0.0, piece_cost: Any = None, **settings: Any,
) -> tuple[tuple[JoinPlan, ...], tuple[Post, ...]]:
    ground, fence, chosen = ground or ground_of(line), fence or fence_of(), Settings().changed(settings)
    chain = chain_of(ground, breaks)
    sections = divide(line, ground, chain, fence, chosen, code="A", assemblies=ASSEMBLIES)
    posts = place_posts(line, ground, chain, sections, fence, chosen, ITEMS, assemblies=ASSEMBLIES)
    plans = plan_line_joins(line, ground, chain, sections, posts, fence, chosen, take_up_per_m=take_up_per_m,
                            piece_cost=piece_cost)
    for section, plan in zip(sections, plans, strict=True):
        if not (section.is_gate or section.is_crossing):
            assert [section.from_m, *(j.chainage_m for j in plan.joins), section.to_m] == [
                plan.sub_runs[0].from_m, *(r.to_m for r in plan.sub_runs)]
            assert all(a.to_m == b.from_m for a, b in pairwise(plan.sub_runs))
            assert all(j.reasons for j in plan.joins)
    return plans, posts


def waves(count: int, height: float, length: float = 400.0) -> tuple[list[float], list[float]]:
    at = np.linspace(0, length, count + 1).tolist()
    return at, [height * (k % 2) for k in range(count + 1)]


def test_an_even_run_within_its_limits_has_no_join() -> None:
    (plan,), _ = plans_of()
    assert plan.joins == plan.unmet == ()
    (run,) = plan.sub_runs
    assert (run.slope_length_m, run.lean_max_deg, run.far_end_ratio, run.length_limit_m) == (400.0, 0.0, 1.0, 400.0)


def test_undulating_ground_forces_a_join_with_its_figures() -> None:
    at, z = waves(10, 1.5, 390.0)
    (plan,), posts = plans_of(SHORTER, ground_of(SHORTER, at, z), tuple(at[1:-1]), friction_mu=0.0)
    (join,) = plan.joins
    assert join.reasons == (
        "390.3 m from 0.0 m to 390.0 m is over the 250 m this mesh is strained in on undulating ground (10.2 deg of "
        "vertical turning per 100 m, limit 10)",)
    assert plan.unmet == ()
    assert all(r.slope_length_m <= r.length_limit_m for r in plan.sub_runs)
    where = [p.chainage_m for p in posts]
    k = int(np.searchsorted(where, join.chainage_m))
    assert join.chainage_m == pytest.approx((where[k - 1] + where[k]) / 2)
    assert {posts[k - 1].kind, posts[k].kind} <= {"line", "rise"}


def test_lean_forces_a_join_and_gives_the_allowance() -> None:
    ground = ground_of(SHORTER, [0, 180, 200, 220, 390], [0, 0, 2, 8, 8 + 0.36 * 170])
    (plan,), _ = plans_of(SHORTER, ground, (180, 200, 220), fence=fence_of(max_strain_flat_m=500.0),
                          break_end_deg=45.0, friction_mu=0.0)
    (join,) = plan.joins
    one, other = plan.sub_runs
    assert join.reasons[0].startswith(
        "from 0.0 m to 390.0 m the grade ranges over 19.8 deg (+0.0 to +19.8), over the 16 deg this mesh follows")
    assert max(one.lean_max_deg, other.lean_max_deg) <= 8.0
    assert plan.unmet == ()
    step = np.tan(np.radians(other.grade_ref_deg)) - np.tan(np.radians(one.grade_ref_deg))
    assert join.top_bottom_allowance_m == pytest.approx(0.902 * step)


def test_friction_forces_a_join() -> None:
    at, z = waves(10, 1.5, 390.0)
    ground, fence = ground_of(SHORTER, at, z), plain_fence(max_strain_undulating_m=1000.0)
    (whole,), _ = plans_of(SHORTER, ground, tuple(at[1:-1]), fence=fence, far_end_ratio_min=0.84)
    assert whole.joins == ()
    assert whole.sub_runs[0].far_end_ratio == pytest.approx(np.exp(-0.25 * 9 * 2 * np.arctan(1.5 / 39)))
    (plan,), _ = plans_of(SHORTER, ground, tuple(at[1:-1]), fence=fence, far_end_ratio_min=0.85)
    (join,) = plan.joins
    assert "which leaves 0.841 of the pull at the far end, under the 0.85 asked for" in join.reasons[0]
    assert all(r.far_end_ratio >= 0.85 for r in plan.sub_runs)


def test_take_up_forces_a_join_at_the_middle() -> None:
    (plan,), _ = plans_of(take_up_per_m=3.0 / 400 + 1e-5)
    assert [r.slope_length_m for r in plan.sub_runs] == pytest.approx([197.5, 202.5])
    assert "the take-up is 3.00 m, over the 3 m that 2 bites of 1.5 m give" in plan.joins[0].reasons[0]
    (plan,), _ = plans_of(take_up_per_m=3.0 / 400)
    assert plan.joins == ()


def test_cost_decides_between_plans_with_as_few_joins_and_evenness_after_it() -> None:
    (plan,), _ = plans_of(take_up_per_m=0.01, piece_cost=lambda length: float(np.ceil(length / 180.0)))
    assert [r.slope_length_m for r in plan.sub_runs] == pytest.approx([177.5, 222.5])
    (plan,), _ = plans_of(take_up_per_m=0.01, piece_cost=lambda length: float(np.ceil(length / 250.0)))
    assert [r.slope_length_m for r in plan.sub_runs] == pytest.approx([197.5, 202.5])


def test_gates_and_crossings_carry_no_wire_to_join() -> None:
    line = line_of((0, 0), (300, 0), gates=(Gate("g", 50.0, 0.0, 4.0),), crossings=(Crossing("c", 200.0, 0.0, 20.0),))
    plans, _ = plans_of(line)
    assert [len(p.sub_runs) for p in plans] == [1, 0, 1, 0, 1]


def test_what_no_join_mends_is_said() -> None:
    ground = ground_of(SHORTER, [0, 200, 390], [0, 0, 190 * 0.36])
    (plan,), _ = plans_of(SHORTER, ground, (200,), break_end_deg=45.0, friction_mu=0.0, lean_window_m=1.0,
                          fence=fence_of(max_strain_flat_m=500.0))
    assert len(plan.unmet) == 1
    assert "the grade ranges over 19.8 deg" in plan.unmet[0]
    assert "own model of common practice" in plan.unmet[0]
    assert plan.joins == ()


def test_a_run_of_one_panel_cannot_be_joined() -> None:
    line = line_of((0, 0), (8, 0))
    (plan,), _ = plans_of(line, take_up_per_m=1.0)
    assert plan.joins == ()
    assert len(plan.sub_runs) == 1
    assert "take-up is 8.00 m" in plan.unmet[0]


@pytest.mark.rules(limit="sections-01")
@pytest.mark.parametrize(("per_m", "rule"), [(0.3, ""), (0.3001, "sections-01")])
def test_a_limit_that_no_join_keeps_is_told_above_it(per_m: float, rule: str) -> None:
    """Two bites take up 3 m; a run of two panels of 5 m has no place for a join."""
    line, fence = line_of((0, 0), (10, 0)), fence_of()
    ground, (plans, _) = ground_of(line), plans_of(line, take_up_per_m=per_m)
    sections = divide(line, ground, chain_of(ground, ()), fence, Settings(), code="A", assemblies=ASSEMBLIES)
    assert [f.rule for f in check_sections(line, ground, sections, plans, fence, ASSEMBLIES)] == [rule] * bool(rule)


def test_a_fence_without_mesh_has_no_lean() -> None:
    ground = ground_of(SHORTER, [0, 200, 390], [0, 0, 190 * 0.36])
    (plan,), _ = plans_of(SHORTER, ground, (200,), break_end_deg=45.0, friction_mu=0.0, fence=plain_fence(
        max_strain_undulating_m=500.0, max_strain_flat_m=500.0))
    (run,) = plan.sub_runs
    assert (run.grade_ref_deg, run.lean_max_deg, plan.unmet) == (0.0, 0.0, ())


def test_joins_keep_a_panel_from_ends_bends_and_dips_but_not_from_rises() -> None:
    line = line_of((0, 0), (100, 0), (300, 20))
    ground = ground_of(line, [0, 200, 250, 301], [0, 10, 5, 10])
    chain, fence, settings = chain_of(ground, [200, 250]), fence_of(), Settings()
    sections = divide(line, ground, chain, fence, settings, code="A", assemblies=ASSEMBLIES)
    posts = place_posts(line, ground, chain, sections, fence, settings, ITEMS, assemblies=ASSEMBLIES)
    (panels,) = panels_of(sections, posts)
    bend, rise, dip = (panels.chainage_m.tolist().index(at) for at in (100.0, 200.0, 250.0))
    assert not panels.join_free[[0, bend - 1, bend, dip - 1, dip, -1]].any()
    assert panels.join_free[[1, bend - 2, bend + 1, rise - 1, rise, dip - 2, dip + 1, -2]].all()
