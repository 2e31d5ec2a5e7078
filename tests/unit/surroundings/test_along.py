from __future__ import annotations

import pytest
import shapely

from planner.alignment.line import FenceLine
from planner.surroundings.along import Meeting, with_distances
from planner.survey.features import Feature


def meeting(wkt: str) -> Meeting:
    course = shapely.LineString([(0, 0), (10, 0)])
    return Meeting(0, FenceLine("A", "x", shapely.get_coordinates(course)), course, Feature("F", "water", wkt),
                   shapely.from_wkt(wkt))


def test_each_meeting_comes_with_the_distance_of_its_line_from_its_shape():
    found = [meeting("POINT (13 4)"), meeting("LINESTRING (5 -1, 5 1)"), meeting("POLYGON ((2 7, 3 7, 3 8, 2 7))")]
    told = list(with_distances(found))
    assert [one for one, _ in told] == found
    assert [away for _, away in told] == pytest.approx([5.0, 0.0, 7.0])
    assert list(with_distances([])) == []
