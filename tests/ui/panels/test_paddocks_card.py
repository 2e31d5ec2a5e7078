"""The card of paddocks: rows by hand, what is loud, and what a chosen one asks the map to show."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
import shapely

from planner.job.derive import plan_job
from planner.job.job import Job
from planner.ui.document import Document
from planner.ui.measures import Measures
from planner.ui.panels.line import LinePanel
from tests.paddock_jobs import fence, job_of, lane_job


@pytest.fixture
def filled(qapp, show) -> Iterator[Callable[[Job], LinePanel]]:
    """Makes the panel of a job that is planned already."""
    documents: list[Document] = []

    def make(job: Job) -> LinePanel:
        document = Document()
        document.start(job)
        document._again.stop()
        document.plan = plan_job(job)
        document.wait_for_plan()
        documents.append(document)
        return show(LinePanel, document)

    yield make
    for document in documents:
        document.wait_for_plan()
        document.close()


def test_it_lists_land_by_size_with_gates_and_water(filled) -> None:
    panel = filled(lane_job(without="N2"))
    rows = {row[0]: row[1:] for row in panel.paddocks.table.texts()}
    assert list(rows)[:3] == ["South 1", "South 2", "South 3"]
    assert rows["South 2"] == ["stock", "6.73\u00a0ha", "1", "2"]
    assert rows["North 2"][2] == "0"
    assert rows["Lane"] == ["lane", "1.68\u00a0ha", "8", "–"]
    assert panel.paddocks.aside.text() == "8 pieces, 42.03\u00a0ha"


def test_water_through_the_lane_and_none(filled) -> None:
    job = lane_job()
    dry = replace(job, features=tuple(f for f in job.features if f.name not in ("Trough 1", "Trough 2")))
    rows = {row[0]: row[4] for row in filled(dry).paddocks.table.texts()}
    assert (rows["North 1"], rows["South 1"]) == ("none", "1")


def test_choosing_one_shows_it_on_the_map_and_tells_of_it(filled, qtbot) -> None:
    panel = filled(lane_job())
    with qtbot.waitSignal(panel.feature_shown) as told:
        panel.paddocks.table.choose("North 1")
        panel.paddocks._take("North 1")
    shape = shapely.from_wkt(told.args[0].wkt)
    assert shape.bounds == pytest.approx((500_000, 6_000_260, 500_210, 6_000_500))
    assert panel.paddocks.words.text() == (
        "North 1: stock, 900\u00a0m around, 1.1 times as long as wide. Gates: N1. Water: Trough 1. Way to the yards: "
        "N1, Lane west.")


def test_acres_for_those_who_count_in_them(filled) -> None:
    panel = filled(lane_job())
    panel.set_measures(Measures("imperial"))
    assert panel.paddocks.table.texts()[0][2] == "16.62\u00a0ac"  # 6.7254 ha over 0.40469 ha an acre


def test_it_hides_where_nothing_is_enclosed(filled) -> None:
    panel = filled(job_of(fence("Home", (0, 0), (300, 0))))
    assert not panel.paddocks.isVisible()


WEST = fence("West", (0, 0), (200, 0), (200, 100), (0, 100), (0, 0))
EAST = fence("East", (200, 0), (350, 0), (350, 100), (200, 100), (200, 0))


def test_outlines_that_run_along_each_other_become_single_lines(filled) -> None:
    panel = filled(job_of(WEST, EAST))
    panel.paddocks.share.click()
    assert {line.name for line in panel.document.job.lines} == {"West", "East | West", "East"}
    panel.document.wait_for_plan()
    assert not panel.paddocks.share.isVisible()
    panel.document.undo()
    assert [line.name for line in panel.document.job.lines] == ["West", "East"]


def test_what_cannot_be_shared_is_said_in_the_card(filled) -> None:
    panel = filled(job_of(WEST, replace(EAST, fence="sheep-mesh")))
    panel.paddocks.share.click()
    assert "differ in fence type" in panel.paddocks.refusal.text
    assert len(panel.document.job.lines) == 2


def test_nothing_is_offered_where_no_outline_is_drawn_twice(filled) -> None:
    assert not filled(lane_job()).paddocks.share.isVisible()
