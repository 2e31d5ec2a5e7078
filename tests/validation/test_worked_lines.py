"""Three invented lines worked by hand from their levels, on paper and apart from the program.

Slope lengths by Pythagoras between the given points, breaks as differences of atan(rise / run). Lengths are given to
0.1 m and angles to 0.1 deg, which is the tolerance.
"""

from __future__ import annotations

import pytest
from unit.sections.ground_of import ASSEMBLIES, ITEMS, fence_of, ground_of, line_of

from planner.alignment.line import Crossing
from planner.profile.grade_breaks import grade_chain
from planner.sections.posts import place_posts
from planner.sections.strains import assemblies_of, divide
from planner.settings import Settings

FENCE = fence_of(spacing_m=5.0, spacing_uneven_m=5.0)


def test_sheep_boundary_over_ridge_and_gully() -> None:
    at = [0, 140, 260, 410, 520, 690, 830, 960, 1120, 1250, 1400]
    line = line_of((0, 0), (1400, 0))
    ground = ground_of(line, at, [212, 231, 244, 226, 205, 229, 251, 240, 214, 222, 236], step=1.0)
    chain = grade_chain(ground, tolerance_m=0.15)
    big = {round(x): round(b, 1) for x, b in zip(chain.chainage_m, chain.break_deg, strict=True) if abs(b) > 4.4}
    assert big == {260: -13.0, 520: 18.8, 830: -13.8, 1120: 12.8}
    sections = divide(line, ground, chain, FENCE, Settings(), code="A", assemblies=ASSEMBLIES)
    assert [s.slope_length_m for s in sections] == pytest.approx([262.0, 263.1, 313.4, 292.6, 280.9], abs=0.1)
    assert sum(s.slope_length_m for s in sections) == pytest.approx(1411.9, abs=0.05)
    assert {c for s in sections[1:] for c in s.start.causes} == {"grade break"}
    posts = place_posts(line, ground, chain, sections, FENCE, Settings(), ITEMS, assemblies=ASSEMBLIES)
    assert [p.kind for p in posts].count("line") == pytest.approx(280, abs=2)


def test_rocky_hill_with_six_grade_breaks() -> None:
    at = [0, 95, 210, 300, 430, 520, 660, 780]
    line = line_of((0, 0), (780, 0))
    ground = ground_of(line, at, [100, 112, 141, 168, 171, 149, 128, 131], step=1.0)
    chain = grade_chain(ground, tolerance_m=0.15)
    assert chain.chainage_m.tolist() == at
    assert chain.break_deg[1:-1].tolist() == pytest.approx([7.0, 2.5, -15.4, -15.1, 5.2, 10.0], abs=0.06)
    assert ground.slope_m[-1] == pytest.approx(792.6, abs=0.05)
    sections = divide(line, ground, chain, FENCE, Settings(), code="A", assemblies=ASSEMBLIES)
    assert [s.to_m for s in sections] == [300.0, 430.0, 780.0]
    posts = place_posts(line, ground, chain, sections, FENCE, Settings(), ITEMS, assemblies=ASSEMBLIES)
    assert [p.chainage_m for p in posts if p.kind == "dip"] == [95.0, 210.0, 520.0, 660.0]


def test_creek_crossing_on_a_cattle_line() -> None:
    line = line_of((0, 0), (640, 0), crossings=(Crossing("creek", 322.0, 0.0, 36.0, 2.6),))
    ground = ground_of(line, [0, 310, 316, 328, 334, 640], [4, 4, 1.4, 1.4, 4, 4], step=1.0)
    chain = grade_chain(ground, tolerance_m=0.15)
    sections = divide(line, ground, chain, fence_of(max_strain_flat_m=500.0), Settings(), code="A",
                      assemblies=ASSEMBLIES)
    assert [(s.from_m, s.to_m, s.plan_length_m, s.is_crossing) for s in sections] == [
        (0.0, 304.0, 304.0, False), (304.0, 340.0, 36.0, True), (340.0, 640.0, 300.0, False)]
    ends = assemblies_of(sections, closed=False)
    assert len(ends["A1"]) + len(ends["A3"]) == 4
    assert len(ends["A2"]) == 2
