"""Every document word by word, figures masked: what it says, and in which order."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from document_jobs import TODAY, handed_over_plan
from page_checks import texts

from planner.job.plan import JobPlan
from planner.jobpack.basis import basis_of
from planner.jobpack.documents import DOCUMENTS, document_pages
from planner.jobpack.page.form import SheetChoice

GOLDEN = Path(__file__).parent / "documents"
_FIGURES = re.compile(r"[−+±<]*\d[\d\u202f.,½¼¾⅛⅜⅝⅞]*|[⅛¼⅜½⅝¾⅞]")


@pytest.fixture(scope="module")
def plan() -> JobPlan:
    return handed_over_plan()


@pytest.mark.parametrize("file", [document.file for document in DOCUMENTS])
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_it_says_the_same_words(plan: JobPlan, file: str, units: str) -> None:
    document = next(d for d in DOCUMENTS if d.file == file)
    pages = document_pages(document, basis_of(plan, SheetChoice(units=units, dated=TODAY)))  # type: ignore[arg-type]
    said = "\n".join(_FIGURES.sub("#", text.text).replace("\u00a0", " ") for page in pages
                     for text in texts(page)) + "\n"
    golden = GOLDEN / f"{file.removesuffix('.pdf')}-{units}.txt"
    if os.environ.get("STRAINWRIGHT_WRITE_GOLDEN"):
        golden.parent.mkdir(exist_ok=True)
        golden.write_text(said, encoding="utf-8")
    assert said == golden.read_text(encoding="utf-8"), (
        "if the change is meant, look at the document and write it again with STRAINWRIGHT_WRITE_GOLDEN=1")
