"""What stands around the fences, through the command line: read, mapped, listed, taken out."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import shapely

from planner.cli import run
from planner.files.job_file import read_job
from planner.survey.feature_meanings import choice_of, number_of

EAST, NORTH = 147.0, -36.6


def row(shape: Any, **said: object) -> dict[str, Any]:
    return {"type": "Feature", "properties": said, "geometry": shapely.geometry.mapping(shape)}


@pytest.fixture
def source(tmp_path: Path) -> Path:
    box = shapely.box(EAST, NORTH, EAST + 0.01, NORTH + 0.01)
    hole = shapely.box(EAST + 0.004, NORTH + 0.004, EAST + 0.006, NORTH + 0.006)
    rows = [row(box.difference(hole), name="Tor", type="rock", soil="ledge"),
            row(shapely.Point(EAST, NORTH), name="Gum", type="tree", tall="22 m", height="high"),
            row(shapely.LineString([(EAST, NORTH), (EAST + 0.01, NORTH)]), name="33 kV", type="power line",
                lies="overhead")]
    path = tmp_path / "around.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": rows}), encoding="utf-8")
    return path


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return tmp_path / "t.job.gpkg"


def test_meanings_and_facts_are_found_and_what_does_not_fit_is_told(source: Path, job: Path, capsys):
    assert run(["features", str(source), "--job", str(job)]) == 0
    told = capsys.readouterr().out
    assert [line.split(":")[0] for line in told.splitlines()[:3]] == ["Ground class", "Service", "Trees"]
    assert "'high' is not a number from 0 to 120 m; 15 is taken" in told
    by_name = {feature.name: feature for feature in read_job(job).features}
    assert choice_of(by_name["Tor"], "class") == "ledge"
    assert choice_of(by_name["33 kV"], "lies") == "above ground"
    tor = shapely.from_wkt(by_name["Tor"].wkt)
    assert len(tor.interiors) == 1
    assert shapely.Polygon(tor.interiors[0]).area / shapely.Polygon(tor.exterior).area == pytest.approx(0.04, abs=1e-4)


def test_a_column_and_a_value_can_be_said(source: Path, job: Path):
    only = source.with_name("gums.geojson")
    rows = json.loads(source.read_text(encoding="utf-8"))
    only.write_text(json.dumps({**rows, "features": rows["features"][1:2]}), encoding="utf-8")
    assert run(["features", str(only), "--job", str(job), "--meaning", "trees", "--fact", "height=tall",
                "--set", "state=dead or dead limbs"]) == 0
    (gum,) = read_job(job).features
    assert number_of(gum, "height") == 22.0
    assert choice_of(gum, "state") == "dead or dead limbs"
    assert gum.fact("height as read") == "high"


def test_they_are_listed_taken_out_and_never_added_twice(source: Path, job: Path, capsys):
    assert run(["features", str(source), "--job", str(job)]) == 0
    assert run(["features", str(source), "--job", str(job)]) == 0
    assert "3 were in the job already" in capsys.readouterr().out
    assert len(read_job(job).features) == 3
    assert run(["features", "--job", str(job)]) == 0
    assert "ground   Tor    ground class ledge" in capsys.readouterr().out
    assert run(["features", "--job", str(job), "--remove", "Gum"]) == 0
    assert [feature.name for feature in read_job(job).features] == ["Tor", "33 kV"]


@pytest.mark.parametrize(("words", "sentence"), [
    (["--meaning", "treee"], "there is no meaning 'treee'"),
    (["--meaning", "trees", "--fact", "girth=g"], "'trees' knows no fact 'girth'"),
    (["--meaning", "trees", "--set", "height=tall"], "'tall' is not a number from 0 to 120 m"),
    (["--set", "height"], "'height' is no FACT=VALUE"),
    (["--remove", "nobody"], "no feature is called 'nobody'")])
def test_what_is_not_known_is_one_sentence_and_the_job_stays(source: Path, job: Path, capsys, words, sentence):
    assert run(["features", str(source), "--job", str(job)]) == 0
    before = job.read_bytes()
    assert run(["features", str(source), "--job", str(job), *words]) == 2
    assert sentence in capsys.readouterr().err
    assert job.read_bytes() == before


def test_coded_points_of_a_survey_stand_beside_the_fence(tmp_path: Path, job: Path, capsys):
    survey = tmp_path / "s.csv"
    survey.write_text("point,easting,northing,rl,code,line,height\nA,500000,6000000,1,corner,F,\n"
                      "B,500100,6000000,2,corner,F,\nT1,500050,6000010,1.5,tree,,19\nW,500060,6000010,1.5,trough,,\n",
                      encoding="utf-8")
    assert run(["plan", str(survey), "--crs", "EPSG:7855", "--job", str(job)]) == 0
    tree, trough = read_job(job).features
    assert (tree.meaning, number_of(tree, "height")) == ("trees", 19.0)
    assert (trough.name, trough.meaning) == ("W", "trough")


def test_a_column_that_no_row_has_is_refused_and_a_row_read_again_is_not_there_twice(source: Path, job: Path, capsys):
    assert run(["features", str(source), "--job", str(job)]) == 0
    before = job.read_bytes()
    assert run(["features", str(source), "--job", str(job), "--fact", "height=nosuch"]) == 2
    assert "no row has a column 'nosuch' for 'height'; use one of " in capsys.readouterr().err
    assert job.read_bytes() == before
    assert run(["features", str(source), "--job", str(job), "--fact", "height=tall"]) == 0
    assert "1 were in the job already and have the facts that were read now." in capsys.readouterr().out
    assert [number_of(f, "height") for f in read_job(job).features if f.name == "Gum"] == [22.0]
