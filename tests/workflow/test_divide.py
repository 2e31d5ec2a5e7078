"""Dividing through the command line: a seven-paddock cell off a lane, and what is refused."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from planner.alignment.division import OffLane, divide_paddock
from planner.alignment.division_shapes import check_parts
from planner.alignment.junctions import find_junctions
from planner.alignment.line import Crossing, FenceLine, Gate
from planner.cli import run
from planner.files.job_file import read_job, write_job
from planner.job.job import Job
from planner.survey.features import Feature

EAST, NORTH = 455_200.0, 5_951_800.0
CORNER = np.array([EAST, NORTH])
RING = np.array([(0, 0), (840, 0), (840, 500), (0, 500), (0, 0)]) + CORNER
LANE = np.array([(0.0, 250.0), (840.0, 250.0)]) + CORNER
TRACK = LANE - np.array([0.0, 100.0])


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "cell.job.gpkg"
    write_job(path, Job("cell", "EPSG:7855", (
        FenceLine("Block", "general-mesh", RING, True, "survey"),
        FenceLine("old track", "general-mesh", TRACK, False, "survey",
                  crossings=(Crossing("Block gate 1", EAST + 400.0, NORTH + 150.0, 10.0),))),
        made_at="2026-01-01T00:00:00+00:00"))
    return path


def paddock_file(folder: Path, rings: dict[str, list[list[list[float]]]]) -> str:
    features = [{"type": "Feature", "properties": {"name": name}, "geometry": {"type": "Polygon", "coordinates": c}}
                for name, c in rings.items()]
    path = folder / "paddocks.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    return str(path)


HOME = [[[146.0, -36.0], [146.004, -36.0], [146.004, -36.003], [146.0, -36.003], [146.0, -36.0]],
        [[146.001, -36.001], [146.001, -36.0015], [146.0015, -36.0015], [146.0015, -36.001], [146.001, -36.001]]]


def test_seven_paddocks_off_a_lane(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A block of 840 x 500 m fenced outside, a central lane of 20 m, three paddocks south and four north of it."""
    assert run(["divide", "Block", "--parts", "7", "--lane-width", "20", "--left-parts", "4", "--bearing", "0",
                "--job", str(job)]) == 0
    said = capsys.readouterr().out
    assert "42.0000 ha into 7 parts; new fence 2,880.0 m on the grid in 7 lines" in said
    assert "The lane takes 1.6800 ha; 7 gates were put into its fences" in said
    assert said.count("A gate is wanted in the paddock's edge") == 2
    lines = read_job(job).lines
    new = [line for line in lines if line.name not in ("Block", "old track")]
    lengths = sorted(float(np.hypot(*np.diff(line.xy, axis=0).T).sum()) for line in new)
    assert lengths == pytest.approx([240.0] * 5 + [840.0] * 2, abs=1e-6)
    gates = [gate for line in new for gate in line.gates]
    assert len({gate.name for gate in gates} | {"Block gate 1"}) == 8
    met = find_junctions([line for line in lines if line.name != "old track"])
    assert len({(round(j.x, 3), round(j.y, 3)) for junctions in met.values() for j in junctions}) == 14
    assert all(j.directions == 1 for j in met["Block"])
    assert sorted(len(line.gates) for line in new if line.gates) == [3, 4]


def test_a_closed_line_inside_is_left_out_and_areas_say_what_they_are(job: Path,
                                                                      capsys: pytest.CaptureFixture[str]) -> None:
    was = read_job(job)
    grove = np.array([(100, 100), (200, 100), (200, 200), (100, 200), (100, 100)]) + CORNER
    write_job(job, replace(was, lines=(*was.lines, FenceLine("Grove", "general-mesh", grove, True))))
    assert run(["divide", "Block", "--parts", "2", "--job", str(job)]) == 0
    said = capsys.readouterr().out
    assert "Block: 41.0000 ha into 2 parts" in said
    assert "The land inside 'Grove' is left out." in said
    assert "Areas are those of the grid; on the ground they are 0.08 % more, 41.03 ha in all." in said
    assert any("Grove" in note for note in read_job(job).notes)


def test_areas_gates_and_what_one_gate_less_means() -> None:
    block = shapely.Polygon(RING)
    division = divide_paddock(block, parts=7, how=OffLane(LANE, 20.0, left_parts=4))
    assert [part.area_m2 / 1e4 for part in division.parts] == pytest.approx([5.04] * 4 + [6.72] * 3, abs=1e-6)
    assert division.lane.area / 1e4 == pytest.approx(1.68, abs=1e-9)
    assert sum(part.perimeter_m for part in division.parts) == pytest.approx(6720.0)
    assert (len(division.gates), len(division.end_gates)) == (7, 2)
    assert division.findings == ()
    places = {gate.name: (gate.x, gate.y) for gate in (*division.gates, *division.end_gates)}
    for missing in (gate.name for gate in division.gates):
        left = {name: place for name, place in places.items() if name != missing}
        bare = [replace(part, gates=tuple(gate for gate in part.gates if gate != missing)) for part in division.parts]
        found = check_parts(bare, lane=division.lane, waters={}, gates=left)
        assert [finding.rule for finding in found] == ["division-05"]


