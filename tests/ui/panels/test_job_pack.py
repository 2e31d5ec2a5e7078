from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtWidgets import QScrollArea

from planner.errors import FileTrouble
from planner.job.edits import RenameJob
from planner.job.plan import JobPlan
from planner.jobpack.output import Output
from planner.jobpack.page.form import SheetChoice
from planner.jobpack.runner import write_outputs
from planner.progress import Unwatched
from planner.ui.document import Document
from planner.ui.panels import job_pack, page_preview
from planner.ui.panels.job_pack import JobPackPanel


@pytest.fixture
def panel(planned: Document, show, qtbot, tmp_path: Path) -> JobPackPanel:
    made = show(JobPackPanel, planned)
    qtbot.waitUntil(lambda: bool(made.ticks) and made._loading is None, timeout=20_000)
    made.folder = tmp_path / "pack"
    return made


def test_every_output_has_a_tick_and_a_reader(panel: JobPackPanel) -> None:
    assert {"job-pack.pdf", "straining-sheet.pdf", "plan.json", "materials.csv", "pegs.gpx"} <= set(panel.ticks)
    assert len(panel.readers()) == len(panel.ticks)
    assert panel.readers()[1] == "the crew, to take outside"
    assert panel.write.text() == f"Write {len(panel.ticks)} files"


def test_until_it_is_known_what_can_be_written_it_says_so(
        planned: Document, show, qtbot, monkeypatch: pytest.MonkeyPatch) -> None:
    go_on = threading.Event()
    known = job_pack.outputs_of

    def slow(choice: SheetChoice) -> tuple[Output, ...]:
        go_on.wait(20.0)
        return known(choice)

    monkeypatch.setattr(job_pack, "outputs_of", slow)
    made = show(JobPackPanel, planned)
    assert made.is_looking_up
    assert "Looking up" in made.looking.text()
    assert (made.head.aside.text(), made.write.text()) == ("", "Write the job pack")
    assert not any(widget.isEnabled() for widget in (made.write, made.all, made.none))
    go_on.set()
    qtbot.waitUntil(lambda: not made.is_looking_up, timeout=20_000)
    assert made.looking.text() == ""
    assert made.head.aside.text() == f"{len(made.ticks)} of {len(made.ticks)}"
    assert made.write.isEnabled()


def test_what_is_ticked_is_written(panel: JobPackPanel, qtbot, tmp_path: Path) -> None:
    panel.none.click()
    assert not panel.write.isEnabled()
    for name in ("materials.csv", "pegs.csv"):
        panel.ticks[name].setChecked(True)
    with qtbot.waitSignal(panel.written, timeout=20_000) as caught:
        panel.write.click()
    assert caught.args == [tmp_path / "pack"]
    assert sorted(path.name for path in (tmp_path / "pack").iterdir()) == ["materials.csv", "pegs.csv"]
    qtbot.waitUntil(lambda: not panel.is_writing)
    assert panel.result.text() == f"2 files written into {tmp_path / 'pack'}."
    assert panel.open.isVisible()


def test_a_pack_that_is_older_than_the_job_says_so(panel: JobPackPanel, planned: Document, qtbot) -> None:
    panel.none.click()
    panel.ticks["pegs.csv"].setChecked(True)
    with qtbot.waitSignal(panel.written, timeout=20_000):
        panel.write.click()
    planned.do(RenameJob("Other farm"))
    planned.wait_for_plan()
    assert panel.result.text().endswith("The job has changed since; write it anew.")


def test_a_folder_that_cannot_be_is_refused(panel: JobPackPanel, qtbot, tmp_path: Path) -> None:
    panel.folder_field.field.setText("somewhere")
    panel.folder_field.field.editingFinished.emit()
    assert "is no full path" in panel.folder_field.refusal.text
    (tmp_path / "file").write_text("x", encoding="utf-8")
    panel.folder = tmp_path / "file" / "pack"
    panel.write.click()
    qtbot.waitUntil(lambda: bool(panel.refusal.text), timeout=20_000)
    assert "the folder cannot be made" in panel.refusal.text
    qtbot.waitUntil(lambda: not panel.is_writing)


