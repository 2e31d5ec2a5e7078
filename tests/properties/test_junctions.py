"""Where lines meet, against looking at every pair of them."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.alignment.junctions import find_junctions
from planner.alignment.line import FenceLine

REACH_M = 0.5
CORNER = st.tuples(st.integers(0, 6), st.integers(0, 6))
COURSE = st.lists(CORNER, min_size=2, max_size=5).filter(lambda xy: all(a != b for a, b in pairwise(xy)))


def touching(a, b):
    """Whether two lines touch at a place: a corner of one on the other, or a crossing."""
    one, other = shapely.LineString(a), shapely.LineString(b)
    if any(shapely.Point(xy).distance(line) <= REACH_M for corners, line in ((a, other), (b, one)) for xy in corners):
        return True
    return any(part.geom_type == "Point" and not part.is_empty for part in shapely.get_parts(one.intersection(other)))


@settings(max_examples=80, deadline=None)
@given(st.lists(COURSE, min_size=2, max_size=7), st.sampled_from([0.4, 1.0, 10.0]))
def test_lines_meet_that_meet_when_every_pair_is_looked_at(courses, scale):
    lines = [FenceLine(f"L{k}", "general-mesh", np.array(xy, dtype=float) * scale) for k, xy in enumerate(courses)]
    met = {(name, other) for name, junctions in find_junctions(lines, within_m=REACH_M).items()
           for junction in junctions for other in junction.others}
    for a, b in combinations(lines, 2):
        if touching(a.xy, b.xy):
            assert {(a.name, b.name), (b.name, a.name)} <= met
        elif scale >= 1.0:  # nearer corners than that make one place of several
            assert not {(a.name, b.name), (b.name, a.name)} & met or shares_a_place(a, b, lines)


def shares_a_place(a, b, lines):
    """Whether two lines that do not touch meet a third at one place, which is then a place of all three."""
    return any(touching(a.xy, c.xy) and touching(b.xy, c.xy) for c in lines if c is not a and c is not b)
