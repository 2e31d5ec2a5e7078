"""The job that a command works on, and the fence type of the lines it adds."""

from __future__ import annotations

from pathlib import Path

from planner.errors import FileTrouble, PlannerError
from planner.files.job_file import is_job_file, read_job
from planner.files.survey_in import new_job
from planner.job.derive import catalogue_of
from planner.job.job import Job
from planner.settings import Settings

_USUAL_FENCE = "general-mesh"


def job_at(path: Path) -> Job:
    """The job of a path: the one that is there, or an empty one without a grid.

    Args:
        path: Where the job is or shall be.

    Raises:
        FileTrouble: It is not named as a job, or there is no such folder.
        JobTrouble: It cannot be opened.
    """
    if not is_job_file(path):
        raise FileTrouble("a job file is named NAME.job.gpkg", where=str(path),
                          remedy=f"say --job {path.with_suffix('') if path.suffix else path}.job.gpkg")
    if not path.parent.is_dir():
        raise FileTrouble("there is no such folder", where=str(path.parent), remedy="make it, or name another")
    return read_job(path) if path.exists() else new_job(path.name[:-len(".job.gpkg")], Settings())


def fence_of(key: str, job: Job) -> str:
    """The fence type of new lines: the one asked for, else that of the job's first line, else the usual one.

    Args:
        key: Fence type key; empty when none was asked for.
        job: The job.

    Raises:
        PlannerError: There is no such fence type.
    """
    if not key:
        return job.lines[0].fence if job.lines else _USUAL_FENCE
    if key not in catalogue_of(job).fences:
        raise PlannerError(f"there is no fence type '{key}'", remedy="'strainwright fences' lists them")
    return key
