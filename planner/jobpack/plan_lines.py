"""Fence lines as ``plan.json`` tells them: SI units in the names, angles in degrees, arrays along the line."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from planner.alignment.corner_accuracy import corner_sd
from planner.geometry.arrays import Floats
from planner.job.plan import LinePlan
from planner.job.roll_joins import SectionJoin
from planner.loads.turns_and_uplift import PostLoad
from planner.profile.length_uncertainty import slope_length_sd
from planner.sections.joins import JoinPlan
from planner.sections.posts import Post
from planner.sections.strains import Section, SectionEnd
from planner.survey.datum import to_lonlat
from planner.survey.ground import SOURCE_NAMES


def rounded(value: float, digits: int = 4) -> float:
    """A number as it is written: rounded, and never minus zero."""
    return round(float(value), digits) + 0.0


def line_record(plan: LinePlan, *, crs: str, joins: Mapping[str, tuple[SectionJoin, ...]]) -> dict[str, Any]:
    """One fence line.

    Args:
        plan: The line's plan.
        crs: Working grid of the job.
        joins: Section id to its joins, mid-run and roll joins together.
    """
    ground, line = plan.ground, plan.line
    whole = np.array([ground.chainage_m[-1]])
    sd = corner_sd(line, plan.inputs.settings)
    return {
        "name": line.name, "fence": line.fence, "closed": line.closed,
        "plan_length_m": rounded(ground.chainage_m[-1]),
        "grid_length_m": rounded(np.hypot(*np.diff(line.xy, axis=0).T).sum()),
        "slope_length_m": rounded(ground.slope_m[-1]),
        "length_sd_m": rounded(slope_length_sd(ground, corner_sd_m=sd, from_m=np.zeros(1), to_m=whole)[0]),
        "vertices": _vertices(plan, crs),
        "profile": {"chainage_m": _numbers(ground.chainage_m, 3), "level_m": _numbers(ground.level_m, 3),
                    "source": [SOURCE_NAMES[code] for code in ground.source.tolist()]},
        "grade_breaks": [
            {"chainage_m": rounded(c, 3), "level_m": rounded(z, 3), "break_deg": rounded(b, 3)}
            for c, z, b in zip(plan.chain.chainage_m[1:-1], plan.chain.level_m[1:-1], plan.chain.break_deg[1:-1],
                               strict=True)],
        "sections": [_section(plan, section, joins.get(section.id, ())) for section in plan.sections],
        "posts": _posts(plan, crs),
        "sight_pegs": [{"chainage_m": rounded(peg.chainage_m, 3), "name": peg.name, "x": rounded(peg.x, 3),
                        "y": rounded(peg.y, 3), "level_m": rounded(peg.level_m, 3)}
                       for peg in plan.pegs if peg.kind == "sight"],
    }


def _numbers(values: Floats, digits: int) -> list[float]:
    numbers: list[float] = (np.round(values, digits) + 0.0).tolist()
    return numbers


def _vertices(plan: LinePlan, crs: str) -> list[dict[str, Any]]:
    lonlat = to_lonlat(plan.line.xy, crs)
    return [
        {"x": rounded(x), "y": rounded(y), "lon": rounded(lon, 9), "lat": rounded(lat, 9),
         "chainage_m": rounded(corner.chainage_m, 3), "turn_deg": rounded(corner.turn_deg, 3), "role": corner.role}
        for (x, y), (lon, lat), corner in zip(plan.line.xy, lonlat, plan.corners, strict=True)]


def _end(end: SectionEnd) -> dict[str, Any]:
    return {"causes": list(end.causes), "assembly": end.assembly, "directions": end.directions,
            "turn_deg": rounded(end.turn_deg, 3), "break_deg": rounded(end.break_deg, 3)}


def _section(plan: LinePlan, section: Section, joins: tuple[SectionJoin, ...]) -> dict[str, Any]:
    fence = plan.fence
    strained = section.id in plan.joins
    run = plan.joins.get(section.id, JoinPlan((), ()))
    pull = plan.pulls.get(section.id)
    return {
        "id": section.id, "from_m": rounded(section.from_m), "to_m": rounded(section.to_m),
        "kind": "gate" if section.is_gate else "crossing" if section.is_crossing else "run",
        "plan_length_m": rounded(section.plan_length_m), "slope_length_m": rounded(section.slope_length_m),
        "length_sd_m": rounded(section.length_sd_m), "start": _end(section.start), "end": _end(section.end),
        "grade_min_deg": rounded(section.grade_min_deg, 3), "grade_max_deg": rounded(section.grade_max_deg, 3),
        "pull_kN": rounded(fence.pull_n / 1000 if strained else 0.0),
        "pull_height_m": rounded(fence.pull_height_m if strained else 0.0),
        "far_end_ratio": rounded(min((s.far_end_ratio for s in run.sub_runs), default=1.0)),
        "take_up_m": rounded(pull.take_up_m if pull else 0.0),
        "clamp_station_m": rounded(pull.clamp_station_m if pull else 0.0), "bites": pull.bites if pull else 0,
        "joins": [{"chainage_m": rounded(j.chainage_m, 3), "kind": j.kind, "reasons": list(j.reasons),
                   "top_bottom_allowance_m": rounded(j.top_bottom_allowance_m)} for j in joins],
        "subruns": [{"from_m": rounded(s.from_m, 3), "to_m": rounded(s.to_m, 3),
                     "slope_length_m": rounded(s.slope_length_m), "grade_ref_deg": rounded(s.grade_ref_deg, 3),
                     "lean_max_deg": rounded(s.lean_max_deg, 3), "far_end_ratio": rounded(s.far_end_ratio),
                     "take_up_m": rounded(s.take_up_m)} for s in run.sub_runs],
        "limits_not_kept": list(run.unmet),
    }


def _posts(plan: LinePlan, crs: str) -> list[dict[str, Any]]:
    if not plan.posts:
        return []
    at = np.array([post.chainage_m for post in plan.posts])
    x, y = plan.ground.place_at(at)
    level = plan.ground.level_at(at)
    lonlat = to_lonlat(np.column_stack((x, y)), crs)
    return [_post(*row) for row in zip(plan.posts, plan.loads, plan.post_names, x, y, level, lonlat, strict=True)]


def _post(post: Post, load: PostLoad, name: str, x: float, y: float, level: float, lonlat: Floats) -> dict[str, Any]:
    return {
        "id": name, "kind": post.kind, "section": post.section, "item": post.item,
        "chainage_m": rounded(post.chainage_m, 3), "x": rounded(x, 3), "y": rounded(y, 3),
        "lon": rounded(lonlat[0], 8), "lat": rounded(lonlat[1], 8), "level_m": rounded(level, 3),
        "turn_deg": rounded(post.turn_deg, 3), "break_deg": rounded(post.break_deg, 3),
        "side_force_kN": rounded(load.side_n / 1000), "uplift_kN": rounded(load.uplift_n / 1000),
        "hold_down": load.hold_down,
    }
