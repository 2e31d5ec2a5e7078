"""Setting a finding aside, for the tests of checks."""

from __future__ import annotations

from datetime import date

from planner.findings import Finding
from planner.job.derive import plan_job, waiver_place
from planner.job.edits import Waive
from planner.job.job import Job, Waiver

REASON = "the owner knows, and it stays"


def of_rule(job: Job, rule: str, *, today: date | None = None) -> list[Finding]:
    """Findings of one rule in the plan of a job.

    Args:
        job: The job.
        rule: Rule id.
        today: Day on which it is planned.
    """
    return [finding for finding in plan_job(job, today=today).findings if finding.rule == rule]


def check_waiver(job: Job, rule: str, *, today: date | None = None) -> None:
    """Sets the first finding of a rule aside and plans again: it is waived with its reason, and only it.

    Args:
        job: The job; its plan has a finding of the rule.
        rule: Rule id.
        today: Day on which it is planned.
    """
    before = plan_job(job, today=today).findings
    finding = next(f for f in before if f.rule == rule and not f.waived)
    waiver = Waiver(rule, finding.place.line, waiver_place(finding), REASON)
    after = plan_job(Waive(waiver).apply(job), today=today).findings
    waived = [f for f in after if f.waived]
    assert [(f.rule, f.message, f.waived) for f in waived if f.waived == REASON] == [(rule, finding.message, REASON)]
    assert {(f.rule, f.message) for f in after} == {(f.rule, f.message) for f in before}
    assert len(waived) == 1 + sum(bool(f.waived) for f in before)
