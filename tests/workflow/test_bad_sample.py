"""What the checks say of the sample farm planned badly: what a contractor would say, in his order, and no more."""

from __future__ import annotations

import pytest
from bad_sample import DAY, bad_sample

from planner.findings import Finding
from planner.job.derive import plan_job

TOLD = [
    ("error", "electric-04", "Hot wire"),
    ("error", "before-01", ""),
    ("error", "boundary-01", "Home block"),
    ("error", "paddock-01", ""),
    ("error", "line-04", "Gully division"),
    ("error", "line-11", "Shelter end"),
    ("warning", "service-01", "Gully fence"),
    ("warning", "service-02", "Home block"),
    ("warning", "service-02", "Ridge cut"),
    ("warning", "tree-01", "Gully division"),
    ("warning", "clearing-02", "Home block"),
    ("warning", "clearing-01", "Creek fence"),
    ("warning", "paddock-04", ""),
    ("warning", "gate-01", "Gully division"),
    ("warning", "gate-01", "Home block"),
    ("warning", "line-12", "Gully fence"),
    ("warning", "water-01", "Home block"),
    ("warning", "water-03", "Creek fence"),
    ("warning", "water-10", "Creek fence"),
    ("warning", "water-10", "Gully division"),
    ("warning", "water-10", "Home block"),
    ("warning", "loads-01", "Gully fence"),
    ("warning", "loads-02", "Home block"),
    ("warning", "loads-03", "Gully fence"),
    ("warning", "sections-01", "Gully fence"),
    ("warning", "stage-01", "Home block"),
    ("warning", "stage-01", "Home block"),
    ("warning", "oldfence-01", ""),
    ("warning", "materials-01", ""),
    ("warning", "materials-04", ""),
    ("warning", "materials-05", ""),
    ("warning", "built-05", "Creek fence"),
    ("note", "paddock-11", ""),
    ("note", "electric-01", "Hot wire"),
    ("note", "water-12", "Creek fence"),
    ("note", "haul-02", ""),
    ("note", "line-01", "Shelter fence"),
    ("note", "materials-03", "Home block"),
    ("note", "loads-07", ""),
    ("note", "materials-07", ""),
]
"""How bad, which rule, and on which line."""


@pytest.fixture(scope="module")
def findings() -> tuple[Finding, ...]:
    return plan_job(bad_sample(), today=DAY).findings


def test_the_list_is_a_contractors_and_nothing_else(findings: tuple[Finding, ...]):
    assert [(f.severity, f.rule, f.place.line) for f in findings] == TOLD


def test_the_dip_that_the_strain_lifts_is_told_once_with_its_force_and_its_remedy(findings: tuple[Finding, ...]):
    (lifted,) = [f for f in findings if f.rule == "loads-01"]
    assert "The wires lift 2 dip posts from 98.0 m to 102.0 m with up to 2.1 kN" in lifted.message
    assert "where a plain post holds about 0.9 kN (90 kgf)" in lifted.message
    assert "(advisory)" in lifted.message
    assert lifted.remedy == "Foot each of them."


def test_every_one_of_them_says_what_to_do(findings: tuple[Finding, ...]):
    for finding in findings:
        assert finding.message.endswith("."), finding.message
        assert finding.remedy.endswith("."), finding.remedy
