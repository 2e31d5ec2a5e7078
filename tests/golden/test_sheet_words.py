"""The first page of every sheet word by word, figures masked: what it says, and in which order."""

from __future__ import annotations

import os
import re
from datetime import date
from pathlib import Path

import pytest
from page_checks import texts
from sheet_jobs import planned, ridge_job

from planner.job.plan import JobPlan
from planner.jobpack.basis import basis_of
from planner.jobpack.job_pack_pdf import SHEETS
from planner.jobpack.page.form import SheetChoice
from planner.jobpack.page.furniture import finished

GOLDEN = Path(__file__).parent / "sheets"
_FIGURES = re.compile(r"[−+±<]*\d[\d\u202f.,½¼¾⅛⅜⅝⅞]*|[⅛¼⅜½⅝¾⅞]")


@pytest.fixture(scope="module")
def plan() -> JobPlan:
    return planned(ridge_job())


@pytest.mark.parametrize("key", [sheet.key for sheet in SHEETS])
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_first_page_says_the_same_words(plan: JobPlan, key: str, units: str) -> None:
    basis = basis_of(plan, SheetChoice(units=units, dated=date(2026, 3, 7)))  # type: ignore[arg-type]
    pages = next(sheet for sheet in SHEETS if sheet.key == key).pages(basis)
    page = finished(pages, basis.facts)[0]
    said = "\n".join(_FIGURES.sub("#", text.text).replace("\u00a0", " ") for text in texts(page)) + "\n"
    file = GOLDEN / f"{key}-{units}.txt"
    if os.environ.get("STRAINWRIGHT_WRITE_GOLDEN"):
        file.parent.mkdir(exist_ok=True)
        file.write_text(said, encoding="utf-8")
    assert said == file.read_text(encoding="utf-8"), (
        "if the change is meant, look at the sheet and write it again with STRAINWRIGHT_WRITE_GOLDEN=1")
