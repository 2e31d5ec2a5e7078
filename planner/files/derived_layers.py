"""Derived layers: sections, posts, joins and pegs as any GIS shows them. Written, never read back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import shapely

from planner.files.geopackage import Layer
from planner.files.job_file import DerivedLayer
from planner.job.plan import JobPlan, LinePlan
from planner.job.roll_joins import section_joins
from planner.sections.strains import Section
from planner.units import Metre

FENCE_LINES = Layer("fence_lines", "LINESTRING", (
    ("line", "TEXT"), ("code", "TEXT"), ("fence", "TEXT"), ("closed", "BOOLEAN"), ("accuracy", "TEXT"),
    ("plan_length_m", "DOUBLE"), ("slope_length_m", "DOUBLE")), has_z=True, description="fence lines, whole")
SECTIONS = Layer("sections", "LINESTRING", (
    ("section", "TEXT"), ("line", "TEXT"), ("fence", "TEXT"), ("kind", "TEXT"), ("from_m", "DOUBLE"),
    ("to_m", "DOUBLE"), ("slope_length_m", "DOUBLE"), ("pull_kN", "DOUBLE"), ("mid_run_joins", "INTEGER")), has_z=True,
    description="straining sections, computed")
POSTS = Layer("posts", "POINT", (
    ("name", "TEXT"), ("kind", "TEXT"), ("section", "TEXT"), ("item", "TEXT"), ("chainage_m", "DOUBLE"),
    ("side_kN", "DOUBLE"), ("uplift_kN", "DOUBLE"), ("hold_down", "TEXT")), has_z=True, description="posts, computed")
JOINS = Layer("joins", "POINT", (
    ("section", "TEXT"), ("kind", "TEXT"), ("chainage_m", "DOUBLE"), ("reasons", "TEXT")), has_z=True,
    description="mid-run and roll joins, computed")
PEGS = Layer("pegs", "POINT", (
    ("name", "TEXT"), ("kind", "TEXT"), ("line", "TEXT"), ("section", "TEXT"), ("chainage_m", "DOUBLE")), has_z=True,
    description="set-out points, computed")


def exchange_layers(plan: JobPlan) -> Iterator[DerivedLayer]:
    """What goes out to other people's programs: whole fence lines, then the derived layers.

    Args:
        plan: The plan.
    """
    yield (FENCE_LINES, [(line.line.name, line.code, line.fence.key, int(line.line.closed), line.line.accuracy,
                          float(line.ground.chainage_m[-1]), float(line.ground.slope_m[-1])) for line in plan.lines],
           [_stretch(line, 0.0, float(line.ground.chainage_m[-1])) for line in plan.lines])
    yield from derived_layers(plan)


def derived_layers(plan: JobPlan) -> Iterator[DerivedLayer]:
    """The derived layers of a plan, each with its rows and shapes.

    Args:
        plan: The plan.
    """
    yield (SECTIONS, [_section_row(line, s) for line in plan.lines for s in line.sections],
           [_stretch(line, s.from_m, s.to_m) for line in plan.lines for s in line.sections])
    yield POSTS, [row for line in plan.lines for row in _post_rows(line)], _points(
        [(line, [post.chainage_m for post in line.posts]) for line in plan.lines])
    joins = section_joins(plan.lines, plan.roll_plans)
    found = [(line, [(s.id, j) for s in line.sections for j in joins.get(s.id, ())]) for line in plan.lines]
    yield (JOINS, [(section, j.kind, j.chainage_m, "; ".join(j.reasons)) for _, rows in found for section, j in rows],
           _points([(line, [j.chainage_m for _, j in rows]) for line, rows in found]))
    yield (PEGS, [(p.name, p.kind, p.line, p.section, p.chainage_m) for line in plan.lines for p in line.pegs],
           [shapely.Point(p.x, p.y, p.level_m) for line in plan.lines for p in line.pegs])


def _section_row(line: LinePlan, section: Section) -> tuple[Any, ...]:
    kind = "gate" if section.is_gate else "crossing" if section.is_crossing else "run"
    run = line.joins.get(section.id)
    return (section.id, line.line.name, line.fence.key, kind, section.from_m, section.to_m, section.slope_length_m,
            line.fence.pull_n / 1000 if run else 0.0, len(run.joins) if run else 0)


def _stretch(line: LinePlan, from_m: Metre, to_m: Metre) -> shapely.Geometry:
    """A stretch of a line through its corners and grade breaks, with levels."""
    ground = line.ground
    inner = np.concatenate((ground.chainage_m[ground.vertices], line.chain.chainage_m))
    at = np.unique(np.concatenate(([from_m, to_m], inner[(inner > from_m) & (inner < to_m)])))
    x, y = ground.place_at(at)
    return shapely.LineString(np.column_stack((x, y, ground.level_at(at))))


def _post_rows(line: LinePlan) -> list[tuple[Any, ...]]:
    return [(name, p.kind, p.section, p.item, p.chainage_m, load.side_n / 1000, load.uplift_n / 1000, load.hold_down)
            for name, p, load in zip(line.post_names, line.posts, line.loads, strict=True)]


def _points(places: Sequence[tuple[LinePlan, list[float]]]) -> list[shapely.Geometry]:
    shapes: list[shapely.Geometry] = []
    for line, chainages in places:
        if chainages:
            at = np.array(chainages)
            x, y = line.ground.place_at(at)
            shapes += list(shapely.points(x, y, line.ground.level_at(at)))
    return shapes
