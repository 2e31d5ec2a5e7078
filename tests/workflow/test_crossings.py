"""Crossings where lines meet marked water, listed and placed through the command line."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from planner.files.job_file import read_job, write_job
from planner.survey.features import Feature
from tests.command_line import command
from tests.plain_jobs import EAST, NORTH, straight_job

CREEK = Feature("Sandy creek", "water", f"LINESTRING ({EAST + 100} {NORTH - 50}, {EAST + 100} {NORTH + 50})",
                (("width", "12"),))
DRAIN = Feature("Drain", "water", f"LINESTRING ({EAST + 300} {NORTH - 50}, {EAST + 300} {NORTH + 50})")


def job_at(folder: Path, *features: Feature) -> Path:
    path = folder / "wet.job.gpkg"
    write_job(path, replace(straight_job(), features=features))
    return path


def test_places_are_listed_and_nothing_is_changed(tmp_path: Path):
    path = job_at(tmp_path, CREEK, DRAIN)
    before = path.read_bytes()
    ran = command("crossings", path)
    assert ran.status == 0
    assert "Home at 100.0 m meets Sandy creek: span 16 m" in ran.out
    assert "Home at 300.0 m meets Drain: span 20 m" in ran.out
    assert "the usual span" in ran.out.splitlines()[1]
    assert path.read_bytes() == before


def test_they_are_placed_once(tmp_path: Path):
    path = job_at(tmp_path, CREEK, DRAIN)
    assert "2 placed." in command("crossings", path, "--place").out
    found = read_job(path).lines[0].crossings
    assert [(c.name, c.span_m) for c in found] == [("Sandy creek", 16.0), ("Drain", 20.0)]
    assert command("crossings", path, "--place").out == "No line meets marked water without a crossing.\n"


def test_a_dry_job_says_so(tmp_path: Path):
    assert command("crossings", job_at(tmp_path)).out == "No line meets marked water without a crossing.\n"
