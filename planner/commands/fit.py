"""``strainwright fit``: a noisy track fitted to corners and straights, and added to a job."""

from __future__ import annotations

import argparse

import numpy as np

from planner.commands.bar import Watched
from planner.commands.check import told
from planner.commands.job_in_hand import fence_of, job_at
from planner.commands.plan import line_told
from planner.files.derived_layers import derived_layers
from planner.files.job_file import state_of, write_job
from planner.files.survey_in import Wanted, survey_into
from planner.geometry.lines import leg_lengths, turns
from planner.job.adding import Fitting
from planner.job.derive import plan_job
from planner.progress import Part
from planner.survey.track_fit import TrackFit


def run(chosen: argparse.Namespace) -> int:
    """Fits every track and line of a file, adds them to a new or an existing job, and tells corners and lengths.

    Args:
        chosen: Parsed words.

    Returns:
        0.

    Raises:
        PlannerError: The track or the job cannot be used; the job stays as it was.
    """
    was = state_of(chosen.job)
    job = job_at(chosen.job)
    wanted = Wanted(fence=fence_of(chosen.fence, job), stated=chosen.crs,
                    fitting=Fitting(others=True, tolerance_m=chosen.tolerance))
    with Watched(quiet=chosen.quiet) as progress:
        surveyed = survey_into(job, [chosen.track], chosen.ground, wanted, progress=Part(progress, 0.0, 0.5))
        plan = plan_job(surveyed.job, progress=Part(progress, 0.5, 0.95))
        write_job(chosen.job, surveyed.job, derived_layers(plan), was=was)
    troubles = [f for f in surveyed.findings if f.rule != "line-50"]
    if troubles:
        print(told(tuple(troubles)))
    for name, fit in surveyed.fits.items():
        print(fit_told(name, fit) + "\n")
    for line in plan.lines:
        if line.line.name in surveyed.added:
            print(line_told(line))
    print(f"{chosen.job}: {len(plan.lines)} {'line' if len(plan.lines) == 1 else 'lines'}.")
    return 0


def fit_told(name: str, fit: TrackFit) -> str:
    """A fit as a table of its corners, with what was left out and the lengths before and after.

    Args:
        name: Name of the line.
        fit: How it was fitted.
    """
    turn = np.degrees(turns(fit.corners, closed=fit.closed)) if len(fit.corners) > 1 else np.zeros(len(fit.corners))
    legs = [*leg_lengths(fit.corners), np.nan]
    rows = ["corner      east m       north m    known to m    turn deg    to the next m"]
    for number, ((x, y), sd, angle, leg) in enumerate(zip(fit.corners, fit.corner_sd_m, turn, legs, strict=True), 1):
        rows.append(f"{number:>6}{x:>12.1f}{y:>14.1f}{sd:>14.1f}{angle:>12.1f}"
                    + (f"{leg:>17.1f}" if np.isfinite(leg) else f"{'':>17}"))
    over = 100.0 * (fit.raw_length_m / fit.fitted_length_m - 1.0) if fit.fitted_length_m > 0 else 0.0
    rows.append(f"{name}: {fit.fitted_length_m:.1f} m fitted, give or take {fit.fitted_length_sd_m:.1f} m; "
                f"{fit.raw_length_m:.1f} m as recorded ({over:+.1f} %). Noise about {fit.noise_m:.1f} m.")
    rows += [f"Left out: {part.text}." for part in fit.removed]
    if fit.closed:
        rows.append("It comes back to its start and was closed.")
    return "\n".join(rows)
