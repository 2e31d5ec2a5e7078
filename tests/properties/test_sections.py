"""Sections and posts of random lines: they tile, hold their posts, and build every end once."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from unit.sections.ground_of import ASSEMBLIES, ITEMS, fence_of, ground_of, line_of

from planner.alignment.corners import openings
from planner.alignment.junctions import Junction
from planner.alignment.line import Crossing, FenceLine, Gate
from planner.geometry.lines import points_along
from planner.profile.grade_breaks import grade_chain
from planner.profile.ground_line import GroundLine
from planner.sections.joins import plan_line_joins
from planner.sections.posts import is_end_post, place_posts
from planner.sections.strains import assemblies_of, divide, end_places
from planner.settings import Settings

FENCE = fence_of(max_strain_flat_m=120.0, max_strain_undulating_m=80.0)


@st.composite
def cases(draw: st.DrawFn) -> tuple[FenceLine, GroundLine, tuple[Junction, ...], Settings]:
    """A line of a few corners over rough ground, with gates, crossings and junctions anywhere on it or near it."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    heading = np.cumsum(rng.normal(0, draw(st.sampled_from([0.01, 0.3, 1.0])), draw(st.integers(1, 8))))
    legs = rng.uniform(0.2, 150.0, len(heading))
    steps = legs[:, None] * np.column_stack((np.cos(heading), np.sin(heading)))
    xy = np.concatenate(([[0.0, 0.0]], np.cumsum(steps, axis=0)))
    closed = draw(st.booleans()) and len(xy) > 3
    if closed:
        xy = np.concatenate((xy, xy[:1]))
    total = float(np.hypot(*np.diff(xy, axis=0).T).sum())

    def spots(count: int) -> list[tuple[float, float]]:
        return [tuple(p) for p in points_along(xy, rng.choice([0.0, 0.2, total, *rng.uniform(0, total, 3)], count))]

    line = line_of(
        *map(tuple, xy), closed=closed,
        gates=tuple(Gate(f"g{k}", *p, float(rng.uniform(0.4, 12)))
                    for k, p in enumerate(spots(draw(st.integers(0, 3))))),
        crossings=tuple(Crossing(f"c{k}", *p, float(rng.uniform(5, 60)))
                        for k, p in enumerate(spots(draw(st.integers(0, 2))))))
    at = np.unique(np.concatenate(([0.0, total], rng.uniform(0, total, draw(st.integers(0, 12))))))
    ground = ground_of(line, at.tolist(), np.cumsum(rng.normal(0, 3.0, len(at))).tolist(), step=5.0)
    junctions = tuple(Junction(*p, ("B",), 1) for p in spots(draw(st.integers(0, 2))))
    chosen = Settings().changed({"corner_deg": draw(st.sampled_from([0.0, 20.0, 30.0])),
                                 "break_end_deg": draw(st.sampled_from([1.0, 12.0, 40.0]))})
    return line, ground, junctions, chosen


@settings(max_examples=150, deadline=None)
@given(cases())
def test_sections_and_posts_hold_together(case: tuple[FenceLine, GroundLine, tuple[Junction, ...], Settings]) -> None:
    line, ground, junctions, chosen = case
    chain = grade_chain(ground, tolerance_m=0.15)
    sections = divide(line, ground, chain, FENCE, chosen, code="A", junctions=junctions, assemblies=ASSEMBLIES)
    assert (sections[0].from_m, sections[-1].to_m) == (0.0, ground.chainage_m[-1])
    assert all(a.to_m == b.from_m for a, b in pairwise(sections))
    assert all(s.to_m > s.from_m for s in sections)
    assert sum(s.slope_length_m for s in sections) == pytest.approx(ground.slope_m[-1])
    runs = [s for s in sections if not (s.is_gate or s.is_crossing)]
    assert all(s.slope_length_m <= FENCE.max_strain_flat_m + 1e-5 for s in runs)
    assert [(s.from_m, s.to_m) for s in sections if s not in runs] == [o[2:] for o in openings(line, ground)]
    assert all(s.end.causes and s.end.assembly in ASSEMBLIES for s in sections)

    places = end_places(sections, closed=line.closed)
    assert sum(map(len, assemblies_of(sections, closed=line.closed).values())) == len(places)
    for run in runs:  # a run always has something to pull against at both ends
        for at in (run.from_m, run.to_m):
            round_to_start = line.closed and at == ground.chainage_m[-1]
            assert any(p.end.chainage_m == at or (round_to_start and p.end.chainage_m == 0.0) for p in places)

    posts = place_posts(line, ground, chain, sections, FENCE, chosen, ITEMS, assemblies=ASSEMBLIES)
    spans = {s.id: s for s in sections}
    assert all(a.chainage_m <= b.chainage_m for a, b in pairwise(posts))
    assert all(spans[p.section].from_m <= p.chainage_m <= spans[p.section].to_m for p in posts)
    assert [p.chainage_m for p in posts if is_end_post(p)] == [p.end.chainage_m for p in places]
    for run in runs:
        inside = [p.chainage_m for p in posts if run.from_m < p.chainage_m < run.to_m]
        slope = ground.slope_at(np.array([run.from_m, *inside, run.to_m]))
        assert np.diff(slope).max() <= FENCE.posts.spacing_m + 1e-6

    plans = plan_line_joins(line, ground, chain, sections, posts, FENCE, chosen, take_up_per_m=0.0064)
    for section, plan in zip(sections, plans, strict=True):
        assert bool(plan.sub_runs) == (section in runs)
        assert all(section.from_m < j.chainage_m < section.to_m for j in plan.joins)
        if plan.sub_runs:
            assert sum(r.slope_length_m for r in plan.sub_runs) == pytest.approx(section.slope_length_m)
        numbers = [v for r in plan.sub_runs for v in (r.grade_ref_deg, r.lean_max_deg, r.far_end_ratio, r.take_up_m)]
        assert np.isfinite(numbers).all()
