"""Quote terms, options and stages as a text file, through the command line."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from command_line import command
from document_jobs import LONG_NAME, handed_over_job
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.files.job_file import read_job, write_job
from planner.files.terms_file import read_terms, write_terms
from planner.job.quote_terms import Extra, Multiplier, QuoteTerms
from planner.job.stages import Stage
from planner.materials.labour import COMPONENTS

TERMS = QuoteTerms(
    mark_up=Decimal("0.125"), rates=(("wire", Decimal("71.30")), ("end assemblies", Decimal("64.05"))),
    multipliers=(Multiplier("steel line posts", "ledge", 3.1), Multiplier("mesh", "", 1.25)),
    extras=(Extra("Track\twith \"quotes\" and \\", "m", Decimal("0.10")), Extra("Crane", "h")), valid_days=60,
    supplies="", inclusions=(), exclusions=("Nothing\nelse.",), payment="At the end.")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    target = tmp_path / "creek.job.gpkg"
    write_job(target, replace(handed_over_job(), terms=TERMS, option="barbed"))
    return target


def _read(job: Path, text: str) -> object:
    file = job.with_name("t.toml")
    file.write_text(text, encoding="utf-8")
    return command("terms", job, "--read", file)


def test_what_was_written_changes_nothing_when_read(job: Path):
    file, before = job.with_name("t.toml"), job.read_bytes()
    assert command("terms", job, "--write", file).status == 0
    ran = command("terms", job, "--read", file)
    assert "it changes nothing" in ran.out
    assert job.read_bytes() == before
    assert read_terms(file, read_job(job)) == read_job(job)


def test_every_entry_is_written_and_cautions_stand_in_the_file(job: Path):
    file = job.with_name("t.toml")
    command("terms", job, "--write", file)
    text = file.read_text("utf-8")
    found = tomllib.loads(text)
    assert set(found) == {"chosen_option", "terms", "options", "stages"}
    assert set(found["terms"]) == {"mark_up", "valid_days", "supplies", "remeasure", "payment", "inclusions",
                                   "exclusions", "duties", "rates", "multipliers", "extras"}
    assert found["options"][1]["fences"] == {LONG_NAME: "cattle-barbed-4"}
    assert "no legal advice" in text
    assert "licensed surveyors and engineers" in text.replace("\n# ", " ")
    assert max(len(row) for row in text.splitlines() if row.startswith("#") and LONG_NAME not in row) <= 101


def test_a_change_is_taken_in_and_what_is_not_named_stays(job: Path):
    ran = _read(job, '[terms]\nmark_up = 0.2\n[[stages]]\nname = "all"\nlines = ["Branch"]\n')
    assert "terms, stages changed" in ran.out
    now = read_job(job)
    assert now.terms == replace(TERMS, mark_up=Decimal("0.2"))
    assert now.stages == (Stage("all", ("Branch",)),)
    assert now.options == read_job(job).options
    assert now.option == "barbed"


def test_options_can_all_be_dropped(job: Path):
    assert "options, choice of option changed" in _read(job, "options = []\n").out
    assert read_job(job).options == ()
    assert read_job(job).option == ""


@pytest.mark.parametrize(("text", "place", "what"), [
    ("[terms]\nmarkup = 0.2\n", "[terms], field 'markup'", "did you mean 'mark_up'"),
    ("[terms]\nmark_up = 11\n", "field 'mark_up'", "11 is not a number from 0 to 10"),
    ("[terms]\nmark_up = nan\n", "field 'mark_up'", "is not a number from 0 to 10"),
    ("[terms]\nvalid_days = 0\n", "field 'valid_days'", "from 1 to 3650"),
    ("[terms]\nvalid_days = 'soon'\n", "field 'valid_days'", "is not a number"),
    ("[terms.rates]\nwires = 4\n", "[terms.rates], field 'wires'", "did you mean 'wire'"),
    ("[terms.rates]\nwire = -1\n", "[terms.rates], field 'wire'", "-1 is not a number from 0"),
    ("[[terms.multipliers]]\ncomponent = 'wire'\nground = 'lege'\nfactor = 2\n", "[terms.multipliers 1]",
     "did you mean 'ledge'"),
    ("[[terms.multipliers]]\ncomponent = 'wire'\nfactor = 0\n", "[terms.multipliers 1]", "above 0 to 20"),
    ("[[options]]\nname = 'x'\nlines = ['Brunch']\n", "[options 1], field 'lines'", "did you mean 'Branch'"),
    ("[[options]]\nname = 'x'\nfences = { Branch = 'sheep' }\n", "[options 1.fences], field 'Branch'",
     "there is no fence type 'sheep'"),
    ("[[options]]\nname = 'x'\n[[options]]\nname = 'x'\n", "field 'options'", "stands there twice"),
    ("chosen_option = 'brbed'\n", "field 'chosen_option'", "did you mean 'barbed'"),
    ("[[stages]]\nname = 'x'\nyear = 20277\n", "[stages 1], field 'year'", "from 1900 to 2300"),
    ("[[stages]]\nyear = 2027\n", "[stages 1], field 'name'", "the field is missing"),
    ("[terms]\nmark_up = = 1\n", "t.toml", "line 2"),
    ("stage = 1\n", "field 'stage'", "did you mean 'stages'"),
])
def test_what_is_wrong_is_one_sentence_with_file_and_place(job: Path, text: str, place: str, what: str):
    before = job.read_bytes()
    ran = _read(job, text)
    assert ran.status == 2
    sentence = ran.one_sentence()
    assert "t.toml" in sentence
    assert place in sentence
    assert what in sentence
    assert job.read_bytes() == before


@pytest.mark.parametrize(("text", "ok"), [
    ("[terms]\nmark_up = 10\n", True), ("[terms]\nmark_up = 10.01\n", False),
    ("[terms]\nvalid_days = 3650\n", True), ("[terms]\nvalid_days = 3651\n", False),
    ("[[terms.multipliers]]\ncomponent = 'wire'\nfactor = 20\n", True),
    ("[[terms.multipliers]]\ncomponent = 'wire'\nfactor = 20.1\n", False),
])
def test_limits(job: Path, text: str, ok: bool):
    assert (_read(job, text).status == 0) is ok


def test_no_text_file_and_no_file(job: Path):
    (job.with_name("t.toml")).write_bytes(b"\xff\xfe\x00")
    assert "UTF-8" in command("terms", job, "--read", job.with_name("t.toml")).one_sentence()
    assert "cannot be read" in command("terms", job, "--read", job.with_name("gone.toml")).one_sentence()


def test_told_readably(job: Path):
    out = command("terms", job).out
    assert "Mark-up: 12.5 %" in out
    assert "wire: AUD\u00a071.30" in out
    assert "steel line posts, ledge: 3.1 times" in out
    assert "Crane, a unit of h: to be agreed" in out
    assert "barbed (chosen)" in out
    assert f"first year (2027): {LONG_NAME}" in out


_words = st.text(st.characters(codec="utf-8"), min_size=1, max_size=30).filter(str.strip)
_money = st.decimals(0, 10**6, places=2)


@settings(max_examples=60, deadline=None)
@given(st.builds(
    QuoteTerms, mark_up=st.decimals(0, 10, places=4), valid_days=st.integers(1, 3650), supplies=_words, payment=_words,
    rates=st.lists(st.tuples(st.sampled_from(COMPONENTS), _money), unique_by=lambda pair: pair[0]).map(tuple),
    multipliers=st.lists(st.builds(Multiplier, st.sampled_from(COMPONENTS), st.sampled_from(("", "ledge")),
                                   st.floats(1e-6, 20.0))).map(tuple),
    extras=st.lists(st.builds(Extra, _words, _words, st.none() | _money), max_size=3).map(tuple),
    duties=st.lists(_words, max_size=3).map(tuple)))
def test_any_terms_come_back_as_they_were(tmp_path_factory: pytest.TempPathFactory, terms: QuoteTerms):
    file = tmp_path_factory.mktemp("terms") / "t.toml"
    job = replace(handed_over_job(), terms=terms)
    write_terms(file, job)
    assert read_terms(file, replace(job, terms=QuoteTerms())).terms == terms
