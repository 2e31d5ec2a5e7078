from __future__ import annotations

from dataclasses import replace

import pytest

from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.ui.document import Document, Selection
from planner.ui.measures import Measures
from planner.ui.panels.materials import MaterialsPanel
from planner.ui.panels.profile import ProfilePanel
from planner.ui.panels.section_words import facts_of
from planner.ui.panels.sections import SectionsPanel
from planner.ui.panels.setout import SetoutPanel


def test_every_section_stands_in_the_table(planned: Document, show) -> None:
    panel = show(SectionsPanel, planned)
    rows = {row[0]: row for row in panel.sections.texts()}
    assert list(rows) == [f"A{k}" for k in range(1, 31)]
    assert rows["A7"][:4] == ["A7", "337.7", "corner → cut", "1"]
    assert rows["A3"][2:5] == ["crossing", "", ""]
    assert rows["A11"][2] == "gate"


def test_a_section_and_a_selection_made_elsewhere_are_one(planned: Document, show) -> None:
    panel = show(SectionsPanel, planned)
    assert panel.words.text().startswith("Choose a section")
    panel.sections.selectRow(6)
    assert planned.selection == Selection("Home block", "A7")
    assert panel.section_card.title.text() == "Section A7"
    planned.select(Selection("Home block", "A9"))
    assert panel.sections.key_in_hand == "A9"
    assert panel.section_card.title.text() == "Section A9"
    planned.select(Selection("Gully division", "B4"))
    assert panel.sections.key_in_hand == "B4"


def test_figures_stand_beside_their_limits(planned: Document, show) -> None:
    planned.select(Selection("Home block", "A7"))
    panel = show(SectionsPanel, planned)
    line = planned.plan.lines[0]
    run, pull = line.joins["A7"], line.pulls["A7"]
    least = min(sub.far_end_ratio for sub in run.sub_runs)
    assert panel.facts.figure("Slope length") == "337.7 m ± 0.07"
    assert panel.facts.figure("Pull of 10 wires") == "11.33 kN 1 155 kgf"
    assert panel.facts.figure("Pull left at the far end") == f"{100 * least:.0f} % at least 85 %"
    assert panel.facts.figure("Picket lean, greatest").endswith("of 8°")
    assert panel.facts.figure("Take-up") == f"{pull.take_up_m:.2f} m each way"
    assert panel.facts.figure("Clamp bar from end post") == f"{pull.clamp_station_m:.2f} m"
    assert panel.facts.figure("Bites of the strainers") == f"{pull.bites} of 2"
    assert len(panel.runs.rows) == 2
    assert panel.ends.figure("Start: corner (turn 83.3°, break 10.1°, 2 directions of pull)") == "Box end, single"
    assert panel.advice.text() == "Advisory; check on site."


def test_joins_give_their_reasons_in_full_and_are_taken_in_hand(planned: Document, show) -> None:
    planned.select(Selection("Home block", "A7"))
    panel = show(SectionsPanel, planned)
    join = planned.plan.lines[0].joins["A7"].joins[0]
    block = next(b for b in panel.blocks if b.join.kind != "roll")
    assert join.reasons[0] in block.words.text()
    assert "Top and bottom wire differ" in block.words.text()
    block.go.click()
    assert planned.selection == Selection("Home block", "A7", join_m=join.chainage_m)
    assert panel.section_card.title.text() == "Section A7"


def test_limits_that_are_not_kept_are_said(planned: Document, show, sample_plan: JobPlan) -> None:
    line = sample_plan.lines[0]
    broken = replace(line.joins["A7"], unmet=("from 1460.2 m to 1797.0 m the take-up is 9.00 m, over the 3 m",))
    worse = replace(line, joins={**line.joins, "A7": broken})
    planned.plan = replace(sample_plan, lines=(worse, *sample_plan.lines[1:]))
    planned.select(Selection("Home block", "A7"))
    panel = show(SectionsPanel, planned)
    assert panel.unmet.text() == "▲ Not kept: from 1460.2 m to 1797.0 m the take-up is 9.00 m, over the 3 m."


def test_a_value_over_its_limit_is_marked(sample_plan: JobPlan) -> None:
    line = sample_plan.lines[0]
    section = next(s for s in line.sections if s.id == "A7")
    weak = tuple(replace(sub, far_end_ratio=0.5, lean_max_deg=9.0) for sub in line.joins["A7"].sub_runs)
    worse = replace(line, joins={"A7": replace(line.joins["A7"], sub_runs=weak)})
    over = [row.label for row in facts_of(worse, section, Measures(), {}).rows if row.over]
    assert over == ["Pull left at the far end", "Picket lean, greatest"]


def test_gate_and_crossing_say_what_they_are(planned: Document, show) -> None:
    planned.select(Selection("Home block", "A11"))
    panel = show(SectionsPanel, planned)
    assert panel.section_card.title.text() == "Gate A11"
    assert "no wire is strained" in panel.words.text()
    planned.select(Selection("Home block", "A3"))
    assert panel.section_card.title.text() == "Crossing A3"
    assert panel.facts.figure("Take-up") == ""


def test_an_empty_job_says_what_to_do(document: Document, show) -> None:
    panel = show(SectionsPanel, document)
    assert "nothing to strain" in panel.nothing.text()
    assert not panel.section_card.isVisible()


@pytest.mark.parametrize("kind", [SectionsPanel, SetoutPanel, ProfilePanel, MaterialsPanel])
def test_a_line_that_is_not_planned_yet_is_not_said_to_be_missing(planned: Document, show, kind) -> None:
    plan, planned.plan = planned.plan, None
    panel = show(kind, planned)
    assert "have no plan yet" in panel.nothing.text()
    planned.plan = plan
    panel.refresh()
    assert panel.nothing.text() == ""


def test_a_job_without_a_line_says_so(qapp, show) -> None:
    document = Document()
    document.start(Job("Empty", crs="EPSG:7855"))
    assert show(SectionsPanel, document).nothing.text().startswith("There is no line yet")
    document.close()
