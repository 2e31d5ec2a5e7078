"""The summary table: what a job comes to, on one screen."""

from __future__ import annotations

from collections import Counter

from planner.job.plan import JobPlan, LinePlan
from planner.survey.datum import grid_name

_HEAD = ("line", "fence", "metres", "strains", "joins", "posts", "ends", "pull kN", "wire m", "rolls", "to look at")


def summary(plan: JobPlan) -> str:
    """A job as an aligned table, with its cost and its findings under it.

    Args:
        plan: The plan.
    """
    rows = [_row(line, plan) for line in plan.lines]
    total = ("total", "", *(f"{sum(float(r[i].replace(' ', '')) for r in rows):,.{d}f}".replace(",", " ")
                            for i, d in ((2, 1), (3, 0), (4, 0), (5, 0), (6, 0))), "",
             f"{sum(float(r[8].replace(' ', '')) for r in rows):,.0f}".replace(",", " "),
             str(sum(len(p.rolls) for p in plan.roll_plans.values())), str(len(plan.findings)))
    table = [_HEAD, *rows, total]
    wide = [max(len(row[i]) for row in table) for i in range(len(_HEAD))]
    lines = ["  ".join(cell.ljust(w) if i < 2 else cell.rjust(w)
                       for i, (cell, w) in enumerate(zip(row, wide, strict=True))) for row in table]
    rule = "-" * len(lines[0])
    worst = Counter(f.severity for f in plan.findings if not f.waived)
    of_job = sum(not f.place.line for f in plan.findings)
    return "\n".join([
        f"{plan.job.name}, {grid_name(plan.job.crs)}", "", lines[0], rule, *lines[1:-1], rule, lines[-1], "",
        *_rolls(plan), _cost(plan),
        f"Labour {sum(row.hours for row in plan.labour):,.0f} person-hours; "
        f"{plan.carting.total_kg / 1000:.1f} t to cart in {plan.carting.loads} loads.",
        f"To look at: {_count(worst['error'], 'error')}, {_count(worst['warning'], 'warning')}, "
        f"{_count(worst['note'], 'note')}; "
        f"{of_job} of them {'is' if of_job == 1 else 'are'} of the whole job.",
        "Loads and tensions are advisory: local codes, licensed surveyors and engineers go before them."])


def _row(line: LinePlan, plan: JobPlan) -> tuple[str, ...]:
    joins = sum(len(run.joins) for run in line.joins.values())
    ends = sum(len(work.assemblies) for work in line.works)
    own = {section.id for section in line.sections}
    pieces = [(roll.item, roll.stock, cut.length_m) for p in plan.roll_plans.values() for roll in p.rolls
              for cut in roll.cuts if cut.section in own]
    wire = sum(length for _, _, length in pieces)
    cut_from = len({(item, stock) for item, stock, _ in pieces})
    return (line.line.name, line.fence.key, _number(line.ground.slope_m[-1], 1), str(len(line.joins)), str(joins),
            str(len(line.posts)), str(ends), f"{line.fence.pull_n / 1000:.1f}", _number(wire, 0), str(cut_from),
            str(len(line.findings)))


def _number(value: float, digits: int) -> str:
    return f"{value:,.{digits}f}".replace(",", " ")


def _rolls(plan: JobPlan) -> list[str]:
    return [f"{plan.catalogue.items[item].description}: {_count(len(p.rolls), 'roll')}, "
            f"{_count(p.joins, 'join')} along the way, {sum(r.left_m for r in p.rolls):.0f} m left "
            f"({'proven cheapest' if p.status == 'optimal' else f'within {100 * p.gap:.2f} % of the least possible'})"
            for item, p in plan.roll_plans.items()]


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _cost(plan: JobPlan) -> str:
    cost = plan.estimate
    money = f"{cost.currency} {cost.subtotal:,.2f} and {cost.tax:,.2f} tax: {cost.total:,.2f}"
    if cost.complete:
        return f"Cost {money}."
    return f"Cost INCOMPLETE, {len(cost.missing)} items have no price; those that have come to {money}."
