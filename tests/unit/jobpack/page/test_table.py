"""Tables and flow: columns that fit, heads that come again, nothing cut off."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from page_checks import overlaps, past_margin, texts

from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.records import Area, Text
from planner.jobpack.page.table import BLANK, TICK, Column, Row, Table, lay_table, rows_of

COLUMNS = (Column("Section"), Column("What it is"), Column("m", "right", grow=0), Column("ok", "middle", grow=0))
LONG = "a gate name that is sixty letters long, as farms have them AA"


@given(st.lists(st.text(alphabet="abc d-,", min_size=0, max_size=90), min_size=1, max_size=6), st.floats(60.0, 250.0))
def test_widths_fill_the_table_whatever_it_holds(words: list[str], width: float) -> None:
    laid = lay_table(Table(COLUMNS, rows_of([(w, w * 3, "1.0", TICK) for w in words])), width)
    assert sum(laid.widths) == pytest.approx(width)
    assert min(laid.widths) > 0.0


def test_heads_come_again_on_every_page() -> None:
    flow = Flow(Form("A4"), "Sheet")
    flow.table(Table(COLUMNS, rows_of([(f"A{k}", LONG, "1.0", TICK) for k in range(400)])))
    pages = flow.pages()
    assert len(pages) > 5
    for page in pages:
        assert [t.text for t in texts(page)][:4] == ["Section", "What it is", "m", "ok"]
        assert not overlaps(page)
        assert not past_margin(page)
    shown = [t.text for page in pages for t in texts(page) if t.text.startswith("A")]
    assert shown == [f"A{k}" for k in range(400)]


def test_a_row_taller_than_a_page_runs_over() -> None:
    flow = Flow(Form("A4"), "Sheet")
    flow.table(Table((Column("One"), Column("Long", grow=0)), rows_of([("x", "word " * 6000)])))
    pages = flow.pages()
    assert len(pages) > 2
    assert sum(t.text.count("word") for page in pages for t in texts(page)) == 6000
    assert all(t.y < page.height - 20.0 for page in pages for t in texts(page))


def test_ticks_and_blanks_are_drawn_not_written() -> None:
    laid = lay_table(Table((Column("a"), Column("b")), (Row((TICK, BLANK)),)), 60.0)
    marks = laid.row_marks(laid.rows[0], 10.0, 10.0)
    assert not [m for m in marks if isinstance(m, Text)]
    assert [m for m in marks if isinstance(m, Area)]


def test_wrong_number_of_cells_is_a_bug() -> None:
    with pytest.raises(ValueError, match="2 cells for 4 columns"):
        lay_table(Table(COLUMNS, (Row(("a", "b")),)), 100.0)


def test_a_heading_is_not_left_alone_at_the_foot() -> None:
    flow = Flow(Form("A4"), "Sheet")
    while flow.room > 20.0:
        flow.text("line")
    flow.heading("Next")
    flow.text("what follows")
    pages = flow.pages()
    assert [t.text for t in texts(pages[-1])] == ["Next", "what follows"]


def test_a_cell_can_stand_out_in_a_plain_row() -> None:
    laid = lay_table(Table((Column("a"), Column("b")), (Row(("open", "why"), loud=(0,)),)), 60.0)
    weights = {mark.text: mark.weight for mark in laid.row_marks(laid.rows[0], 10.0, 10.0) if isinstance(mark, Text)}
    assert weights == {"open": "semibold", "why": "regular"}