def test_writing_is_cancelled_between_files(panel: JobPackPanel, qtbot, monkeypatch: pytest.MonkeyPatch) -> None:
    begun, go_on = threading.Event(), threading.Event()

    def slow(target: Path, plan: JobPlan) -> None:
        begun.set()
        go_on.wait(10.0)
        target.write_text("x", encoding="utf-8")

    outputs = (Output("materials.csv", "nobody", slow), Output("pegs.csv", "nobody", slow))
    monkeypatch.setattr("planner.ui.panels.job_pack.outputs_of", lambda choice: outputs)
    panel.write.click()
    assert begun.wait(10.0)
    panel.cancel.click()
    go_on.set()
    qtbot.waitUntil(lambda: not panel.is_writing)
    assert panel.result.text() == "Stopped; files already written stay."
    assert [path.name for path in panel.folder.iterdir()] == ["materials.csv"]


def test_a_folder_that_cannot_be_made_is_a_trouble(sample_plan: JobPlan, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(FileTrouble, match="cannot be made"):
        write_outputs(sample_plan, tmp_path / "file" / "deeper", (), Unwatched())


def test_what_stays_open_is_listed_before_it_is_handed_out(panel: JobPackPanel, planned: Document) -> None:
    open_ones = [f for f in planned.plan.findings if f.severity != "note"]
    assert list(panel.findings.findings) == open_ones
    shown = [row.finding for row in panel.findings.rows]
    assert shown == open_ones[:len(shown)]
    assert shown


def test_the_page_is_in_sight_once_it_is_laid_out(panel: JobPackPanel, qtbot, monkeypatch: pytest.MonkeyPatch) -> None:
    """The button that asked goes, and the keyboard goes on to the findings far below, which must not scroll it away."""
    from planner.jobpack.page.records import Page, Text

    pages = (Page(210.0, 297.0, "Plan", (Text(20.0, 20.0, "Plan", 12.0),)),)
    monkeypatch.setattr(page_preview, "pages_of", lambda plan, choice, progress: pages)
    scroll = QScrollArea()
    qtbot.addWidget(scroll)
    scroll.setWidgetResizable(True)
    scroll.setWidget(panel)
    scroll.resize(400, 700)
    scroll.show()
    scroll.ensureWidgetVisible(panel.preview.make)
    panel.preview.make.setFocus()
    panel.preview.make.click()
    qtbot.waitUntil(lambda: panel.preview.pages == pages and scroll.focusWidget() is panel.preview.sheet)
    assert not panel.preview.sheet.visibleRegion().isEmpty()
    assert panel.preview.picture.visibleRegion().boundingRect().height() > 100
    panel.setParent(None)


def test_the_sheets_are_laid_out_when_asked_for(panel: JobPackPanel, qtbot, sample_plan: JobPlan,
                                               monkeypatch: pytest.MonkeyPatch) -> None:
    from planner.jobpack.page.records import Page, Text

    pages = tuple(Page(210.0, 297.0, title, (Text(20.0, 20.0, title, 12.0),)) for title in ("Plan", "Plan", "Set-out"))
    monkeypatch.setattr(page_preview, "pages_of", lambda plan, choice, progress: pages)
    preview = panel.preview
    preview.make.click()
    qtbot.waitUntil(lambda: preview.pages == pages)
    assert panel.preview_card.aside.text() == "3 pages"
    assert preview.where.text() == "1 of 3"
    assert [preview.sheet.itemText(i) for i in range(preview.sheet.count())] == ["Plan", "Set-out"]
    preview.show_page(2)
    assert preview.picture.accessibleName() == "Page 3: Set-out"
    assert not preview.on.isEnabled()
    qtbot.waitUntil(lambda: preview._task is None)
    preview.show_plan(replace(sample_plan), panel.look, panel._choice)
    assert preview.pages == ()
    assert preview.words.text().startswith("The job has changed")


def test_an_empty_job_says_what_to_do(document: Document, show) -> None:
    made = show(JobPackPanel, document)
    assert "nothing to write" in made.nothing.text()
    assert not made.write_card.isVisible()


def test_a_document_with_nothing_to_say_is_left_out_and_the_step_says_why(
        panel: JobPackPanel, qtbot, tmp_path: Path) -> None:
    panel.none.click()
    for name in ("pegs.csv", "options.pdf"):
        panel.ticks[name].setChecked(True)
    with qtbot.waitSignal(panel.written, timeout=20_000):
        panel.write.click()
    assert [path.name for path in (tmp_path / "pack").iterdir()] == ["pegs.csv"]
    assert panel.result.text().startswith("1 file written into ")
    assert "options.pdf is left out: This job has no two options to set side by side" in panel.result.text()
