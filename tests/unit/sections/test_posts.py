from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from unit.sections.ground_of import ASSEMBLIES, ITEMS, chain_of, fence_of, ground_of, line_of

from planner.alignment.line import Crossing, FenceLine, Gate, GroundStretch
from planner.errors import BadFenceType
from planner.profile.ground_line import GroundLine
from planner.sections.posts import Post, is_end_post, line_post_places, place_posts
from planner.sections.strains import divide
from planner.settings import Settings
from planner.spec.fence_type import FenceType


def posts_of(
    line: FenceLine, ground: GroundLine | None = None, breaks: tuple[float, ...] = (), *,
    fence: FenceType | None = None, **settings: Any,
) -> tuple[Post, ...]:
    ground, fence, chosen = ground or ground_of(line), fence or fence_of(), Settings().changed(settings)
    chain = chain_of(ground, breaks)
    sections = divide(line, ground, chain, fence, chosen, code="A", assemblies=ASSEMBLIES)
    found = place_posts(line, ground, chain, sections, fence, chosen, ITEMS, assemblies=ASSEMBLIES)
    spans = {s.id: s for s in sections}
    assert all(a.chainage_m <= b.chainage_m for a, b in pairwise(found))
    assert all(spans[p.section].from_m <= p.chainage_m <= spans[p.section].to_m for p in found)
    return found


def of_kind(found: tuple[Post, ...], kind: str) -> list[float]:
    return [round(p.chainage_m, 3) for p in found if p.kind == kind]


def test_equal_panels_on_a_straight() -> None:
    found = posts_of(line_of((0, 0), (98, 0)))
    assert of_kind(found, "end") == [0.0, 98.0]
    assert np.allclose(np.diff([p.chainage_m for p in found]), 4.9)
    assert {is_end_post(p) for p in found if p.kind == "line"} == {False}


def test_the_pattern_runs_on_along_the_line() -> None:
    found = posts_of(line_of((0, 0), (30, 0), (30, 30)))
    assert of_kind(found, "corner") == [30.0]
    assert [p.item for p in found if p.kind == "line"] == ["steel-1650"] * 4 + ["timber-1800"] + ["steel-1650"] * 4 + [
        "timber-1800"]


def test_rise_and_dip_posts_stand_at_the_breaks_and_are_longer() -> None:
    line = line_of((0, 0), (120, 0))
    found = posts_of(line, ground_of(line, [0, 40, 80, 120], [0, 4, 0, 4]), (40, 80))
    (rise,), (dip,) = ([p for p in found if p.kind == kind] for kind in ("rise", "dip"))
    assert (rise.chainage_m, dip.chainage_m) == (40.0, 80.0)
    assert (rise.break_deg, dip.break_deg) == (pytest.approx(-11.42, abs=0.01), pytest.approx(11.42, abs=0.01))
    assert rise.grade_before_deg == -rise.grade_after_deg == pytest.approx(5.71, abs=0.01)
    assert (rise.item, rise.required_length_m) == ("timber-2100", pytest.approx(1.05 + 0.1 + 0.5 + 0.3))
    line_post = next(p for p in found if p.kind == "line")
    assert line_post.required_length_m == pytest.approx(1.65)
    assert line_post.grade_before_deg == line_post.grade_after_deg == pytest.approx(5.71, abs=0.01)


@pytest.mark.parametrize(("angle", "kinds"), [(0.999, set()), (1.001, {"dip"}), (-1.001, {"rise"})])
def test_small_breaks_are_carried_by_line_posts(angle: float, kinds: set[str]) -> None:
    line = line_of((0, 0), (100, 0))
    found = posts_of(line, ground_of(line, [0, 50, 100], [0, 0, 50 * np.tan(np.radians(angle))]), (50,))
    assert {p.kind for p in found} - {"end", "line"} == kinds


def test_a_panel_beside_a_break_or_a_bend_is_closer() -> None:
    found = posts_of(line_of((0, 0), (50, 0), (100, 5)), fence=fence_of(spacing_m=5.0, spacing_uneven_m=3.0))
    assert of_kind(found, "deviation") == [50.0]
    panels = np.diff([p.chainage_m for p in found])
    at = [p.kind for p in found].index("deviation")
    assert panels[at - 1] == pytest.approx(3.0)
    assert panels[at] == pytest.approx(3.0)
    assert np.allclose(np.delete(panels, [at - 1, at])[:9], 4.7)


