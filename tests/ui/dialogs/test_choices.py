"""Terms of the quote, options and stages in the window: typed, undone, set side by side."""

from __future__ import annotations

from decimal import Decimal

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot
from window_steps import settle

from planner.job.options import Option
from planner.job.quote_terms import Multiplier
from planner.job.stages import Stage
from planner.ui.dialogs.options_sheet import ALWAYS, ELSEWHERE, HERE, OptionsSheet
from planner.ui.dialogs.terms_sheet import TermsSheet
from planner.ui.main_window import MainWindow
from planner.ui.panels.table import RowTable


@pytest.fixture
def terms(sample_window: MainWindow) -> TermsSheet:
    sample_window.actions_table["terms"].trigger()
    sheet = sample_window.findChild(TermsSheet)
    assert isinstance(sheet, TermsSheet)
    return sheet


@pytest.fixture
def options(sample_window: MainWindow) -> OptionsSheet:
    sample_window.actions_table["options"].trigger()
    sheet = sample_window.findChild(OptionsSheet)
    assert isinstance(sheet, OptionsSheet)
    return sheet


def _type(table: RowTable, row: int, title: str, text: str) -> None:
    """What the delegate does once a person typed into a cell."""
    column = next(k for k, c in enumerate(table.rows_model.columns) if c.title == title)
    table.rows_model.setData(table.rows_model.index(row, column), text, Qt.ItemDataRole.EditRole)


def _enter(field: QWidget, text: str, qtbot: QtBot) -> None:
    field.setFocus()
    field.selectAll()  # type: ignore[attr-defined]
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_mark_up_days_and_tax_are_typed_and_undone(terms: TermsSheet, sample_window: MainWindow, qtbot: QtBot) -> None:
    document = sample_window.document
    _enter(terms.mark_up.field, "12.5", qtbot)
    assert document.job.terms.mark_up == Decimal("0.125")
    assert terms.mark_up.field.text() == "12.5 %"
    _enter(terms.valid.field, "45", qtbot)
    assert document.job.terms.valid_days == 45
    _enter(terms.tax.field, "15 %", qtbot)
    assert document.job.settings.tax_rate == 0.15
    for _ in range(3):
        document.undo()
    assert terms.mark_up.field.text() == "0 %"
    assert terms.valid.field.text() == "30 days"
    terms.close()
    settle(sample_window, qtbot)


@pytest.mark.parametrize(("typed", "why"), [("1001", "from 0 to 10"), ("much", "is no mark-up"), ("nan", "no mark-up")])
def test_a_bad_mark_up_is_refused_in_place(terms: TermsSheet, sample_window: MainWindow, qtbot: QtBot, typed: str,
                                           why: str) -> None:
    _enter(terms.mark_up.field, typed, qtbot)
    assert why in terms.mark_up.refusal.text
    assert sample_window.document.job.terms.mark_up == 0
    terms.close()
    settle(sample_window, qtbot)


def test_rates_and_multipliers_of_labour(terms: TermsSheet, sample_window: MainWindow, qtbot: QtBot) -> None:
    document = sample_window.document
    row = next(k for k, r in enumerate(terms.labour.rows) if r.component == "steel line posts")
    _type(terms.labour, row, "a person-hour", "71.30")
    _type(terms.labour, row, "ledge", "3,5")
    _type(terms.labour, row, "any ground", "1.2")
    assert document.job.terms.rates == (("steel line posts", Decimal("71.30")),)
    assert document.job.terms.multipliers == (Multiplier("steel line posts", "ledge", 3.5),
                                              Multiplier("steel line posts", "", 1.2))
    _type(terms.labour, row, "ledge", "21")
    assert "20" in terms.refusal.text
    _type(terms.labour, row, "ledge", "")
    _type(terms.labour, row, "a person-hour", "")
    assert document.job.terms.rates == ()
    assert document.job.terms.multipliers == (Multiplier("steel line posts", "", 1.2),)
    terms.close()
    settle(sample_window, qtbot)


def test_extras_and_texts(terms: TermsSheet, sample_window: MainWindow, qtbot: QtBot) -> None:
    document = sample_window.document
    _type(terms.extras, 2, "rate", "120")
    assert document.job.terms.extras[2].price == Decimal("120")
    _type(terms.extras, 2, "rate", "")
    assert document.job.terms.extras[2].price is None
    _type(terms.extras, 0, "unit", " ")
    assert "nothing was typed" in terms.refusal.text.lower()
    terms.extras.selectRow(1)
    terms.drop_extra.click()
    assert [extra.unit for extra in document.job.terms.extras] == ["m", "h"]
    box = terms.texts["duties"]
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "We ask.")
    qtbot.keyClick(box, Qt.Key.Key_Return)
    qtbot.keyClicks(box, "You drive.")
    terms.texts["payment"].setFocus()
    assert document.job.terms.duties == ("We ask.", "You drive.")
    document.undo()
    assert box.toPlainText().startswith("Underground services")
    terms.close()
    settle(sample_window, qtbot)


