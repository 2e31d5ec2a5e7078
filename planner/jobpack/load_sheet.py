"""The load list: what goes on each trailer, in the order in which it comes off."""

from __future__ import annotations

from planner.jobpack.basis import Basis
from planner.jobpack.materials_sheet import quantity_text
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.measures import grouped
from planner.jobpack.page.records import FAINT, Page
from planner.jobpack.page.table import TICK, Column, Row, Table
from planner.jobpack.trailer_loads import Goods, TrailerLoad, trailer_loads
from planner.units import Kilogram

LIFT_KG: Kilogram = 25.0
"""Mass of a piece above which two people or a machine lift it: common practice, no source."""


def load_pages(basis: Basis) -> tuple[Page, ...]:
    """Loads by drop point, with running totals against the trailer's payload.

    Args:
        basis: Basis of the sheets.
    """
    loads = trailer_loads(basis.plan)
    if not loads:
        return ()
    measures, settings = basis.measures, basis.plan.job.settings
    flow = Flow(Form("A4"), "Load list")
    total = sum(load.mass_kg for load in loads)
    flow.text(f"{len(loads)} loads by drop point, {measures.mass(total)} in all; trailer payload "
              f"{measures.mass(settings.trailer_payload_kg)}; drop points every "
              f"{measures.length(settings.drop_spacing_m, 0)}. By mass alone {basis.plan.carting.loads} loads would "
              "do. "
              "Load the last drop first. Check the track: steep ground and wet crossings set the limit, not the "
              "trailer.",
              size_pt=8.5)
    for load in loads:
        _load(basis, load, flow)
    if basis.plan.carting.unknown:
        names = ", ".join(basis.plan.catalogue.items[key].description for key in basis.plan.carting.unknown)
        flow.text(f"Mass not known, not in the totals: {names}.", size_pt=8.0, weight="semibold")
    flow.text("Pieces heavier than 25 kg: two people or a machine (common practice, no source). Long: needs a rack or "
              "a "
              "long trailer. Rolls are dropped where their first piece goes.", size_pt=7.5, colour=FAINT)
    return flow.pages()


def _load(basis: Basis, load: TrailerLoad, flow: Flow) -> None:
    measures = basis.measures
    payload = basis.plan.job.settings.trailer_payload_kg
    over = " OVER THE PAYLOAD" if load.mass_kg > payload + 1e-6 else ""
    flow.heading(f"Load {load.number}: {measures.mass(load.mass_kg)} of {measures.mass(payload)}{over}")
    rows: list[Row] = []
    running, place = 0.0, ""
    for goods in load.goods:
        here = f"{goods.line}, {measures.length(goods.chainage_m, 0)}" if goods.line else "spare, where wanted"
        running += goods.mass_kg
        rows.append(Row((here if here != place else "", _description(basis, goods), _count(basis, goods),
                         _mass(basis, goods),
                         measures.mass_number(running), _lift(basis, goods), TICK)))
        place = here
    flow.table(Table((
        Column("Drop at", weight="bold", grow=0.6), Column("What", grow=2), Column("How many", "right", grow=0),
        Column(f"{measures.mass_unit}", "right", grow=0), Column(f"On trailer {measures.mass_unit}", "right", grow=0),
        Column("Lift", grow=0.4), Column("Off", "middle", grow=0)), tuple(rows), size_pt=7.4))


def _mass(basis: Basis, goods: Goods) -> str:
    if goods.piece_kg is None:
        return "?"
    text = basis.measures.mass_number(goods.mass_kg)
    return "<1" if text == "0" else text


def _description(basis: Basis, goods: Goods) -> str:
    item = basis.plan.catalogue.items[goods.item]
    what = item.description
    if goods.size_m is None or item.piece_m is not None:
        return what
    return f"{what}, {basis.measures.length(goods.size_m, 0)} roll"


def _count(basis: Basis, goods: Goods) -> str:
    unit = basis.plan.catalogue.items[goods.item].unit
    return grouped(goods.count, 0) if goods.size_m is not None else quantity_text(basis.measures, unit, goods.count)


def _lift(basis: Basis, goods: Goods) -> str:
    item = basis.plan.catalogue.items[goods.item]
    words = []
    if goods.piece_kg is not None and goods.piece_kg > LIFT_KG and (item.unit == "each" or goods.size_m is not None):
        words.append(f"{basis.measures.mass(goods.piece_kg)} each: two or machine")
    if item.long:
        words.append("long")
    return ", ".join(words)
