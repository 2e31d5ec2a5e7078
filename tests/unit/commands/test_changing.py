"""Commands that change a job hold it; those that only read do not."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

import pytest
from job_samples import empty_job

import planner.commands
from planner.commands.changing import CHANGING, job_held
from planner.files.job_file import write_job
from planner.files.lock import lock_of

OWN_JOBS = {"demo", "drawn_lines"}
"""Modules that write a job of their own, or are told which by a command that is in the table."""


def test_every_command_that_writes_a_job_is_in_the_table() -> None:
    folder = Path(planner.commands.__file__).parent
    writing = {file.stem for file in folder.glob("*.py") if re.search(r"\b(write_job|save_with)\(", file.read_text())}
    assert writing - OWN_JOBS == set(CHANGING)


@pytest.mark.parametrize(("command", "words", "is_held"), [
    ("plan", {}, True), ("check", {}, False), ("pack", {}, False),
    ("log", {"what": None}, False), ("log", {"what": "loss"}, True),
    ("terms", {"read": None}, False), ("terms", {"read": Path("terms.toml")}, True),
    ("paddocks", {"share_edges": False}, False), ("paddocks", {"share_edges": True}, True),
    ("features", {"sources": [], "remove": []}, False), ("features", {"sources": [], "remove": ["Creek"]}, True),
    ("clearances", dict.fromkeys(("settle", "not_needed", "add", "take_back", "issue"), ""), False),
    ("clearances", {**dict.fromkeys(("settle", "not_needed", "add", "take_back"), ""), "issue": "Jo"}, True)])
def test_a_job_is_held_while_it_is_changed(tmp_path: Path, command: str, words: dict[str, object],
                                           is_held: bool) -> None:
    path = tmp_path / "farm.job.gpkg"
    write_job(path, empty_job())
    with job_held(argparse.Namespace(command=command, job=path, **words)):
        assert lock_of(path).exists() == is_held
    assert not lock_of(path).exists()


def test_nothing_is_left_where_the_folder_is_not_there(tmp_path: Path) -> None:
    with job_held(argparse.Namespace(command="plan", job=tmp_path / "gone" / "farm.job.gpkg")):
        assert list(tmp_path.iterdir()) == []
