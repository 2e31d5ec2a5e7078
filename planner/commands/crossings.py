"""``strainwright crossings``: where lines meet water without a crossing, and what these places ask for."""

from __future__ import annotations

import argparse

from planner.commands.bar import Watched
from planner.files.derived_layers import derived_layers
from planner.files.job_file import read_job, state_of, write_job
from planner.job.derive import plan_job
from planner.job.edits import AddCrossing
from planner.job.job import Job
from planner.job.names import Names
from planner.progress import Part
from planner.surroundings.crossing_places import Proposed, crossing_of, proposals

CAUTION = ("Spans and depths are proposals from what is drawn and from the profile: look at the banks, the bed and the "
           "flood marks, and ask who answers for the waterway before anything is built there.")


def run(chosen: argparse.Namespace) -> int:
    """Lists the places where lines meet water without a crossing; with ``place`` it puts a crossing at each.

    Args:
        chosen: Parsed words: ``job``, ``place``, ``quiet``.

    Returns:
        0.

    Raises:
        PlannerError: The job cannot be opened, planned or written.
    """
    was = state_of(chosen.job)
    job = read_job(chosen.job)
    with Watched(quiet=chosen.quiet) as progress:
        plan = plan_job(job, progress=Part(progress, 0.0, 0.5))
        found = proposals(job.lines, job.features, {line.line.name: line.ground for line in plan.lines})
        if chosen.place and found:
            after = placed(job, found)
            write_job(chosen.job, after, derived_layers(plan_job(after, progress=Part(progress, 0.5, 1.0))), was=was)
    if not found:
        print("No line meets marked water without a crossing.")
        return 0
    print("\n".join(told(one) for one in found))
    print(f"{len(found)} placed." if chosen.place else "--place puts a crossing at each.")
    print(CAUTION)
    return 0


def placed(job: Job, found: tuple[Proposed, ...]) -> Job:
    """A job with a crossing at each of some places.

    Args:
        job: The job.
        found: The places.
    """
    names = Names([*(crossing.name for line in job.lines for crossing in line.crossings),
                   *(gate.name for line in job.lines for gate in line.gates)])
    for one in found:
        job = AddCrossing(one.line, crossing_of(one, names.own(one.water or "Crossing"))).apply(job)
    return job


def told(one: Proposed) -> str:
    """One place as a person reads it on a terminal.

    Args:
        one: The place.
    """
    depth = f", {one.depth_m:.1f} m deep" if one.depth_m is not None else ""
    slope = f", banks up to {one.slope_deg:.0f} deg" if one.slope_deg is not None else ""
    how = "" if one.is_measured else " (the usual span: the width of the water is not known)"
    return (f"{one.line} at {one.at_m:.1f} m meets {one.water or 'water'}: span {one.span_m:.0f} m{depth}{slope}{how}")