def test_every_panel_of_an_undulating_run_is_closer() -> None:
    line = line_of((0, 0), (240, 0))
    at = [0.0, *(20.0 * k for k in range(1, 12)), 240.0]
    ground = ground_of(line, at, [1.0 * (k % 2) for k in range(13)])
    found = posts_of(line, ground, tuple(at[1:-1]), fence=fence_of(spacing_m=5.0, spacing_uneven_m=3.0))
    assert max(np.diff([p.chainage_m for p in found])) <= 3.0


def test_gates_and_crossings_hold_no_posts() -> None:
    line = line_of((0, 0), (200, 0), gates=(Gate("g", 50.0, 0.0, 8.0),), crossings=(Crossing("c", 150.0, 0.0, 20.0),))
    found = posts_of(line)
    assert not [p for p in found if 46.0 < p.chainage_m < 54.0 or 140.0 < p.chainage_m < 160.0]
    assert of_kind(found, "gate") == [46.0, 54.0]
    assert of_kind(found, "crossing") == [140.0, 160.0]
    assert of_kind(found, "end") == [0.0, 140.0, 160.0, 200.0]
    assert [p.section for p in found if p.chainage_m == 140.0] == ["A3", "A4"]
    assert [p.section for p in found if p.chainage_m == 160.0] == ["A4", "A5"]
    assert [p.section for p in found if p.kind == "gate"] == ["A1", "A3"]


def test_end_posts_are_the_strainer_of_their_assembly() -> None:
    found = posts_of(line_of((0, 0), (100, 0)))
    assert (found[0].item, found[0].required_length_m) == ("strainer-2400", pytest.approx(1.05 + 0.1 + 1.1))


def test_a_closed_line_has_one_post_at_its_start() -> None:
    found = posts_of(line_of((0, 0), (50, 0), (50, 50), (0, 50), (0, 0), closed=True))
    assert of_kind(found, "corner") == [0.0, 50.0, 100.0, 150.0]
    assert len(found) == 4 + 4 * 9


def test_ground_classes() -> None:
    line = line_of((0, 0), (100, 0), stretches=(GroundStretch(0.0, 50.0, "clay"), GroundStretch(40.0, 60.0, "ledge")))
    assert [(p.chainage_m, p.ground) for p in posts_of(line) if p.chainage_m % 20 == 0] == [
        (0.0, "clay"), (20.0, "clay"), (40.0, "ledge"), (60.0, "ledge"), (80.0, "soil"), (100.0, "soil")]


def test_a_break_at_a_bend_takes_one_post() -> None:
    line = line_of((0, 0), (50, 0), (100, 5))
    found = posts_of(line, ground_of(line, [0, 50, 100.249], [0, 3, 0]), (50,))
    (post,) = [p for p in found if p.kind not in ("line", "end")]
    assert (post.kind, post.turn_deg, post.break_deg) == (
        "deviation", pytest.approx(5.71, abs=0.01), pytest.approx(-6.86, abs=0.01))


def test_no_post_of_a_family_is_long_enough() -> None:
    with pytest.raises(BadFenceType, match=r"post family .steel.: no post is 2\.65 m long"):
        posts_of(line_of((0, 0), (100, 0)), fence=fence_of(embedment_m=1.5))


@pytest.mark.parametrize(("gap", "left", "right", "panels"), [
    (10.0, False, False, [5.0, 5.0]),
    (10.0, True, False, [3.0, 3.5, 3.5]),
    (13.0, True, True, [3.0, 3.5, 3.5, 3.0]),
    (5.0, True, True, [2.5, 2.5]),
    (6.0, True, True, [3.0, 3.0]),
    (3.0, True, False, [3.0]),
    (2.0, True, True, [2.0]),
])
def test_panels_of_one_gap(gap: float, left: bool, right: bool, panels: list[float]) -> None:
    found = line_post_places(np.array([7.0, 7.0 + gap]), np.array([left, right]), spacing_m=5.0, uneven_m=3.0)
    assert np.diff(np.concatenate(([7.0], found, [7.0 + gap]))).tolist() == pytest.approx(panels)
