"""``plan.json``: everything computed, for other programs and for whoever wants to check it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from itertools import chain
from pathlib import Path
from typing import Any

from planner import __version__
from planner.files.atomic_save import write_text
from planner.findings import Finding, Place
from planner.job.plan import JobPlan
from planner.job.roll_joins import section_joins
from planner.jobpack.land_json import node_record, paddock_record
from planner.jobpack.plan_lines import line_record, rounded
from planner.jobpack.records_json import records_record
from planner.materials.estimate import Estimate
from planner.materials.labour import LabourRow
from planner.materials.roll_plan import RollPlan
from planner.materials.takeoff import TakeoffRow
from planner.surroundings.before_start import Item
from planner.surroundings.electric import Circuit
from planner.survey.datum import grid_name

SCHEMA = "strainwright-plan/1"


def plan_record(plan: JobPlan) -> dict[str, Any]:
    """A plan as ``plan.json`` holds it.

    Args:
        plan: The plan.
    """
    job = plan.job
    joins = section_joins(plan.lines, plan.roll_plans)
    return {
        "schema": SCHEMA, "program_version": __version__,
        "job": {"name": job.name, "crs": job.crs, "crs_name": grid_name(job.crs), "made_at": job.made_at},
        "settings": job.settings.as_dict(),
        "lines": [line_record(line, crs=job.crs, joins=joins) for line in plan.lines],
        "materials": [_material(row) for row in plan.materials],
        "roll_plan": [_roll(roll) for rolls in plan.roll_plans.values() for roll in rolls.rolls],
        "roll_plan_proof": _proof(list(plan.roll_plans.values())),
        "labour": [_labour(row) for row in plan.labour],
        "cost": _cost(plan.estimate),
        "carting": {"total_kg": rounded(plan.carting.total_kg, 2), "loads": plan.carting.loads,
                    "mass_unknown": list(plan.carting.unknown),
                    "drops": [{"line": d.line, "chainage_m": rounded(d.chainage_m, 3), "mass_kg": rounded(d.mass_kg, 2),
                               "items": {item: rounded(n) for item, n in d.items}} for d in plan.carting.drops]},
        "findings": [finding_record(f) for f in plan.findings],
        "before_start": [_item(item) for item in plan.before_start],
        "issued_for_build": None if plan.issued is None else {
            "on": _day(plan.issued.settled), "by": plan.issued.reference},
        "electric": [circuit_record(circuit) for circuit in plan.electric],
        "paddocks": [paddock_record(paddock) for paddock in plan.paddocks],
        "nodes": [node_record(node) for node in plan.nodes],
        "records": records_record(plan),
    }


def write_plan_json(target: Path, plan: JobPlan) -> None:
    """Writes ``plan.json``. The same job gives the same file, byte for byte, apart from ``made_at``.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
    """
    write_text(target, chain(_told(plan_record(plan), "\n"), "\n"))


def _told(value: Any, line_end: str) -> Iterator[str]:
    """JSON with a line for each record and each row of numbers; the standard indentation is ten times as slow."""
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    if not any(isinstance(part, dict | list) for part in parts):
        yield _plain(value)
        return
    deeper = line_end + " "
    keyed = isinstance(value, dict)
    yield "{" if keyed else "["
    for number, part in enumerate(value):
        yield ("," if number else "") + deeper
        if keyed:
            yield f"{_plain(part)}: "
        yield from _told(value[part] if keyed else part, deeper)
    yield line_end + ("}" if keyed else "]")


def _plain(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def finding_record(finding: Finding) -> dict[str, Any]:
    """One finding.

    Args:
        finding: The finding.
    """
    return {"rule": finding.rule, "severity": finding.severity, "message": finding.message, "remedy": finding.remedy,
            "where": _where(finding.place), "source": str(finding.source), "waived": finding.waived}


def _item(item: Item) -> dict[str, Any]:
    said = item.clearance
    return {"kind": item.kind, "about": item.about, "what": item.what, "why": item.why, "state": item.state,
            "settled": _day(said.settled) if said else "", "reference": said.reference if said else "",
            "expires": _day(said.expires) if said else "", "not_needed": said.not_needed if said else "",
            "note": said.note if said else ""}


def circuit_record(circuit: Circuit) -> dict[str, Any]:
    """One electric circuit.

    Args:
        circuit: The circuit.
    """
    return {"lines": list(circuit.lines), "energisers": list(circuit.energisers), "joules": circuit.joules,
            "fence_m": rounded(circuit.fence_m, 3), "conductor_m": rounded(circuit.conductor_m, 3),
            "joints": circuit.joints, "gates": circuit.gates, "lead_m": rounded(circuit.lead_m, 3),
            "joules_needed": rounded(circuit.joules_needed, 3), "earth_rods_needed": circuit.rods_needed,
            "earth_rods": circuit.rods, "earth_rods_m": circuit.rods_m,
            "far_end_m": None if circuit.far_end_m is None else rounded(circuit.far_end_m, 3),
            "far_end": circuit.far_end}


def _day(day: date | None) -> str:
    return "" if day is None else day.isoformat()


def _where(place: Place) -> dict[str, Any]:
    facts = {"line": place.line, "section": place.section, "chainage_m": place.chainage_m, "x": place.x, "y": place.y,
             "file": place.file, "row": place.row}
    return {k: rounded(v, 3) if isinstance(v, float) else v for k, v in facts.items() if v not in (None, "")}


def _material(row: TakeoffRow) -> dict[str, Any]:
    return {"item": row.item, "description": row.description, "unit": row.unit, "net": row.net, "waste": row.waste,
            "order": row.order, "confidence": row.confidence, "pack": row.pack, "packs": row.packs,
            "left_over": row.left_over, "by_section": dict(row.by_section), "rule": list(row.rule)}


def _roll(roll: Any) -> dict[str, Any]:
    return {"stock": roll.stock, "item": roll.item, "length_m": rounded(roll.length_m),
            "cuts": [{"section": c.section, "part": c.part, "from_m": rounded(c.from_m), "to_m": rounded(c.to_m),
                      "length_m": rounded(c.length_m)} for c in roll.cuts], "left_m": rounded(roll.left_m)}


def _proof(plans: list[RollPlan]) -> dict[str, Any]:
    cost, bound = sum(p.cost for p in plans), sum(p.bound for p in plans)
    gap = (cost - bound) / bound if bound else 0.0
    return {"cost": rounded(cost, 2), "bound": rounded(bound, 2), "gap": rounded(gap, 6),
            "status": "optimal" if all(p.status == "optimal" for p in plans) else
            "greedy" if any(p.status == "greedy" for p in plans) else "within the gap",
            "by_item": [{"item": p.item, "rolls": len(p.rolls), "joins": p.joins, "cost": rounded(p.cost, 2),
                         "bound": rounded(p.bound, 2), "gap": rounded(p.gap, 6), "status": p.status} for p in plans]}


def _labour(row: LabourRow) -> dict[str, Any]:
    return {"component": row.component, "quantity": rounded(row.quantity), "unit": row.unit,
            "hours_each": rounded(row.hours_each, 6), "factor": row.factor, "hours": rounded(row.hours)}


def _money(amount: Decimal | None) -> float | None:
    return None if amount is None else float(amount)


def _cost(estimate: Estimate) -> dict[str, Any]:
    return {
        "currency": estimate.currency,
        "lines": [{"item": r.item, "description": r.description, "quantity": float(r.quantity), "unit": r.unit,
                   "each": _money(r.each), "amount": _money(r.amount), "supplier": r.supplier, "dated": r.dated}
                  for r in estimate.rows],
        "subtotal": _money(estimate.subtotal), "mark_up": _money(estimate.mark_up),
        "tax": _money(estimate.tax), "total": _money(estimate.total),
        "complete": estimate.complete, "missing": list(estimate.missing),
    }
