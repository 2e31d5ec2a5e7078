"""The sample farm as a job: built from ``sample_data/`` in the same way as any user's files."""

from __future__ import annotations

from dataclasses import replace

from planner.files.features_from import features_from
from planner.files.readers.price_list import read_price_list
from planner.files.survey_in import Wanted, new_job, survey_into
from planner.job.derive import catalogue_of
from planner.job.job import Job
from planner.progress import Part, Progress, Unwatched
from planner.settings import Settings
from planner.shipped import sample_data
from planner.survey.features_in import Taking

CREEK = {"part": "centreline", "width": "12"}
"""What its surveyor says of the creek: its middle is drawn, and its banks stand 12 m apart."""


def sample_job(progress: Progress = Unwatched()) -> Job:
    """The sample job: a surveyed boundary, a walked division, terrain, gates, crossings, a creek,
    what stands around the fences, and prices.

    Args:
        progress: Told of each step.

    Raises:
        PlannerError: The sample data are missing or damaged.
    """
    folder = sample_data()
    job = new_job("Sample farm", Settings())
    job = survey_into(job, [folder / "boundary.shp", folder / "survey-points.csv"], [folder / "terrain.tif"],
                      Wanted(fence="general-mesh", stated="EPSG:7855", accuracy="survey"),
                      progress=Part(progress, 0.0, 0.5)).job
    job = survey_into(job, [folder / "division-walk.gpx", folder / "division-points.csv"], [folder / "terrain.tif"],
                      Wanted(fence="sheep-mesh", stated="EPSG:7855", accuracy="handheld"),
                      progress=Part(progress, 0.5, 1.0)).job
    prices, _ = read_price_list(folder / "prices.csv", catalogue_of(job).items)
    notes = job.notes
    job = features_from(job, [folder / "creek.gpkg"], Taking("water", given=CREEK)).job
    job = features_from(job, [folder / "around.gpkg"], Taking()).job
    return replace(job, prices=prices, notes=notes)
