"""A walk there and back along one fence line is one line, not a sliver of a paddock."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from planner.findings import Finding, Place
from planner.geometry.arrays import Floats, frozen
from planner.geometry.feet import feet_on
from planner.geometry.lines import leg_lengths
from planner.sources import COMMON_PRACTICE
from planner.survey.fixes import MeasuredLine
from planner.units import Metre

RULES = {"survey-30": "A walk goes along its line once."}
BESIDE_M = 10.0
"""How far the way back may lie off the way out. [m] Two and a half times a handheld's deviation; common practice."""
_SHARE_BESIDE = 0.95
_LEAST_BACK_M = 30.0
_FEWEST = 4


def way_out(track: MeasuredLine) -> tuple[MeasuredLine, Finding] | None:
    """The first pass of a walk that comes back along itself; None when it does not.

    The walk is tried as turning where it is farthest from its start, and half way along it.

    Args:
        track: The walk, in a grid that counts metres.

    Source:
        Common practice, no source.
    """
    xy = track.xy
    if len(xy) < 2 * _FEWEST:
        return None
    along = np.concatenate(([0.0], np.cumsum(leg_lengths(xy))))
    turns = (int(np.hypot(*(xy - xy[0]).T).argmax()), int(np.searchsorted(along, along[-1] / 2)))
    turn = next((k for k in turns if _comes_back(xy, k)), None)
    if turn is None:
        return None
    kept = slice(0, turn + 1)
    first = replace(track, xy=frozen(xy[kept]),
                    level_m=None if track.level_m is None else frozen(track.level_m[kept]),
                    time_s=None if track.time_s is None else frozen(track.time_s[kept]), closed=False)
    return first, Finding(
        "survey-30", "warning", f"The walk '{track.name}' goes {along[turn]:.0f} m and comes back beside itself for "
        f"{along[-1] - along[turn]:.0f} m; the way out alone is taken.",
        "Plan it as walked if both ways are wanted, such as the two sides of a narrow lane.",
        Place(line=track.name, file=track.file, row=track.row), COMMON_PRACTICE)


def _comes_back(xy: Floats, turn: int) -> bool:
    out, back = xy[:turn + 1], xy[turn + 1:]
    if min(len(out), len(back)) < _FEWEST or _reach(back) < _LEAST_BACK_M:
        return False
    off = feet_on(out, back, within=BESIDE_M)[1]
    return float(np.isfinite(off).mean()) >= _SHARE_BESIDE


def _reach(xy: Floats) -> Metre:
    return float(np.hypot(*np.ptp(xy, axis=0)))
