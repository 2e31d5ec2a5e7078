from __future__ import annotations

from dataclasses import replace

import pytest

from planner.loads.end_assembly import assembly_forces
from planner.loads.wire_tension import temperature_table
from planner.survey.features import Feature
from planner.ui.document import Document, Selection
from planner.ui.measures import Measures
from planner.ui.panels.loads import LoadsPanel, end_rows, loaded_posts
from tests.plain_jobs import EAST, NORTH, straight_job


def test_cautions_come_first(planned: Document, show) -> None:
    panel = show(LoadsPanel, planned)
    assert panel.column.itemAt(0).widget() is panel.cautions_card
    assert panel.cautions.text().startswith("Loads here are advisory")
    assert "Never electrify barbed wire" in panel.more_cautions.text()


def test_posts_stand_by_the_force_on_them(planned: Document, show) -> None:
    panel = show(LoadsPanel, planned)
    forces = [row.greatest_n for row in panel.posts.rows]
    assert forces == sorted(forces, reverse=True)
    assert panel.posts.texts()[0][2:4] == ["3.19", "stayed deviation post"]
    line = planned.plan.lines[0]
    held = [name for name, load in zip(line.post_names, line.loads, strict=True) if load.hold_down != "none"]
    assert set(held) <= {row.name for row in loaded_posts(line)}


def test_a_post_and_a_selection_made_elsewhere_are_one(planned: Document, show) -> None:
    panel = show(LoadsPanel, planned)
    panel.posts.selectRow(0)
    name = panel.posts.rows[0].name
    assert planned.selection == Selection("Home block", "A16", name)
    assert panel.post_facts.figure("Pulled aside by") == "3.19 kN 326 kgf"
    assert panel.post_words.text().endswith("Advisory; check on site.")
    other = panel.posts.rows[3]
    planned.select(Selection("Home block", other.post.section, other.name))
    assert panel.posts.key_in_hand == other.name


def test_end_assemblies_carry_the_forces_of_the_method(planned: Document) -> None:
    line = planned.plan.lines[0]
    (row,) = end_rows(line, planned.plan)
    forces = assembly_forces(line.fence, planned.plan.catalogue.assemblies["single-box"])
    assert (row.rail_n, row.brace_n, row.uplift_n) == (forces.rail_n, forces.brace_wire_n, forces.uplift_n)
    assert row.number == 34


def test_tension_by_temperature_is_that_of_the_section_in_hand(planned: Document, show) -> None:
    planned.select(Selection("Home block", "A16"))
    panel = show(LoadsPanel, planned)
    line = planned.plan.lines[0]
    section = next(s for s in line.sections if s.id == "A16")
    table = temperature_table(line.fence, planned.plan.catalogue.items, length_m=section.slope_length_m,
                              settings=planned.job.settings)
    assert panel.cold.rows == list(table)
    assert panel.cold.texts()[0] == ["−10", "14.79", "1.43", "1.85", "1.48"]
    assert panel.cold_card.aside.text() == "A16, kN"
    planned.select(Selection("Gully division", "B4"))
    assert panel.cold_card.aside.text() == "B4, kN"


def test_the_setting_temperature_is_set_and_undone(planned: Document, show) -> None:
    panel = show(LoadsPanel, planned)
    field = panel.settings[0]
    field.field.setText("35 °C")
    field.field.editingFinished.emit()
    assert planned.job.settings.setting_temperature_c == 35.0
    planned.wait_for_plan()
    assert "Strained at 35 °C" in panel.cold_words.text()
    field.field.setText("hot")
    field.field.editingFinished.emit()
    assert "'hot' is not a number from -30 to 60 degC" in field.refusal.text
    planned.undo()
    assert planned.job.settings.setting_temperature_c == 20.0


def test_forces_in_pounds(planned: Document, show) -> None:
    panel = show(LoadsPanel, planned)
    panel.set_measures(Measures("imperial"))
    assert panel.posts_card.aside.text().endswith("lbf")
    assert float(panel.posts.texts()[0][2]) == pytest.approx(3195 / 4.44822, rel=0.01)


def test_its_findings_are_those_of_the_loads(planned: Document, show) -> None:
    panel = show(LoadsPanel, planned)
    assert {row.finding.rule.partition("-")[0] for row in panel.findings.rows} == {"loads"}
    panel.findings.rows[0].show_button.click()
    assert planned.selection.section == "A16"
    assert planned.selection.post == "A-0987"


def test_an_empty_job_still_shows_the_cautions(document: Document, show) -> None:
    panel = show(LoadsPanel, document)
    assert "Keep out of the line of pull" in panel.cautions.text()
    assert not panel.posts_card.isVisible()


def test_live_fences_have_a_card_and_others_have_none(document: Document, planned: Document, show) -> None:
    assert show(LoadsPanel, planned).electric.isHidden()
    shed = Feature("Shed", "energiser", f"POINT ({EAST + 100} {NORTH})", (("joules", "0.1"),))
    document.start(replace(straight_job(fence="electric-3"), features=(shed,)))
    document.wait_for_plan()
    card = show(LoadsPanel, document).electric
    assert not card.isHidden()
    assert card.table.texts()[0][2:] == ["0.2", "0.1", "3"]
    assert card.words.text().replace("\u00a0", " ").startswith(
        "Fed from Shed. Farthest place 300 m along the fence, on Home.")
