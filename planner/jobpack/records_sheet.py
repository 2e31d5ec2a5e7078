"""The records sheet: how far the work is, what was built against the plan, inspections, assets and losses."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from planner.job.after import AfterPlan, after_plan
from planner.job.plan import JobPlan
from planner.jobpack.basis import Basis
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.furniture import day_text
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import BLANK, TICK, Column, Row, Table
from planner.upkeep.records import COMPONENTS, Records

PHOTOS = ("Photograph what was lost before anything is repaired or cleared, with something that shows the place; keep "
          "hours and receipts. Values are straight-line from first cost over life: what a policy or a relief fund pays "
          "is for it to say.")
WALK = ("Re-strain after one to four weeks and again after the first season, on a cool day. Walk fences after flood, "
        "fire and storm: tension, heights in dips, lifted posts, gates, floodgates, voltage at the far end. Stand "
        "clear of any wire under load; a strainer that has moved can let go.")


def has_records(plan: JobPlan) -> bool:
    """Whether anything was written down since the work began, or a standing fence is marked.

    Args:
        plan: The plan.
    """
    return plan.job.records != Records() or any(f.meaning == "existing fence" for f in plan.job.features)


def records_pages(basis: Basis) -> tuple[Page, ...]:
    """What was written down since the work began, and what follows from it; no page where there is nothing.

    Args:
        basis: Basis of the sheets.
    """
    if not has_records(basis.plan):
        return ()
    found, kept = after_plan(basis.plan), basis.plan.job.records
    flow = Flow(Form("A4", landscape=True), "Work and upkeep")
    if kept.progress:
        _progress(basis, found, flow)
    if found.measured.stretches:
        _measured(basis, found, flow)
    if kept.inspections or kept.built:
        _inspections(basis, kept, flow)
    if found.assets:
        _assets(basis, found, flow)
    if found.losses:
        _losses(basis, found, flow)
    return flow.pages()


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def _progress(basis: Basis, found: AfterPlan, flow: Flow) -> None:
    measures, work = basis.measures, found.work
    flow.heading("How far the work is")
    named = {row.line: row for row in reversed(work.sections)}
    rows = [Row((row.line if named[row.line] is row else "", row.section, measures.number(row.slope_m),
                 *(_percent(share) for share in row.shares), day_text(row.on) if row.on else "–"))
            for row in work.sections]
    rows.append(Row(("all", "", measures.number(work.total_m), *(_percent(share) for share in work.shares), ""),
                    "strong"))
    flow.table(Table((
        Column("Line", weight="semibold"), Column("Section", grow=0),
        Column(f"Slope {measures.length_unit}", "right", grow=0),
        *(Column(part.capitalize(), "right", grow=0, least=16.0) for part in COMPONENTS),
        Column("Last written down", grow=0, least=28.0)), tuple(rows), size_pt=7.8))
    flow.text(f"Finished: {measures.length(work.finished_m, 1)} along the ground of "
              f"{measures.length(work.total_m, 1)}. Ends and posts are weighed by number, the rest by length.",
              size_pt=8.4, weight="semibold")


def _measured(basis: Basis, found: AfterPlan, flow: Flow) -> None:
    measures = basis.measures
    flow.heading("Built against planned")
    flow.table(Table((
        Column("Measured", weight="semibold"), Column("Line"),
        Column(f"From {measures.length_unit}", "right", grow=0), Column(f"To {measures.length_unit}", "right", grow=0),
        Column(f"Along the line {measures.length_unit}", "right", "semibold", 0, least=20.0),
        Column(f"As measured {measures.length_unit}", "right", grow=0, least=20.0),
        Column(f"Off, mean {measures.length_unit}", "right", grow=0, least=16.0),
        Column(f"Off, most {measures.length_unit}", "right", grow=0, least=16.0),
        Column(f"at {measures.length_unit}", "right", grow=0),
        Column(f"Explained {measures.length_unit}", "right", grow=0, least=18.0)), tuple(Row((
            s.name, s.line, measures.number(s.from_m, 0), measures.number(s.to_m, 0),
            measures.number(s.planned_slope_m), measures.number(s.measured_slope_m) if s.measured_slope_m else "–",
            measures.number(s.mean_off_m), measures.number(s.greatest_off_m), measures.number(s.greatest_at_m, 0),
            measures.number(s.explained_m))) for s in found.measured.stretches), size_pt=7.8))
    flow.text("The length along the line is the one to invoice by where a walk reads long. 'Explained' is how far off "
              "the accuracy of both can account for, at 95 %. Not a survey.", size_pt=7.6, colour=FAINT)


def _inspections(basis: Basis, kept: Records, flow: Flow) -> None:
    flow.heading("Inspections")
    rows = [Row((day_text(i.on), i.line, i.section, i.by, i.found or "nothing wrong", i.action,
                 "yes" if i.done or not i.found else TICK, _money(i.cost),
                 f"{i.far_end_kv:g}" if i.far_end_kv is not None else "", i.floodgate))
            for i in kept.inspections]
    rows += [Row((BLANK, BLANK, BLANK, BLANK, BLANK, BLANK, TICK, BLANK, BLANK, BLANK)) for _ in range(3)]
    flow.table(Table((
        Column("Day", grow=0, least=26.0), Column("Line"), Column("Section", grow=0), Column("By", grow=0.6),
        Column("Found", weight="semibold", grow=1.6), Column("To do", grow=1.4), Column("Done", "middle", grow=0),
        Column("Cost", "right", grow=0), Column("Far end kV", "right", grow=0, least=16.0),
        Column("Floodgates", grow=0.6)), tuple(rows), size_pt=7.8))
    flow.text(WALK, size_pt=7.6, colour=FAINT)


def _assets(basis: Basis, found: AfterPlan, flow: Flow) -> None:
    measures, currency = basis.measures, basis.plan.estimate.currency
    flow.heading("Fences that stand")
    rows = [Row((a.name, a.kind, measures.number(a.length_m, 0), _built(a.built), _years(a.age_years),
                 _years(a.life_years), _money(a.cost), _money(a.value), a.condition)) for a in found.assets]
    known = [a.value for a in found.assets if a.value is not None]
    rows.append(Row(("all", "", measures.number(sum(a.length_m for a in found.assets), 0), "", "", "",
                     "", _money(sum(known, Decimal(0))) if known else "–",
                     "" if len(known) == len(found.assets) else "some without a value"), "strong"))
    flow.table(Table((
        Column("Fence", weight="semibold"), Column("Type"), Column(f"Length {measures.length_unit}", "right", grow=0),
        Column("Built", grow=0), Column("Age years", "right", grow=0, least=12.0),
        Column("Life years", "right", grow=0, least=12.0), Column(f"Cost new {currency}", "right", grow=0, least=20.0),
        Column(f"Value {currency}", "right", "semibold", 0, least=20.0), Column("Condition", grow=1.4)),
        tuple(rows), size_pt=7.8))


def _built(text: str) -> str:
    """A day as sheets write it; a bare year stays as it is."""
    try:
        return day_text(date.fromisoformat(text)) if "-" in text else text or "–"
    except ValueError:
        return text


def _losses(basis: Basis, found: AfterPlan, flow: Flow) -> None:
    measures, currency = basis.measures, basis.plan.estimate.currency
    flow.heading("Lost")
    flow.table(Table((
        Column("Day", grow=0, least=26.0), Column("Cause", weight="semibold"), Column("Fence"), Column("Type"),
        Column(f"From {measures.length_unit}", "right", grow=0), Column(f"To {measures.length_unit}", "right", grow=0),
        Column(f"Length {measures.length_unit}", "right", grow=0), Column("Age years", "right", grow=0, least=12.0),
        Column(f"Cost new {currency}", "right", grow=0, least=20.0),
        Column(f"Value then {currency}", "right", "semibold", 0, least=20.0), Column("Hours", "right", grow=0),
        Column("Photos", grow=1.2)), tuple(Row((
            day_text(r.loss.on), r.loss.cause, r.loss.line, r.kind, measures.number(r.loss.from_m, 0),
            measures.number(r.loss.to_m, 0), measures.number(r.length_m, 0), _years(r.age_years), _money(r.cost),
            _money(r.value), f"{r.loss.hours:g}" if r.loss.hours else "", r.loss.photos or BLANK))
            for r in found.losses), size_pt=7.8))
    flow.text(PHOTOS, size_pt=7.6, weight="semibold", colour=FAINT)


def _years(years: float | None) -> str:
    return "–" if years is None else f"{years:.0f}"


def _money(amount: Decimal | None) -> str:
    return "–" if amount is None else f"{amount:,.2f}".replace(",", "\u202f")
