"""``strainwright pack``: the job pack of a job."""

from __future__ import annotations

import argparse

from planner.commands.bar import Watched
from planner.commands.outputs import all_outputs
from planner.files.job_file import read_job
from planner.job.derive import plan_job
from planner.jobpack.page.form import SheetChoice
from planner.jobpack.runner import chosen as chosen_outputs
from planner.jobpack.runner import write_pack
from planner.progress import Part


def run(chosen: argparse.Namespace) -> int:
    """Writes the job pack.

    Args:
        chosen: Parsed words: ``job``, ``to``, ``only``, ``units``, ``paper``, ``quiet``.

    Returns:
        0.

    Raises:
        PlannerError: The job cannot be opened or planned, a file name is unknown, or the folder cannot be written.
    """
    names = [name.strip() for name in chosen.only.split(",") if name.strip()]
    outputs, left_out = all_outputs(SheetChoice(units=chosen.units, drawings=chosen.paper), asked=names)
    chosen_outputs(names, outputs)
    job = read_job(chosen.job)
    with Watched(quiet=chosen.quiet) as progress:
        plan = plan_job(job, progress=Part(progress, 0.0, 0.8), processes=None)
        written = write_pack(plan, chosen.to, names=names, outputs=outputs, progress=Part(progress, 0.8, 1.0))
    for path in written:
        print(path)
    if left_out and not names:
        print(left_out)
    return 0
