"""``strainwright compare``: jobs and options side by side, through the command line."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from command_line import command
from document_jobs import handed_over_job, handed_over_plan
from page_checks import words as page_words

from planner.files.job_file import read_job, write_job
from planner.job.comparison import compare
from planner.jobpack.basis import basis_of
from planner.jobpack.options_sheet import comparison_pages, options_pages


@pytest.fixture
def job(tmp_path: Path) -> Path:
    target = tmp_path / "creek.job.gpkg"
    write_job(target, handed_over_job())
    return target


def test_the_options_of_one_job(job: Path):
    ran = command("compare", job, "--quiet")
    assert ran.status == 0
    assert ran.err == ""
    head = ran.out.splitlines()[0].split()
    assert head == ["mesh", "barbed"]
    assert "Least cost: barbed." in ran.out
    assert "Stages, each bought by itself:" in ran.out
    assert "first year" in ran.out


def test_several_jobs_and_the_same_cost_as_the_plan(job: Path, tmp_path: Path):
    other = tmp_path / "cheaper.job.gpkg"
    write_job(other, replace(read_job(job), option="barbed", stages=()))
    ran = command("compare", job, other, "--quiet")
    assert ran.status == 0
    assert ran.out.splitlines()[0].split() == ["creek", "cheaper"]
    for path in (job, other):
        assert command("pack", path, "--to", tmp_path / path.stem, "--only", "plan.json", "--quiet").status == 0
        total = json.loads((tmp_path / path.stem / "plan.json").read_text("utf-8"))["cost"]["total"]
        assert f"AUD {total:,.2f}".replace(",", " ") in ran.out
    assert "Least cost: cheaper." in ran.out
    assert "Stages of creek, each bought by itself:" in ran.out


def test_imperial(job: Path):
    assert "Length along the ground, ft" in command("compare", job, "--quiet", "--units", "imperial").out


def test_jobs_of_one_name_are_told_apart(job: Path, tmp_path: Path):
    (tmp_path / "b").mkdir()
    other = tmp_path / "b" / "creek.job.gpkg"
    write_job(other, read_job(job))
    assert str(other) in command("compare", job, other, "--quiet").out


def test_one_job_with_nothing_to_compare(tmp_path: Path):
    target = tmp_path / "one.job.gpkg"
    write_job(target, replace(handed_over_job(), options=(), stages=()))
    ran = command("compare", target)
    assert ran.status == 2
    assert "there is nothing to compare it with" in ran.one_sentence()


def test_a_job_that_is_not_there(tmp_path: Path):
    ran = command("compare", tmp_path / "gone.job.gpkg", tmp_path / "gone-too.job.gpkg")
    assert ran.status == 2
    assert "there is no such job" in ran.one_sentence()


def test_the_sheet_of_one_job_and_of_several(job: Path, tmp_path: Path):
    pytest.importorskip("PySide6.QtGui", reason="no Qt on this machine")
    other = tmp_path / "cheaper.job.gpkg"
    write_job(other, replace(read_job(job), option="barbed", stages=()))
    one, two = tmp_path / "one.pdf", tmp_path / "two.pdf"
    assert command("compare", job, "--to", one, "--quiet").out.endswith(f"Written to {one}.\n")
    assert command("compare", job, other, "--to", two, "--quiet").status == 0
    for path in (one, two):
        assert path.read_bytes().startswith(b"%PDF-")
    assert "--to NAME.pdf" in command("compare", job, "--to", tmp_path / "a.txt", "--quiet").one_sentence()


def test_the_sheet_names_every_job_in_its_head_and_the_stages_of_one_in_totals():
    plan = handed_over_plan()
    both = [basis_of(plan), basis_of(plan)]
    words = page_words(comparison_pages(both, compare((("creek", plan), ("ridge", plan)))))
    assert "creek and ridge" in words
    assert "Jobs side by side" in words
    own = page_words(options_pages(both[0]))
    assert "first year" in own
    assert "second year" in own
    assert "Years: first year: 2027; second year: 2028." in own
