from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from unit.sections.ground_of import ASSEMBLIES, chain_of, fence_of, ground_of, line_of

from planner.alignment.junctions import Junction, find_junctions
from planner.alignment.line import Crossing, FenceLine, Gate
from planner.errors import BadFenceType
from planner.profile.ground_line import GroundLine
from planner.sections.strains import Section, assemblies_of, divide, end_places
from planner.settings import Settings
from planner.spec.fence_type import FenceType


def sections_of(
    line: FenceLine, ground: GroundLine | None = None, breaks: tuple[float, ...] = (), *,
    fence: FenceType | None = None, junctions: tuple[Junction, ...] = (), **settings: Any,
) -> tuple[Section, ...]:
    ground = ground or ground_of(line)
    found = divide(line, ground, chain_of(ground, breaks), fence or fence_of(), Settings().changed(settings), code="A",
                   junctions=junctions, assemblies=ASSEMBLIES)
    assert found[0].from_m == 0.0
    assert found[-1].to_m == ground.chainage_m[-1]
    assert all(a.to_m == b.from_m == a.end.chainage_m == b.start.chainage_m for a, b in pairwise(found))
    assert sum(s.slope_length_m for s in found) == pytest.approx(ground.slope_m[-1])
    return found


def test_a_straight_line_is_one_section_between_two_ends() -> None:
    (section,) = sections_of(line_of((0, 0), (300, 0)))
    assert (section.id, section.plan_length_m, section.slope_length_m) == ("A1", 300.0, 300.0)
    assert section.length_sd_m == pytest.approx(0.02 * 2**0.5, rel=0.01)
    assert section.start.causes == section.end.causes == ("line end",)
    assert section.start.directions == section.end.directions == 1
    assert section.start.assembly == "single-box"


def test_the_length_of_a_fitted_line_is_known_as_well_as_its_corners() -> None:
    (section,) = sections_of(line_of((0, 0), (300, 0), accuracy="handheld", corner_sd_m=np.array([3.0, 0.0])))
    assert section.length_sd_m == pytest.approx((5.0**2 + 4.0**2) ** 0.5, rel=1e-6)


def test_a_corner_takes_one_assembly_with_two_pulls() -> None:
    one, other = sections_of(line_of((0, 0), (100, 0), (100, 100)))
    assert one.end == other.start
    assert (one.end.causes, one.end.directions, one.end.turn_deg) == (("corner",), 2, pytest.approx(90.0))


def test_a_deviation_ends_nothing() -> None:
    assert len(sections_of(line_of((0, 0), (100, 0), (200, 15)))) == 1


@pytest.mark.parametrize(("limit", "count"), [(44.999, 2), (45.0, 1)])
def test_the_limit_itself_ends_nothing(limit: float, count: int) -> None:
    line = line_of((0, 0), (200, 0))
    found = sections_of(line, ground_of(line, [0, 100, 200], [0, 0, 100]), (100,), break_end_deg=limit)
    assert len(found) == count
    assert found[0].end.break_deg == pytest.approx(45.0 if count == 2 else 0.0)


def test_a_gate_opening_is_a_section_of_its_own() -> None:
    left, gate, right = sections_of(line_of((0, 0), (100, 0), gates=(Gate("g", 50.0, 0.0, 4.0),)))
    assert [s.is_gate for s in (left, gate, right)] == [False, True, False]
    assert (gate.from_m, gate.to_m) == (48.0, 52.0)
    assert left.end.causes == right.start.causes == ("gate",)
    assert left.end.assembly == right.start.assembly == "gate-box"
    assert left.end.directions == right.start.directions == 1
    assert {k: len(v) for k, v in assemblies_of((left, gate, right), closed=False).items()} == {
        "A1": 2, "A2": 0, "A3": 2}


def test_a_crossing_has_anchors_of_its_own() -> None:
    found = sections_of(line_of((0, 0), (640, 0), crossings=(Crossing("c", 322.0, 0.0, 36.0),)))
    assert [(s.from_m, s.to_m, s.is_crossing) for s in found] == [
        (0.0, 304.0, False), (304.0, 340.0, True), (340.0, 640.0, False)]
    assert {k: len(v) for k, v in assemblies_of(found, closed=False).items()} == {"A1": 2, "A2": 2, "A3": 2}
    assert all(s.start.directions == s.end.directions == 1 for s in found)


def test_a_gate_at_a_line_end_and_two_gates_side_by_side_have_posts_of_their_own() -> None:
    line = line_of((0, 0), (100, 0), gates=(Gate("a", 2.0, 0.0, 4.0), Gate("b", 6.0, 0.0, 4.0)))
    found = sections_of(line)
    assert [(p.section, p.at, p.end.chainage_m) for p in end_places(found, closed=False)] == [
        (0, "start", 0.0), (1, "start", 4.0), (2, "start", 8.0), (2, "end", 100.0)]
    assert found[0].start.causes == ("line end", "gate")


def test_what_lies_inside_an_opening_ends_nothing() -> None:
    line = line_of((0, 0), (50, 0), (50, 50), crossings=(Crossing("c", 50.0, 0.0, 20.0),))
    ground = ground_of(line, [0, 45, 50, 55, 100], [0, 0, -3, 0, 0])
    found = sections_of(line, ground, (45, 50, 55))
    assert [s.to_m for s in found] == [40.0, 60.0, 100.0]


