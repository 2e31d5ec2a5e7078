from __future__ import annotations

from decimal import Decimal

import pytest
from job_samples import ODD_NAME, full_job

from planner.errors import JobTrouble
from planner.job.edits import (
    ChangeLine,
    ChangeQuoteTerms,
    ChooseOption,
    DropOption,
    DropStage,
    KeepOption,
    KeepStage,
    RemoveLine,
    RenameOption,
    RenameStage,
)
from planner.job.options import Option
from planner.job.quote_terms import QuoteTerms
from planner.job.stages import Stage


@pytest.mark.parametrize("edit", [
    ChangeQuoteTerms(full_job().terms), KeepOption(full_job().options[0]), ChooseOption("B"),
    KeepStage(full_job().stages[1])])
def test_what_changes_nothing_gives_the_very_same_job(edit):
    job = full_job()
    assert edit.apply(job) is job


def test_terms_are_changed():
    terms = QuoteTerms(mark_up=Decimal("0.3"))
    assert ChangeQuoteTerms(terms).apply(full_job()).terms is terms


def test_options_are_kept_in_place_chosen_and_dropped():
    job = KeepOption(Option("A", (), (), "another")).apply(full_job())
    assert [o.name for o in job.options] == ["A", "B"]
    assert job.options[0].note == "another"
    job = KeepOption(Option("C", ("Creek",))).apply(job)
    assert [o.name for o in job.options] == ["A", "B", "C"]
    job = ChooseOption("C").apply(job)
    assert job.option == "C"
    assert DropOption("C").apply(job).option == "", "what is gone is no choice"
    assert DropOption("A").apply(job).option == "C"


def test_a_line_leaves_its_stage_for_another():
    job = KeepStage(Stage("then", (ODD_NAME, "Creek"), 2030)).apply(full_job())
    assert [(s.name, s.lines) for s in job.stages] == [("first", ()), ("then", (ODD_NAME, "Creek"))]


def test_stages_with_years_stand_in_their_order():
    job = KeepStage(Stage("then", ("Creek",), 2020)).apply(full_job())
    assert [s.name for s in job.stages] == ["then", "first"]
    job = KeepStage(Stage("some day")).apply(job)
    assert [s.name for s in job.stages] == ["then", "first", "some day"]
    assert [s.name for s in DropStage("first").apply(job).stages] == ["then", "some day"]


@pytest.mark.parametrize(("edit", "said"), [
    (KeepOption(Option("X", ("nowhere",))), "no line 'nowhere'"),
    (KeepOption(Option("X", (), (("nowhere", "sheep-mesh"),))), "no line 'nowhere'"),
    (KeepOption(Option(" ")), "the option has no name"), (KeepStage(Stage("")), "the stage has no name"),
    (DropOption("X"), "no option 'X'; there is A, B"), (ChooseOption("X"), "no option 'X'"),
    (DropStage("X"), "no stage 'X'"), (KeepStage(Stage("X", ("nowhere",))), "no line 'nowhere'")])
def test_what_is_not_there_is_refused(edit, said: str):
    job = full_job()
    with pytest.raises(JobTrouble, match=said):
        edit.apply(job)


def test_options_and_stages_follow_a_line_that_is_renamed_or_removed():
    job = ChangeLine("Creek", new_name="Stream").apply(full_job())
    assert job.options[1] == Option("B", ("Stream",), (("Stream", "sheep-mesh"),), "", 12.5)
    assert job.stages[1].lines == ("Stream",)
    job = RemoveLine("Stream").apply(job)
    assert job.options[1] == Option("B", life_years=12.5)
    assert job.stages[1].lines == ()


@pytest.mark.parametrize("edit", [
    ChangeQuoteTerms(QuoteTerms()), KeepOption(Option("A")), DropOption("A"), ChooseOption("A"), KeepStage(Stage("s")),
    DropStage("s")])
def test_labels_are_short(edit):
    assert 0 < len(edit.label) < 50


def test_a_renamed_option_keeps_its_place_and_stays_chosen():
    job = ChooseOption("B").apply(full_job())
    now = RenameOption("B", "Bee").apply(job)
    assert [one.name for one in now.options] == ["A", "Bee"]
    assert now.option == "Bee"
    assert now.options[1].lines == job.options[1].lines
    assert RenameOption("A", "Ay").apply(job).option == "B"
    assert RenameOption("A", "A").apply(job) is job


def test_a_renamed_stage_keeps_its_place_and_lines():
    job = full_job()
    name = job.stages[0].name
    now = RenameStage(name, "Other").apply(job)
    assert [one.lines for one in now.stages] == [one.lines for one in job.stages]
    assert now.stages[0].name == "Other"


@pytest.mark.parametrize(("edit", "said"), [
    (RenameOption("A", "B"), "there is an option 'B' already"), (RenameOption("X", "Y"), "no option 'X'"),
    (RenameOption("A", " "), "the option has no name"), (RenameStage("X", "Y"), "no stage 'X'"),
    (RenameStage(full_job().stages[0].name, full_job().stages[1].name), "already")])
def test_a_name_that_is_taken_blank_or_unknown_is_refused(edit, said: str):
    with pytest.raises(JobTrouble, match=said):
        edit.apply(full_job())
