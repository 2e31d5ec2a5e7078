"""The plainest jobs: straight fences on flat ground, for tests of what is around them."""

from __future__ import annotations

import numpy as np

from planner.alignment.line import FenceLine
from planner.job.job import Job

EAST, NORTH = 500_000.0, 6_000_000.0


def straight_job(length_m: float = 400.0, fence: str = "general-mesh") -> Job:
    """One fence from (500000, 6000000) to the east, on ground of which no level is known.

    Args:
        length_m: Its grid length. [m]
        fence: Its fence type.
    """
    return Job("Plain", "EPSG:7855", (FenceLine("Home", fence, np.array([(EAST, NORTH), (EAST + length_m, NORTH)])),))
