"""The workbook: its sheets, that no text can be a formula, and that its totals are the plan's and stay live."""

from __future__ import annotations

import re
import zipfile
from dataclasses import replace
from datetime import date
from decimal import Decimal
from html import unescape
from pathlib import Path

import pytest
from outside_programs import cells, recalculated

from planner.files.sample_farm import sample_job
from planner.job.derive import plan_job
from planner.job.plan import JobPlan
from planner.job.quote_terms import Multiplier, QuoteTerms
from planner.jobpack.materials_workbook import workbook_sheets, write_materials_xlsx
from planner.materials.prices import PriceList

SHEETS = ["Summary", "To buy", "Takeoff", "Rolls", "Hours", "Loads", "Prices", "To look at"]
TODAY = date(2026, 10, 1)


@pytest.fixture(scope="module")
def plan() -> JobPlan:
    """The sample farm with a mark-up, an hour rate and a multiplier of its own, and names that look like formulas."""
    job = sample_job()
    terms = QuoteTerms(mark_up=Decimal("0.125"), rates=(("mesh", Decimal("71.35")),),
                       multipliers=(Multiplier("mesh", "", 1.3), Multiplier("end assemblies", "soil", 1.1)))
    lines = tuple(replace(line, name=f"={line.name}+1") for line in job.lines)
    levels = {f"={name}+1": found for name, found in job.levels.items()}
    return plan_job(replace(job, name="@Farm & sons", lines=lines, levels=levels, terms=terms,
                            made_at="2026-09-01T08:00:00+00:00"), today=TODAY)


@pytest.fixture(scope="module")
def lacking(plan: JobPlan) -> JobPlan:
    """The same job with two prices missing, that of labour among them."""
    prices = {key: price for key, price in plan.job.prices.prices.items() if key[0] not in ("wire-tie", "labour")}
    return plan_job(replace(plan.job, prices=PriceList(prices)), previous=plan, today=TODAY)


