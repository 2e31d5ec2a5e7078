"""``strainwright plan``: lines from files, planned into a job."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import cast

from planner.commands.bar import Watched
from planner.commands.check import told
from planner.commands.job_in_hand import fence_of, job_at
from planner.commands.words import columns_said, pairs
from planner.errors import BadSetting
from planner.files.derived_layers import derived_layers
from planner.files.job_file import state_of, write_job
from planner.files.survey_in import Wanted, survey_into
from planner.job.adding import AS_READ, FIT_TRACKS
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.job.plan import JobPlan, LinePlan
from planner.progress import Part
from planner.settings import ACCURACY_CLASSES
from planner.survey.fixes import Accuracy


def run(chosen: argparse.Namespace) -> int:
    """Reads sources into a new or an existing job, plans it and saves it.

    Args:
        chosen: Parsed words.

    Returns:
        0.

    Raises:
        PlannerError: A source, the job, a fence type or a setting cannot be used; the job stays as it was.
    """
    settings = pairs(chosen.set, "--set", "NAME=VALUE")
    was = state_of(chosen.job)
    job = _job(chosen.job, settings, replacing=chosen.replace)
    wanted = Wanted(fence=fence_of(chosen.fence, job), stated=chosen.crs, accuracy=_accuracy(chosen.accuracy),
                    columns=columns_said(chosen.columns),
                    fitting=AS_READ if chosen.as_walked else FIT_TRACKS,
                    share_edges=chosen.share_edges, close_m=chosen.close_gaps)
    with Watched(quiet=chosen.quiet) as progress:
        surveyed = survey_into(job, chosen.sources, chosen.ground, wanted, progress=Part(progress, 0.0, 0.5))
        if chosen.wires_on:
            surveyed = replace(surveyed, job=replace(surveyed.job, lines=tuple(
                replace(line, wires_on=chosen.wires_on) if line.name in surveyed.added else line
                for line in surveyed.job.lines)))
        plan = plan_job(surveyed.job, progress=Part(progress, 0.5, 0.95), processes=None)
        write_job(chosen.job, surveyed.job, derived_layers(plan), was=was)
    if surveyed.findings:
        print(told(surveyed.findings))
    for line in plan.lines:
        if line.line.name in surveyed.added:
            print(line_told(line))
    print(f"{chosen.job}: {len(plan.lines)} {'line' if len(plan.lines) == 1 else 'lines'}, "
          f"{len(plan.findings)} to look at{_errors(plan)}; 'strainwright check {chosen.job}' lists them.")
    return 0


def _errors(plan: JobPlan) -> str:
    errors = sum(f.severity == "error" and not f.waived for f in plan.findings)
    return f", {errors} of them {'an error' if errors == 1 else 'errors'}" if errors else ""


def line_told(plan: LinePlan) -> str:
    """One fence line in one line of text.

    Args:
        plan: Its plan.
    """
    runs = [s for s in plan.sections if s.id in plan.joins]
    joins = sum(len(run.joins) for run in plan.joins.values())
    return (f"{plan.line.name}: {plan.fence.key}, {plan.ground.slope_m[-1]:.1f} m on the ground, "
            f"{len(runs)} {'strain' if len(runs) == 1 else 'strains'}, {joins} mid-run "
            f"{'join' if joins == 1 else 'joins'}, {len(plan.posts)} posts, "
            f"pull {plan.fence.pull_n / 1000:.1f} kN (advisory)")


def _job(path: Path, settings: Mapping[str, str], *, replacing: bool) -> Job:
    job = job_at(path)
    if replacing:
        job = replace(job, lines=(), levels={}, points=(), notes=(), noticed=(), waivers=())
    return replace(job, settings=job.settings.changed(settings))


def _accuracy(name: str) -> Accuracy | None:
    if name and name not in ACCURACY_CLASSES:
        raise BadSetting(f"there is no accuracy class '{name}'", remedy=f"use one of {', '.join(ACCURACY_CLASSES)}")
    return cast(Accuracy, name) if name else None
