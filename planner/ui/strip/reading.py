"""What the strip tells of one place along a line: level, grade, lean, tension, and what stands there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.alignment.corners import SAME_PLACE_M
from planner.geometry.arrays import Floats, frozen
from planner.job.plan import LinePlan
from planner.sections.friction import far_end_ratio, turning_along
from planner.sections.joins import SubRun
from planner.sections.lean import smoothed_grade
from planner.sections.strains import Section
from planner.units import Degree, Metre


@dataclass(frozen=True)
class RunFigures:
    """Lean and tension along one sub-run, from the end it is pulled at.

    Attributes:
        section: Id of its section.
        at_m: Chainages. [m] Shape (n,).
        lean_deg: Lean of a picket off plumb, downhill along the line positive. [deg] Shape (n,). Zero without mesh.
        tension: Tension over the pull. Shape (n,).
    """

    section: str
    at_m: Floats
    lean_deg: Floats
    tension: Floats


@dataclass(frozen=True)
class Reading:
    """What is known of one chainage.

    Attributes:
        chainage_m: Where. [m]
        level_m: Ground level. [m]
        grade_deg: Grade over the lean window, uphill positive. [deg]
        lean_deg: Lean of a picket. [deg]; None where no mesh hangs.
        tension: Tension over the pull; None where no wire is strained.
        section: Id of the section.
    """

    chainage_m: Metre
    level_m: Metre
    grade_deg: Degree
    lean_deg: Degree | None
    tension: float | None
    section: str


def run_figures(plan: LinePlan, *, step_m: Metre = 4.0) -> tuple[RunFigures, ...]:
    """Lean and tension along every sub-run of a line.

    A section's first sub-run is pulled from its far end, the others from the join before them: the pull is greatest
    at the join and falls away from it.

    Args:
        plan: Plan of the line.
        step_m: Distance between figures. [m]
    """
    settings = plan.inputs.settings
    turning = turning_along(plan.corners, plan.chain)
    found = []
    for section in plan.sections:
        run = plan.joins.get(section.id)
        for number, sub in enumerate(run.sub_runs if run else ()):
            count = max(int(np.ceil((sub.to_m - sub.from_m) / step_m)), 2)
            at = np.linspace(sub.from_m, sub.to_m, count + 1)
            lean = _lean(plan, section, sub, at, settings.lean_window_m)
            inside = np.clip(at, section.from_m + SAME_PLACE_M, section.to_m - SAME_PLACE_M)  # wires end at its ends
            turned, _ = turning.before(inside)
            pulled_at = turned[-1] if number == 0 else turned[0]
            steps, of_step = np.unique(np.abs(turned - pulled_at), return_inverse=True)
            tension = np.array([far_end_ratio(float(t), settings.friction_mu) for t in steps])[of_step]
            found.append(RunFigures(section.id, frozen(at), frozen(lean), frozen(tension)))
    return tuple(found)


def reading_at(plan: LinePlan, figures: tuple[RunFigures, ...], chainage: Metre) -> Reading:
    """What is known of one chainage.

    Args:
        plan: Plan of the line.
        figures: Its lean and tension.
        chainage: Where. [m]
    """
    section = next((s for s in plan.sections if s.from_m <= chainage <= s.to_m), plan.sections[-1])
    run = next((f for f in figures if f.section == section.id and f.at_m[0] <= chainage <= f.at_m[-1]), None)
    grade = smoothed_grade(plan.ground, np.array([chainage]), from_m=section.from_m, to_m=section.to_m,
                           window_m=plan.inputs.settings.lean_window_m)
    return Reading(
        chainage, float(plan.ground.level_at(chainage)), float(grade[0]),
        float(np.interp(chainage, run.at_m, run.lean_deg)) if run and plan.fence.mesh else None,
        float(np.interp(chainage, run.at_m, run.tension)) if run else None, section.id)


def _lean(plan: LinePlan, section: Section, sub: SubRun, at: Floats, window_m: Metre) -> Floats:
    if plan.fence.mesh is None:
        return np.zeros(len(at))
    grade = smoothed_grade(plan.ground, at, from_m=section.from_m, to_m=section.to_m, window_m=window_m)
    return np.asarray(grade - sub.grade_ref_deg)