@pytest.fixture(scope="module")
def book(plan: JobPlan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("book") / "materials.xlsx"
    write_materials_xlsx(target, plan)
    return target


def summary(found: dict[str, dict[str, float | str]]) -> dict[str, float | str]:
    """What stands on the summary beside each word."""
    sheet = found["Summary"]
    return {str(sheet[f"A{row}"]): sheet.get(f"B{row}", "") for row in range(5, 40) if f"A{row}" in sheet}


def test_sheets_stand_in_order(book: Path):
    assert list(cells(book)) == SHEETS


def test_the_same_plan_gives_the_same_file(plan: JobPlan, book: Path, tmp_path: Path):
    write_materials_xlsx(tmp_path / "again.xlsx", plan)
    assert (tmp_path / "again.xlsx").read_bytes() == book.read_bytes()
    with zipfile.ZipFile(book) as whole:
        assert b"2026-09-01T08:00:00Z" in whole.read("docProps/core.xml")


def test_heads_are_frozen_and_pages_set_up(book: Path):
    with zipfile.ZipFile(book) as whole:
        names = [n for n in whole.namelist() if n.startswith("xl/worksheets/sheet")]
        assert len(names) == len(SHEETS)
        for name in names:
            text = whole.read(name).decode()
            assert 'state="frozen"' in text
            assert 'fitToHeight="0"' in text
            assert "&amp;L@Farm &amp;&amp; sons" in text
        areas = re.findall(r'_xlnm\.(Print_Area|Print_Titles)"', whole.read("xl/workbook.xml").decode())
    assert areas.count("Print_Area") == areas.count("Print_Titles") == len(SHEETS)


def test_units_stand_in_the_heads(book: Path):
    found = cells(book)
    assert found["To buy"]["L4"] == "Price, AUD"
    assert found["Rolls"]["C4"] == "Its length, m"
    assert found["Loads"]["G4"] == "Mass, kg"
    assert str(found["Takeoff"]["C4"]).endswith(", m")


def test_no_text_of_the_job_is_a_formula(plan: JobPlan, book: Path):
    """Names that begin with =, + or @ stand as texts; every formula is one of the program's own."""
    found = cells(book)
    assert found["Summary"]["A1"] == "@Farm & sons"
    assert found["Takeoff"]["A5"] == plan.lines[0].line.name == "=Home block+1"
    with zipfile.ZipFile(book) as whole:
        text = "".join(whole.read(n).decode() for n in whole.namelist() if n.startswith("xl/worksheets/sheet"))
    formulas = [unescape(f) for f in re.findall(r"<f>([^<]*)</f>", text)]
    assert len(formulas) > 200
    assert not [f for f in formulas if "Home block" in f or "Farm" in f]
    allowed = re.compile(r"^(IF|SUM|SUMIF|COUNTIF|ROUND|ROUNDUP|ISNUMBER|[-+*/(),.:=!'\">A-Za-z0-9 ])*$")
    assert all(allowed.match(f) for f in formulas)


def test_values_beside_the_formulas_are_the_plans(plan: JobPlan, book: Path):
    told, cost = summary(cells(book)), plan.estimate
    assert told["Materials and labour"] == float(cost.subtotal)
    assert told["Mark-up"] == float(cost.mark_up) > 0
    assert told["Tax"] == float(cost.tax)
    assert told["Total, tax included"] == float(cost.total)
    assert cells(book)["Summary"]["D16"] == "complete"


def test_takeoff_adds_up_to_the_materials(plan: JobPlan):
    takeoff = next(sheet for sheet in workbook_sheets(plan) if sheet.name == "Takeoff")
    assert len(takeoff.rows) == 1 + sum(len(line.sections) for line in plan.lines)
    for k, row in enumerate(plan.materials):
        assert takeoff.rows[-1][2 + k].value.value == pytest.approx(row.net)


def test_another_program_computes_the_same_figures(plan: JobPlan, book: Path, tmp_path: Path):
    """LibreOffice, every formula anew: each cell as the file says, and the totals of plan.json."""
    before, after = cells(book), recalculated(book, tmp_path)
    for name in SHEETS:
        for cell, value in before[name].items():
            if isinstance(value, float):
                assert after[name].get(cell, 0.0) == pytest.approx(value, abs=1e-6), (name, cell)
            else:
                assert after[name].get(cell, "") == value or not value, (name, cell)
    told, cost = summary(after), plan.estimate
    for word, amount in (("Materials and labour", cost.subtotal), ("Mark-up", cost.mark_up), ("Tax", cost.tax),
                         ("Total, tax included", cost.total)):
        assert Decimal(repr(told[word])).quantize(Decimal("0.01")) == amount


def test_a_changed_price_moves_the_total(plan: JobPlan, book: Path, tmp_path: Path):
    """The first price on the sheet of prices, half as high again, as LibreOffice computes it."""
    found = cells(book)
    price = float(found["Prices"]["E5"])
    key, pack = str(found["Prices"]["A5"]), float(found["Prices"]["D5"])
    after = summary(recalculated(book, tmp_path, E5=price * 1.5))
    old = plan.job.prices.prices[key, pack]
    prices = {**plan.job.prices.prices, (key, pack): replace(old, price=old.price * Decimal("1.5"))}
    dearer = plan_job(replace(plan.job, prices=PriceList(prices)), previous=plan, today=TODAY)
    bought = {row.item: (row.order, row.lots) for row in plan.materials}
    assert {row.item: (row.order, row.lots) for row in dearer.materials} == bought
    assert after["Total, tax included"] == float(dearer.estimate.total) > float(plan.estimate.total)


def test_missing_prices_are_loud_and_fill_in(lacking: JobPlan, plan: JobPlan, tmp_path: Path):
    target = tmp_path / "materials.xlsx"
    write_materials_xlsx(target, lacking)
    found = cells(target)
    assert "INCOMPLETE" in str(found["Summary"]["A2"])
    assert str(found["Summary"]["D16"]).startswith("INCOMPLETE")
    assert found["Prices"]["A2"].startswith("2 PRICES ARE MISSING")
    assert "NO PRICE" in found["Prices"].values()
    assert "no price" in found["To buy"].values()
    assert "no price" in found["Hours"].values()
    lines = {str(found["Prices"][f"A{k}"]) + str(found["Prices"][f"B{k}"]): k for k in range(5, 60)
             if f"A{k}" in found["Prices"]}
    tie = next(k for name, k in lines.items() if name.startswith("wire-tie"))
    hour = next(k for name, k in lines.items() if name == "labourLabour, person-hours")
    own = plan.job.prices.prices
    after = summary(recalculated(target, tmp_path, **{
        f"E{tie}": float(own["wire-tie", 100.0].price), f"E{hour}": float(own["labour", 1.0].price)}))
    assert after["Prices missing"] == 0
    assert after["Total, tax included"] == float(plan.estimate.total)


def test_a_job_without_lines_is_a_workbook_all_the_same(tmp_path: Path):
    from planner.job.job import Job

    write_materials_xlsx(tmp_path / "empty.xlsx", plan_job(Job("", "EPSG:7855")))
    assert summary(cells(tmp_path / "empty.xlsx"))["Total, tax included"] == 0.0


def test_stale_prices_are_told(plan: JobPlan):
    late = plan_job(plan.job, previous=plan, today=date(2027, 9, 1))
    prices = next(sheet for sheet in workbook_sheets(late) if sheet.name == "Prices")
    told = [row[8].value for row in prices.rows if hasattr(row[8], "value")]
    assert told
    assert all("older than 180 days" in str(text) for text in told)
