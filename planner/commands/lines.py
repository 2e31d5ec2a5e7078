"""``strainwright lines``: the fence lines of a job, and what was decided of one: name, fence, ground, wires."""

from __future__ import annotations

import argparse
from typing import cast

from planner.alignment.line import GroundStretch, Side
from planner.commands.bar import Watched
from planner.commands.plan import line_told
from planner.errors import BadSetting, JobTrouble
from planner.files.derived_layers import derived_layers
from planner.files.job_file import read_job, state_of, write_job
from planner.job.derive import catalogue_of, plan_job
from planner.job.edits import ChangeLine, RemoveLine
from planner.job.job import Job
from planner.job.plan import LinePlan


def run(chosen: argparse.Namespace) -> int:
    """Changes one line, when one is named with something to change, and lists all.

    Args:
        chosen: Parsed words: ``job``, ``line``, ``rename``, ``fence``, ``ground``, ``no_ground``, ``wires_on``,
            ``remove``, ``quiet``.

    Returns:
        0.

    Raises:
        PlannerError: The job cannot be opened, planned or written, or what is asked for cannot be.
    """
    was = state_of(chosen.job)
    job = read_job(chosen.job)
    after = changed(job, chosen)
    with Watched(quiet=chosen.quiet) as progress:
        plan = plan_job(after, progress=progress)
    if after is not job:
        write_job(chosen.job, after, derived_layers(plan), was=was)
    print("\n".join(told(line) for line in plan.lines) or "The job has no lines.")
    return 0


def asks_for_change(chosen: argparse.Namespace) -> bool:
    """Whether the words change the job.

    Args:
        chosen: Parsed words.
    """
    return bool(chosen.rename or chosen.fence or chosen.ground or chosen.no_ground or chosen.wires_on
                or chosen.remove)


def changed(job: Job, chosen: argparse.Namespace) -> Job:
    """The job with what the words ask for.

    Args:
        job: The job.
        chosen: Parsed words.

    Raises:
        BadSetting: No line is named, or a value is none.
        JobTrouble: There is no such line.
    """
    if not asks_for_change(chosen):
        return job
    if not chosen.line:
        raise BadSetting("no line is named", where="--line", remedy="say which line with --line NAME")
    line = next((one for one in job.lines if one.name == chosen.line), None)
    if line is None:
        raise JobTrouble(f"there is no line '{chosen.line}'",
                         remedy=f"there is {', '.join(one.name for one in job.lines) or 'none'}")
    if chosen.remove:
        return RemoveLine(line.name).apply(job)
    catalogue = catalogue_of(job)
    if chosen.fence and chosen.fence not in catalogue.fences:
        raise BadSetting(f"there is no fence type '{chosen.fence}'", remedy="'strainwright fences' lists them")
    stretches = None
    if chosen.ground or chosen.no_ground:
        kept = () if chosen.no_ground else line.stretches
        stretches = (*kept, *(_stretch(text, tuple(catalogue.grounds)) for text in chosen.ground))
    return ChangeLine(line.name, chosen.rename or None, chosen.fence or None,
                      wires_on=cast(Side, chosen.wires_on) or None, stretches=stretches).apply(job)


def told(plan: LinePlan) -> str:
    """One line with what was decided of it.

    Args:
        plan: Its plan.
    """
    facts = [f"wires on the {plan.line.wires_on}"] if plan.line.wires_on else []
    facts += [f"{one.ground} from {one.from_m:.1f} to {one.to_m:.1f} m" for one in plan.line.stretches]
    return line_told(plan) + (f"\n  {'; '.join(facts)}" if facts else "")


def _stretch(text: str, grounds: tuple[str, ...]) -> GroundStretch:
    parts = text.split(":")
    try:
        start, end = float(parts[0]), float(parts[1])
        ground = parts[2]
    except (ValueError, IndexError):
        raise BadSetting(f"'{text}' is no stretch of ground", where="--ground",
                         remedy="write it as FROM:TO:CLASS, such as 250:520:ledge") from None
    if ground not in grounds:
        raise BadSetting(f"there is no ground class '{ground}'", where="--ground",
                         remedy=f"use one of {', '.join(grounds)}")
    if not 0.0 <= start < end < 1e7:
        raise BadSetting(f"from {start:g} to {end:g} m is no stretch", where="--ground",
                         remedy="give where it begins, then where it ends")
    return GroundStretch(start, end, ground)
