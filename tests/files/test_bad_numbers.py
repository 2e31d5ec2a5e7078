"""Bad numbers in every kind of file: the good line beside them stays, each trouble is told once, nothing gets in."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from bad_numbers import GOOD_M, GRID, KINDS, LINES, RINGS, WITH_HOLES, Shape, write

from planner.files.survey_in import SurveyedJob, Wanted, new_job, survey_into
from planner.findings import Finding
from planner.geometry.lines import leg_lengths
from planner.job.adding import AS_READ
from planner.job.derive import plan_job
from planner.settings import Settings

CLOSED_LINES = ("gpx", "csv")
"""Kinds that know no polygons: a ring is a line that comes back to its start."""
UNSAID = {"survey-32", "survey-59"}
LEFT_OUT = {"no length", "one point", "jump", "ring of one place"}
"""Troubles of which no line can be left."""
TOLD_BY: dict[str, set[str]] = {
    "nan": {"survey-43", "survey-55"}, "infinity": {"survey-43", "survey-55"}, "1e300": {"survey-44"},
    "no length": {"survey-41"}, "repeated": {"survey-45"}, "one point": {"survey-41"}, "jump": {"survey-07"},
    "bow-tie": {"survey-48"}, "sliver": {"survey-49"}, "nan in a ring": {"survey-43", "survey-55"},
    "ring of 1e300": {"survey-44"}, "ring of one place": {"survey-41", "survey-42"}}
BAD_M = {"nan": 120.0, "infinity": 120.0, "1e300": 120.0, "repeated": 120.0, "crosses itself": 300.0,
         "bow-tie": 200.0 + 2 * 100.0 * 2**0.5, "sliver": 200.6, "hole the wrong way": 400.0, "nan in a ring": 400.0,
         "ring of 1e300": 400.0}
CASES = [(kind, name) for name, shape in {**LINES, **RINGS}.items() for kind in KINDS
         if len(shape.rings) == 1 or kind in WITH_HOLES]


def read(folder: Path, kind: str, shape: Shape) -> SurveyedJob:
    path = folder / f"source.{kind}"
    write(path, shape)
    return survey_into(new_job("farm", Settings()), [path], [], Wanted("general-mesh", stated=GRID, fitting=AS_READ))


def lengths(done: SurveyedJob) -> dict[str, float]:
    return {line.name.split()[0] + " hole" * ("hole" in line.name): float(leg_lengths(line.xy).sum())
            for line in done.job.lines}


def told(done: SurveyedJob, name: str) -> list[Finding]:
    return [f for f in done.findings if f.rule not in UNSAID and not (name == "jump" and f.rule == "survey-06")]


@pytest.mark.parametrize(("kind", "name"), CASES)
def test_the_good_line_stays_and_the_trouble_is_told_once(tmp_path: Path, kind: str, name: str) -> None:
    done = read(tmp_path, kind, {**LINES, **RINGS}[name])
    found = lengths(done)
    good_m = GOOD_M + 130.0 * (kind == "shp" and name in RINGS)  # a shapefile of polygons closes it
    assert found.pop("Good") == pytest.approx(good_m, abs=1e-3)
    expected = {"Bad": BAD_M[name]} if name not in LEFT_OUT else {}
    if name == "hole the wrong way":
        expected["Bad hole"] = 80.0
    assert found == pytest.approx(expected, abs=1e-3)
    for line in done.job.lines:
        assert np.abs(line.xy - (500_000.0, 5_800_000.0)).max() < 1_000.0
    said = told(done, name)
    by_reader = name in TOLD_BY and not (kind in CLOSED_LINES and name in ("bow-tie", "sliver"))
    wound = kind == "shp" and name == "hole the wrong way"
    assert [f.rule for f in said if f.severity != "note" or name == "repeated"] == [f.rule for f in said]
    assert len(said) == (by_reader or wound)
    assert {f.rule for f in said} <= ({"survey-52"} if wound else TOLD_BY.get(name, set()))
    for f in said:
        assert f.place.file.endswith(f"source.{kind}")
        assert f.place.row is not None


@pytest.mark.parametrize(("kind", "name"), [(kind, name) for kind, name in CASES if name in BAD_M])
def test_totals_of_what_is_left_are_those_of_its_lines(tmp_path: Path, kind: str, name: str) -> None:
    plan = plan_job(read(tmp_path, kind, {**LINES, **RINGS}[name]).job)
    planned = [float(line.ground.slope_m[-1]) for line in plan.lines]
    assert np.isfinite(planned).all()
    assert sum(planned) == pytest.approx(sum(lengths(SurveyedJob(plan.job, (), ())).values()), rel=2e-3)
    if name in ("crosses itself", "bow-tie"):
        crossed = [f for f in plan.findings if "cross" in f.message and f.place.line.startswith("Bad")]
        assert crossed, "a line that crosses itself is told of in the plan"
