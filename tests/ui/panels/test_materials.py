from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt

from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.materials.prices import PriceList
from planner.ui.document import Document, Selection
from planner.ui.measures import Measures
from planner.ui.panels.materials import MaterialsPanel
from planner.ui.panels.price_card import price_rows
from planner.ui.panels.roll_bars import roll_words

PACK, PRICE, DATED, SUPPLIER = 1, 2, 3, 4


def cell(panel: MaterialsPanel, row: int, column: int, text: str) -> bool:
    model = panel.prices.table.rows_model
    return model.setData(model.index(row, column), text)


def test_totals_are_those_of_the_estimate(planned: Document, show) -> None:
    panel = show(MaterialsPanel, planned)
    cost = planned.plan.estimate
    assert panel.totals.figure("Total") == f"AUD {cost.total:,.0f}".replace(",", " ")
    assert panel.totals.figure("Tax, 10 %") == f"{cost.tax:,.0f}".replace(",", " ")
    carting = planned.plan.carting
    assert panel.totals.figure("To cart") == f"{carting.total_kg / 1000:.1f} t {carting.loads} trailer loads"
    assert panel.head.aside.text() == "complete"
    assert not panel.incomplete.isVisible()


def test_what_is_summed_up_stands_above_the_total(planned: Document, show) -> None:
    planned.start(replace(planned.job, terms=replace(planned.job.terms, mark_up=Decimal("0.15"))))
    planned.wait_for_plan()
    panel = show(MaterialsPanel, planned)
    cost = planned.plan.estimate
    parts = [panel.totals.figure(label) for label in ("Materials", "Labour", "Mark-up, 15 %", "Tax, 10 %")]
    assert sum(int(part.replace(" ", "")) for part in parts) == pytest.approx(int(cost.total), abs=2)


def test_without_any_price_no_nought_is_told(planned: Document, show) -> None:
    planned.start(replace(planned.job, prices=PriceList({})))
    planned.wait_for_plan()
    panel = show(MaterialsPanel, planned)
    assert [panel.totals.figure(label) for label in ("Materials", "Labour", "Tax, 10 %", "Total, INCOMPLETE")] == [
        "not known"] * 4


def test_a_missing_price_is_said_loudly(planned: Document, show) -> None:
    kept = {key: price for key, price in planned.job.prices.prices.items() if key[0] != "steel-post-1800"}
    planned.start(replace(planned.job, prices=PriceList(kept)))
    planned.wait_for_plan()
    panel = show(MaterialsPanel, planned)
    assert panel.incomplete.text.startswith("INCOMPLETE. No price is known of Steel star post 1.80 m")
    assert panel.totals.figure("Total, INCOMPLETE").endswith("and more")
    assert panel.prices.table.texts()[0][:3] == ["Steel star post 1.80 m", "10", "no price"]
    assert next(row for row in panel.items.texts() if row[0] == "Steel star post 1.80 m")[2] == "no price"
    assert cell(panel, 0, PRICE, "AUD 86,90")
    planned.wait_for_plan()
    assert planned.plan.estimate.complete
    typed = planned.job.prices.prices["steel-post-1800", 10.0]
    assert (typed.price, typed.supplier, typed.dated) == (Decimal("86.90"), "typed in", date.today())
    assert not panel.incomplete.isVisible()


def test_each_item_stands_with_its_order_and_its_amount(planned: Document, show) -> None:
    panel = show(MaterialsPanel, planned)
    rows = panel.items.texts()
    assert len(rows) == len(planned.plan.materials)
    assert [text.replace("\u00a0", " ").replace("\u202f", " ") for text in rows[0]] == [
        "Hinged-joint mesh 7/90/30, 2.5 mm", "11 × 200 m", "4 092"]


def test_the_row_in_hand_tells_its_rule_and_its_sections(planned: Document, show) -> None:
    panel = show(MaterialsPanel, planned)
    panel.items.selectRow(1)
    row = planned.plan.materials[1]
    assert panel.item_card.title.text() == "Hinged-joint mesh 8/90/30, 2.5 mm"
    assert panel.rules.text() == "– Mesh: slope length of each sub-run, and 0.3 m at each end of a section."
    assert len(panel.by_section.rows) == len(row.by_section)
    panel.by_section.selectRow(2)
    assert planned.selection.section == row.by_section[2][0]
    planned.select(Selection("Home block", "A9"))
    assert panel.by_section.key_in_hand == "A9"


def test_an_order_that_is_too_short_for_the_chance_asked_is_marked(planned: Document, show) -> None:
    panel = show(MaterialsPanel, planned)
    panel.items.selectRow(1)
    assert [r.over for r in panel.item_facts.rows if r.label.startswith("To be enough")] == [
        planned.plan.materials[1].confidence > planned.plan.materials[1].order]


