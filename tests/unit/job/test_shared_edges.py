"""Paddock outlines as a network of fence lines."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planner.geometry.arrays import frozen
from planner.job.shared_edges import share_edges
from planner.survey.fixes import MeasuredLine


def ring(name: str, land: shapely.Polygon) -> MeasuredLine:
    return MeasuredLine(name, frozen(shapely.get_coordinates(land)), None, None, True, "ring", "survey", "two.shp", 1)


@pytest.mark.rules(fires="line-63", silent="line-60 line-62 line-63", limit="line-63")
def test_an_edge_that_two_paddocks_share_is_one_line():
    lines, findings = share_edges([ring("A", shapely.box(0, 0, 100, 100)), ring("B", shapely.box(100, 0, 200, 100))],
                                  close_m=None)
    assert sorted(line.name for line in lines) == ["A", "A | B", "B"]
    assert sum(np.hypot(*np.diff(line.xy, axis=0).T).sum() for line in lines) == 700.0  # not 800: the edge counts once
    assert [f.rule for f in findings] == ["line-63"]
    assert "100 m, stand between two paddocks" in findings[0].message
    assert share_edges([ring("A", shapely.box(0, 0, 100, 100))], close_m=None)[1] == []


def test_a_gap_is_told_and_closed_only_when_asked_for():
    rings = [ring("A", shapely.box(0, 0, 100, 100)), ring("B", shapely.box(100.04, 0, 200, 100))]
    lines, findings = share_edges(rings, close_m=0.1)
    assert "A | B" in {line.name for line in lines}
    assert {"line-60", "line-63"} <= {f.rule for f in findings}
    apart, _ = share_edges(rings, close_m=None)
    assert "A | B" not in {line.name for line in apart}


@pytest.mark.rules(fires="line-60")
def test_an_overlap_is_a_warning_with_its_place():
    _, findings = share_edges([ring("A", shapely.box(0, 0, 100, 100)), ring("B", shapely.box(99, 0, 200, 100))],
                              close_m=None)
    overlap = next(f for f in findings if f.rule == "line-60")
    assert overlap.severity == "warning"
    assert "an overlap of 100.0 m2" in overlap.message
    assert 99.0 <= overlap.place.x <= 100.0


@pytest.mark.parametrize(("gaps", "told"), [(6, 6), (7, 1)])
def test_many_gaps_are_told_together_the_largest_first(gaps: int, told: int):
    """Rings of 99 m in a row, parted by 0.1, 0.11, 0.12 m and so on."""
    west, rings = 0.0, []
    for k in range(gaps + 1):
        rings.append(ring(f"R{k}", shapely.box(west, 0, west + 99, 100)))
        west += 99.1 + 0.01 * k
    found = [f for f in share_edges(rings, close_m=None)[1] if f.rule == "line-60"]
    assert [f.severity for f in found] == ["warning"] * told
    if told == 1:
        assert found[0].message == ("7 gaps and overlaps between paddocks, 91.0 m2 in all, up to 0.16 m wide; the "
                                    "largest: a gap of 16.0 m2, about 0.16 m wide, between 'R6' and 'R7'; a gap of "
                                    "15.0 m2, about 0.15 m wide, between 'R5' and 'R6'; a gap of 14.0 m2, about 0.14 m "
                                    "wide, between 'R4' and 'R5'.")
    else:
        assert "There is a gap of 10.0 m2, about 0.10 m wide, between 'R0' and 'R1'." in [f.message for f in found]


@pytest.mark.rules(fires="line-62")
def test_an_outline_that_crosses_itself_stays_a_line_and_is_named():
    bow = ring("bow", shapely.Polygon([(0, 0), (10, 10), (10, 0), (0, 10)]))
    lines, findings = share_edges([bow, ring("A", shapely.box(20, 0, 30, 10)), ring("B", shapely.box(30, 0, 40, 10))],
                                  close_m=None)
    assert "bow" in {line.name for line in lines}
    assert [f.rule for f in findings] == ["line-62", "line-63"]


@pytest.mark.rules(limit="line-60")
@pytest.mark.parametrize(("gap", "rule"), [(0.49, "line-60"), (0.5, "line-60"), (0.51, "")])
def test_paddocks_up_to_half_a_metre_apart_should_share_an_edge(gap: float, rule: str):
    rings = [ring("A", shapely.box(0, 0, 100, 100)), ring("B", shapely.box(100 + gap, 0, 200, 100))]
    assert [f.rule for f in share_edges(rings, close_m=None)[1] if f.rule == "line-60"] == [rule] * bool(rule)


@pytest.mark.rules(silent="line-61", limit="line-61")
@pytest.mark.parametrize(("gap", "rule"), [(0.0099, ""), (0.0101, "line-61")])
def test_a_change_of_area_is_told_above_a_hundredth_of_a_square_metre(gap: float, rule: str):
    """Paddocks one metre wide, so that closing a gap gives one of them as many square metres as it is metres wide."""
    rings = [ring("A", shapely.box(0, 0, 100, 1)), ring("B", shapely.box(100 + gap, 0, 200, 1))]
    assert [f.rule for f in share_edges(rings, close_m=0.1)[1] if f.rule == "line-61"] == [rule] * bool(rule)


@pytest.mark.rules(silent="line-62")
def test_a_single_paddock_stays_as_it_is():
    alone = ring("A", shapely.box(0, 0, 100, 100))
    assert share_edges([alone], close_m=None) == ([alone], [])


@pytest.mark.rules(fires="line-61")
def test_what_closing_did_to_an_area_is_told():
    rings = [ring("A", shapely.box(0, 0, 100, 100)), ring("B", shapely.box(100.04, 0, 200, 100))]
    told = [f.message for f in share_edges(rings, close_m=0.1)[1] if f.rule == "line-61"]
    assert told
    assert all(message.startswith("Closing changed the area of '") for message in told)
    assert not [f for f in share_edges(rings, close_m=None)[1] if f.rule == "line-61"]
