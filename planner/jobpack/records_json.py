"""What was written down since the work began, and what follows from it, as ``plan.json`` holds it."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from decimal import Decimal
from typing import Any

from planner.job.after import after_plan
from planner.job.plan import JobPlan
from planner.jobpack.plan_lines import rounded
from planner.jobpack.records_sheet import has_records
from planner.upkeep.records import COMPONENTS


def records_record(plan: JobPlan) -> dict[str, Any] | None:
    """The records of a job's work; None where there are none.

    Args:
        plan: The plan.
    """
    if not has_records(plan):
        return None
    found, kept = after_plan(plan), plan.job.records
    work = found.work
    return {
        "progress": {
            "shares": _shares(work.shares), "finished_m": rounded(work.finished_m, 3),
            "total_m": rounded(work.total_m, 3),
            "sections": [{"line": row.line, "section": row.section, "slope_m": rounded(row.slope_m, 3),
                          "shares": _shares(row.shares), "on": _plain(row.on)} for row in work.sections]},
        "as_built": [_flat(asdict(stretch)) for stretch in found.measured.stretches],
        "not_matched": [record.name for record in found.measured.unmatched],
        "inspections": [_flat(asdict(inspection)) for inspection in kept.inspections],
        "assets": [_flat(asdict(asset)) for asset in found.assets],
        "losses": [{**_flat(asdict(row.loss)), "kind": row.kind, "length_m": rounded(row.length_m, 3),
                    "age_years": _plain(row.age_years), "cost": _plain(row.cost), "value": _plain(row.value)}
                   for row in found.losses],
    }


def _shares(shares: tuple[float, ...]) -> dict[str, float]:
    return {part: rounded(share, 4) for part, share in zip(COMPONENTS, shares, strict=True)}


def _flat(facts: dict[str, Any]) -> dict[str, Any]:
    return {key: _plain(value) for key, value in facts.items()}


def _plain(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return float(value)
    return rounded(value, 3) if isinstance(value, float) else value
