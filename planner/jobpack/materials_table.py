"""The materials list as a table for the rural store."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from planner.files.writers.tables import write_csv
from planner.job.plan import JobPlan


def write_materials_csv(target: Path, plan: JobPlan) -> None:
    """The materials list: what ends up in the fence, the waste, and what to order in whole packs.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
    """
    priced = {row.item: row for row in plan.estimate.rows}
    head = ("item", "description", "unit", "net", "waste", "order", "order_at_confidence", "pack", "packs", "left_over",
            "amount", "currency", "supplier", "price_dated", "rules")
    rows: list[tuple[Any, ...]] = []
    for row in plan.materials:
        cost = priced.get(row.item)
        amount = "no price" if cost is None or cost.amount is None else f"{cost.amount:.2f}"
        rows.append((row.item, row.description, row.unit, f"{row.net:.2f}", f"{row.waste:.2f}", f"{row.order:g}",
                     f"{row.confidence:g}", f"{row.pack:g}", row.packs, f"{row.left_over:.2f}", amount,
                     plan.estimate.currency, cost.supplier if cost else "", cost.dated if cost else "",
                     "; ".join(row.rule)))
    write_csv(target, head, rows)
