"""The class of an area of ground under a fence is a known one."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from planner.job.job import Job
from planner.survey.features import Feature
from tests.plain_jobs import EAST, NORTH, straight_job
from tests.waiving import check_waiver, of_rule


def rock(south: float, ground: str = "lava", name: str = "Tor") -> Feature:
    return Feature(name, "ground", shapely.box(EAST + 100, NORTH + south, EAST + 200, NORTH + 50).wkt,
                   (("class", ground),))


def job(*features: Feature) -> Job:
    return replace(straight_job(), features=features)


@pytest.mark.rules(limit="ground-01")
def test_an_unknown_class_is_told_where_its_area_reaches_the_fence():
    told = [len(of_rule(job(rock(south)), "ground-01")) for south in (-5.0, 0.0, 0.001)]
    assert told == [1, 1, 0]


@pytest.mark.rules(fires="ground-01")
def test_it_is_told_once_for_a_class_with_what_can_be_said_instead():
    (finding,) = of_rule(job(rock(-5), rock(-6, name="Tor 2"), rock(-7, "ledge")), "ground-01")
    assert finding.message.startswith("Ground class 'lava' of 'Tor' and 1 more is not known: posts of Home")
    assert "ledge" in finding.remedy


@pytest.mark.rules(silent="ground-01")
def test_known_classes_say_nothing():
    assert of_rule(job(rock(-5, "ledge"), Feature("t", "ground", rock(-5).wkt)), "ground-01") == []


@pytest.mark.rules(aside="ground-01")
def test_it_can_be_waived():
    check_waiver(job(rock(-5)), "ground-01")
