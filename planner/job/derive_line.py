"""From one fence line to its plan."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from planner.alignment.checks import check_line
from planner.alignment.corner_accuracy import line_sd
from planner.alignment.corners import corners
from planner.alignment.ground_cover import covered, ground_at
from planner.alignment.line import GroundStretch
from planner.findings import Finding
from planner.geometry.arrays import Floats
from planner.job.crossing_drops import crossing_drops
from planner.job.gate_items import gates_hung
from planner.job.on_old_fences import posts_kept, removed_along
from planner.job.plan import LineInputs, LinePlan
from planner.loads.checks import check_loads
from planner.loads.take_up import pull_plan, take_up_per_m
from planner.loads.turns_and_uplift import PostLoad, post_loads
from planner.materials.section_work import SectionWork
from planner.profile.checks import check_profile
from planner.profile.grade_breaks import grade_chain
from planner.profile.ground_line import GroundLine, ground_line
from planner.sections.checks import check_sections
from planner.sections.joins import JoinPlan, plan_line_joins
from planner.sections.posts import Post, place_posts
from planner.sections.strains import Section, assemblies_of, divide
from planner.setout.numbering import post_names
from planner.setout.pegs import pegs_of
from planner.setout.sight_pegs import sight_pegs
from planner.spec.catalogue import Catalogue
from planner.spec.fence_type import FenceType
from planner.units import Metre

_NO_JOINS = JoinPlan((), ())


def plan_line(inputs: LineInputs, catalogue: Catalogue) -> LinePlan:
    """Everything that follows from one line.

    Args:
        inputs: The line and what it depends on.
        catalogue: Items, end assemblies and ground classes.

    Raises:
        BadFenceType: The fence type asks for an item or assembly that does not exist.
    """
    line, fence, settings = inputs.line, inputs.fence, inputs.settings
    ground = ground_line(line.xy, inputs.levels, grid=inputs.crs, step_m=settings.profile_step_m)
    stretches = covered(line, ground, inputs.areas, catalogue.grounds)
    chain = grade_chain(ground, tolerance_m=settings.grade_tolerance_m)
    sections = divide(line, ground, chain, fence, settings, code=inputs.code, junctions=inputs.junctions,
                      assemblies=catalogue.assemblies)
    posts = place_posts(line if stretches is line.stretches else replace(line, stretches=stretches), ground, chain,
                        sections, fence, settings, catalogue.items, assemblies=catalogue.assemblies)
    loads = post_loads(posts, fence=fence, grounds=catalogue.grounds, sections=sections)
    every = plan_line_joins(line, ground, chain, sections, posts, fence, settings,
                            take_up_per_m=take_up_per_m(fence, catalogue.items, settings),
                            piece_cost=_piece_cost(fence, catalogue))
    joins = {s.id: run for s, run in zip(sections, every, strict=True) if not (s.is_gate or s.is_crossing)}
    sight = sight_pegs(ground, _fixed_stations(posts), eye_m=settings.eye_height_m, target_m=settings.peg_target_m)
    gates = gates_hung(line, ground, sections, catalogue)
    findings: list[Finding] = [
        *check_line(line, ground, settings), *gates.findings,
        *check_profile(line.name, ground, inputs.levels, chain),
        *check_sections(line, ground, sections, every, fence, catalogue.assemblies, junctions=inputs.junctions),
        *check_loads(line, posts, loads, sections, fence, catalogue.assemblies, catalogue.grounds, settings,
                     catalogue.items)]
    return LinePlan(
        inputs=inputs, line=line, code=inputs.code, fence=fence, corner_sd_m=line_sd(line, settings),
        ground=ground, chain=chain, corners=corners(line, ground, settings), sections=sections, posts=posts,
        post_names=tuple(post_names(inputs.code, len(posts))), loads=loads, joins=joins,
        pulls={key: pull_plan([s.take_up_m for s in run.sub_runs], settings) for key, run in joins.items()},
        sight=sight,
        pegs=pegs_of(line.name, inputs.code, ground=ground, posts=posts, sections=sections,
                     joins=[join for run in joins.values() for join in run.joins], sights_m=sight.chainage_m),
        works=_works(inputs, ground, sections, posts, loads, joins, gates=gates.items, stretches=stretches),
        findings=tuple(findings), stretches=stretches)


def _fixed_stations(posts: Sequence[Post]) -> Floats:
    return np.array([p.chainage_m for p in posts if p.kind != "line"])


def _piece_cost(fence: FenceType, catalogue: Catalogue) -> Callable[[Metre], float] | None:
    """Roll joins that a length of mesh needs: what is left to save once the sub-runs are as few as can be."""
    stock = catalogue.items[fence.mesh.item].stock_m if fence.mesh else ()
    if not stock:
        return None
    longest = max(stock)
    return lambda length: max(0.0, math.ceil(length / longest - 1e-9) - 1.0)


def _works(inputs: LineInputs, ground: GroundLine, sections: Sequence[Section], posts: Sequence[Post],
           loads: Sequence[PostLoad], joins: Mapping[str, JoinPlan], *,
           gates: Mapping[str, str], stretches: Sequence[GroundStretch]) -> tuple[SectionWork, ...]:
    charged = assemblies_of(sections, closed=inputs.line.closed)
    drops = crossing_drops(inputs.line, ground, sections, height_m=inputs.fence.height_m)
    mine: dict[str, list[int]] = {section.id: [] for section in sections}
    for index, post in enumerate(posts):
        mine[post.section].append(index)
    stay, removed = posts_kept(inputs, ground, posts), removed_along(inputs, ground, sections)
    return tuple(SectionWork(
        line=inputs.line.name, fence=inputs.fence, section=section,
        posts=tuple(posts[i] for i in mine[section.id]), loads=tuple(loads[i] for i in mine[section.id]),
        joins=joins.get(section.id, _NO_JOINS),
        assemblies=tuple(zip(charged[section.id], ground_at(
            stretches, np.array([end.chainage_m for end in charged[section.id]])), strict=True)),
        gate_item=gates.get(section.id, ""), height_m=inputs.fence.height_m,
        drop_m=drops.get(section.id), kept=frozenset(k for k, i in enumerate(mine[section.id]) if i in stay),
        removed_m=removed.get(section.id, 0.0), removal_h_per_m=inputs.settings.removal_h_per_m)
        for section in sections)
