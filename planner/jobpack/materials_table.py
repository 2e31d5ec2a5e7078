"""The materials list as a table for the rural store."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from planner.files.writers.tables import write_csv
from planner.job.plan import JobPlan
from planner.materials.estimate import CostRow


def write_materials_csv(target: Path, plan: JobPlan) -> None:
    """The materials list: what ends up in the fence, the waste, and what to order in whole packs.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
    """
    priced: dict[str, list[CostRow]] = {}
    for cost_row in plan.estimate.rows:
        priced.setdefault(cost_row.item, []).append(cost_row)
    head = ("item", "description", "unit", "net", "waste", "order", "order_at_confidence", "pack", "packs", "left_over",
            "amount", "currency", "supplier", "price_dated", "rules")
    rows: list[tuple[Any, ...]] = []
    for row in plan.materials:
        costs = priced.get(row.item, [])
        amounts = [cost.amount for cost in costs]
        known = [amount for amount in amounts if amount is not None]
        amount = f"{sum(known):.2f}" if known and len(known) == len(amounts) else "no price"
        rows.append((row.item, row.description, row.unit, f"{row.net:.2f}", f"{row.waste:.2f}", f"{row.order:g}",
                     f"{row.confidence:g}", f"{row.pack:g}", row.packs, f"{row.left_over:.2f}", amount,
                     plan.estimate.currency, " and ".join(dict.fromkeys(c.supplier for c in costs if c.supplier)),
                     " and ".join(dict.fromkeys(c.dated for c in costs if c.dated)),
                     "; ".join(row.rule)))
    write_csv(target, head, rows)
