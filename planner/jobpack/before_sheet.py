"""The sheet of what has to be settled before the first post, and what keeps the job from being issued for build."""

from __future__ import annotations

from datetime import date

from planner.jobpack.basis import Basis, standing_text
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.furniture import day_text
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import BLANK, TICK, Column, Row, Table
from planner.surroundings.before_start import Item, held_back_by

CAUTION = ("No list replaces asking. Many buried pipes and cables are on no register, private ones least of all; look "
           "for them, ask the owner, and dig by hand where one may lie. Rules on clearing, waterways, road reserves, "
           "protected places and boundaries are local: the bodies named here decide, not this sheet.")

_WHAT_AND_HOW = (1, 4)
"""The cells that stand out while an item is open."""


def before_pages(basis: Basis) -> tuple[Page, ...]:
    """The list before the first post: what, why, how it stands, with blanks for what is still open.

    Args:
        basis: Basis of the sheets.
    """
    plan = basis.plan
    if not plan.before_start:
        return ()
    flow = Flow(Form("A4", landscape=True), "Before the first post")
    flow.text(standing_text(plan), size_pt=12.0, weight="bold")
    held = held_back_by(plan.before_start, plan.findings)
    if held:
        flow.text("Held back by:", size_pt=9.0, weight="semibold")
        for words in held:
            flow.text(words, size_pt=8.4, bullet="–")
    elif plan.issued is None:
        flow.text("Nothing holds it back; nobody has issued it yet.", size_pt=9.0)
    flow.gap()
    flow.table(Table((
        Column("Settled", "middle", grow=0), Column("What has to be true", grow=1.6),
        Column("With whom, or where", grow=0.8), Column("Why this job needs it", grow=2.0),
        Column("How it stands", grow=0.5, least=20.0), Column("Settled on", grow=0.4, least=24.0),
        Column("Holds until", grow=0.4, least=24.0), Column("Number or note", grow=0.8, least=26.0)),
        tuple(_row(basis, item) for item in plan.before_start), size_pt=8.0))
    flow.gap()
    flow.text(CAUTION, size_pt=7.6, colour=FAINT)
    return flow.pages()


def _row(basis: Basis, item: Item) -> Row:
    said = item.clearance
    if said is not None and said.not_needed:
        return Row(("", item.what, item.about, item.why, item.state, "", "", said.not_needed))
    note = "; ".join(part for part in (said.reference, said.note) if part) if said else ""
    return Row(("yes" if item.holds else TICK, item.what, item.about, basis.said(item.why), item.state,
                _day(said.settled if said else None), _day(said.expires if said else None), note or BLANK),
               loud=() if item.holds else _WHAT_AND_HOW)


def _day(day: date | None) -> str:
    return BLANK if day is None else day_text(day)
