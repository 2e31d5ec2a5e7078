"""Findings of single mistakes in plain jobs, set aside one by one in the plan of the whole job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from plain_jobs import EAST, NORTH, straight_job
from waiving import check_waiver

from planner.job.job import Job
from planner.settings import Settings
from planner.shipped import resources
from planner.survey.ground import SURVEY, TRACK, LevelQuality, RecordedLevels


def _own(fence: str, *changes: tuple[str, str]) -> Job:
    """A plain job whose fence type differs from the shipped one in some lines of its file."""
    text = (resources() / "fences" / f"{fence}.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return replace(straight_job(100.0, fence), own_fences={fence: text})


def _levelled(*, track_from_m: float = np.inf, jump_m: float = 0.0, noise_m: float = 0.05,
              quality: LevelQuality | None = None) -> Job:
    """A plain job on flat ground, levels of a walk from some distance on, higher by a jump."""
    job = straight_job(100.0)
    at = np.linspace(0.0, 100.0, 51)
    walked = at >= track_from_m
    record = RecordedLevels(job.lines[0].xy, at, 50.0 + jump_m * walked, np.full(len(at), 0.1),
                            np.where(walked, TRACK, SURVEY), noise_m, ("levels",), quality or LevelQuality())
    return replace(job, levels={"Home": record})


def _crossing_itself() -> Job:
    job = straight_job()
    xy = np.array([(0, 0), (100, 0), (100, 50), (50, 50), (50, -50)]) + np.array([EAST, NORTH])
    return replace(job, lines=(replace(job.lines[0], xy=xy),))


NOISY = LevelQuality(walked_noise_m=3.0, walked_raw_m=110.0, walked_smooth_m=100.0)
JOBS: dict[str, Callable[[], Job]] = {
    "line-03": _crossing_itself,
    "loads-04": lambda: _own("general-mesh", ("strain_kn = 1.5 ", "strain_kn = 3.9 ")),
    "loads-05": lambda: _own("general-mesh", ("strain_kn = 1.5 ", "strain_kn = 3.4 ")),
    "loads-06": lambda: _own("deer-mesh", ('double = "', 'double = "light-stay" # ')),
    "materials-08": lambda: _own("general-mesh", ("staples_per_timber_post = 4", "staples_per_timber_post = 0")),
    "materials-10": lambda: replace(straight_job(), settings=Settings().changed({"roll_joins_allowed": False})),
    "profile-04": lambda: _levelled(track_from_m=0.0, quality=NOISY),
    "profile-06": lambda: _levelled(track_from_m=60.0, jump_m=5.0),
    "profile-11": lambda: _levelled(noise_m=1.0),
}


@pytest.mark.rules(aside="line-03 loads-04 loads-05 loads-06 materials-08 materials-10 profile-04 profile-06 "
                         "profile-11")
@pytest.mark.parametrize("rule", list(JOBS))
def test_a_single_mistake_is_set_aside(rule: str):
    check_waiver(JOBS[rule](), rule)
