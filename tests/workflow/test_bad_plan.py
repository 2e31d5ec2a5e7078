"""What the checks say of a plan with the mistakes of the trade: each once, in a contractor's order."""

from bad_plan import DAY, EAST, NORTH, bad_plan

from planner.findings import Finding
from planner.job.derive import plan_job

TOLD = [
    ("error", "electric-04", "Hot wire"),
    ("error", "before-01", ""),
    ("error", "boundary-01", "North 0"),
    ("error", "paddock-01", "700, 300"),
    ("error", "line-04", "Short 97"),
    ("error", "line-11", "Spur"),
    ("warning", "service-01", "Gully 250"),
    ("warning", "service-02", "Spur again 200"),
    ("warning", "tree-01", "Pocket 200"),
    ("warning", "register-01", "0, -20"),
    ("warning", "clearing-02", "Pocket 0"),
    ("warning", "clearing-01", "River 200"),
    ("warning", "paddock-04", "700, 300"),
    ("warning", "paddock-12", "-150, 102"),
    ("warning", "gate-01", "West 102"),
    ("warning", "gate-02", "Hill 150"),
    ("warning", "line-12", "Short"),
    ("warning", "water-01", "River 12"),
    ("warning", "water-03", "South 0"),
    ("warning", "water-10", "River 2"),
    ("warning", "sections-04", "Ford 85"),
    ("warning", "tree-03", "Ford 0"),
    ("warning", "stage-01", "North 600"),
    ("warning", "stage-01", "South 600"),
    ("warning", "oldfence-01", "600, 10"),
    ("warning", "materials-04", ""),
    ("warning", "materials-05", ""),
    ("warning", "built-05", "Spur"),
    ("note", "line-08", "Pocket 200"),
    ("note", "electric-01", "Hot wire"),
    ("note", "water-13", "River 12"),
    ("note", "haul-01", "Hill 106"),
    ("note", "haul-02", "-100, -12"),
    ("note", "line-01", "Traced 170"),
    ("note", "materials-03", "Middle 99"),
    ("note", "materials-03", "West 401"),
    ("note", "loads-07", ""),
    ("note", "materials-07", ""),
]
"""How bad, which rule, and where: the line and its metre, else east and north, else the whole job."""


def _where(finding: Finding) -> str:
    place = finding.place
    at = place.line or ("" if place.x is None or place.y is None else f"{place.x - EAST:.0f}, {place.y - NORTH:.0f}")
    return at if place.chainage_m is None else f"{at} {place.chainage_m:.0f}"


def test_every_mistake_is_told_once_in_its_order_and_nothing_else():
    findings = plan_job(bad_plan(), today=DAY).findings
    assert [(f.severity, f.rule, _where(f)) for f in findings] == TOLD


def test_every_one_of_them_says_what_to_do():
    for finding in plan_job(bad_plan(), today=DAY).findings:
        assert finding.message.endswith("."), finding.message
        assert finding.remedy.endswith("."), finding.remedy
