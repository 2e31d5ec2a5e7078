"""Mid-run joins against every subset of the allowed places, by code that shares nothing with the planner's."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import combinations, pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from unit.sections.ground_of import MESH, chain_of, fence_of, ground_of, line_of

from planner.geometry.arrays import Floats
from planner.profile.ground_line import GroundLine
from planner.sections.friction import turning_along
from planner.sections.joins import JoinPlan, Panels, plan_joins
from planner.sections.strains import Section, SectionEnd
from planner.settings import Settings
from planner.spec.fence_type import FenceType

TAKE_UP = 0.006
END = SectionEnd(0.0, ("line end",), "single-box", 1, 0.0, 0.0)


def mesh_with(lean: float) -> object:
    """The test mesh with another lean limit."""
    return type(MESH)(**{name: getattr(MESH, name) for name in MESH.__slots__} | {"lean_limit_deg": lean})


class Brute:
    """One section, measured by plain loops."""

    def __init__(self, ground: GroundLine, panels: Panels, fence: FenceType, chosen: Settings) -> None:
        self.x, self.z = ground.chainage_m.tolist(), ground.level_m.tolist()
        self.fence, self.settings = fence, chosen
        self.end = self.x[-1]
        at = panels.chainage_m.tolist()
        slope = [self.slope(0.0, c) for c in at]
        self.places = [self.at_slope((a + b) / 2)
                       for (a, b), free in zip(pairwise(slope), panels.join_free, strict=True) if free]
        half = chosen.lean_window_m / 2
        knots = {k for x in [0.0, self.end, *self.x] for k in (x - half, x, x + half)} | set(self.places)
        self.knots = sorted(k for k in knots if 0.0 <= k <= self.end)

    def level(self, at: float) -> float:
        for a, b, za, zb in zip(self.x, self.x[1:], self.z, self.z[1:], strict=False):
            if at <= b:
                return za + (zb - za) * (at - a) / (b - a)
        return self.z[-1]

    def slope(self, start: float, stop: float) -> float:
        cuts = [start, *(x for x in self.x if start < x < stop), stop]
        return sum(math.hypot(b - a, self.level(b) - self.level(a)) for a, b in pairwise(cuts))

    def at_slope(self, along: float) -> float:
        gone = 0.0
        for a, b, za, zb in zip(self.x, self.x[1:], self.z, self.z[1:], strict=False):
            leg = math.hypot(b - a, zb - za)
            if gone + leg >= along:
                return a + (b - a) * (along - gone) / leg
            gone += leg
        return self.end

    def grade(self, at: float) -> float:
        low = max(at - self.settings.lean_window_m / 2, 0.0)
        high = min(at + self.settings.lean_window_m / 2, self.end)
        return math.degrees(math.atan2(self.level(high) - self.level(low), high - low))

    def broken(self, start: float, stop: float) -> int:
        """The excess over all limits in tenths, each broken limit at least a tenth."""
        length = self.slope(start, stop)
        slopes = [math.atan2(zb - za, b - a)
                  for a, b, za, zb in zip(self.x, self.x[1:], self.z, self.z[1:], strict=False)]
        turn = sum(abs(b - a) for x, a, b in zip(self.x[1:-1], slopes, slopes[1:], strict=False) if start <= x < stop)
        undulating = math.degrees(turn) / length * 100 > self.settings.undulating_deg_per_100m + 1e-9
        longest = self.fence.max_strain_undulating_m if undulating else self.fence.max_strain_flat_m
        grades = [self.grade(k) for k in self.knots if start <= k <= stop]
        shares = [length / longest - 1,
                  TAKE_UP * length / (self.settings.usable_travel_m * self.settings.bites_allowed) - 1,
                  turn / (-math.log(self.settings.far_end_ratio_min) / self.settings.friction_mu) - 1]
        if self.fence.mesh is not None:
            shares.append((max(grades) - min(grades)) / (2 * self.fence.mesh.lean_limit_deg) - 1)
        return math.ceil(sum(s for s in shares if s > 1e-9) * 10 - 1e-9)

    def best(self, cost: Callable[[float], float]) -> tuple[int, int, float, float]:
        """Least excess, fewest sub-runs, least cost, least sum of squares, over every subset of the places."""
        found: list[tuple[int, int, float, float]] = []
        for count in range(len(self.places) + 1):
            for chosen in combinations(self.places, count):
                stops = [0.0, *chosen, self.end]
                found.append(self.measure(stops, cost))
        return min(found)

    def place_of(self, chainage: float) -> float:
        """The allowed place that a join stands at, free of rounding."""
        return min(self.places, key=lambda p: abs(p - chainage))

    def measure(self, stops: list[float], cost: Callable[[float], float]) -> tuple[int, int, float, float]:
        spans = list(pairwise(stops))
        lengths = [self.slope(a, b) for a, b in spans]
        return (sum(self.broken(a, b) for a, b in spans), len(spans), round(sum(map(cost, lengths)), 4),
                round(sum(n * n for n in lengths), 6))


@st.composite
def cases(draw: st.DrawFn) -> tuple[GroundLine, Panels, FenceType, Settings, float]:
    """A short section on rough ground with limits that bite."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    panels = draw(st.integers(3, 9))
    at: Floats = np.concatenate(([0.0], np.cumsum(rng.uniform(3.0, 6.0, panels)))).round(3)
    inner = np.sort(rng.uniform(1.0, at[-1] - 1.0, draw(st.integers(0, 6)))).round(3)
    stations = np.unique(np.concatenate(([0.0], inner, [at[-1]])))
    rough = draw(st.sampled_from([0.0, 0.3, 1.0, 2.0]))
    levels = np.cumsum(rng.normal(0.0, rough, len(stations)))
    line = line_of((0, 0), (float(at[-1]), 0))
    ground = ground_of(line, stations.tolist(), levels.tolist())
    free = rng.random(panels) < 0.8
    free[[0, -1]] = False
    fence = fence_of(
        mesh=draw(st.sampled_from([None, mesh_with(2.0), mesh_with(5.0), mesh_with(15.0)])),
        max_strain_flat_m=draw(st.sampled_from([8.0, 15.0, 30.0, 100.0])),
        max_strain_undulating_m=draw(st.sampled_from([6.0, 12.0, 100.0])))
    chosen = Settings().changed({
        "lean_window_m": draw(st.sampled_from([2.0, 5.0, 15.0])), "friction_mu": 0.25,
        "far_end_ratio_min": draw(st.sampled_from([0.5, 0.85, 0.97])),
        "undulating_deg_per_100m": draw(st.sampled_from([10.0, 60.0, 200.0])),
        "usable_travel_m": draw(st.sampled_from([0.1, 0.2, 1.5])), "bites_allowed": 1})
    return ground, Panels(at, free), fence, chosen, draw(st.sampled_from([0.0, 7.0, 11.0]))


