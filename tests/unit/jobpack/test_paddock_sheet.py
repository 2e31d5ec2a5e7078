"""The paddock sheet: what it says, in both systems of units, and when there is none."""

from __future__ import annotations

from datetime import date

import pytest

from planner.job.derive import plan_job
from planner.jobpack.basis import Basis, basis_of
from planner.jobpack.job_pack_pdf import FOR_SOME
from planner.jobpack.paddock_sheet import paddock_pages
from planner.jobpack.page.form import SheetChoice
from planner.jobpack.page.records import Text
from tests.paddock_jobs import fence, job_of, lane_job, ring


def said(basis: Basis) -> list[str]:
    return [mark.text for page in paddock_pages(basis) for mark in page.marks if isinstance(mark, Text)]


def of(job, units: str = "metric") -> Basis:
    return basis_of(plan_job(job), SheetChoice(units=units, dated=date(2026, 3, 7)))


def test_it_names_land_gates_water_and_ways():
    words = said(of(lane_job()))
    for text in ("South 2", "6.73\u00a0ha", "Trough 3, Trough 4", "S2, Lane west", "Way to the yards",
                 "Where fences meet"):
        assert text in words
    assert words.count("tee") == 5
    assert any("Advisory" in text for text in words)
    assert "11.3 + 11.3 + 11.3" in words


def test_it_says_acres_and_feet_to_those_who_count_in_them():
    words = said(of(lane_job(), "imperial"))
    assert any(text.startswith("16.62") for text in words)
    assert "Around ft" in words


def test_without_yards_it_is_the_way_out_and_one_ring_meets_nothing():
    words = said(of(job_of(ring())))
    assert "Way out" in words
    assert "Where fences meet" not in words


def test_there_is_none_where_nothing_is_enclosed():
    assert paddock_pages(of(job_of(fence("Home", (0, 0), (300, 0))))) == ()


@pytest.mark.parametrize("key", ["paddocks"])
def test_it_is_in_the_job_pack(key: str):
    assert key in [sheet.key for sheet in FOR_SOME]