def test_a_paddock_from_a_file_with_a_hole_by_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = paddock_file(tmp_path, {"Home": HOME, "Hill": [[[147 - 0.99, -36.01], [146.02, -36.01], [146.02, -36.02],
                                                             [147 - 0.99, -36.01]]]})
    job = tmp_path / "new.job.gpkg"
    assert run(["divide", source, "--parts", "2", "--job", str(job)]) == 2
    said = capsys.readouterr().err
    assert "there are 2 paddocks in it; say --name with one of 'Home', 'Hill'" in said
    assert not job.exists()
    assert run(["divide", source, "--name", "Home", "--areas", "3,rest", "--bearing", "0", "--crs", "EPSG:7855",
                "--fence", "cattle-barbed-4", "--job", str(job)]) == 0
    assert "\n   1  3.0000" in capsys.readouterr().out
    lines = read_job(job).lines
    assert [line.fence for line in lines] == ["cattle-barbed-4"] * len(lines)
    assert lines[0].name == "Home division 1"
    assert run(["divide", source, "--name", "Home", "--parts", "3", "--job", str(job)]) == 0
    assert len(read_job(job).lines) > len(lines)


@pytest.mark.parametrize(("words", "said"), [
    (["Block"], "nothing says into how many parts"),
    (["Block", "--parts", "0"], "2 to 100 parts, not 0"),
    (["Block", "--areas", "10,20"], "the areas 10, 20 ha do not make up the 42.0000 ha"),
    (["Block", "--areas", "10,twenty"], "'twenty' is no area"),
    (["Block", "--areas", "10,rest", "--parts", "3"], "2 areas are given for 3 parts"),
    (["Block", "--parts", "3", "--bearing", "north"], "this is no angle"),
    (["Block", "--parts", "3", "--from-point", "1,2"], "from the paddock"),
    (["Block", "--parts", "3", "--from-point", "here"], "'here' is no position"),
    (["Block", "--parts", "3", "--lane", "old track"], "say --lane-width"),
    (["Block", "--parts", "3", "--lane", "nothing", "--lane-width", "20"], "there is no line 'nothing'"),
    (["Block", "--parts", "3", "--lane-width", "20", "--from-point", "455600,5952000"], "either from a point or"),
    (["old track", "--parts", "3"], "the line is not closed"),
    (["Nowhere", "--parts", "3"], "no such file, and no such line in the job; name a file or one of 'Block'"),
    (["Block", "--parts", "3", "--fence", "no-such"], "there is no fence type 'no-such'"),
])
def test_refusals_leave_the_job_as_it_was(job: Path, words: list[str], said: str,
                                          capsys: pytest.CaptureFixture[str]) -> None:
    before = job.read_bytes()
    assert run(["divide", *words, "--job", str(job)]) == 2
    assert said in capsys.readouterr().err
    assert job.read_bytes() == before


def test_a_lane_along_a_line_of_the_job(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["divide", "Block", "--parts", "4", "--lane", "old track", "--lane-width", "10", "--lane-side", "right",
                "--job", str(job)]) == 0
    assert "The lane takes 0.8400 ha" in capsys.readouterr().out


def test_gates_that_stand_count_for_reach(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kept = read_job(job)
    block = FenceLine("Block", "general-mesh", RING, True, "survey",
                      gates=(Gate("road", EAST + 100.0, NORTH, 4.2),))
    write_job(job, Job("cell", kept.crs, (block,), made_at=kept.made_at))
    assert run(["divide", "Block", "--parts", "2", "--bearing", "0", "--job", str(job)]) == 0
    said = capsys.readouterr().out
    assert said.count("division-05") == 1
    assert "Part 2 of 21.00 ha cannot be reached" in said


@pytest.fixture
def watered(job: Path) -> Path:
    held = read_job(job)
    write_job(job, replace(held, features=(
        Feature("Trough", "trough", f"POINT ({EAST + 400.0} {NORTH + 300.0})"),
        Feature("Far trough", "trough", f"POINT ({EAST + 90_000.0} {NORTH})"),
        Feature("Dam", "water", shapely.box(EAST + 10, NORTH + 10, EAST + 20, NORTH + 20).wkt))))
    return job


def test_fences_from_a_trough_of_the_job_are_those_from_its_place(watered: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.job.gpkg"
    other.write_bytes(watered.read_bytes())
    assert run(["divide", "Block", "--parts", "3", "--from-feature", "Trough", "--job", str(watered), "--quiet"]) == 0
    assert run(["divide", "Block", "--parts", "3", "--from-point", f"{EAST + 400},{NORTH + 300}", "--job", str(other),
                "--quiet"]) == 0
    ours, theirs = read_job(watered).lines[2:], read_job(other).lines[2:]
    assert len(ours) == 3
    assert all(line.xy == pytest.approx(same.xy) for line, same in zip(ours, theirs, strict=True))


@pytest.mark.parametrize(("words", "said"), [
    (["--from-feature", "Tank"], "no point 'Tank' among the features of the job; name one of 'Trough'"),
    (["--from-feature", "Dam"], "no point 'Dam'"),
    (["--from-feature", "Far trough"], "km from the paddock"),
    (["--from-feature", "Trough", "--from-point", "1,2"], "both a point and a feature"),
    (["--from-feature", "Trough", "--lane-width", "20"], "either from a point or off a lane"),
])
def test_a_feature_that_fences_cannot_run_from(watered: Path, capsys: pytest.CaptureFixture[str], words: list[str],
                                               said: str) -> None:
    assert run(["divide", "Block", "--parts", "3", *words, "--job", str(watered), "--quiet"]) == 2
    assert said in capsys.readouterr().err
