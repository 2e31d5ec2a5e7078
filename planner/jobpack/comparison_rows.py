"""Comparison as rows of words, for the sheet and for the terminal: one row a figure, one column an alternative."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal

from planner.job.comparison import Figures
from planner.jobpack.money import money_text
from planner.jobpack.page.measures import Measures, grouped
from planner.units import HECTARE_M2


def comparison_rows(columns: Sequence[Figures], measures: Measures) -> list[tuple[str, ...]]:
    """Rows of a comparison: what it is, then its value for each alternative.

    Args:
        columns: The alternatives.
        measures: How values are written.
    """
    def counted(value: Callable[[Figures], float]) -> Callable[[Figures], str]:
        return lambda f: grouped(value(f), 0)

    unit = measures.length_unit
    rows: list[tuple[str, Callable[[Figures], str]]] = [
        ("Cost, tax included", _cost),
        (f"Cost a {'metre' if measures.is_metric else 'foot'}", lambda f: _each(f, measures)),
        ("Cost of owning it, a year", lambda f: _from(f) + money_text(f.yearly, f.cost.currency)),
        (f"Length along the ground, {unit}", lambda f: measures.number(f.slope_m, 0)),
        ("Strains", counted(lambda f: f.strains)), ("Mid-run joins", counted(lambda f: f.joins)),
        ("Ends", counted(lambda f: f.ends)), ("Corners", counted(lambda f: f.corners)),
        ("Posts", counted(lambda f: f.posts)), ("Gates", counted(lambda f: f.gates)),
        ("Crossings", counted(lambda f: f.crossings)), ("Person-hours", counted(lambda f: f.hours)),
        ("Area inside", lambda f: "–" if f.hectares is None else measures.area(f.hectares * HECTARE_M2)),
        ("Lines", lambda f: ", ".join(f.lines) or "none"),
    ]
    return [(title, *(say(column) for column in columns)) for title, say in rows]


def _cost(figures: Figures) -> str:
    if figures.cost.complete:
        return money_text(figures.cost.total, figures.cost.currency)
    return f"INCOMPLETE, from {money_text(figures.cost.total, figures.cost.currency)}"


def _each(figures: Figures, measures: Measures) -> str:
    if not figures.slope_m:
        return "–"
    length = Decimal(repr(measures.length_value(figures.slope_m)))
    return _from(figures) + money_text(figures.cost.total / length, figures.cost.currency)


def _from(figures: Figures) -> str:
    return "" if figures.cost.complete else "from "
