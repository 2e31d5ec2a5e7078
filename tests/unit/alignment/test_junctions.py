import numpy as np
import pytest
from unit.sections.ground_of import line_of

from planner.alignment.junctions import find_junctions, shared_stretches


def test_a_tee_is_seen_by_both_lines_and_counted_with_the_first() -> None:
    lines = [line_of((0, 0), (100, 0), name="A"), line_of((40, 0.3), (40, 80), name="B")]
    found = find_junctions(lines)
    (at_a,), (at_b,) = found["A"], found["B"]
    assert (at_a.others, at_a.directions, at_a.counted_with, at_a.crosses) == (("B",), 1, "", False)
    assert (at_b.others, at_b.directions, at_b.counted_with) == (("A",), 2, "A")
    assert abs(at_a.x - 40.0) <= 0.5
    assert abs(at_a.y) <= 0.5


@pytest.mark.parametrize(("gap", "met"), [(0.5, True), (0.501, False)])
def test_reach(gap: float, met: bool) -> None:
    lines = [line_of((0, 0), (100, 0), name="A"), line_of((40, gap), (40, 80), name="B")]
    assert bool(find_junctions(lines)) is met


def test_lines_that_cross_in_their_middles_meet() -> None:
    found = find_junctions([line_of((0, 0), (100, 0), name="A"), line_of((30, -50), (30, 50), name="B")])
    (cross,) = found["A"]
    assert (cross.x, cross.y, cross.directions, cross.crosses) == (30.0, 0.0, 2, True)


def test_a_corner_that_touches_another_line_meets_it() -> None:
    found = find_junctions([line_of((0, 0), (100, 0), name="A"), line_of((0, 50), (50, 0.2), (100, 50), name="B")])
    assert len(found["A"]) == len(found["B"]) == 1
    assert found["A"][0].directions == 2


def test_three_ends_in_one_place_make_one_junction_of_three_pulls() -> None:
    lines = [line_of((0, 0), (100, 0), name="A"), line_of((100.2, 0), (200, 0), name="B"),
             line_of((100, 0.2), (100, 90), name="C")]
    found = find_junctions(lines)
    assert {name: (len(j), j[0].directions, j[0].others) for name, j in found.items()} == {
        "A": (1, 2, ("B", "C")), "B": (1, 2, ("A", "C")), "C": (1, 2, ("A", "B"))}


def test_a_closed_line_passes_through_its_start() -> None:
    ring = line_of((0, 0), (100, 0), (100, 100), (0, 0), closed=True, name="R")
    found = find_junctions([ring, line_of((0, 0), (-50, 0), name="B")])
    assert found["B"][0].directions == 2
    assert found["R"][0].directions == 1


def test_lines_on_top_of_each_other_meet_where_they_come_together_and_part() -> None:
    a = line_of((0, 0), (20, 0), (40, 0), (60, 0), (80, 0), (100, 0), name="A")
    b = line_of((20, 50), (20, 0), (40, 0), (60, 0), (60, 50), name="B")
    found = find_junctions([a, b])
    assert sorted(j.x for j in found["A"]) == [20.0, 60.0]
    (stretch,) = shared_stretches([a, b])
    assert (stretch.length_m, {stretch.line, stretch.other}) == (40.0, {"A", "B"})


def test_lines_that_only_touch_share_no_stretch() -> None:
    assert shared_stretches([line_of((0, 0), (100, 0), name="A"), line_of((40, 0), (40, 80), name="B")]) == ()


def test_nothing_to_meet() -> None:
    assert find_junctions([]) == {}
    assert find_junctions([line_of((0, 0), (1, 0))]) == {}
    assert find_junctions([line_of((0, 0), (1, 0), name="A"), line_of((0, 9), (1, 9), name="B")]) == {}
    assert shared_stretches([]) == ()


def test_a_grid_of_paddocks_has_a_junction_at_every_tee_and_cross() -> None:
    n = 12
    across = [line_of((0, 100.0 * k), (100.0 * n, 100.0 * k), name=f"E{k}") for k in range(n + 1)]
    up = [line_of((100.0 * k, 0), (100.0 * k, 100.0 * n), name=f"N{k}") for k in range(n + 1)]
    found = find_junctions(across + up)
    assert sum(map(len, found.values())) == 2 * (n + 1) ** 2
    assert sum(j.directions == 2 for j in found["E3"]) == n - 1 + 2


def test_order_of_lines_changes_only_who_counts() -> None:
    rng = np.random.default_rng(3)
    lines = [line_of(*map(tuple, rng.uniform(0, 300, (3, 2))), name=f"L{k}") for k in range(12)]
    one, other = find_junctions(lines), find_junctions(lines[::-1])
    spots = [{name: sorted((round(j.x, 6), round(j.y, 6), j.directions) for j in js) for name, js in found.items()}
             for found in (one, other)]
    assert spots[0] == spots[1]
    assert spots[0]
