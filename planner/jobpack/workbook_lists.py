"""The sheets of the workbook that list: takeoff by section, rolls, loads, findings."""

from __future__ import annotations

import math

from planner.files.writers.workbook import Cell, Column, Formula, Value, WorkSheet, cell_at, cells_of
from planner.findings import Finding
from planner.job.plan import JobPlan
from planner.jobpack.basis import without_folders
from planner.jobpack.workbook_costs import quantity_kind
from planner.jobpack.workbook_prices import FINDINGS, LOADS, ROLLS, TAKEOFF


def takeoff_sheet(plan: JobPlan) -> WorkSheet:
    """What ends up in each section, a row a section and a column an item, with live sums.

    Args:
        plan: The plan.
    """
    sections = [(line.line.name, section.id) for line in plan.lines for section in line.sections]
    quantities = [dict(row.by_section) for row in plan.materials]
    kinds = [quantity_kind(row.unit) for row in plan.materials]
    rows: list[tuple[Value | Cell, ...]] = [
        (name, section, *(Cell(found.get(section), "input", kind)
                          for found, kind in zip(quantities, kinds, strict=True))) for name, section in sections]
    rows.append((Cell("All sections", "strong"), Cell("", "strong"), *(
        Cell(Formula(f"SUM({cells_of(2 + k, len(sections))})", row.net), "strong", kinds[k])
        for k, row in enumerate(plan.materials))))
    return WorkSheet(
        TAKEOFF, f"{plan.job.name}: takeoff by section", "What ends up in the fence, before waste and rounding. Ends "
        "that two sections share are counted with the later one.",
        (Column("Line", width=24), Column("Section", width=10), *(
            Column(f"{row.description}, {row.unit}", "quantity", 8.5, upright=True, input=True)
            for row in plan.materials)), tuple(rows), frozen=2)


def rolls_sheet(plan: JobPlan) -> WorkSheet:
    """Which rolls and coils to open, and what is cut from each, in order.

    Args:
        plan: The plan.
    """
    rows: list[tuple[Value | Cell, ...]] = []
    for item, rolls in plan.roll_plans.items():
        for roll in rolls.rolls:
            first, last = len(rows), len(rows) + len(roll.cuts) - 1
            for k, cut in enumerate(roll.cuts):
                left: Value = Formula(f"{cell_at(first, 2)}-SUM({cell_at(first, 7)}:{cell_at(last, 7)})",
                                      roll.left_m) if k == 0 else None
                rows.append((plan.catalogue.items[item].description, roll.stock, roll.length_m if k == 0 else None,
                             cut.section, cut.part, cut.from_m, cut.to_m, cut.length_m, left))
    proven = sum(found.status == "optimal" for found in plan.roll_plans.values())
    gap = max((found.gap for found in plan.roll_plans.values()), default=0.0)
    status = f"{proven} of {len(plan.roll_plans)} plans proven cheapest" + (
        f", the others within {100 * gap:.2f} % of the least possible." if proven < len(plan.roll_plans) else ".")
    return WorkSheet(
        ROLLS, f"{plan.job.name}: roll and coil plan", status if plan.roll_plans else "No roll goods.",
        (Column("Item", width=52), Column("Roll", "whole", 7), Column("Its length, m", "number", 11),
         Column("Section", width=10), Column("Part", width=22), Column("From, m", "number", 10),
         Column("To, m", "number", 10), Column("Cut, m", "number", 10), Column("Left on it, m", "number", 11)),
        tuple(rows), filtered=True, frozen=2)


def loads_sheet(plan: JobPlan) -> WorkSheet:
    """What is dropped where along the lines.

    Args:
        plan: The plan.
    """
    rows: list[tuple[Value | Cell, ...]] = []
    for drop in plan.carting.drops:
        for key, quantity in drop.items:
            item = plan.catalogue.items[key]
            k = len(rows)
            mass = Formula(f"ROUND({cell_at(k, 3)}*{cell_at(k, 5)},2)", round(quantity * item.mass_kg, 2)) \
                if item.mass_kg is not None else "not known"
            rows.append((drop.line, drop.chainage_m, item.description,
                         Cell(quantity, kind=quantity_kind(item.unit)), item.unit, item.mass_kg,
                         mass if isinstance(mass, Formula) else Cell(mass, "loud", "text"),
                         "long" if item.long else ""))
    count = len(rows)
    if count:
        total = math.fsum(round(q * (plan.catalogue.items[key].mass_kg or 0.0), 2)
                          for drop in plan.carting.drops for key, q in drop.items)
        rows.append((Cell("Everything whose mass is known", "strong"), *[Cell("", "strong")] * 5,
                     Cell(Formula(f"SUM({cells_of(6, count)})", total), "strong"), Cell("", "strong")))
    return WorkSheet(
        LOADS, f"{plan.job.name}: drop points", f"Trailer payload {plan.job.settings.trailer_payload_kg:g} kg: "
        f"{plan.carting.loads} loads by mass alone. Check track limits before loading.",
        (Column("Line", width=26), Column("Drop at chainage, m", "number", 12), Column("Item", width=52),
         Column("Quantity", "quantity", 10), Column("Unit", width=7), Column("Mass of one unit, kg", "number", 11),
         Column("Mass, kg", "number", 11), Column("Carry", width=8)), tuple(rows), filtered=bool(count))


def findings_sheet(plan: JobPlan) -> WorkSheet:
    """What to look at, worst first.

    Args:
        plan: The plan.
    """
    words = {"error": "ERROR", "warning": "look", "note": "note"}
    rows: list[tuple[Value | Cell, ...]] = []
    for finding in plan.findings:
        mark = Cell(f"waived: {finding.waived}") if finding.waived else Cell(
            words[finding.severity], "loud" if finding.severity == "error" else "plain")
        rows.append((mark, finding.rule, _where(finding), without_folders(finding.message),
                     without_folders(finding.remedy), str(finding.source)))
    return WorkSheet(
        FINDINGS, f"{plan.job.name}: to look at", "Worst first. Loads are advisory; local codes, licensed surveyors "
        "and engineers go before them.",
        (Column("How bad", width=12), Column("Rule", width=14), Column("Where", width=26), Column("What", width=70),
         Column("What to do", width=46), Column("Source", width=32)), tuple(rows), filtered=True)


def _where(finding: Finding) -> str:
    place = finding.place
    return " ".join(part for part in (
        place.line, place.section, f"at {place.chainage_m:.1f} m" if place.chainage_m is not None else "",
        without_folders(f"{place.file} row {place.row}" if place.file and place.row else place.file)) if part)
