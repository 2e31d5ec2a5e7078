"""Grade breaks of a ridge and a gully, worked out by hand from eleven levels."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import LineString

from planner.geometry.arrays import Floats, frozen
from planner.geometry.offsets import mitred_excess
from planner.profile.grade_breaks import grade_chain
from planner.profile.ground_line import GroundLine

CHAINAGE = np.array([0, 140, 260, 410, 520, 690, 830, 960, 1120, 1250, 1400], dtype=float)
LEVEL = np.array([212, 231, 244, 226, 205, 229, 251, 240, 214, 222, 236], dtype=float)
ROCKY_CHAINAGE = np.array([0, 95, 210, 300, 430, 520, 660, 780], dtype=float)
ROCKY_LEVEL = np.array([100, 112, 141, 168, 171, 149, 128, 131], dtype=float)


def ground_of(chainage: Floats, level: Floats, *, noise_m: float = 0.0) -> GroundLine:
    slope = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(chainage), np.diff(level)))))
    points = len(chainage)
    return GroundLine(frozen(chainage), frozen(chainage), frozen(np.zeros(points)), frozen(level),
                      frozen(np.full(points, noise_m)), frozen(np.full(points, 3), np.int64), frozen(slope),
                      frozen([0, points - 1], np.int64), frozen([1.0]), noise_m)


def every_metre(chainage: Floats, level: Floats) -> GroundLine:
    x = np.unique(np.concatenate((np.arange(0.0, chainage[-1]), chainage)))
    return ground_of(x, np.interp(x, chainage, level))


def test_ridge_and_gully() -> None:
    chain = grade_chain(every_metre(CHAINAGE, LEVEL), tolerance_m=0.15)
    assert chain.chainage_m.tolist() == CHAINAGE.tolist()
    breaks = dict(zip(chain.chainage_m, chain.break_deg, strict=True))
    assert breaks.pop(260) == pytest.approx(-13.0, abs=0.05)
    assert breaks.pop(520) == pytest.approx(18.8, abs=0.05)
    assert breaks.pop(830) == pytest.approx(-13.8, abs=0.05)
    assert breaks.pop(1120) == pytest.approx(12.8, abs=0.05)
    assert max(abs(b) for b in breaks.values()) == pytest.approx(4.4, abs=0.05)
    assert (chain.break_deg[0], chain.break_deg[-1]) == (0.0, 0.0)


def test_rocky_hill_with_six_breaks() -> None:
    chain = grade_chain(every_metre(ROCKY_CHAINAGE, ROCKY_LEVEL), tolerance_m=0.15)
    assert chain.chainage_m.tolist() == ROCKY_CHAINAGE.tolist()
    assert chain.break_deg[1:-1] == pytest.approx([7.0, 2.5, -15.4, -15.1, 5.2, 10.0], abs=0.06)


def test_a_break_is_positive_in_a_dip() -> None:
    chain = grade_chain(ground_of(np.array([0.0, 10, 20]), np.array([1.0, 0, 1])), tolerance_m=0.15)
    assert chain.break_deg[1] == pytest.approx(2 * math.degrees(math.atan(0.1)))


def test_twice_the_noise_stands_in_for_a_finer_tolerance() -> None:
    bumps = np.array([0.0, 0.35, 0.0, -0.35, 0.0])
    assert len(grade_chain(ground_of(np.arange(5.0), bumps), tolerance_m=0.15).stations) > 2
    noisy = grade_chain(ground_of(np.arange(5.0), bumps, noise_m=0.2), tolerance_m=0.15)
    assert noisy.stations.tolist() == [0, 4]
    assert noisy.tolerance_m == pytest.approx(0.4)
    assert grade_chain(ground_of(np.arange(5.0), bumps, noise_m=0.05), tolerance_m=0.15).tolerance_m == 0.15


def test_wire_over_the_chain_is_the_library_s_mitred_offset() -> None:
    chain = grade_chain(every_metre(CHAINAGE, LEVEL), tolerance_m=2.0)
    line = LineString(np.column_stack((chain.chainage_m, chain.level_m)))
    wire = line.offset_curve(1.2, join_style="mitre", mitre_limit=100.0)
    excess = mitred_excess(np.radians(chain.break_deg), distance=1.2)
    assert excess == pytest.approx(wire.length - line.length, abs=1e-12 * line.length)
