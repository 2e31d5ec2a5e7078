"""Lines, profiles, grades and a fence made by hand, for the tests of the sections room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from planner.alignment.line import FenceLine
from planner.geometry.lines import chainages
from planner.profile.grade_breaks import GradeChain
from planner.profile.ground_line import GroundLine
from planner.spec.end_assemblies import EndAssembly, EndRules
from planner.spec.fence_type import FenceType, LabourRates
from planner.spec.items import Item
from planner.spec.meshes import Mesh
from planner.spec.posts import PostRules
from planner.spec.wires import Strand, Wire

WIRE = Wire(0.0025)
MESH = Mesh(
    item="mesh", gap_below_m=0.05, line_wire_heights_m=(0.0, 0.102, 0.204, 0.318, 0.445, 0.585, 0.737, 0.902),
    picket_spacing_m=0.3, line_wire=WIRE, strain_per_wire_n=1100.0, knot="hinged", lean_limit_deg=8.0,
    crimp_amplitude_m=0.003, crimp_wave_m=0.04, tail_m=0.5, ties_per_steel_post=4, staples_per_timber_post=4,
    tie_item="tie", staple_item="staple", sleeve_item="sleeve")
POSTS = PostRules(
    spacing_m=5.0, spacing_uneven_m=4.0, pattern=("steel", "steel", "steel", "steel", "timber"), rise_family="timber",
    dip_family="timber", deviation_family="timber", embedment_m=0.5, deep_extra_m=0.3, head_m=0.1,
    droppers_per_panel=0, dropper_item="", side_light_n=1500.0, side_heavy_n=3000.0)
ITEMS = {item.key: item for item in (
    Item("steel-1650", "", "each", family="steel", length_m=1.65),
    Item("steel-1800", "", "each", family="steel", length_m=1.80),
    Item("timber-1800", "", "each", family="timber", length_m=1.8, timber=True),
    Item("timber-2100", "", "each", family="timber", length_m=2.1, timber=True),
    Item("strainer-2400", "", "each", family="strainer", length_m=2.4, timber=True))}
ASSEMBLIES = {key: EndAssembly(key, key, "box", spans, 1.0, 2.4, (("strainer-2400", 1.0), ("timber-2100", 1.0)),
                               (("timber-2100", 1.0),), 1.1)
              for key, spans in (("single-box", 1), ("double-box", 2), ("gate-box", 1))}


def fence_of(**changes: Any) -> FenceType:
    """A mesh fence; posts' fields (``spacing_m`` and so on) may be given among the changes."""
    posts = replace(POSTS, **{name: changes.pop(name) for name in list(changes) if hasattr(POSTS, name)})
    made = FenceType(
        "test-mesh", "Test mesh", "For tests.", "1.0",
        (Strand("top plain", 1.05, "plain", "plain", 1500.0, "every-post", "tie", 1.0),), MESH, (), posts,
        EndRules("single-box", "double-box", "gate-box", 20_000.0), 400.0, 250.0, LabourRates(*[0.0] * 15), (), ())
    return replace(made, **changes)


def plain_fence(**changes: Any) -> FenceType:
    """The same fence without mesh."""
    return fence_of(mesh=None, **changes)


def line_of(*corners: tuple[float, float], closed: bool = False, **changes: Any) -> FenceLine:
    """A fence line through some corners, name ``L`` unless said."""
    return FenceLine(**{"name": "L", "fence": "test-mesh", "xy": np.array(corners, dtype=float), "closed": closed,
                        "accuracy": "survey"} | changes)


def ground_of(
    line: FenceLine, chainage: Sequence[float] | None = None, level: Sequence[float] | None = None, *,
    step: float | None = None, scale: float = 1.0,
) -> GroundLine:
    """A profile through given levels, flat where none are given, with every corner of the line among its points."""
    grid = chainages(line.xy)
    along = grid / scale
    at = np.array([0.0, along[-1]] if chainage is None else chainage, dtype=float)
    up = np.zeros(len(at)) if level is None else np.array(level, dtype=float)
    points = [at, along]
    if step is not None:
        points.append(np.arange(0.0, along[-1], step))
    stations = np.unique(np.concatenate(points))
    keep = np.concatenate(([True], np.diff(stations) > 1e-9))
    stations = stations[keep]
    levels = np.interp(stations, at, up)
    slope = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(stations), np.diff(levels)))))
    n = len(stations)
    return GroundLine(
        stations, np.interp(stations * scale, grid, line.xy[:, 0]), np.interp(stations * scale, grid, line.xy[:, 1]),
        levels, np.full(n, 0.02), np.full(n, 3, dtype=np.int64), slope,
        np.abs(stations[:, None] - along[None, :]).argmin(axis=0).astype(np.int64),
        np.full(len(line.xy) - 1, scale), 0.02)


def chain_of(ground: GroundLine, chainage: Sequence[float]) -> GradeChain:
    """Straight grades between given chainages of a profile; its ends are added."""
    at = np.unique(np.concatenate(([0.0], chainage, ground.chainage_m[-1:])))
    stations = np.abs(ground.chainage_m[:, None] - at[None, :]).argmin(axis=0)
    x, z = ground.chainage_m[stations], ground.level_m[stations]
    grade = np.degrees(np.arctan2(np.diff(z), np.diff(x)))
    return GradeChain(stations.astype(np.int64), x, z, np.concatenate(([0.0], np.diff(grade), [0.0])), 0.15)