def test_rolls_are_drawn_and_a_piece_takes_its_section_in_hand(planned: Document, show, qtbot) -> None:
    panel = show(MaterialsPanel, planned)
    panel.items.selectRow(1)
    bars, plan = panel.rolls, planned.plan.roll_plans["mesh-8-90-30"]
    assert bars.plan is plan
    roll, cut = bars.cut_at(60.0, 5.0)
    assert (roll, cut) == (plan.rolls[0], plan.rolls[0].cuts[0])
    qtbot.waitUntil(bars.isVisible)
    with qtbot.waitSignal(planned.selection_changed):
        qtbot.mouseClick(bars, Qt.MouseButton.LeftButton, pos=QPoint(60, 5))
    assert planned.selection.section == cut.section
    assert bars.cut_at(60.0, 99_999.0) is None


def test_a_roll_plan_in_words(sample_plan: JobPlan) -> None:
    words = roll_words(sample_plan.roll_plans["mesh-8-90-30"], Measures()).replace("\u00a0", " ")
    assert words.startswith("39 rolls of 200 m, 31 joins inside sections")
    assert words.endswith("At most 0.2 % above the least it could cost.")
    assert roll_words(sample_plan.roll_plans["steel-cable-6mm"], Measures()).endswith("No plan costs less.")


def test_prices_are_typed_over_and_undone(planned: Document, show) -> None:
    panel = show(MaterialsPanel, planned)
    total = planned.plan.estimate.total
    row = [r.item for r in panel.prices.table.rows].index("mesh-8-90-30")
    assert cell(panel, row, PRICE, "518.00")
    planned.wait_for_plan()
    assert planned.plan.estimate.total == total + Decimal("4400.00")
    assert cell(panel, row, SUPPLIER, "Hill Supplies")
    assert cell(panel, row, DATED, "2026-07-31")
    changed = planned.job.prices.prices["mesh-8-90-30", 200.0]
    assert (changed.supplier, changed.dated) == ("Hill Supplies", date(2026, 7, 31))
    for _ in range(3):
        planned.undo()
    assert planned.job.prices.prices["mesh-8-90-30", 200.0].price == Decimal("418.00")


@pytest.mark.parametrize(("column", "typed", "said"), [
    (PRICE, "cheap", "'cheap' is no price"), (PRICE, "-3", "'-3' is no price"), (PACK, "0", "is no quantity of m"),
    (DATED, "31.7.2026", "type it as 2026-07-31"),
    (DATED, (date.today() + timedelta(days=9)).isoformat(), "is yet to come")])
def test_a_price_that_cannot_be_is_refused_in_place(planned: Document, show, column: int, typed: str,
                                                    said: str) -> None:
    panel = show(MaterialsPanel, planned)
    job = planned.job
    assert not cell(panel, 0, column, typed)
    assert said in panel.prices.refusal.text
    assert planned.job is job


def test_a_price_list_is_read(planned: Document, show, qtbot, tmp_path: Path) -> None:
    file = tmp_path / "prices.csv"
    file.write_text("item,unit,pack,price,date,supplier\nmesh-8-90-30,m,200,400.00,2026-10-01,Hill\n"
                    "no-such-thing,m,1,2.00,2026-10-01,Hill\n", encoding="utf-8")
    panel = show(MaterialsPanel, planned)
    before = len(planned.job.prices.prices)
    panel.prices.read_list(file)
    qtbot.waitUntil(lambda: planned.job.prices.prices["mesh-8-90-30", 200.0].price == Decimal("400.00"))
    assert len(planned.job.prices.prices) == before
    assert panel.prices.words.text().startswith("1 price taken in from prices.csv.")
    assert "no-such-thing" in panel.prices.words.text()
    qtbot.waitUntil(lambda: panel.prices._task is None)


def test_a_price_list_that_is_none_is_refused(planned: Document, show, qtbot, tmp_path: Path) -> None:
    file = tmp_path / "notes.csv"
    file.write_text("dear diary\n", encoding="utf-8")
    panel = show(MaterialsPanel, planned)
    panel.prices.read_list(file)
    qtbot.waitUntil(lambda: panel.prices._task is None)
    assert "does not name the columns" in panel.prices.refusal.text


def test_every_lot_that_is_bought_has_a_price_row(sample_plan: JobPlan) -> None:
    rows = price_rows(sample_plan, sample_plan.job.prices)
    assert len(rows) == len(sample_plan.estimate.rows)
    assert sorted(r.price.price for r in rows) == sorted(r.each for r in sample_plan.estimate.rows)


def test_hours_and_allowances(planned: Document, show) -> None:
    panel = show(MaterialsPanel, planned)
    hours = sum(row.hours for row in planned.plan.labour)
    assert panel.labour_card.aside.text() == f"{hours:,.0f} h".replace(",", "\u202f")
    confidence = next(f for f in panel.allowances if f.name == "order_confidence")
    confidence.field.setText("99 %")
    confidence.field.editingFinished.emit()
    assert planned.job.settings.order_confidence == pytest.approx(0.99)


def test_an_empty_job_says_what_to_do(document: Document, show) -> None:
    panel = show(MaterialsPanel, document)
    assert "nothing to buy yet" in panel.nothing.text()
    assert not panel.items_card.isVisible()


def test_its_findings_are_waived_with_undo(planned: Document, show, sample: Job) -> None:
    panel = show(MaterialsPanel, planned)
    panel.findings.waived.emit(panel.findings.rows[0].finding, "two rolls are left from last year")
    assert len(planned.job.waivers) == 1
    planned.undo()
    assert planned.job is sample
