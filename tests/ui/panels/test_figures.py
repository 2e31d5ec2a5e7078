from __future__ import annotations

import pytest

from planner.job.plan import JobPlan
from planner.ui.measures import Measures
from planner.ui.panels.figures import (
    file_name,
    hands,
    kind_words,
    line_of_section,
    mass,
    packs_words,
    plus_minus,
    quantity,
    share,
    signed,
    turn_words,
    without_folders,
)
from planner.wording import listed

METRIC, IMPERIAL, CHAINS = Measures(), Measures("imperial"), Measures("chains")


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


@pytest.mark.parametrize(("value", "unit", "measures", "said"), [
    (2051.5, "m", METRIC, "2 052 m"), (201.168, "m", CHAINS, "10.00 ch"), (100.0, "m", IMPERIAL, "328 ft"),
    (19.1857, "kg", METRIC, "19 kg"), (4.25, "kg", METRIC, "4.2 kg"), (8860.0, "each", METRIC, "8 860"),
    (2.5, "each", METRIC, "2.5"), (70.01, "h", METRIC, "70.0 h")])
def test_quantities(value: float, unit: str, measures: Measures, said: str) -> None:
    assert plain(quantity(value, unit, measures)) == said


def test_packs_of_the_sample_job(sample_plan: JobPlan) -> None:
    said = {row.item: plain(packs_words(row, METRIC)) for row in sample_plan.materials}
    assert said["mesh-8-90-30"] == "40 × 200 m"
    assert said["plain-wire-ht"] == "8 × 1 500 m + 1 × 648 m"
    assert said["timber-post-1800"] == "317"
    assert said["fence-staple"] == "5 × 5.0 kg"


def test_small_shares_and_nearly_all_do_not_round_to_none_and_all() -> None:
    assert [plain(share(v)) for v in (0.0, 0.004, 0.5, 0.996, 1.0)] == ["0 %", "0.4 %", "50 %", "99.6 %", "100 %"]


def test_angles() -> None:
    assert [signed(v) for v in (1.25, -1.25, 0.0, 0.04)] == ["+1.2°", "−1.2°", "0.0°", "0.0°"]
    assert [turn_words(v) for v in (83.3, -8.04, 0.01)] == ["83.3° L", "8.0° R", "0.0°"]


def test_forces_masses_and_deviations() -> None:
    assert plain(hands(11330.0, METRIC)) == "1 155 kgf"
    assert hands(11330.0, IMPERIAL) == ""
    assert [plain(mass(v, METRIC)) for v in (950.0, 20868.6)] == ["950 kg", "20.9 t"]
    assert plain(mass(1000.0, IMPERIAL)) == "2 205 lb"
    assert [plus_minus(0.02, METRIC), plus_minus(4.0, METRIC)] == ["± 0.02", "± 4.0"]
    assert plus_minus(4.0, IMPERIAL) == "± 13.1"


def test_words() -> None:
    assert [listed(list(letters)) for letters in ("", "a", "ab", "abc")] == ["", "a", "a and b", "a, b and c"]
    assert [file_name("/home/me/walk.gpx"), file_name(r"C:\survey\walk.gpx"), file_name("walk.gpx")] == ["walk.gpx"] * 3
    assert without_folders("/a/b/walk.gpx states none", ["/a/b/walk.gpx"]) == "walk.gpx states none"


def test_sections_are_told_by_why_they_start_and_end(sample_plan: JobPlan) -> None:
    said = {s.id: kind_words(s) for line in sample_plan.lines for s in line.sections}
    assert (said["A7"], said["A11"], said["A3"]) == ("corner → cut", "gate", "crossing")
    assert (said["A30"], said["B1"]) == ("gate → corner", "junction → gate")


def test_the_line_of_a_section(sample_plan: JobPlan) -> None:
    assert line_of_section(sample_plan, "B4") is sample_plan.lines[1]
    assert line_of_section(sample_plan, "Z9") is None
    assert line_of_section(None, "A1") is None
