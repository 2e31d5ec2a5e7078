"""How well the corners of a fence line are known: by the class of its survey, and by the fit where it was fitted."""

from __future__ import annotations

import numpy as np

from planner.alignment.line import FenceLine
from planner.geometry.arrays import Floats
from planner.settings import Settings
from planner.units import Metre


def corner_sd(line: FenceLine, settings: Settings) -> Floats:
    """Standard deviation of each corner, in east and in north alike. [m] Shape (n,).

    The class says how far off the receiver or the map may be, the fit how well a corner lies on what was walked. The
    two have different causes, so their squares add up: a fitted corner is never known better than its fit says, nor
    better than its class. Between two corners of one walk a part of the class's error is the same and cancels out of
    the length; how much is not known, so none is taken off, and lengths are told on the safe side.

    Args:
        line: The line.
        settings: Standard deviation of each accuracy class.

    Source:
        Propagation of variance (Gauss) for independent errors; that no part of the class's error cancels is common
        practice, no source. Checked in tests/unit/alignment/test_corner_accuracy.py.
    """
    of_class = np.full(len(line.xy), settings.sd_of(line.accuracy))
    return of_class if line.corner_sd_m is None else np.hypot(of_class, line.corner_sd_m)


def line_sd(line: FenceLine, settings: Settings) -> Metre:
    """Standard deviation of a corner of a line as one figure: the root mean square of its corners. [m]

    Args:
        line: The line.
        settings: Standard deviation of each accuracy class.
    """
    if line.corner_sd_m is None:
        return settings.sd_of(line.accuracy)
    return float(np.sqrt(np.mean(corner_sd(line, settings) ** 2)))
