from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit

from planner.errors import OutOfRange
from planner.ui.panels.combo import Combo
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable
from planner.ui.theme import theme


def refuse_long(row: list[str], text: str) -> None:
    if len(text) > 3:
        raise OutOfRange(f"'{text}' is too long", remedy="type three letters")
    row[1] = text


@pytest.fixture
def table(qtbot) -> RowTable:
    made = RowTable("Things", (
        Column("name", lambda row: row[0], stretch=True),
        Column("code", lambda row: row[1], edit=refuse_long, may_edit=lambda row: row[0] != "fixed"),
        Column("far", lambda row: "x" * 30, spare=2), Column("near", lambda row: "y" * 6, spare=1),
    ), key=lambda row: row[0], most=3)
    qtbot.addWidget(made)
    made.set_theme(theme("light"))
    made.resize(600, made.height())
    made.show_rows([["one", "a"], ["two", "b"], ["fixed", "c"], ["four", "d"]])
    made.show()
    return made


def type_into(qtbot, table: RowTable, row: int, column: int, text: str, key: Qt.Key = Qt.Key.Key_Return) -> None:
    table.edit_cell(row, column)
    field = table.indexWidget(table.rows_model.index(row, column))  # the field before may not be gone yet
    assert isinstance(field, QLineEdit)
    field.setText(text)
    qtbot.keyClick(field, key)
    qtbot.waitUntil(lambda: table.state() != table.State.EditingState)


def test_a_row_taken_in_hand_is_told_and_one_chosen_from_elsewhere_is_not(qtbot, table: RowTable) -> None:
    told: list[object] = []
    table.chosen.connect(told.append)
    qtbot.mouseClick(table.viewport(), Qt.MouseButton.LeftButton,
                     pos=table.visualRect(table.rows_model.index(1, 0)).center())
    assert told == ["two"]
    table.choose("four")
    assert table.key_in_hand == "four"
    assert told == ["two"]
    table.choose("nobody")
    assert table.key_in_hand is None


def test_what_is_typed_is_taken(qtbot, table: RowTable) -> None:
    type_into(qtbot, table, 0, 1, "xyz")
    assert table.rows[0] == ["one", "xyz"]


def test_what_cannot_be_used_is_refused_with_a_sentence_and_changes_nothing(qtbot, table: RowTable) -> None:
    said: list[str] = []
    table.refused.connect(said.append)
    type_into(qtbot, table, 0, 1, "wxyz")
    assert said == ["'wxyz' is too long; type three letters."]
    assert table.rows[0] == ["one", "a"]
    type_into(qtbot, table, 0, 1, "abc")
    assert said[-1] == ""


def test_escape_gives_typing_up(qtbot, table: RowTable) -> None:
    type_into(qtbot, table, 0, 1, "xyz", Qt.Key.Key_Escape)
    assert table.rows[0] == ["one", "a"]


def test_a_cell_that_may_not_be_typed_into_opens_no_field(table: RowTable) -> None:
    assert not table.rows_model.flags(table.rows_model.index(2, 1)) & Qt.ItemFlag.ItemIsEditable
    assert table.rows_model.flags(table.rows_model.index(1, 1)) & Qt.ItemFlag.ItemIsEditable
    assert not table.rows_model.flags(table.rows_model.index(1, 0)) & Qt.ItemFlag.ItemIsEditable


def test_rows_that_come_while_typing_wait(qtbot, table: RowTable) -> None:
    table.edit_cell(0, 1)
    table.show_rows([["new", "z"]])
    assert len(table.rows) == 4
    qtbot.keyClick(table.viewport().findChild(QLineEdit), Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: table.state() != table.State.EditingState)
    assert table.rows == [["new", "z"]]


def test_the_row_in_hand_stays_when_rows_are_shown_anew(table: RowTable) -> None:
    table.choose("two")
    table.show_rows([["zero", "-"], ["two", "b"]])
    assert table.key_in_hand == "two"


def test_columns_to_spare_go_when_it_is_narrow_the_greatest_first(table: RowTable) -> None:
    hidden = lambda: [table.isColumnHidden(i) for i in range(4)]  # noqa: E731
    assert hidden() == [False, False, False, False]
    table.resize(230, table.height())
    assert hidden() == [False, False, True, False]
    table.resize(125, table.height())
    assert hidden() == [False, False, True, True]


def test_it_is_as_tall_as_its_rows_up_to_a_most(table: RowTable) -> None:
    tall = table.height()
    table.show_rows([["one", "a"]])
    assert table.height() < tall
    table.show_rows([[str(i), ""] for i in range(50)])
    assert table.height() == tall


def test_columns_end_before_the_scroll_bar(table: RowTable) -> None:
    head, bar = table.horizontalHeader(), table.verticalScrollBar()
    assert bar.isVisible()
    assert head.length() + 6 == table.viewport().width() <= table.width() - bar.width()
    table.resize(360, table.height())
    assert head.length() + 6 == table.viewport().width() <= table.width() - bar.width()
    table.show_rows([["one", "a"], ["two", "b"], ["three", "c"]])
    assert not bar.isVisible()
    assert head.length() == table.viewport().width() == table.width()


def test_arrow_keys_walk_the_rows_and_enter_opens_a_cell(qtbot, table: RowTable) -> None:
    table.setFocus()
    table.choose("one", column=1)
    qtbot.keyClick(table, Qt.Key.Key_Down)
    assert table.key_in_hand == "two"
    qtbot.keyClick(table, Qt.Key.Key_Return)
    assert isinstance(table.viewport().findChild(QLineEdit), QLineEdit)
    table.closeEditor(table.viewport().findChild(QLineEdit), table.itemDelegate().EndEditHint.NoHint)


def test_a_cell_names_its_column_for_those_who_do_not_see_it(table: RowTable) -> None:
    said = table.rows_model.data(table.rows_model.index(0, 1), Qt.ItemDataRole.AccessibleTextRole)
    assert said == "code: a"
    assert table.accessibleName() == "Things"


def test_a_choice_is_taken_from_its_list(qtbot) -> None:
    chosen: list[str] = []
    table = RowTable("Kinds", (Column("kind", lambda row: row, edit=lambda row, text: chosen.append(text),
                                      choices=lambda row: [("a", "first"), ("b", "second")]),), key=lambda row: row)
    qtbot.addWidget(table)
    table.set_theme(theme("light"))
    table.resize(300, 100)
    table.show_rows(["a"])
    table.show()
    table.edit_cell(0, 0)
    combo = table.viewport().findChild(Combo)
    combo.hidePopup()
    combo.setCurrentIndex(1)
    combo.activated.emit(1)
    assert chosen == ["b"]
