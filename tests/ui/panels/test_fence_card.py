from __future__ import annotations

import pytest

from planner.errors import BadFenceType
from planner.ui.document import Document
from planner.ui.panels.fence_card import FenceCard, checked_fence, toml_of, wire_rows
from planner.ui.panels.materials import MaterialsPanel


@pytest.fixture
def card(planned: Document, show) -> FenceCard:
    return show(MaterialsPanel, planned).fence


def test_the_type_of_the_line_in_hand_is_explained(card: FenceCard) -> None:
    assert card.combo.currentData() == "general-mesh"
    assert card.facts.figure("Height") == "1 150 mm"
    assert card.facts.figure("Pull on an end") == "11.33 kN 1 155 kgf"
    assert [row[0] for row in card.wires.texts()] == ["top barb, barbed", "plain wire", "mesh of 8 wires, each"]
    card.full.button.click()
    assert card.text.toPlainText().startswith("General boundary mesh (general-mesh, version 1.0)")


def test_another_type_is_looked_at_and_used(planned: Document, card: FenceCard) -> None:
    assert not card.take.isVisible()
    card.combo.setCurrentIndex(card.combo.findData("deer-mesh"))
    card.combo.activated.emit(card.combo.currentIndex())
    assert card.take.text() == "Use it for Home block"
    card.take.click()
    assert planned.job.lines[0].fence == "deer-mesh"


def test_a_type_is_made_the_jobs_own_changed_and_dropped(planned: Document, card: FenceCard, qtbot) -> None:
    card.own.click()
    planned.wait_for_plan()
    assert list(planned.job.own_fences) == ["general-mesh-own"]
    assert card.key == "general-mesh-own"
    editor = card.editor
    assert not editor.keep_button.isEnabled()
    text = editor.field.toPlainText()
    editor.field.setPlainText(text.replace("strain_kn = 1.5 ", "strain_kn = 2.0 "))
    qtbot.waitUntil(editor.keep_button.isEnabled)
    assert editor.good.text().startswith("It can be used: 1150 mm high, pull 11.83 kN")
    editor.keep_button.click()
    planned.wait_for_plan()
    assert planned.plan.catalogue.fences["general-mesh-own"].pull_n == pytest.approx(11830, abs=10)
    assert editor.drop_button.isEnabled()
    editor.drop_button.click()
    assert planned.job.own_fences == {}
    planned.undo()
    assert list(planned.job.own_fences) == ["general-mesh-own"]


def test_what_is_wrong_is_said_while_typing_and_cannot_be_kept(planned: Document, card: FenceCard, qtbot) -> None:
    card.own.click()
    planned.wait_for_plan()
    editor = card.editor
    kept = editor.field.toPlainText()
    editor.field.setPlainText(kept.replace("height_mm = 1000 ", "height_mm = 1200 "))
    qtbot.waitUntil(lambda: bool(editor.wrong.text))
    assert "is not above the wire before it" in editor.wrong.text
    assert not editor.keep_button.isEnabled()
    editor.undo_button.click()
    assert editor.field.toPlainText() == kept
    assert editor.wrong.text == ""


def test_a_type_that_a_line_carries_is_not_dropped(planned: Document, card: FenceCard) -> None:
    card.own.click()
    planned.wait_for_plan()
    card.take.click()
    planned.wait_for_plan()
    assert planned.job.lines[0].fence == "general-mesh-own"
    assert not card.editor.drop_button.isEnabled()
    assert "Carried by Home block" in card.editor.used.text()


def test_the_text_of_a_type_is_the_jobs_own_before_the_shipped_one() -> None:
    assert toml_of("general-mesh", {"general-mesh": "mine"}) == "mine"
    shipped = toml_of("general-mesh", {})
    assert checked_fence({}, "", "copy", shipped).height_m == pytest.approx(1.15)
    with pytest.raises(BadFenceType, match="no file of this fence type"):
        toml_of("no-such-fence", {})


def test_every_shipped_type_can_be_explained(planned: Document, card: FenceCard) -> None:
    for key, fence in planned.plan.catalogue.fences.items():
        card._choose(key)
        assert card.aside.text().startswith(key)
        assert len(wire_rows(fence, card._measures)) == len(fence.strands) + (fence.mesh is not None)
        assert not card.picture.grab().isNull()
