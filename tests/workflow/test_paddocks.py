"""A block of seven paddocks and a lane, from the job to the list, the sheet and plan.json.

The block is 840 m by 500 m, its lane 20 m wide. By hand: 4 x 5.04 ha, 3 x 6.72 ha and 1.68 ha of lane are 42.0 ha; new
fence is 2 x 840 m of lane, 3 x 240 m and 2 x 240 m: 2,880 m. In this grid a metre is 1/0.9996 m on the ground.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from command_line import command
from plan_invariants import check_plan, read_plan

from planner.files.job_file import read_job, write_job
from planner.job.job import Job
from tests.paddock_jobs import fence, job_of, lane_job

GROUND = 1.0 / 0.9996


def listed(folder: Path, job: Job) -> dict[str, Any]:
    write_job(folder / "it.job.gpkg", job)
    ran = command("paddocks", folder / "it.job.gpkg", "--ends", "--json", "--quiet")
    assert (ran.status, ran.err) == (0, "")
    return json.loads(ran.out)


def packed(folder: Path, job: Job) -> dict[str, Any]:
    write_job(folder / "it.job.gpkg", job)
    assert command("pack", folder / "it.job.gpkg", "--to", folder / "pack", "--only", "plan.json").status == 0
    plan = read_plan(folder / "pack" / "plan.json")
    check_plan(plan)
    return plan


def test_seven_paddocks_and_a_lane(tmp_path: Path):
    paddocks = listed(tmp_path, lane_job())["paddocks"]
    assert Counter(round(p["area_ha"] / GROUND**2, 2) for p in paddocks) == {6.72: 3, 5.04: 4, 1.68: 1}
    assert sum(p["area_ha"] for p in paddocks) == pytest.approx(42.0 * GROUND**2, rel=1e-5)
    assert Counter(p["use"] for p in paddocks) == {"stock": 7, "lane": 1}
    assert all(p["way"] is not None for p in paddocks)
    assert all(p["water"] for p in paddocks if p["use"] == "stock")


def test_new_fence_is_counted_once(tmp_path: Path):
    plan = packed(tmp_path, lane_job())
    assert sum(line["plan_length_m"] for line in plan["lines"]) == pytest.approx(2880.0 * GROUND, rel=1e-5)
    assert [f for f in plan["findings"] if f["rule"] == "line-11"] == []
    assert Counter(node["kind"] for node in plan["nodes"])["tee"] == 5


def test_fourteen_tees_and_nine_gates_where_the_block_is_fenced_as_well(tmp_path: Path):
    plan = packed(tmp_path, lane_job(stands=False))
    assert Counter(node["kind"] for node in plan["nodes"])["tee"] == 14
    assert {gate for paddock in plan["paddocks"] for gate in paddock["gates"]} == {
        "N1", "N2", "N3", "N4", "S1", "S2", "S3", "Lane west", "Lane east"}
    assert sum(m["net"] for m in plan["materials"] if m["item"].startswith("gate-")) == 9


@pytest.mark.parametrize("gate", ["N1", "N2", "N3", "N4", "S1", "S2", "S3"])
def test_one_gate_taken_away_is_exactly_one_error(tmp_path: Path, gate: str):
    def errors(job: Job) -> Counter[str]:
        return Counter(f["rule"] for f in packed(tmp_path, job)["findings"] if f["severity"] == "error")

    assert errors(lane_job(without=gate)) - errors(lane_job()) == Counter({"paddock-01": 1})


def test_the_list_as_a_person_reads_it(tmp_path: Path):
    write_job(tmp_path / "it.job.gpkg", lane_job())
    ran = command("paddocks", tmp_path / "it.job.gpkg", "--ends", "--quiet")
    head, *rows = ran.out.splitlines()
    assert head.split() == ["paddock", "for", "ha", "around", "m", "gates", "water", "way", "to", "the", "yards"]
    assert rows[7].split() == ["Lane", "lane", "1.68", "1721", "N1,", "N2,", "N3,", "N4,", "S1,", "S2,", "S3,",
                               "Lane", "west,", "Lane", "east", "–", "Lane", "west"]
    assert rows[8] == "8 pieces of land, 42.03 ha"
    assert rows[-1].startswith("Advisory")


def test_fences_that_enclose_nothing(tmp_path: Path):
    write_job(tmp_path / "it.job.gpkg", job_of(fence("Home", (0, 0), (300, 0))))
    ran = command("paddocks", tmp_path / "it.job.gpkg", "--ends", "--quiet")
    assert ran.out == ("The lines of this job, and the fences that stand, enclose no land.\n\n"
                       "No fences of this job meet.\n")


def test_outlines_that_run_along_each_other_become_single_lines(tmp_path: Path):
    west = fence("West", (0, 0), (200, 0), (200, 100), (0, 100), (0, 0), gates=[("GW", 50, 0)])
    east = fence("East", (200, 0), (350, 0), (350, 100), (200, 100), (200, 0), gates=[("GE", 300, 0)])
    write_job(tmp_path / "it.job.gpkg", job_of(west, east))
    ran = command("paddocks", tmp_path / "it.job.gpkg", "--share-edges", "--quiet")
    assert (ran.status, ran.err) == (0, "")
    assert {line.name for line in read_job(tmp_path / "it.job.gpkg").lines} == {"West", "East | West", "East"}
    again = command("paddocks", tmp_path / "it.job.gpkg", "--share-edges", "--quiet")
    assert again.status == 2
    assert "no outlines of this job run along each other" in again.one_sentence()


def test_a_file_that_is_no_job(tmp_path: Path):
    ran = command("paddocks", tmp_path / "none.job.gpkg")
    assert ran.status == 2
    ran.one_sentence()
