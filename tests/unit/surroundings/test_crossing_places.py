"""Where lines meet water."""

from __future__ import annotations

import numpy as np
import pytest

from planner.alignment.line import FenceLine
from planner.surroundings.crossing_places import proposals
from planner.survey.features import Feature

LINE = FenceLine("A", "general-mesh", np.array([(0.0, 0.0), (200.0, 0.0)]))


def creek(name: str, at: float, **facts: str) -> Feature:
    return Feature(name, "water", f"LINESTRING ({at} -50, {at} 50)", tuple(facts.items()))


@pytest.mark.parametrize(("apart", "names"), [
    (0.0, ["Measured"]), (13.4, ["Measured"]), (13.5, ["Guess", "Measured"])])  # spans of 20 m and of 3 + 2 * 2 m
def test_two_waters_met_at_one_place_ask_for_one_crossing(apart, names):
    found = proposals([LINE], [creek("Guess", 100.0), creek("Measured", 100.0 + apart, width="3")])
    assert [one.water for one in found] == names
