"""``strainwright demo``: the sample farm, planned, with its job pack."""

from __future__ import annotations

import argparse
from pathlib import Path

from planner.commands.bar import Watched
from planner.commands.outputs import all_outputs
from planner.commands.summary import summary
from planner.files.derived_layers import derived_layers
from planner.files.job_file import write_job
from planner.files.sample_farm import sample_job
from planner.job.derive import plan_job
from planner.jobpack.runner import write_pack
from planner.progress import Part


def run(chosen: argparse.Namespace) -> int:
    """Builds the sample job, plans it, and writes the job and its job pack.

    Args:
        chosen: Parsed words: ``to``, ``quiet``.

    Returns:
        0.

    Raises:
        PlannerError: The folder cannot be written.
    """
    folder: Path = chosen.to
    outputs, left_out = all_outputs()
    with Watched(quiet=chosen.quiet) as progress:
        job = sample_job(Part(progress, 0.0, 0.4))
        plan = plan_job(job, progress=Part(progress, 0.4, 0.8))
        written = write_pack(plan, folder, outputs=outputs, progress=Part(progress, 0.8, 0.95))
        job_path = folder / "sample-farm.job.gpkg"
        write_job(job_path, job, derived_layers(plan))
    print(summary(plan))
    print(f"\nJob pack in {folder}: {', '.join(path.name for path in written)}.")
    if left_out:
        print(left_out)
    print(f"The job itself: {job_path}. Try: strainwright check {job_path}")
    return 0