def planned(ground: GroundLine, panels: Panels, fence: FenceType, chosen: Settings,
            cost: Callable[[float], float] | None) -> JoinPlan:
    end = float(ground.chainage_m[-1])
    section = Section("A1", 0.0, end, END, END, end, float(ground.slope_m[-1]), 0.0, 0.0, 0.0)
    turning = turning_along((), chain_of(ground, ground.chainage_m.tolist()))
    return plan_joins(section, ground, turning, panels, fence, chosen, take_up_per_m=TAKE_UP, piece_cost=cost)


@settings(max_examples=120, deadline=None)
@given(cases())
def test_no_subset_of_the_allowed_places_is_better(case: tuple[GroundLine, Panels, FenceType, Settings, float]) -> None:
    ground, panels, fence, chosen, roll = case
    brute = Brute(ground, panels, fence, chosen)

    def cost(length: float) -> float:
        return float(math.ceil(length / roll - 1e-9)) if roll else 0.0

    plan = planned(ground, panels, fence, chosen, cost if roll else None)
    best = brute.best(cost)
    mine = brute.measure([0.0, *(brute.place_of(j.chainage_m) for j in plan.joins), brute.end], cost)
    assert mine[:3] == best[:3]
    assert mine[3] <= best[3] + 1e-5
    assert bool(plan.unmet) == (best[0] > 0)
    assert all(min(abs(j.chainage_m - p) for p in brute.places) < 1e-9 for j in plan.joins)
    assert all(j.reasons for j in plan.joins)
