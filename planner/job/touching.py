"""Which features go on in one another, as the stretches of a creek that was drawn in pieces do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from planner.units import Metre

TOUCH_M: Metre = 1.0
"""Shapes no farther apart than this touch: what was drawn in pieces seldom meets to the centimetre.
Common practice, no source."""


def touching(shapes: Sequence[Any], first: int, *, within_m: Metre = TOUCH_M) -> tuple[int, ...]:
    """Every shape that one is joined to, be it through others.

    Args:
        shapes: Shapes in the working grid. [m]
        first: Index of the one to begin with.
        within_m: How far apart shapes may be that touch. [m]

    Returns:
        Their indices in order, without the first itself.

    Example:
        >>> creek = [shapely.LineString(c) for c in (((0, 0), (9, 0)), ((9, 0), (20, 5)), ((40, 0), (50, 0)))]
        >>> touching(creek, 0)
        (1,)
    """
    known = np.array(shapes, dtype=object)
    tree = shapely.STRtree(known)
    found, new = {first}, [first]
    while new:
        near = set(tree.query(known[new], predicate="dwithin", distance=within_m)[1].tolist()) - found
        found |= near
        new = sorted(near)
    return tuple(sorted(found - {first}))
