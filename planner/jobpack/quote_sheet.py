"""The quote: every run, end, gate and crossing as a line, rates for extras, and what both sides agree to."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal

from planner.alignment.ground_cover import DEFAULT_GROUND, in_order
from planner.job.plan import LinePlan
from planner.job.quote_terms import Extra
from planner.jobpack.basis import Basis
from planner.jobpack.money import money_text
from planner.jobpack.page.blanks import blank_line, loud_box
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.furniture import day_text
from planner.jobpack.page.records import BAND, FAINT, Page, Text, box
from planner.jobpack.page.table import Column, Row, Table
from planner.jobpack.quote_extras import quote_extras
from planner.materials.breakdown import PartCost, break_down
from planner.materials.estimate import LABOUR
from planner.sections.strains import Section

TO_BE_AGREED = "to be agreed"
_WHAT = {"corner": "Corner", "gate": "Gate end", "crossing": "Crossing anchor", "junction": "Junction",
         "line end": "End"}


def quote_pages(basis: Basis) -> tuple[Page, ...]:
    """The quote.

    Args:
        basis: Basis of the sheets.
    """
    flow = Flow(Form("A4"), "Quote")
    _parties(basis, flow)
    _price(basis, flow)
    _warnings(basis, flow)
    _lines(basis, flow)
    _sums(basis, flow)
    _extras(quote_extras(basis.plan), basis, flow)
    _texts(basis, flow)
    _signatures(flow)
    return flow.pages()


def _parties(basis: Basis, flow: Flow) -> None:
    terms, dated = basis.plan.job.terms, basis.choice.dated
    until = day_text(dated + timedelta(days=terms.valid_days))
    blank_line(flow, ("From (contractor)", "For (landholder)"))
    blank_line(flow, (("Dated", day_text(dated)), ("Stands until", until), "Quote no."))


def _price(basis: Basis, flow: Flow) -> None:
    """The price, where everyone looks first."""
    cost, form = basis.plan.estimate, flow.form
    metres = sum(float(line.ground.slope_m[-1]) for line in basis.plan.lines)
    words = f"{basis.measures.length(metres, 0)} of fence in {_count(len(basis.plan.lines), 'line')}"
    total = money_text(cost.total, cost.currency)
    value = f"{total}, tax included" if cost.complete else f"INCOMPLETE, from {total}, tax included"
    flow.put([box(form.left, flow.y, form.inner_width, 10.0, fill=BAND, edge=""),
              Text(form.left + 3.0, flow.y + 6.6, words, 10.0, "semibold"),
              Text(form.right - 3.0, flow.y + 6.9, value, 13.0, "bold", "right")], 12.0)


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _warnings(basis: Basis, flow: Flow) -> None:
    cost, settings = basis.plan.estimate, basis.plan.job.settings
    names = {row.item: row.description for row in basis.plan.materials} | {LABOUR: "labour"}
    if not cost.complete:
        missing = "; ".join(names.get(item, item) for item in cost.missing)
        loud_box(flow, f"INCOMPLETE. There is no price for: {missing}. Every amount marked 'from' and the total leave "
              "these out. Do not hand this over as the price of the job.")
    if cost.stale:
        stale = "; ".join(names.get(item, item) for item in cost.stale)
        loud_box(flow, f"STALE PRICES, older than {settings.price_stale_days} days: {stale}. Ask the supplier again.")


def _lines(basis: Basis, flow: Flow) -> None:
    plan, measures = basis.plan, basis.measures
    parts = break_down([work for line in plan.lines for work in line.works], plan.materials, plan.estimate,
                       catalogue=plan.catalogue, rolls=plan.roll_plans, factors=plan.job.terms.factor_of)
    rows: list[Row] = []
    for line in plan.lines:
        mine = [part for part in parts if part.line == line.line.name]
        rows.append(Row((line.code, f"{line.line.name}: {line.fence.name}. {_ground_words(basis, line)}", "",
                         measures.length(float(line.ground.slope_m[-1])), "", ""), "band"))
        sections = {section.id: section for section in line.sections}
        rows += [_part_row(basis, line, sections[part.section], part) for part in mine]
        known = sum((part.amount for part in mine), Decimal("0.00"))
        lacking = any(part.missing for part in mine)
        rows.append(Row(("", f"{line.line.name}, before tax", "", "", "", _amount(known, lacking)), "strong"))
    flow.heading("What is built")
    flow.table(Table((
        Column("No.", weight="semibold", grow=0), Column("Item", grow=2), Column(f"At, {measures.length_unit}", grow=0),
        Column("Quantity", "right", grow=0), Column(f"Rate, {plan.estimate.currency}", "right", grow=0),
        Column(f"Amount, {plan.estimate.currency}", "right", "semibold", 0)), tuple(rows), size_pt=7.6))
    flow.text("Lengths follow the ground. Amounts are before tax and hold materials with waste and whole packs, labour "
              "and mark-up.", size_pt=7.6, colour=FAINT)


def _ground_words(basis: Basis, line: LinePlan) -> str:
    """Which ground is taken along a line: what its price rests on."""
    grounds, measures = basis.plan.catalogue.grounds, basis.measures
    told = [f"{grounds[s.ground].description} {measures.number(s.from_m, 0)} to {measures.length(s.to_m, 0)}"
            for s in in_order(line.stretches, float(line.ground.chainage_m[-1]))
            if s.ground in grounds and s.ground != DEFAULT_GROUND]
    return "Ground taken as: " + ("; ".join(told) + "; else soil." if told else "soil throughout.")


def _part_row(basis: Basis, line: LinePlan, section: Section, part: PartCost) -> Row:
    measures = basis.measures
    amount = _amount(part.amount, bool(part.missing))
    span = f"{measures.number(section.from_m)} to {measures.number(section.to_m)}"
    if part.end is not None:
        return Row(("", _end_words(basis, part), measures.number(part.end.chainage_m), "1", "", amount))
    if part.kind == "run":
        each = part.amount / Decimal(repr(measures.length_value(section.slope_length_m)))
        rate = "" if part.missing else f"{money_text(each)} / {measures.length_unit}"
        return Row((section.id, f"Strain: {line.fence.name}", span, measures.length(section.slope_length_m), rate,
                    amount))
    if part.kind == "gate":
        work = next(w for w in line.works if w.section.id == section.id)
        return Row((section.id, f"Gate: {basis.plan.catalogue.items[work.gate_item].description}, hung", span, "1", "",
                    amount))
    words = f"Crossing: span of {measures.length(section.plan_length_m)}, hung by itself"
    return Row((section.id, words, span, "1", "", amount))


def _end_words(basis: Basis, part: PartCost) -> str:
    end = part.end
    if end is None:
        return ""
    assembly = basis.plan.catalogue.assemblies.get(end.assembly)
    what = next((word for cause, word in _WHAT.items() if cause in end.causes), "Strain end")
    ways = f", {end.directions} directions of pull" if end.directions > 1 else ""
    return f"{what}: {assembly.description if assembly else end.assembly}{ways}"


def _amount(known: Decimal, lacking: bool) -> str:
    return f"from {money_text(known)}" if lacking else money_text(known)


def _sums(basis: Basis, flow: Flow) -> None:
    cost, settings = basis.plan.estimate, basis.plan.job.settings
    before = cost.subtotal + cost.mark_up
    prefix = "" if cost.complete else "INCOMPLETE, from "
    rows = (Row(("Before tax", f"{prefix}{money_text(before, cost.currency)}")),
            Row((f"Tax, {settings.tax_rate * 100:g} % of what is taxed", money_text(cost.tax, cost.currency))),
            Row(("Price, tax included", f"{prefix}{money_text(cost.total, cost.currency)}"), "band"))
    flow.need(24.0)
    wide = 110.0
    flow.table(Table((Column("", grow=1), Column("", "right", "semibold", 0)), rows, size_pt=10.0),
               aside=flow.form.inner_width - wide, width=wide)


def _extras(extras: Sequence[Extra], basis: Basis, flow: Flow) -> None:
    currency = basis.plan.estimate.currency
    rows = tuple(Row((extra.what, extra.unit, TO_BE_AGREED if extra.price is None else money_text(extra.price)))
                 for extra in extras)
    flow.heading("Rates for extras, before tax")
    flow.table(Table((Column("What may come up", grow=2), Column("Per", grow=0),
                      Column(f"Rate, {currency}", "right", "semibold", 0)), rows, size_pt=8.0))
    flow.text("Extras are agreed in writing before they are done.", size_pt=7.6, colour=FAINT)


def _texts(basis: Basis, flow: Flow) -> None:
    terms, dated = basis.plan.job.terms, basis.choice.dated
    until = day_text(dated + timedelta(days=terms.valid_days))
    for title, sentences in (
            ("Included", terms.inclusions), ("Not included", terms.exclusions),
            ("Who sees to what", terms.duties), ("Materials", (terms.supplies,)),
            ("When the measured length differs", (terms.remeasure,)), ("Payment", (terms.payment,)),
            ("Standing of this quote", (
                f"It stands for {terms.valid_days} days, until {until}. "
                f"Tax at {basis.plan.job.settings.tax_rate * 100:g} % is in the price. The lengths are planned, with "
                f"{basis.facts.accuracy}.",))):
        if any(sentence.strip() for sentence in sentences):
            flow.heading(title, size_pt=9.0, keep_with=8.0)
            for sentence in sentences:
                if sentence.strip():
                    flow.text(sentence, size_pt=8.0, bullet="–")


def _signatures(flow: Flow) -> None:
    flow.need(13.0)
    flow.gap(4.0)
    blank_line(flow, ("Contractor", "Date", "Landholder", "Date"))
