from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.job.job import Job
from planner.ui.document import Document, Selection
from planner.ui.panels.profile import ProfilePanel, breaks_of, tolerance_words


def test_it_shows_lengths_levels_and_breaks(planned: Document, show) -> None:
    panel = show(ProfilePanel, planned)
    line = planned.plan.lines[0]
    assert panel.lengths.figure("Plan length") == "7 840.7 m"
    assert panel.lengths.figure("The slopes add").startswith("10.9 m")
    assert panel.levels.figure("From terrain") == "99.8 %"
    assert len(panel.breaks.rows) == len(line.chain.chainage_m) - 2
    assert panel.tolerance.text().startswith("Tolerance 0.15 m, as set")


def test_breaks_are_the_turns_of_the_chain(planned: Document) -> None:
    line = planned.plan.lines[0]
    rows = breaks_of(line)
    assert [row.break_deg for row in rows] == pytest.approx(line.chain.break_deg[1:-1].tolist())
    grades = np.array([row.grade_after_deg for row in rows])
    assert np.diff(grades) == pytest.approx([row.break_deg for row in rows[1:]])


def test_noise_that_sets_the_tolerance_is_said(planned: Document) -> None:
    words = tolerance_words(planned.plan.lines[1])
    noise = planned.plan.lines[1].ground.noise_m
    assert (f"2 times the noise of the levels ({noise:.2f} m)" in words) == (2 * noise > 0.15)


def test_a_break_and_its_post_are_selected_both_ways(planned: Document, show) -> None:
    panel = show(ProfilePanel, planned)
    panel.breaks.selectRow(4)
    row = panel.breaks.rows[4]
    assert row.post
    assert planned.selection.post == row.post
    other = next(r for r in panel.breaks.rows if r.post and r.chainage_m > 3000)
    planned.select(Selection("Home block", post=other.post))
    assert panel.breaks.key_in_hand == round(other.chainage_m, 3)


def test_the_tolerance_is_set_and_one_out_of_its_limits_is_refused(planned: Document, show) -> None:
    panel = show(ProfilePanel, planned)
    field = panel.settings[0]
    field.field.setText("0.5")
    field.field.editingFinished.emit()
    assert planned.job.settings.grade_tolerance_m == 0.5
    planned.wait_for_plan()
    assert len(panel.breaks.rows) < 146
    field.field.setText("50")
    field.field.editingFinished.emit()
    assert "is not a number from 0.01 to 5 m" in field.refusal.text
    assert planned.job.settings.grade_tolerance_m == 0.5
    planned.undo()
    assert planned.job.settings.grade_tolerance_m == 0.15


def with_rounded_terrain(job: Job) -> Job:
    """The job with levels of its first line that were rounded to half a metre, which is worth a look."""
    name = job.lines[0].name
    levels = job.levels[name]
    rounded = replace(levels, quality=replace(levels.quality, quantum_m=0.5))
    return replace(job, levels={**job.levels, name: rounded})


def test_its_findings_go_to_their_line_and_are_waived(planned: Document, show, qtbot) -> None:
    planned.start(with_rounded_terrain(planned.job))
    planned.wait_for_plan()
    panel = show(ProfilePanel, planned)
    finding = panel.findings.rows[0].finding
    with qtbot.waitSignal(panel.show_place) as caught:
        panel.findings.rows[0].show_button.click()
    assert caught.args == [finding]
    assert planned.selection.line == finding.place.line
    panel.findings.waived.emit(finding, "checked on the ground")
    assert planned.job.waivers[0].reason == "checked on the ground"
    planned.wait_for_plan()
    assert [row.finding.waived for row in panel.findings.set_aside] == ["checked on the ground"]
    panel.findings.set_aside[0].waive_button.click()
    assert planned.job.waivers == ()
    planned.wait_for_plan()
    assert panel.findings.set_aside == []


def test_an_empty_job_says_what_to_do(document: Document, show) -> None:
    panel = show(ProfilePanel, document)
    assert "no line yet" in panel.nothing.text()
    assert not panel.breaks_card.isVisible()
