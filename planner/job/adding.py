"""What was measured becomes what is to be fenced: lines, gates and crossings, added to a job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from planner.alignment.line import FenceLine
from planner.findings import Finding, Place
from planner.geometry.arrays import Floats, frozen
from planner.geometry.feet import feet_on
from planner.geometry.lines import leg_lengths, repeated
from planner.job.job import Job
from planner.job.meeting import met_lines
from planner.job.names import Names
from planner.job.openings_in import with_openings
from planner.survey.fixes import Accuracy, MeasuredLine, MeasuredPoint
from planner.survey.track_fit import CLOSED_M, TrackFit, fit_track
from planner.units import Metre

RULES = {
    "line-50": "a walked track was fitted to corners and straights",
    "line-51": "the end of a line was taken to meet the line it stops beside",
    "line-52": "a gate or crossing in the survey stands on no line",
    "line-53": "a gate or crossing in the survey has no width",
    "line-59": "a line is in the job already and was added again",
    "line-54": "a walked track could not be fitted and is taken as walked",
}


@dataclass(frozen=True)
class Added:
    """A job with more lines, and what was noticed while adding them.

    Attributes:
        job: The job with the lines.
        names: Names of the lines that were added.
        findings: What was noticed.
        fits: Name of a line that was fitted to how it was.
    """

    job: Job
    names: tuple[str, ...]
    findings: tuple[Finding, ...]
    fits: Mapping[str, TrackFit] = field(default_factory=dict)


@dataclass(frozen=True)
class Fitting:
    """Which measured lines are fitted to corners and straights, and how nearly.

    Attributes:
        tracks: True to fit walked tracks.
        others: True to fit routes and drawn lines as well.
        tolerance_m: How near the fit must stay; None for the likeliest corners. [m]
    """

    tracks: bool = True
    others: bool = False
    tolerance_m: Metre | None = None

    def fits(self, line: MeasuredLine) -> bool:
        """Whether a measured line is fitted."""
        return self.tracks if line.kind == "track" else self.others


AS_READ = Fitting(tracks=False)
FIT_TRACKS = Fitting()


def add_lines(job: Job, measured: Sequence[MeasuredLine], points: Sequence[MeasuredPoint], *, fence: str,
              accuracy: Accuracy | None = None, fitting: Fitting = FIT_TRACKS) -> Added:
    """Adds measured lines to a job as fence lines, with the gates and crossings that stand on them.

    Walked tracks are fitted to corners and straights unless they are wanted as walked. The end of a line that stops
    beside another line, within twice the standard deviation of its corners, is taken to meet it. Points coded
    ``gate`` or ``crossing`` go to the nearest line; all other points with a level are kept as surveyed ground.

    Args:
        job: The job; its own lines stay as they are.
        measured: Lines in the job's grid.
        points: Points in the job's grid.
        fence: Fence type key of the new lines.
        accuracy: Accuracy class of the new lines where a person knows better than the reader.
        fitting: Which lines are fitted to corners and straights.
    """
    findings: list[Finding] = []
    names = Names(line.name for line in job.lines)
    own = _by_corners(job.lines)
    fresh: list[FenceLine] = []
    fits: dict[str, TrackFit] = {}
    twice: dict[str, list[tuple[MeasuredLine, str, str]]] = {}
    for source in measured:
        name = names.own(source.name)
        xy, sd = source.xy, None
        if fitting.fits(source):
            fits[name] = fit_track(source.xy, time_s=source.time_s, tolerance_m=fitting.tolerance_m,
                                   closed=True if source.closed else None)
            xy, sd = _fitted(source, name, fits[name], findings)
        if twin := own.get(_corners_key(xy)):
            twice.setdefault(source.file, []).append((source, name, twin))
        fresh.append(FenceLine(name, fence, xy, source.closed or bool((xy[0] == xy[-1]).all() and len(xy) > 3),
                               accuracy or source.accuracy, origin=f"{source.file}, row {source.row}",
                               corner_sd_m=sd))
    findings += [_added_twice(twins) for twins in twice.values()]
    fresh = met_lines(fresh, job.lines, job.settings, findings)
    lines = with_openings((*job.lines, *fresh), points, job.settings, findings)
    ground = tuple(p for p in points if p.level_m is not None)
    return Added(replace(job, lines=lines, points=(*job.points, *ground)), tuple(line.name for line in fresh),
                 tuple(findings), fits)


def _corners_key(xy: Floats) -> tuple[tuple[int, ...], bytes]:
    """Equal for lines that are the same corner by corner."""
    return xy.shape, (xy + 0.0).tobytes()  # adding 0 makes one zero of the two


def _by_corners(lines: Sequence[FenceLine]) -> dict[tuple[tuple[int, ...], bytes], str]:
    """Corners of lines to the name of the first line with them."""
    return {_corners_key(line.xy): line.name for line in reversed(lines)}


def _added_twice(twins: Sequence[tuple[MeasuredLine, str, str]]) -> Finding:
    """What is said of the lines of one file that were in the job already."""
    source, name, twin = twins[0]
    if len(twins) == 1:
        return Finding(
            "line-59", "warning", f"'{source.name}' is in the job already, corner by corner, as '{twin}'; it was "
            f"added again as '{name}'.", "Remove one of them, or say --replace to start over.",
            Place(line=name, file=source.file, row=source.row))
    return Finding(
        "line-59", "warning", f"{len(twins)} lines of the file are in the job already, corner by corner, '{twin}' the "
        f"first; they were added again, that one as '{name}'.", "Undo, or remove the new ones, or say --replace to "
        "start over.", Place(file=source.file))


def _fitted(track: MeasuredLine, name: str, fit: TrackFit, findings: list[Finding],
            ) -> tuple[Floats, Floats | None]:
    """Corners, and the standard deviation of each as the fit found it; None for what is kept as walked."""
    place = Place(line=name, file=track.file, row=track.row)
    stays = ~repeated(fit.corners, within=0.001)
    corners = fit.corners[stays]
    if len(corners) < 2:
        findings.append(Finding(
            "line-54", "warning", f"The walk '{name}' holds no straight that could be found; it is kept as walked.",
            "Draw the line through its corners.", place))
        return track.xy, None
    if len(corners) == len(track.xy):  # every fix is a corner: nothing was fitted
        return frozen(corners), frozen(fit.corner_sd_m[stays])
    removed = "; ".join(part.text for part in fit.removed)
    gap = float(np.hypot(*(track.xy[-1] - track.xy[0])))
    kept = track.xy[fit.kept]
    _, off = feet_on(corners, kept, within=float(np.hypot(*np.ptp(np.vstack((corners, kept)), axis=0))) + 1.0)
    closing = f"; its ends, {gap:.0f} m apart, were taken to meet" if fit.closed and gap > 1.0 else ""
    findings.append(Finding(
        "line-50", "warning" if fit.closed and gap > CLOSED_M else "note",
        f"{'The walk' if track.kind == 'track' else 'The line'} '{name}' of {len(track.xy)} fixes, "
        f"{float(leg_lengths(track.xy).sum()):.0f} m as recorded, was fitted to "
        f"{len(corners)} corners and {fit.fitted_length_m:.0f} m{closing}; half its fixes lie within "
        f"{float(np.median(off)):.1f} m of that line, the farthest {float(off.max()):.0f} m off"
        + (f"; left out: {removed}." if removed else "."),
        "Compare the corners with the ground before pegging, or plan it as walked.", place))
    return frozen(corners), frozen(fit.corner_sd_m[stays])
