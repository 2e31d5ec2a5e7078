"""The option sheet: alternatives side by side, stages with their totals, and what is not decided yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.job.comparison import Comparison, Figures, compare, plan_options, stage_totals
from planner.job.options import chosen_option
from planner.job.plan import JobPlan
from planner.jobpack.basis import Basis, accuracy_text
from planner.jobpack.comparison_rows import comparison_rows
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.furniture import finished
from planner.jobpack.page.measures import grouped
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import BLANK, TICK, Column, Row, Table

_ACROSS = 5


def has_options(plan: JobPlan) -> bool:
    """Whether there is anything to compare or to spread over years.

    Args:
        plan: The plan.
    """
    return len(plan.job.options) > 1 or bool(plan.job.stages)


def options_pages(basis: Basis) -> tuple[Page, ...]:
    """Options of the job side by side, then its stages; nothing where it has neither.

    Args:
        basis: Basis of the sheets.
    """
    plan = basis.plan
    flow = Flow(Form("A4", landscape=True), "Options and stages")
    if len(plan.job.options) > 1:
        found = compare(plan_options(plan.job, today=basis.choice.dated, previous=plan))
        chosen = chosen_option(plan.job)
        _comparison(basis, flow, "Options side by side", found, chosen.name if chosen else "")
        for option in plan.job.options:
            if option.note:
                flow.text(f"{option.name}: {option.note}", size_pt=8.5, bullet="–")
        _undecided(flow)
    if plan.job.stages:
        _stages(basis, flow)
    return flow.pages()


def comparison_pages(bases: Sequence[Basis], found: Comparison) -> tuple[Page, ...]:
    """Several jobs side by side, with heads and feet that name them all.

    Args:
        bases: Basis of the sheets of each job, in the order of the columns; units, paper and date are the first's.
        found: The comparison.
    """
    first = bases[0]
    flow = Flow(Form("A4", landscape=True), "Comparison")
    _comparison(first, flow, "Jobs side by side", found, "")
    _undecided(flow)
    lines = [line for basis in bases for line in basis.plan.lines]
    facts = replace(first.facts, name=" and ".join(column.name for column in found.columns), standing="",
                    grid="; ".join(dict.fromkeys(basis.facts.grid for basis in bases)),
                    accuracy=accuracy_text(lines, first.measures))
    return finished(flow.pages(), facts)


def _comparison(basis: Basis, flow: Flow, title: str, found: Comparison, chosen: str) -> None:
    for start in range(0, len(found.columns), _ACROSS):
        columns = found.columns[start:start + _ACROSS]
        flow.heading(title if start == 0 else f"{title}, continued")
        _table(basis, flow, columns, chosen)
    if found.cheapest is not None:
        flow.text(f"Least cost: {found.cheapest.name}.", size_pt=9.0, weight="semibold")
    elif found.columns:
        flow.text("Not every alternative is fully priced in one currency, so the cheapest is not named.", size_pt=9.0,
                  weight="semibold")
    settings = basis.plan.job.settings
    flow.text(f"Owning: the first cost over {grouped(settings.life_woven_years, 0)} years for mesh, netting and "
              f"barbed wire, {grouped(settings.life_plain_years, 0)} for plain and electric; interest of "
              f"{settings.interest_rate * 100:g} % on half of it; maintenance of {settings.maintenance_woven * 100:g} "
              f"% and {settings.maintenance_plain * 100:g} % a year (Iowa State University Extension, table 6). "
              "Corners are counted among the ends.", size_pt=7.6, colour=FAINT)


def _table(basis: Basis, flow: Flow, columns: tuple[Figures, ...], chosen: str) -> None:
    rows = [Row(row, "band" if k == 0 else "plain") for k, row in enumerate(comparison_rows(columns, basis.measures))]
    heads = [f"{column.name}{' (chosen)' if column.name == chosen else ''}" for column in columns]
    flow.table(Table((Column("", weight="semibold", grow=0.6), *(Column(head) for head in heads)),
                     tuple(rows), size_pt=8.6))


def _undecided(flow: Flow) -> None:
    flow.heading("Not decided yet", size_pt=9.5, keep_with=40.0)
    rows = tuple(Row((word, BLANK, TICK)) for word in ("Which one", "Who builds it", "When", "Gates and water"))
    flow.table(Table((Column("", grow=0, least=40.0), Column("Decision", grow=1, least=120.0),
                      Column("Agreed", "middle", grow=0)), rows, size_pt=8.5, tall=7.0))


def _stages(basis: Basis, flow: Flow) -> None:
    plan = basis.plan
    totals = stage_totals(plan, today=basis.choice.dated)
    years = {stage.name: str(stage.year) if stage.year is not None else "–" for stage in plan.job.stages}
    flow.heading("Stages")
    for start in range(0, len(totals), _ACROSS):
        _table(basis, flow, totals[start:start + _ACROSS], "")
    words = "; ".join(f"{name}: {year}" for name, year in years.items() if year != "–")
    flow.text((f"Years: {words}. " if words else "") + "Each stage is bought by itself, so packs and rolls are "
              "rounded up for each. An assembly where lines of two stages meet is counted with the earlier one.",
              size_pt=7.6, colour=FAINT)
    ready = [f for f in plan.findings if f.rule == "stage-01" and not f.waived]
    if ready:
        flow.heading("To build now for a later stage", size_pt=9.5, keep_with=10.0)
        for finding in ready:
            flow.text(f"{basis.measures.sentence(finding.message)} {basis.measures.sentence(finding.remedy)}",
                      size_pt=8.5, bullet="–")
