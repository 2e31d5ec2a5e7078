from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt

from planner.findings import Finding, Place
from planner.job.job import Waiver
from planner.ui.panels.findings_list import _RULES_IN, FindingsCard, has_place, place_words, rules_of, waiver_of
from planner.ui.theme import theme
from tests import make_rule_table

LIFTED = Finding("loads-01", "error", "Dip post lifts 2.9 kN.", "foot it", Place("Home", "A2", 120.04))
CREEK = Finding("loads-02", "warning", "a post is pulled aside", "Stay it.", Place("Home", "A3"))
KNOWN = Finding("loads-07", "note", "No breaking load is known.", "Add it.")


@pytest.fixture
def card(qtbot) -> FindingsCard:
    made = FindingsCard("loads")
    qtbot.addWidget(made)
    made.resize(340, 900)
    made.show()
    return made


def test_each_is_shown_with_its_mark_its_remedy_and_its_place(qapp, card: FindingsCard) -> None:
    card.show_findings((LIFTED, CREEK, KNOWN), theme("light"), planned=True)
    qapp.processEvents()
    assert [row.finding for row in card.rows] == [LIFTED, CREEK, KNOWN]
    assert card.aside.text() == f"3 of {len(rules_of('loads'))} checks"
    assert card.rows[0].show_button.isVisible()
    assert not card.rows[2].show_button.isVisible()


def test_what_was_noticed_in_a_file_is_no_check_of_the_plan(card: FindingsCard) -> None:
    left_out = Finding("read-01", "error", "row 3 was left out.", "Mend it.", Place(file="points.csv", row=3))
    card.show_findings((left_out, KNOWN), theme("light"), planned=True)
    assert card.aside.text() == "2 findings"


def test_nothing_found_and_nothing_planned_are_told_apart(card: FindingsCard) -> None:
    card.show_findings((), theme("light"), planned=True)
    assert card.empty.text() == f"Nothing: all {len(rules_of('loads'))} checks are kept."
    card.show_findings((), theme("light"), planned=False)
    assert "no plan" in card.empty.text()


def test_show_goes_there(qtbot, card: FindingsCard) -> None:
    card.show_findings((LIFTED,), theme("light"), planned=True)
    qtbot.waitUntil(card.rows[0].isVisible)
    with qtbot.waitSignal(card.wanted) as caught:
        qtbot.mouseClick(card.rows[0].show_button, Qt.MouseButton.LeftButton)
    assert caught.args == [LIFTED]


def test_waiving_asks_the_reason_in_place_and_refuses_none(qtbot, card: FindingsCard) -> None:
    card.show_findings((LIFTED,), theme("light"), planned=True)
    row = card.rows[0]
    qtbot.waitUntil(row.waive_button.isVisible)
    qtbot.mouseClick(row.waive_button, Qt.MouseButton.LeftButton)
    told: list[tuple[Finding, str]] = []
    card.waived.connect(lambda finding, reason: told.append((finding, reason)))
    qtbot.keyClick(row.field, Qt.Key.Key_Return)
    assert told == []
    assert "reason" in row.refusal.text
    qtbot.keyClicks(row.field, "tied to a buried log")
    qtbot.keyClick(row.field, Qt.Key.Key_Return)
    assert told == [(LIFTED, "tied to a buried log")]


def test_a_finding_that_stays_keeps_its_row_and_the_reason_begun_in_it(qtbot, card: FindingsCard) -> None:
    card.show_findings((CREEK, LIFTED, KNOWN), theme("light"), planned=True)
    qtbot.waitUntil(card.rows[1].isVisible)
    kept, gone = card.rows[1], card.rows[0]
    kept.ask()
    qtbot.keyClicks(kept.field, "tied to a")
    card.show_findings((LIFTED, KNOWN, CREEK), theme("light"), planned=True)
    assert [row.finding for row in card.rows] == [LIFTED, KNOWN, CREEK]
    assert card.rows[0] is kept
    assert card.rows[2] is gone
    assert kept.field.text() == "tied to a"
    assert [card._column.itemAt(k).widget() for k in range(3)] == card.rows
    card.show_findings((KNOWN,), theme("light"), planned=True)
    assert card.rows == [card._column.itemAt(0).widget()]
    assert card._column.count() == 1
    card.show_findings((KNOWN,), theme("dark"), planned=True)
    assert card.rows[0]._look == theme("dark")


def test_the_same_finding_twice_has_two_rows(card: FindingsCard) -> None:
    card.show_findings((LIFTED, LIFTED), theme("light"), planned=True)
    first = list(card.rows)
    card.show_findings((LIFTED, LIFTED, KNOWN), theme("light"), planned=True)
    assert card.rows[:2] == first
    assert len({id(row) for row in card.rows}) == 3


def test_escape_leaves_it(qtbot, card: FindingsCard) -> None:
    card.show_findings((LIFTED,), theme("light"), planned=True)
    qtbot.waitUntil(card.rows[0].isVisible)
    card.rows[0].ask()
    qtbot.keyClick(card.rows[0].field, Qt.Key.Key_Escape)
    assert not card.rows[0].field.isVisible()


def test_what_is_set_aside_is_folded_with_its_reason(qtbot, card: FindingsCard) -> None:
    aside = replace(CREEK, waived="a stay stands there")
    card.show_findings((LIFTED, aside), theme("light"), planned=True)
    assert card.aside.text().startswith("1 of")
    assert not card.set_aside[0].isVisible()
    card.fold.button.click()
    qtbot.waitUntil(card.set_aside[0].isVisible)
    with qtbot.waitSignal(card.taken_back) as caught:
        card.set_aside[0].waive_button.click()
    assert caught.args == [aside]


def test_many_are_shown_a_few_at_a_time(card: FindingsCard) -> None:
    many = tuple(replace(LIFTED, place=Place("Home", chainage_m=float(k))) for k in range(40))
    card.show_findings(many, theme("light"), planned=True)
    assert len(card.rows) == 8
    assert card.more.text() == "32 more"
    card.more.click()
    assert len(card.rows) == 24


def test_place_and_waiver_of_a_finding() -> None:
    assert place_words(LIFTED) == "Home, A2, 120.0 m · common practice, no source"
    left_out = Finding("read-01", "error", "left out", "Mend it.", Place(file="C:\\farm\\points.csv", row=3))
    assert place_words(left_out) == "points.csv row 3 · common practice, no source"
    assert waiver_of(LIFTED, "why") == Waiver("loads-01", "Home", "A2", "why")
    assert has_place(LIFTED)
    assert not has_place(KNOWN)


def test_each_step_knows_its_own_rules() -> None:
    assert "sections-01" in rules_of("sections")
    assert {rule.partition("-")[0] for rule in rules_of("line")} == {
        "line", "network", "paddock", "gate", "boundary", "clearing", "service", "water", "tree", "oldfence", "option"}
    assert {rule.partition("-")[0] for rule in rules_of("survey")} == {"register", "ground"}
    assert {rule.partition("-")[0] for rule in rules_of("loads")} == {"loads", "electric"}


def test_the_rules_of_every_module_that_checks_a_plan_are_counted():
    told_when_read = {
        "alignment.division_shapes", "files.readers.price_list", "files.readers.rules", "files.survey_in", "job.adding",
        "job.shared_edges", "survey.features_in", "survey.position_checks", "survey.there_and_back",
        "survey.traverse_legs"}
    with_rules = {module for module, _, _ in make_rule_table.rules()}
    counted = {name.removeprefix("planner.") for name in _RULES_IN}
    assert with_rules - counted == told_when_read
    assert counted <= with_rules
