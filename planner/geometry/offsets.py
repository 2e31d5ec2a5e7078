"""Offsets: the line that runs beside another at one distance, its corners mitred."""

from __future__ import annotations

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats
from planner.units import Metre

_SHARPEST_COS = -0.999_999


def mitred_offset(xy: Floats, *, distance: Metre) -> Floats:
    """The line beside an open line at one perpendicular distance, legs parallel to its legs, corners mitred.

    Loops are not cut off: where a leg is shorter than its two mitres take, the offset leg runs backwards.

    Args:
        xy: Corners, none repeated in succession. [m] Shape (n, 2), n >= 2.
        distance: Distance to the left; negative to the right. In a profile, left is up. [m]

    Returns:
        Corners of the offset, one for each corner. [m] Shape (n, 2).

    Raises:
        OutOfRange: Fewer than two corners, a repeated corner, or a turn right back, which no mitre can round.

    Example:
        >>> import numpy as np
        >>> mitred_offset(np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0]]), distance=1.0).tolist()
        [[0.0, 1.0], [3.0, 1.0], [3.0, 4.0]]
    """
    if len(xy) < 2:
        raise OutOfRange("a line needs two corners to have a line beside it", remedy="give two different corners")
    step = np.diff(xy[:, :2], axis=0)
    length = np.hypot(step[:, 0], step[:, 1])
    if not length.all():
        raise OutOfRange("a corner is repeated", where=f"corner {int(np.argmin(length)) + 2}", remedy="leave it out")
    normal = np.column_stack((-step[:, 1], step[:, 0])) / length[:, None]
    before, after = normal[[0, *range(len(normal))]], normal[[*range(len(normal)), -1]]
    cosine = (before * after).sum(axis=1)
    if (cosine < _SHARPEST_COS).any():
        raise OutOfRange("the line turns right back on itself", where=f"corner {int(np.argmin(cosine)) + 1}",
                         remedy="split the line there")
    return np.asarray(xy[:, :2] + distance * (before + after) / (1.0 + cosine)[:, None])


def mitred_excess(turn_rad: Floats, *, distance: Metre) -> Metre:
    """How much longer a mitred offset is than its line: minus the sum of 2 d tan(turn / 2). [m]

    For a wire at height d over a chain of grades, with turns the grade breaks: shorter over a dip, longer over a
    crest.

    Args:
        turn_rad: Turn at each corner, left (in a profile: dip) positive. [rad] Shape (n,).
        distance: Perpendicular distance to the left. [m]

    Source:
        Plane geometry of the mitre. Checked in tests/unit/geometry/test_offsets.py against the mitred offset curve of
        the GEOS library.
    """
    return float(-(2.0 * distance * np.tan(np.asarray(turn_rad) / 2.0)).sum())
