"""What live fences take, through the command line and onto the sheet."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

from planner.files.job_file import write_job
from planner.job.derive import plan_job
from planner.jobpack.basis import basis_of
from planner.jobpack.electric_sheet import electric_pages
from planner.jobpack.page.records import Text
from planner.survey.features import Feature
from tests.command_line import command
from tests.plain_jobs import EAST, NORTH, straight_job

SHED = Feature("Shed", "energiser", f"POINT ({EAST + 100} {NORTH})", (("joules", "3"), ("earth rods", "3")))


def test_the_command_tells_each_circuit(tmp_path: Path):
    path = tmp_path / "e.job.gpkg"
    write_job(path, replace(straight_job(fence="electric-2"), features=(SHED,)))
    ran = command("electric", path)
    assert ran.status == 0
    assert "fed from Shed, 3 J; farthest place 300 m along the fence, on Home" in ran.out
    assert "at least 0.2 J and 3 earth rods; advisory, measure at the far end" in ran.out
    (circuit,) = json.loads(command("electric", path, "--json").out)
    assert circuit["lines"] == ["Home"]
    assert circuit["earth_rods_needed"] == 3


def test_a_job_without_live_wire_says_so(tmp_path: Path):
    path = tmp_path / "m.job.gpkg"
    write_job(path, straight_job())
    assert command("electric", path).out == "No line of this job carries a live wire.\n"


def test_the_sheet_is_there_for_live_fences_alone_and_warns():
    live = electric_pages(basis_of(plan_job(replace(straight_job(fence="electric-2"), features=(SHED,)))))
    words = " ".join(mark.text for page in live for mark in page.marks if isinstance(mark, Text))
    assert "Never make barbed wire live" in words
    assert "Advisory" in words
    assert electric_pages(basis_of(plan_job(straight_job()))) == ()
