"""The materials workbook: what to buy, from where to where it goes, at which price, with totals that stay live."""

from __future__ import annotations

from pathlib import Path

from planner.files.writers.workbook import WorkSheet, write_workbook
from planner.job.plan import JobPlan
from planner.jobpack.workbook_costs import hours_sheet, prices_sheet, summary_sheet, to_buy_sheet
from planner.jobpack.workbook_lists import findings_sheet, loads_sheet, rolls_sheet, takeoff_sheet
from planner.jobpack.workbook_prices import priced


def write_materials_xlsx(target: Path, plan: JobPlan) -> None:
    """The materials list, takeoff, rolls, hours, loads, prices and findings as a workbook.

    Change a price, a quantity, the mark-up or the tax rate, and the totals follow.

    Args:
        target: Where it shall stand.
        plan: The plan.

    Raises:
        FileTrouble: It cannot be written there.
    """
    write_workbook(target, workbook_sheets(plan), title=plan.job.name, made_at=plan.job.made_at)


def workbook_sheets(plan: JobPlan) -> tuple[WorkSheet, ...]:
    """The sheets, in order.

    Args:
        plan: The plan.
    """
    prices = priced(plan)
    return (summary_sheet(plan, prices), to_buy_sheet(plan, prices), takeoff_sheet(plan), rolls_sheet(plan),
            hours_sheet(plan, prices), loads_sheet(plan), prices_sheet(plan, prices), findings_sheet(plan))
