"""Lines that a command worked out, added to a job, levelled, planned and saved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from planner.alignment.line import FenceLine
from planner.commands.bar import Watched
from planner.commands.plan import line_told
from planner.errors import OutOfRange
from planner.files.derived_layers import derived_layers
from planner.files.job_file import FileState, write_job
from planner.files.survey_in import Wanted, survey_into
from planner.findings import Finding
from planner.job.derive import plan_job
from planner.job.edits import AddLine
from planner.job.edits.lines import free_name
from planner.job.job import Job
from planner.progress import Part
from planner.units import Metre


@dataclass(frozen=True)
class Saved:
    """A job that was saved with more lines.

    Attributes:
        names: Names that the new lines were given.
        findings: What was noticed about their ground.
        told: One sentence for each new line, and one for the job.
    """

    names: tuple[str, ...]
    findings: tuple[Finding, ...]
    told: tuple[str, ...]


def position_of(text: str, option: str) -> tuple[Metre, Metre]:
    """East and north from ``E,N``. [m]

    Args:
        text: As written.
        option: Which option it was given to.

    Raises:
        OutOfRange: It is not two numbers.
    """
    parts = text.replace(";", ",").split(",")
    try:
        east, north = (float(part) for part in parts)
    except ValueError:
        raise OutOfRange(f"'{text}' is no position", where=option,
                         remedy="give east and north in metres, as 455200,5951800") from None
    if not (abs(east) < 1e8 and abs(north) < 1e8):
        raise OutOfRange(f"'{text}' is no position on a grid", where=option, remedy="give east and north in metres")
    return east, north


def save_with(path: Path, job: Job, lines: Sequence[FenceLine], *, grounds: Sequence[Path], stated: str,
              notes: Sequence[str], quiet: bool, was: FileState) -> Saved:
    """Adds lines to a job, takes the ground along them, plans the job anew and saves it.

    Args:
        path: Where the job is or shall be.
        job: The job, with a grid.
        lines: New lines.
        grounds: Terrain rasters and files of surveyed points, best first; surveyed points of the job serve as well.
        stated: Coordinate system of grounds that state none.
        notes: What to write down in the job.
        quiet: True when no progress bar shall be shown.
        was: State of the job's file before it was read.

    Raises:
        PlannerError: A ground cannot be read, or the job cannot be planned or saved; it then stays as it was.
    """
    names: list[str] = []
    for line in lines:
        names.append(free_name(line.name, job))
        job = AddLine(line).apply(job)
    job = replace(job, notes=tuple(dict.fromkeys((*job.notes, *notes))))
    findings: tuple[Finding, ...] = ()
    with Watched(quiet=quiet) as progress:
        if grounds or job.points:
            surveyed = survey_into(job, [], grounds, Wanted(fence=job.lines[-1].fence, stated=stated),
                                   progress=Part(progress, 0.0, 0.5))
            job, findings = surveyed.job, surveyed.findings
        plan = plan_job(job, progress=Part(progress, 0.5, 0.95))
        write_job(path, job, derived_layers(plan), was=was)
    told = [line_told(line) for line in plan.lines if line.line.name in names]
    told.append(f"{path}: {len(plan.lines)} {'line' if len(plan.lines) == 1 else 'lines'}, {len(plan.findings)} to "
                f"look at; 'strainwright check {path}' lists them.")
    return Saved(tuple(names), findings, tuple(told))
