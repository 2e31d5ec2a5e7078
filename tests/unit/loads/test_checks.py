"""Findings of the loads, and where there are none."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from unit.loads.fence_of import (
    ASSEMBLIES,
    GROUNDS,
    ITEMS,
    fence_of,
    mesh_of,
    plain_fence,
    post_of,
    section_of,
    strand_of,
)

from planner.alignment.line import FenceLine
from planner.errors import BadFenceType
from planner.findings import Finding
from planner.loads.checks import RULES, check_loads
from planner.loads.turns_and_uplift import post_loads
from planner.sections.posts import Post
from planner.sections.strains import Section
from planner.settings import Settings
from planner.spec.fence_type import FenceType
from planner.spec.wires import Wire

LINE = FenceLine("north", "test-fence", np.array([[0.0, 0.0], [100.0, 0.0]]))
FENCE = plain_fence(6, 1000.0)
SECTIONS = (section_of("A1", 0, 100),)


def check(posts: Sequence[Post], *, fence: FenceType = FENCE, sections: Sequence[Section] = SECTIONS,
          settings: Settings | None = None, **changes: object) -> list[Finding]:
    loads = post_loads(posts, fence=fence, grounds=GROUNDS, sections=sections)
    arguments = {"assemblies": ASSEMBLIES, "grounds": GROUNDS, "settings": settings or Settings(), "items": ITEMS}
    return check_loads(LINE, posts, loads, sections, fence, **arguments | changes)  # type: ignore[arg-type]


def between(*posts: Post) -> list[Post]:
    return [post_of("end", 0), *posts, post_of("end", 100)]


@pytest.mark.rules(silent="loads-01 loads-02 loads-03 loads-04 loads-05 loads-06 loads-07")
def test_an_easy_line_has_no_findings() -> None:
    assert check(between(post_of("dip", 40, before_deg=-5, after_deg=5), post_of("deviation", 60, turn_deg=8))) == []


def test_a_line_without_posts_has_no_findings() -> None:
    assert check([], sections=()) == []


@pytest.mark.rules(fires="loads-01")
def test_dip_post_lifted_beyond_a_longer_post() -> None:
    # 6 kN over 20 deg: 2.08 kN, and a dug post holds 0.88: footed
    finding, = check(between(post_of("dip", 40, before_deg=-10, after_deg=10, ground="stony")))
    assert (finding.rule, finding.severity) == ("loads-01", "warning")
    assert "2.1 kN (212 kgf)" in finding.message
    assert "0.9 kN (90 kgf)" in finding.message
    assert "advisory" in finding.message
    assert finding.remedy == "Foot the post."
    assert (finding.place.line, finding.place.section, finding.place.chainage_m) == ("north", "A1", 40)
    assert "NZ tests" in str(finding.source)


@pytest.mark.parametrize(("apart_m", "told"), [(14.9, 1), (15.0, 1), (15.1, 2)])
def test_posts_lifted_in_one_dip_are_said_together(apart_m: float, told: int) -> None:
    posts = between(post_of("dip", 40, before_deg=-8, after_deg=8, ground="stony"),
                    post_of("dip", 40 + apart_m, before_deg=-10, after_deg=10, ground="stony"))
    found = check(posts)
    assert [f.rule for f in found] == ["loads-01"] * told
    assert [f.place.chainage_m for f in found] == [40, 40 + apart_m][:told]
    if told == 1:
        assert f"2 dip posts from 40.0 m to {40 + apart_m:.1f} m with up to 2.1 kN (212 kgf) each" in found[0].message
        assert found[0].remedy == "Foot each of them."


@pytest.mark.parametrize("half_deg", [4.9, 6.3])
def test_a_longer_post_is_no_finding(half_deg: float) -> None:
    # 1.02 and 1.32 kN: more than the 0.88 of a dug post, no more than the 1.32 of a longer one
    assert check(between(post_of("dip", 40, before_deg=-half_deg, after_deg=half_deg, ground="stony"))) == []


@pytest.mark.rules(limit="loads-01")
def test_a_longer_post_holds_half_as_much_again() -> None:
    # 1.5 x 882.6 N is 2 x 6 kN x sin(6.334 deg)
    half = float(np.degrees(np.arcsin(1.5 * GROUNDS["stony"].uplift_n / (2.0 * FENCE.pull_n))))
    for deg, told in ((half - 1e-9, []), (half + 1e-9, ["loads-01"])):
        found = check(between(post_of("dip", 40, before_deg=-deg, after_deg=deg, ground="stony")))
        assert [f.rule for f in found] == told


@pytest.mark.rules(limit="loads-02")
def test_a_deviation_post_of_the_limit_itself_is_not_stayed() -> None:
    turn = 2.0 * float(np.degrees(np.arcsin(FENCE.posts.side_heavy_n / (2.0 * FENCE.pull_n))))
    for deg, told in ((turn - 1e-9, []), (turn + 1e-9, ["loads-02"])):
        assert [f.rule for f in check(between(post_of("deviation", 40, turn_deg=deg)))] == told


@pytest.mark.rules(limit="loads-03")
@pytest.mark.parametrize(("after_deg", "rule"), [(0.108, ""), (0.110, "loads-03")])
def test_an_end_lifts_its_post_above_what_a_longer_one_holds(after_deg: float, rule: str) -> None:
    # bracing lifts 6 kN x 0.525 / 2.4 = 1.3125 kN; 1.5 x 882.6 N leaves 11.4 N, 0.109 deg
    posts = [post_of("end", 0, after_deg=after_deg, ground="stony"), post_of("end", 100, ground="stony")]
    assert [f.rule for f in check(posts)] == [rule] * bool(rule)


@pytest.mark.rules(limit="loads-04")
@pytest.mark.parametrize(("strain_n", "rule"), [(3636.0, "loads-05"), (3637.0, "loads-04")])
def test_a_cold_wire_may_carry_sixty_per_cent(strain_n: float, rule: str) -> None:
    # 0.6 x 6.65 kN less 30 K x 11.78 N/K is 3636.6 N
    assert [f.rule for f in check(between(), fence=plain_fence(1, strain_n))] == [rule]


@pytest.mark.rules(limit="loads-05")
@pytest.mark.parametrize(("strain_n", "rule"), [(3099.0, ""), (3100.0, "loads-05")])
def test_a_knotted_wire_keeps_a_fifth(strain_n: float, rule: str) -> None:
    # 0.649 x 6.65 kN / 1.25 less 353 N is 3099 N
    assert [f.rule for f in check(between(), fence=plain_fence(1, strain_n))] == [rule] * bool(rule)


@pytest.mark.rules(fires="loads-02")
def test_heavy_deviation_post_is_to_be_stayed() -> None:
    finding, = check(between(post_of("deviation", 40, turn_deg=26)))
    assert finding.rule == "loads-02"
    assert "2.7 kN (275 kgf)" in finding.message
    assert finding.remedy.startswith("Stay it")


def test_deviation_posts_of_a_line_are_told_together() -> None:
    finding, = check(between(*(post_of("deviation", 10 * k, turn_deg=24 + k / 4) for k in range(1, 9))))
    assert finding.rule == "loads-02"
    assert "At 8 deviation posts the wires pull sideways with up to 2.7 kN" in finding.message
    assert "at 10.0 m, 20.0 m, 30.0 m, 40.0 m, 50.0 m, 60.0 m and 2 more: more than" in finding.message
    assert finding.remedy.startswith("Stay each against its turn")


def test_a_post_lifted_and_pulled_sideways_is_one_finding() -> None:
    finding, = check(between(post_of("deviation", 40, turn_deg=26, before_deg=-10, after_deg=10, ground="stony")))
    assert finding.rule == "loads-01"
    assert "sideways with 2.7 kN" in finding.message
    assert "Foot the post; stay it" in finding.remedy


@pytest.mark.rules(fires="loads-03")
def test_ends_in_dug_ground_are_gathered_with_the_worst_shown() -> None:
    # bracing lifts 6 kN x 0.525 m / 2.4 m = 1.31 kN; the wires of the first end rise at 5 deg and add 0.52 kN
    posts = [post_of("end", 0, after_deg=5, before_deg=5, ground="stony"), post_of("end", 100, ground="stony")]
    finding, = check(posts)
    assert finding.rule == "loads-03"
    assert "One end of" in finding.message  # at the other, 1.31 kN is what a longer post holds
    assert "1.8 kN (187 kgf)" in finding.message
    assert finding.place.chainage_m == 0
    steeper = [replace(posts[0], grade_after_deg=8.0), replace(posts[1], grade_before_deg=-5.0)]
    finding, = check(steeper)
    assert "2 ends of" in finding.message
    assert finding.place.chainage_m == 0


def test_a_footed_end_needs_no_foot() -> None:
    footed = {**ASSEMBLIES, "single-box": replace(ASSEMBLIES["single-box"], parts=(("footing-plate", 1.0),))}
    posts = [post_of("end", 0, after_deg=8, before_deg=8, ground="stony"), post_of("end", 100, ground="stony")]
    assert [f.rule for f in check(posts)] == ["loads-03"]
    assert check(posts, assemblies=footed) == []
    finding, = check([replace(posts[0], grade_after_deg=30.0), posts[1]], assemblies=footed)
    assert "buried log" in finding.remedy


@pytest.mark.rules(silent="loads-03")
def test_driven_ends_have_no_finding() -> None:
    assert check([post_of("end", 0, after_deg=8, before_deg=8), post_of("end", 100, before_deg=-8, after_deg=-8)]) == []


def test_both_braces_lift_at_a_corner_and_one_in_a_straight() -> None:
    sections = (section_of("A1", 0, 50), section_of("A2", 50, 100, causes=("corner",)))
    straight = tuple(replace(s, start=replace(s.start, causes=("longest strain",)), end=replace(
        s.end, causes=("longest strain",))) for s in sections)
    middle = post_of("corner", 50, ground="stony", section="A2")
    finding, = check(between(middle), sections=sections)
    assert "2.6 kN" in finding.message  # 2 x 1.31
    assert check(between(middle), sections=straight) == []


def test_unbraced_ends_lift_by_their_wires_alone() -> None:
    sections = (section_of("A1", 0, 100, assembly="post"),)
    posts = [post_of("end", 0, ground="stony"), post_of("end", 100, ground="stony")]
    assert check(posts, sections=sections) == []


@pytest.mark.rules(fires="loads-04")
def test_cold_wire_near_its_breaking_load() -> None:
    # 2.5 mm: 3.7 kN + 30 K x 11.78 N/K = 4.05 kN, over 60 % of 6.65 kN
    finding, = check(between(), fence=plain_fence(1, 3700.0))
    assert finding.rule == "loads-04"
    assert "-10 degC" in finding.message
    assert "4.1 kN (413 kgf)" in finding.message


@pytest.mark.rules(fires="loads-05")
def test_knot_in_a_hard_strained_wire() -> None:
    # 3.2 + 0.35 = 3.55 kN, and a figure of eight leaves 0.649 x 6.65 = 4.32 kN: under 1.25 times
    finding, = check(between(), fence=plain_fence(1, 3200.0))
    assert finding.rule == "loads-05"
    assert "4.3 kN (440 kgf)" in finding.message
    assert "sleeves" in finding.remedy


@pytest.mark.rules(silent="loads-04 loads-05")
@pytest.mark.parametrize("strain_n", [2500.0, 3099.0])
def test_wire_with_enough_left_for_a_knot(strain_n: float) -> None:
    assert check(between(), fence=plain_fence(1, strain_n)) == []


def test_mesh_wire_is_checked_too_and_without_items_alone() -> None:
    weak = replace(mesh_of(), line_wire=Wire(0.0025, breaking_n=2000.0))
    fence = fence_of(strand_of(1.0, 5000.0), mesh=weak)
    with_items = check(between(), fence=fence)
    assert [f.rule for f in with_items] == ["loads-04", "loads-04"]
    without, = check(between(), fence=fence, items=None)
    assert "line wire of the mesh" in without.message


def test_yielding_ends_can_save_a_wire() -> None:
    fence = plain_fence(1, 3700.0)
    assert check(between(), fence=fence, settings=Settings(end_yield_mm_per_kn=200.0))[0].rule == "loads-05"


@pytest.mark.rules(fires="loads-07")
def test_unknown_breaking_load_is_said() -> None:
    finding, = check(between(), fence=fence_of(strand_of(0.5, 900.0, item="soft-wire", name="belly")))
    assert (finding.rule, finding.severity) == ("loads-07", "note")
    assert "'plain wire 4 mm, mild'" in finding.message


def test_poly_and_rails_are_not_steel() -> None:
    fence = fence_of(strand_of(0.5, 100.0, item="poly", kind="poly"), strand_of(0.9, 0.0, item="x", kind="rail"))
    assert check(between(), fence=fence) == []


def test_strand_of_an_unknown_item_is_named() -> None:
    with pytest.raises(BadFenceType, match="no-such"):
        check(between(), fence=fence_of(strand_of(0.5, 900.0, item="no-such")))


@pytest.mark.rules(fires="loads-06", limit="loads-06")
def test_rail_below_the_pull() -> None:
    low = {**ASSEMBLIES, "single-box": replace(ASSEMBLIES["single-box"], rail_height_m=0.5)}
    finding, = check(between(), assemblies=low)
    assert (finding.rule, finding.severity) == ("loads-06", "note")
    assert "0.50 m, below the 0.53 m" in finding.message
    for below_m, told in ((0.001, ["loads-06"]), (0.0, [])):
        box = replace(ASSEMBLIES["single-box"], rail_height_m=FENCE.pull_height_m - below_m)
        assert [f.rule for f in check(between(), assemblies={**ASSEMBLIES, "single-box": box})] == told


def test_every_finding_has_a_rule_in_the_table_and_says_advisory() -> None:
    low = {**ASSEMBLIES, "single-box": replace(ASSEMBLIES["single-box"], rail_height_m=0.3)}
    posts = [post_of("end", 0, before_deg=8, after_deg=8, ground="stony"),
             post_of("dip", 30, before_deg=-20, after_deg=20, ground="stony"),
             post_of("deviation", 40, turn_deg=28), post_of("end", 100)]
    fence = fence_of(strand_of(0.5, 3300.0), strand_of(0.6, 3900.0), strand_of(0.7, 900.0, item="soft-wire"))
    found = check(posts, fence=fence, assemblies=low)
    assert {f.rule for f in found} == set(RULES)
    assert all("advisory" in f.message for f in found if f.rule != "loads-07")
    assert all(f.message.endswith(".") and f.remedy.endswith(".") for f in found)
