"""From what was read to features: whole shapes, meanings, facts, and everything that did not fit."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planner.errors import BadSetting
from planner.survey.feature_meanings import choice_of, fact_of, number_of
from planner.survey.features_in import (
    UNKNOWN,
    FeaturesRead,
    Taking,
    as_fact,
    coded_points,
    features_of,
    things,
)
from planner.survey.fixes import MeasuredLine, MeasuredPoint


def ring(name: str, west: float, size: float, row: int = 1, *said: tuple[str, str]) -> MeasuredLine:
    xy = shapely.get_coordinates(shapely.box(west, west, west + size, west + size).exterior)
    return MeasuredLine(name, xy, None, None, True, "ring", "unknown", "a.gpkg", row, said)


def run(name: str, row: int = 1, *said: tuple[str, str], file: str = "a.gpkg", **other: object) -> MeasuredLine:
    return MeasuredLine(name, np.array([(0.0, 0.0), (10.0, 0.0)]), None, None, False, "polyline",
                        str(other.get("accuracy", "unknown")), file, row, said)  # type: ignore[arg-type]


def point(name: str, code: str = "", *said: tuple[str, str]) -> MeasuredPoint:
    return MeasuredPoint(name, 1.0, 2.0, None, code, None, "survey", "p.csv", 4, said)


def taken(*lines: MeasuredLine, how: Taking = Taking()) -> FeaturesRead:  # noqa: B008 - frozen
    return features_of(things(lines, ()), lambda _: how)


def test_parts_and_holes_of_one_row_are_one_shape_with_its_area():
    read = taken(ring("Dam part 1", 0, 100), ring("Dam part 1 hole 1", 20, 40), ring("Dam part 1 hole 1 (2)", 30, 10),
                 ring("Dam part 2", 200, 50), ring("Dam", 500, 10, 2), how=Taking("water"))
    first, second = read.features
    assert (first.name, second.name) == ("Dam", "Dam")
    assert shapely.from_wkt(first.wkt).area == pytest.approx(100**2 - 40**2 + 10**2 + 50**2)
    assert shapely.from_wkt(first.wkt).geom_type == "MultiPolygon"
    assert shapely.from_wkt(second.wkt).equals(shapely.box(500, 500, 510, 510))


def test_lines_of_one_row_stay_one_feature_of_several_runs():
    (feature,) = taken(run("Creek part 1"), run("Creek part 2")).features
    assert (feature.name, feature.meaning) == ("Creek", "water")
    assert shapely.from_wkt(feature.wkt).geom_type == "MultiLineString"


@pytest.mark.rules(silent="feature-01 feature-02 feature-03")
def test_columns_become_facts_and_every_field_is_kept():
    read = taken(ring("T", 0, 9, 3, ("type", "tree"), ("Height (m)", "18"), ("planted by", "Jo")))
    (feature,) = read.features
    assert (feature.meaning, read.findings) == ("trees", ())
    assert number_of(feature, "height") == 18.0
    assert feature.attributes == (("height", "18"), ("type", "tree"), ("Height (m)", "18"), ("planted by", "Jo"))
    assert feature.origin == "a.gpkg, row 3"


def test_a_person_says_meaning_column_and_value():
    how = Taking("trees", {"height": "h2", "state": ""}, {"state": "dead or dead limbs"})
    (feature,) = taken(ring("T", 0, 9, 1, ("height", "3"), ("h2", "21"), ("state", "sound")), how=how).features
    assert number_of(feature, "height") == 21.0
    assert choice_of(feature, "state") == "dead or dead limbs"
    assert dict(feature.attributes)["height as read"] == "3"
    assert dict(feature.attributes)["state as read"] == "sound"


@pytest.mark.rules(fires="feature-01")
def test_a_value_that_does_not_fit_is_told_with_its_row_and_kept():
    read = taken(ring("T", 0, 9, 7, ("height", "tall")), how=Taking("trees"))
    (finding,) = read.findings
    assert (finding.rule, finding.place.row) == ("feature-01", 7)
    assert "'tall'" in finding.message
    assert "15 is taken" in finding.message
    assert number_of(read.features[0], "height") == 15.0
    assert dict(read.features[0].attributes)["height as read"] == "tall"


@pytest.mark.rules(limit="feature-01")
@pytest.mark.parametrize(("at", "beyond"), [("120", "120.1"), ("0", "-0.1")])
def test_a_number_fits_up_to_its_very_limits(at: str, beyond: str):
    assert taken(ring("T", 0, 9, 1, ("height", at)), how=Taking("trees")).findings == ()
    (finding,) = taken(ring("T", 0, 9, 1, ("height", beyond)), how=Taking("trees")).findings
    assert finding.rule == "feature-01"


@pytest.mark.rules(fires="feature-03")
def test_what_no_word_tells_is_kept_and_told_once_a_file():
    read = taken(run("x1"), run("x2", 2))
    assert [f.meaning for f in read.features] == [UNKNOWN, UNKNOWN]
    (finding,) = read.findings
    assert finding.rule == "feature-03"
    assert "'x1' and 1 more" in finding.message


@pytest.mark.rules(fires="feature-02")
def test_shapes_are_fitted_to_what_their_meaning_can_have():
    closed = MeasuredLine("wood", ring("", 0, 9).xy, None, None, True, "polyline", "unknown", "a.dxf", 1)
    assert shapely.from_wkt(taken(closed, how=Taking("vegetation")).features[0].wkt).area == 81.0
    track = taken(ring("t", 0, 9), how=Taking("track"))
    assert shapely.from_wkt(track.features[0].wkt).length == 36.0
    trough = taken(ring("t", 0, 9), how=Taking("trough"))
    assert shapely.from_wkt(trough.features[0].wkt).geom_type == "Point"
    assert [f.rule for f in trough.findings] == ["feature-02"]
    odd = taken(run("t"), how=Taking("trough"))
    assert shapely.from_wkt(odd.features[0].wkt).length == 10.0
    assert odd.findings[0].severity == "warning"


def test_a_boundary_knows_how_well_its_source_knows_it():
    assert choice_of(taken(run("b", accuracy="survey"), how=Taking("boundary")).features[0], "accuracy") == "survey"
    assert choice_of(taken(run("b"), how=Taking("boundary")).features[0], "accuracy") == "unknown"
    own = taken(run("b", 1, ("accuracy", "traced"), accuracy="survey"), how=Taking("boundary"))
    assert choice_of(own.features[0], "accuracy") == "traced"


def test_coded_points_become_features_and_all_others_do_not():
    read = coded_points([point("1", "gate"), point("2", "tree", ("height", "22")), point("3", "ground"),
                         point("4", "trough"), point("5", "corner"), point("6", "")])
    assert [(f.name, f.meaning) for f in read.features] == [("2", "trees"), ("4", "trough")]
    assert number_of(read.features[0], "height") == 22.0
    assert read.findings == ()


@pytest.mark.parametrize(("meaning", "key", "text", "fact"), [
    ("trees", "height", "18 m", "18"), ("trees", "height", "18,5", "18.5"),
    ("service", "lies", "Overhead", "above ground"),
    ("trees", "state", "Dead", "dead or dead limbs"), ("water", "part", "top of bank", "bank top"),
    ("existing fence", "seen", "2025/03/31", "2025-03-31"), ("ground", "class", " ledge ", "ledge")])
def test_texts_of_files_are_understood(meaning: str, key: str, text: str, fact: str):
    known = fact_of(meaning, key)
    assert known is not None
    assert as_fact(known, text) == fact


def test_a_text_that_is_no_choice_is_refused():
    known = fact_of("trees", "state")
    assert known is not None
    with pytest.raises(BadSetting):
        as_fact(known, "so-so")


def test_words_tell_that_a_power_line_is_overhead_where_no_column_does():
    said = [taken(run(name, 1, ("type", "service"), *more)).features[0] for name, more in (
        ("33 kV", (("kind", "overhead line"),)), ("Gas main", ()), ("HV overhead", (("lies", "underground"),)),
        ("Line 4", ()))]
    assert [(choice_of(f, "lies"), choice_of(f, "what")) for f in said] == [
        ("above ground", "power"), ("below ground", "gas"), ("below ground", "power"), ("below ground", "not known")]
