"""The hollow between two places of a line: how deep the ground lies below the straight between them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from planner.profile.ground_line import GroundLine
from planner.units import Degree, Metre


class Hollow(NamedTuple):
    """What lies between two banks.

    Attributes:
        depth_m: Greatest depth of the ground below the straight between the two places; at least 0. [m]
        slope_deg: Steepest grade between them, as it is without sign. [deg]
    """

    depth_m: Metre
    slope_deg: Degree


def hollow_between(ground: GroundLine, from_m: Metre, to_m: Metre) -> Hollow | None:
    """The hollow between two places.

    Args:
        ground: Profile of the line.
        from_m: Ground plan distance of the one bank. [m]
        to_m: Of the other. [m]

    Returns:
        None where no level is known anywhere between them.

    Source:
        Plane geometry: the level of the chord less the level of the ground.
    """
    inside = (ground.chainage_m > from_m) & (ground.chainage_m < to_m)
    at = np.concatenate(([from_m], ground.chainage_m[inside], [to_m]))
    near = np.searchsorted(ground.chainage_m, at).clip(0, len(ground.chainage_m) - 1)
    if not np.isfinite(ground.sd_m[near]).any() or to_m <= from_m:
        return None
    level = ground.level_at(at)
    chord = np.interp(at, [from_m, to_m], level[[0, -1]])
    step = np.diff(at)
    slope = np.degrees(np.arctan2(np.abs(np.diff(level)), step))[step > 0]
    return Hollow(max(0.0, float((chord - level).max())), float(slope.max(initial=0.0)))