def test_things_within_half_a_metre_share_an_end() -> None:
    line = line_of((0, 0), (48.2, 0), (48.2, 50), gates=(Gate("g", 46.0, 0.0, 4.0),))
    found = sections_of(line)
    assert [s.to_m for s in found] == pytest.approx([44.0, 48.0, 98.2])
    assert found[1].end.causes == ("corner", "gate")
    assert found[2].start.turn_deg == pytest.approx(90.0)


def test_a_run_longer_than_the_longest_strain_is_cut() -> None:
    found = sections_of(line_of((0, 0), (1000, 0)))
    assert [s.to_m for s in found] == pytest.approx([1000 / 3, 2000 / 3, 1000.0])
    assert found[0].end.causes == ("longest strain",)
    assert len(sections_of(line_of((0, 0), (400, 0)))) == 1


def test_a_cut_moves_to_a_grade_break() -> None:
    line = line_of((0, 0), (600, 0))
    found = sections_of(line, ground_of(line, [0, 330, 600], [0, 33, 33]), (330,))
    assert [s.to_m for s in found] == [330.0, 600.0]
    assert found[0].end.break_deg == pytest.approx(-5.71, abs=0.01)


def test_slope_length_decides_where_it_is_too_long() -> None:
    line = line_of((0, 0), (395, 0))
    assert len(sections_of(line)) == 1
    assert len(sections_of(line, ground_of(line, [0, 395], [0, 80]))) == 2


def test_a_crossing_and_a_gate_are_not_cut() -> None:
    fence = fence_of(max_strain_flat_m=30.0)
    found = sections_of(line_of((0, 0), (100, 0), crossings=(Crossing("c", 50.0, 0.0, 60.0),)), fence=fence)
    assert [s.to_m for s in found] == [20.0, 80.0, 100.0]


def test_a_tee_adds_the_pull_of_the_other_line_and_is_counted_once() -> None:
    a, b = line_of((0, 0), (100, 0), name="A"), line_of((40, 0), (40, 80), name="B")
    met = find_junctions([a, b])
    along = sections_of(a, junctions=met["A"])
    assert [s.to_m for s in along] == [40.0, 100.0]
    assert (along[0].end.causes, along[0].end.directions, along[0].end.counted_with) == (("junction",), 3, "")
    (off,) = sections_of(b, junctions=met["B"])
    assert (off.start.causes, off.start.directions, off.start.counted_with) == (("line end", "junction"), 3, "A")
    assert len(assemblies_of(along, closed=False)["A1"]) + len(assemblies_of(along, closed=False)["A2"]) == 3
    assert assemblies_of((off,), closed=False) == {"A1": (off.end,)}


def test_a_closed_line_shares_its_start() -> None:
    ring = line_of((0, 0), (100, 0), (100, 100), (0, 100), (0, 0), closed=True)
    found = sections_of(ring)
    assert len(found) == 4
    assert found[0].start.causes == found[3].end.causes == ("line end", "corner")
    assert found[0].start.directions == found[3].end.directions == 2
    assert found[0].start.turn_deg == pytest.approx(90.0)
    assert len(end_places(found, closed=True)) == 4
    assert all(len(ends) == 1 for ends in assemblies_of(found, closed=True).values())


def test_a_round_closed_line_has_one_assembly_of_two_pulls() -> None:
    angle = np.radians(np.arange(0, 361, 10.0))
    xy = [(30 * np.cos(a), 30 * np.sin(a)) for a in angle[:-1]]
    (only,) = sections_of(line_of(*xy, xy[0], closed=True))
    assert (only.start.directions, len(end_places((only,), closed=True))) == (2, 1)


def test_a_closed_line_with_a_gate_at_its_start() -> None:
    ring = line_of((0, 0), (100, 0), (100, 100), (0, 0), closed=True, gates=(Gate("g", 2.0, 0.0, 4.0),))
    found = sections_of(ring)
    assert [(p.section, p.at) for p in end_places(found, closed=True)] == [
        (1, "start"), (2, "start"), (3, "start"), (3, "end")]
    assert found[3].end.directions == 1


@pytest.mark.parametrize(("limit", "assembly"), [(10_299.0, "double-box"), (10_300.0, "single-box")])
def test_a_heavy_pull_doubles_the_end(limit: float, assembly: str) -> None:
    fence = fence_of()
    ends = type(fence.ends)("single-box", "double-box", "gate-box", limit)
    (found,) = sections_of(line_of((0, 0), (100, 0)), fence=fence_of(ends=ends))
    assert (fence.pull_n, found.start.assembly) == (10_300.0, assembly)


def test_an_unknown_assembly_is_said() -> None:
    fence = fence_of(ends=type(fence_of().ends)("stone-pillar", "double-box", "gate-box", 1.0))
    with pytest.raises(BadFenceType, match="fence type 'test-mesh': there is no end assembly 'stone-pillar'"):
        sections_of(line_of((0, 0), (100, 0)), fence=fence)


def test_smoothed_grades_of_a_section() -> None:
    line = line_of((0, 0), (200, 0))
    (found,) = sections_of(line, ground_of(line, [0, 100, 200], [0, 10, 10]), (100,))
    assert (found.grade_min_deg, found.grade_max_deg) == (pytest.approx(0.0), pytest.approx(5.711, abs=1e-3))


def test_ground_metres_count_not_grid_metres() -> None:
    line = line_of((0, 0), (100, 0), (100, 100))
    found = sections_of(line, ground_of(line, scale=0.9996))
    assert found[0].to_m == pytest.approx(100 / 0.9996)
