from __future__ import annotations

from itertools import pairwise

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from job_samples import EAST, NORTH, corners

from planner.alignment.line import FenceLine
from planner.job.openings_in import with_openings
from planner.settings import Settings
from planner.survey.fixes import MeasuredPoint

STEPS = st.integers(0, 12)
SPOTS = st.tuples(STEPS, STEPS)
LINES = st.lists(st.lists(SPOTS, min_size=2, max_size=4).filter(
    lambda spots: all(a != b for a, b in pairwise(spots))), max_size=6)


@settings(max_examples=40)
@given(LINES, st.lists(SPOTS, max_size=8))
def test_each_gate_is_on_the_first_of_the_lines_that_are_nearest(courses, spots):
    """Against distances to every line by a general-purpose library; whole numbers, so that many lines are as near."""
    lines = [FenceLine(f"L{k}", "general-mesh", corners(*course), accuracy="survey")
             for k, course in enumerate(courses)]
    points = [MeasuredPoint(f"G{k}", EAST + x, NORTH + y, None, "gate", 4.2, "survey", "p.csv", k)
              for k, (x, y) in enumerate(spots)]
    findings = []
    found = with_openings(lines, points, Settings(), findings)
    on = {gate.name: k for k, line in enumerate(found) for gate in line.gates}
    for point in points:
        offs = [shapely.LineString(line.xy).distance(shapely.Point(point.x, point.y)) for line in lines]
        near = [k for k, off in enumerate(offs) if off <= min(offs) + 1e-9 and off <= 5.0]
        assert on.get(point.name, -1) in (near or [-1])
        assert (point.name in on) == bool(near)
    assert len(findings) == len(points) - len(on)


def test_of_two_lines_that_are_as_near_the_first_of_the_job_gets_the_gate():
    lines = [FenceLine(name, "general-mesh", corners((0, y), (50, y))) for name, y in (("North", 4), ("South", 0))]
    point = MeasuredPoint("G", EAST + 20, NORTH + 2, None, "gate", 4.2, "survey", "p.csv", 1)
    assert [len(line.gates) for line in with_openings(lines, [point], Settings(), [])] == [1, 0]