def test_a_text_is_kept_when_the_sheet_is_closed_with_escape(terms: TermsSheet, sample_window: MainWindow,
                                                             qtbot: QtBot) -> None:
    box = terms.texts["payment"]
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "At the end.")
    qtbot.keyClick(box, Qt.Key.Key_Escape)
    assert sample_window.document.job.terms.payment == "At the end."
    settle(sample_window, qtbot)


def test_options_are_made_filled_chosen_and_dropped(options: OptionsSheet, sample_window: MainWindow,
                                                    qtbot: QtBot) -> None:
    document = sample_window.document
    options.new_option.click()
    _type(options.options, 0, "name", "All mesh")
    _type(options.options, 0, "note", "Stock-proof.")
    options.lines.choose("Gully division")
    options.of_line.click()
    assert document.job.options == (Option("All mesh", (), (), "Stock-proof."),
                                    Option("Gully division", ("Gully division",)))
    assert [row.held for row in options.lines.rows] == [ALWAYS, HERE]
    _type(options.lines, 0, "fence in this option", "cattle-barbed-4")
    assert document.job.options[1].fences == (("Home block", "cattle-barbed-4"),)
    options.choose.click()
    assert document.job.option == "Gully division"
    assert not options.choose.isEnabled()
    _type(options.options, 1, "name", "All mesh")
    assert "already" in options.refusal.text
    options.options.choose("All mesh")
    options._show_lines()
    assert [row.held for row in options.lines.rows] == [ALWAYS, ELSEWHERE]
    options.drop_option.click()
    assert [one.name for one in document.job.options] == ["Gully division"]
    document.undo()
    assert [one.name for one in document.job.options] == ["All mesh", "Gully division"]
    options.close()
    settle(sample_window, qtbot)


def test_stages_and_the_years_they_are_built_in(options: OptionsSheet, sample_window: MainWindow,
                                                qtbot: QtBot) -> None:
    document = sample_window.document
    options.new_stage.click()
    assert document.job.stages == (Stage("Stage 1", ("Home block", "Gully division")),)
    options.new_stage.click()
    _type(options.lines, 1, "stage", "Stage 2")
    _type(options.stages, 0, "year", "2028")
    _type(options.stages, 1, "year", "2027")
    assert [(stage.name, stage.lines) for stage in document.job.stages] == [
        ("Stage 2", ("Gully division",)), ("Stage 1", ("Home block",))]
    _type(options.stages, 0, "year", "next")
    assert "no year" in options.refusal.text
    _type(options.lines, 0, "stage", "")
    assert document.job.stages[1].lines == ()
    _type(options.stages, 0, "name", "First")
    assert document.job.stages[0].name == "First"
    options.drop_stage.click()
    assert len(document.job.stages) == 1
    options.close()
    settle(sample_window, qtbot)


def test_options_and_stages_are_set_side_by_side_in_the_background(options: OptionsSheet, sample_window: MainWindow,
                                                                   qtbot: QtBot) -> None:
    document = sample_window.document
    assert "Nothing to compare" in options.comparison.words.text()
    options.new_option.click()
    options.new_option.click()
    _type(options.lines, 1, "fence in this option", "cattle-barbed-4")
    options.new_stage.click()
    settle(sample_window, qtbot)
    qtbot.waitUntil(lambda: len(options.comparison.tables) == 2 and not options.comparison.is_busy, timeout=30_000)
    both, stages = options.comparison.tables
    titles = [column.title for column in both.rows_model.columns]
    assert titles == ["options", "Option 1 (chosen)", "Option 2"]
    cells = {row[0]: row[1:] for row in both.texts()}
    assert cells["Cost, tax included"][0] != cells["Cost, tax included"][1]
    assert document.plan is not None
    total = f"{document.plan.estimate.total:,.2f}".replace(",", "\u202f")
    assert cells["Cost, tax included"][0].endswith(total)
    assert {"Ends", "Corners", "Person-hours", "Area inside", "Cost of owning it, a year"} <= set(cells)
    assert stages.texts()[0][1].endswith(total)  # one stage that holds everything
    assert "Least cost: Option 2." in options.comparison.words.text()
    options.close()
    settle(sample_window, qtbot)


def test_both_sheets_are_reached_from_the_panels(sample_window: MainWindow, qtbot: QtBot) -> None:
    for key in ("materials", "jobpack"):
        sample_window.take_step(key)  # type: ignore[arg-type]
        assert sample_window.work is not None
        page = sample_window.work.panels.pages[key]  # type: ignore[index]
        page.terms.click()  # type: ignore[attr-defined]
        page.options.click()  # type: ignore[attr-defined]
        for kind in (TermsSheet, OptionsSheet):
            sheet = sample_window.findChild(kind)
            assert isinstance(sheet, kind)
            sheet.close()
            qtbot.waitUntil(lambda kind=kind: sample_window.findChild(kind) is None)
    settle(sample_window, qtbot)


def test_every_field_has_a_name_for_those_who_do_not_see_it(terms: TermsSheet, sample_window: MainWindow,
                                                            qtbot: QtBot) -> None:
    for widget in (terms.mark_up.field, terms.valid.field, terms.tax.field, terms.extras, terms.labour,
                   *terms.texts.values()):
        assert widget.accessibleName()
        assert widget.focusPolicy() & Qt.FocusPolicy.TabFocus
    terms.close()
    settle(sample_window, qtbot)
