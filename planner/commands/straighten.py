"""``strainwright straighten``: a traced line with the fewest corners that stay within a tolerance of it."""

from __future__ import annotations

import argparse
from dataclasses import replace

import numpy as np

from planner.alignment.line import FenceLine
from planner.alignment.straighten import Straightened, straighten
from planner.commands.check import told
from planner.commands.drawn_lines import save_with
from planner.commands.job_in_hand import fence_of, job_at
from planner.errors import NothingToPlan, OutOfRange
from planner.files.job_file import state_of
from planner.files.read import read
from planner.geometry.lines import leg_lengths
from planner.survey.fixes import MeasuredLine
from planner.survey.into_grid import into_grid


def run(chosen: argparse.Namespace) -> int:
    """Straightens every line of a file, adds them to a new or an existing job, plans and saves it.

    Args:
        chosen: Parsed words.

    Returns:
        0.

    Raises:
        PlannerError: The source, a fixed corner or the job cannot be used; the job stays as it was.
    """
    was = state_of(chosen.job)
    job = job_at(chosen.job)
    fence = fence_of(chosen.fence, job)
    survey = into_grid([read(chosen.source)], grid=job.crs, stated=chosen.crs,
                       allow_ballpark=job.settings.allow_ballpark)
    if not survey.lines:
        raise NothingToPlan("there is no line in it that can be straightened", where=str(chosen.source),
                            remedy="give a file with lines or polygons")
    found = [(line, straighten(line.xy, tolerance_m=chosen.tolerance, fixed=_fixed(chosen.fixed, line)))
             for line in survey.lines]
    lines = [FenceLine(line.name, fence, made.xy, line.closed, line.accuracy,
                       origin=f"{line.file}, row {line.row}, straightened within {chosen.tolerance:g} m")
             for line, made in found]
    summary = [straightened_told(line, made) for line, made in found]
    saved = save_with(chosen.job, replace(job, crs=survey.crs), lines, grounds=chosen.ground, stated=chosen.crs,
                      notes=[*survey.notes, *summary], quiet=chosen.quiet, was=was)
    if survey.findings or saved.findings:
        print(told((*survey.findings, *saved.findings)))
    print("\n".join((*summary, *saved.told)))
    return 0


def straightened_told(line: MeasuredLine, made: Straightened) -> str:
    """What straightening one line saved, in one sentence.

    Args:
        line: The traced line.
        made: The straightened one.
    """
    longer = "longer" if made.metres_added >= 0 else "shorter"
    return (f"{line.name}: {line.corner_count} corners became {line.corner_count - made.corners_saved}, "
            f"{made.corners_saved} saved; {float(np.sum(leg_lengths(made.xy))):.1f} m, "
            f"{abs(made.metres_added):.1f} m {longer}; nowhere more than {made.greatest_shift_m:.2f} m off.")


def _fixed(text: str, line: MeasuredLine) -> list[int]:
    """Corners that stay where they are, counted from 1 as a person does."""
    found = []
    for word in (part.strip() for part in text.split(",") if part.strip()):
        if not word.isdigit() or not 1 <= int(word) <= len(line.xy):
            raise OutOfRange(f"'{word}' is no corner of '{line.name}'", where="--fixed",
                             remedy=f"give numbers from 1 to {len(line.xy)}, as 1,4,9")
        found.append(int(word) - 1)
    return found
