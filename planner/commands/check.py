"""``strainwright check``: findings, worst first."""

from __future__ import annotations

import argparse
import json

from planner.commands.bar import Watched
from planner.files.job_file import read_job
from planner.findings import Finding, Place
from planner.job.derive import plan_job
from planner.jobpack.plan_json import finding_record

_MARK = {"error": "ERROR", "warning": "look", "note": "note"}


def run(chosen: argparse.Namespace) -> int:
    """Lists what is worth a look.

    Args:
        chosen: Parsed words: ``job``, ``json``, ``quiet``.

    Returns:
        1 when an error stands that was not waived, else 0.

    Raises:
        PlannerError: The job cannot be opened or planned.
    """
    job = read_job(chosen.job)
    with Watched(quiet=chosen.quiet) as progress:
        findings = plan_job(job, progress=progress, processes=None).findings
    if chosen.json:
        print(json.dumps([finding_record(f) for f in findings], ensure_ascii=False, allow_nan=False, indent=1))
    else:
        print(told(findings))
    return int(any(f.severity == "error" and not f.waived for f in findings))


def told(findings: tuple[Finding, ...]) -> str:
    """Findings as a person reads them on a terminal; what is to be done about several of a rule is said after the last.

    Args:
        findings: Findings, in the order to be told.
    """
    if not findings:
        return "Nothing to look at."
    rows = []
    for finding, following in zip(findings, (*findings[1:], None), strict=True):
        place = finding.place
        where = " ".join(part for part in (
            place.line, place.section, _at(place),
            f"{place.file} row {place.row}" if place.file and place.row else place.file) if part)
        mark = "waived" if finding.waived else _MARK[finding.severity]
        rows.append(f"{mark:<7}{finding.rule:<14}{where}\n       {finding.message}")
        if following is None or _to_do(following) != _to_do(finding):
            rows.append(f"       {finding.remedy}" + (f"\n       Waived: {finding.waived}" if finding.waived else ""))
    return "\n".join(rows)


def _to_do(finding: Finding) -> tuple[str, ...]:
    """What findings in a row have in common where their remedy is said once."""
    return finding.rule, finding.severity, finding.remedy, finding.waived


def _at(place: Place) -> str:
    """Where along its line; else where in the working grid."""
    if place.chainage_m is not None:
        return f"at {place.chainage_m:.1f} m"
    return f"at {place.x:.0f}, {place.y:.0f}" if place.x is not None and place.y is not None else ""


