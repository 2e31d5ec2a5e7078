from __future__ import annotations

from itertools import pairwise

import pytest

from planner.ui.document import Document, Selection
from planner.ui.panels.setout import SetoutPanel, pegs_to_next, sight_rows


def test_every_peg_stands_with_the_way_to_the_next(planned: Document, show) -> None:
    panel = show(SetoutPanel, planned)
    line = planned.plan.lines[0]
    assert [row.peg for row in panel.pegs.rows] == list(line.pegs)
    assert panel.pegs.texts()[0][:5] == ["A001", "corner", "0.0", "358.07°", "31.98"]
    assert panel.pegs.rows[-1].next == "A001"
    assert panel.head.aside.text() == "151 pegs, m"


def test_distances_add_up_to_the_line(planned: Document) -> None:
    line = planned.plan.lines[0]
    rows = pegs_to_next(line)
    assert sum(row.ground_m or 0.0 for row in rows) == pytest.approx(float(line.ground.chainage_m[-1]))
    assert [row.next for row in rows[:-1]] == [row.peg.name for row in rows[1:]]
    other = pegs_to_next(planned.plan.lines[1])
    assert (other[-1].next, other[-1].ground_m, other[-1].bearing_deg) == ("", None, None)


def test_kinds_are_filtered(planned: Document, show) -> None:
    panel = show(SetoutPanel, planned)
    panel.kinds.setCurrentIndex(panel.kinds.findData("dip"))
    panel.kinds.activated.emit(panel.kinds.currentIndex())
    assert {row.peg.kind for row in panel.pegs.rows} == {"dip"}
    assert panel.head.aside.text() == f"{len(panel.pegs.rows)} pegs, m"


def test_a_peg_and_a_selection_made_elsewhere_are_one(planned: Document, show, qtbot) -> None:
    panel = show(SetoutPanel, planned)
    with qtbot.waitSignal(planned.cursor_moved) as caught:
        panel.pegs.selectRow(1)
    assert planned.selection.post == "A-0008"
    assert caught.args[1] == panel.pegs.rows[1].peg.chainage_m
    assert panel.peg_card.title.text() == "Peg A002"
    assert panel.facts.figure("Place").startswith("E 455 ")
    assert panel.note.text() == "Post A-0008."
    planned.select(Selection("Home block", "A7", join_m=planned.plan.lines[0].joins["A7"].joins[0].chainage_m))
    row = next(r for r in panel.pegs.rows if r.peg.name == panel.pegs.key_in_hand)
    assert row.peg.kind == "join"


def test_which_peg_sees_the_next(planned: Document, show) -> None:
    panel = show(SetoutPanel, planned)
    for line in planned.plan.lines:
        rows = sight_rows(line)
        assert [row.seen for row in rows] == [seen for _, _, seen in line.sight.sees]
        assert sum(len(row.between) for row in rows) == sum(peg.kind == "sight" for peg in line.pegs)
        assert all(a.to == b.start for a, b in pairwise(rows))
    assert panel.sight_card.aside.text() == "144 of 144 seen"


def test_a_lower_eye_needs_more_pegs_and_is_undone(planned: Document, show) -> None:
    panel = show(SetoutPanel, planned)
    eye, target = panel.settings
    for field, typed in ((eye, "0.1"), (target, "0.1")):
        field.field.setText(typed)
        field.field.editingFinished.emit()
    planned.wait_for_plan()
    assert any(not row.seen for row in panel.sight.rows)
    assert "for sight only" in panel.sight_words.text()
    eye.field.setText("9")
    eye.field.editingFinished.emit()
    assert "is not a number from 0.1 to 5" in eye.refusal.text
    planned.undo()
    planned.undo()
    assert planned.job.settings.eye_height_m == 1.6


def test_an_empty_job_says_what_to_do(document: Document, show) -> None:
    panel = show(SetoutPanel, document)
    assert "no pegs" in panel.nothing.text()
    assert not panel.pegs.isVisible()
