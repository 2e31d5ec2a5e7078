"""The materials list to take to the store, and the hours it takes to put them up."""

from __future__ import annotations

from planner.jobpack.basis import Basis
from planner.jobpack.page.flow import Flow
from planner.jobpack.page.form import Form
from planner.jobpack.page.lettering import text_width
from planner.jobpack.page.measures import NO_BREAK, Measures, grouped, pack_decimals, pieces_down, pieces_up
from planner.jobpack.page.records import FAINT, INK, Mark, Page, Stroke, Text
from planner.jobpack.page.table import BLANK, Column, Row, Table
from planner.materials.takeoff import TakeoffRow


def materials_pages(basis: Basis) -> tuple[Page, ...]:
    """What to order, in whole packs, then the hours.

    Args:
        basis: Basis of the sheets.
    """
    flow = Flow(Form("A4", landscape=True), "Materials")
    _blanks(flow, ("Supplier", "Deliver to", "Required by", "Ordered by"))
    _order(basis, flow)
    _hours(basis, flow)
    return flow.pages()


def quantity_text(measures: Measures, unit: str, value: float) -> str:
    """A quantity in its unit; metres become feet on imperial sheets, kilograms pounds.

    Args:
        measures: How values are written.
        unit: Unit of the item list.
        value: Quantity in it.
    """
    if unit == "m":
        return measures.length(value, 0)
    if unit == "kg":
        return measures.mass(value) if value >= 10.0 or not measures.is_metric else f"{grouped(value, 1)}\u00a0kg"
    return grouped(value, 0) if abs(value - round(value)) < 1e-6 else grouped(value, 1)


def packs_text(measures: Measures, row: TakeoffRow) -> str:
    """What is bought, as 7 × 200 m and 1 × 100 m.

    Args:
        measures: How values are written.
        row: The order.
    """
    lots = row.lots or ((row.pack, row.packs),)
    if row.unit != "m" and all(pack == 1.0 for pack, _ in lots):
        unit = row.unit if row.unit != "each" else "piece" if row.order == 1 else "pieces"
        return f"{grouped(row.order, 0)} {unit}"
    return " and ".join(f"{grouped(count, 0)} × {pack_text(measures, row.unit, pack)}" for pack, count in lots
                        if count)


def pack_text(measures: Measures, unit: str, size: float) -> str:
    """The size of one pack: a roll in whole metres or feet, a rail to the tenth.

    Args:
        measures: How values are written.
        unit: Unit of the item list.
        size: Size in it.
    """
    if unit != "m":
        return quantity_text(measures, unit, size)
    value = measures.length_value(size)
    return f"{grouped(value, pack_decimals(value))}{NO_BREAK}{measures.length_unit}"


def _order(basis: Basis, flow: Flow) -> None:
    measures, settings = basis.measures, basis.plan.job.settings
    rows = tuple(Row((str(k + 1), row.description, quantity_text(measures, row.unit, row.net),
                      quantity_text(measures, row.unit, pieces_up(row.unit, row.waste)), packs_text(measures, row),
                      quantity_text(measures, row.unit, row.order),
                      quantity_text(measures, row.unit, pieces_down(row.unit, row.left_over)),
                      quantity_text(measures, row.unit, row.confidence), BLANK, BLANK))
                 for k, row in enumerate(basis.plan.materials))
    chance = f"{grouped(100 * settings.order_confidence, 0)} %"
    flow.heading("To order")
    flow.table(Table((
        Column("", "right", grow=0), Column("Item", weight="semibold", grow=2),
        Column("In the fence", "right", grow=0.3), Column("Waste", "right", grow=0.3),
        Column("Order", "right", "bold", 0.4), Column("which is", "right", grow=0.3),
        Column("Left over", "right", grow=0.3), Column(f"Enough at {chance}", "right", grow=0.3),
        Column("Other accepted?", grow=0, least=20.0), Column("Spares kept", grow=0, least=18.0)), rows, size_pt=7.6,
        tall=5.8))
    flow.text("Mesh and wire follow the ground, tails and joins included. Waste is added before rounding up to whole "
              "packs "
              f"and rolls. Enough at {chance}: the quantity that does, with that chance, given how well the lengths "
              "are "
              "known; where it is above the order, buy one more. Re-measure on the ground before ordering mesh.",
              size_pt=7.5, colour=FAINT)


def _hours(basis: Basis, flow: Flow) -> None:
    if not basis.plan.labour:
        return
    measures = basis.measures
    rows = [Row((row.component, measures.number(row.quantity, 0) if row.unit == "m" else
                 quantity_text(measures, row.unit, row.quantity),
                 measures.length_unit if row.unit == "m" else row.unit, grouped(row.factor, 2),
                 grouped(row.hours, 1))) for row in basis.plan.labour]
    rows.append(Row(("person-hours in all", "", "", "", grouped(sum(r.hours for r in basis.plan.labour), 0)), "strong"))
    flow.heading("Hours")
    flow.table(Table((Column("Work", grow=2), Column("Quantity", "right"), Column("Unit"),
                      Column("Ground multiplier", "right"), Column("Hours", "right", "semibold")), tuple(rows)),
               width=190.0)
    flow.text("Hours on prepared line with materials on site: common practice, to be replaced by the crew's own. "
              "Clearing, "
              "travel and weather come on top.", size_pt=7.5, colour=FAINT)


def _blanks(flow: Flow, words: tuple[str, ...]) -> None:
    form = flow.form
    wide = form.inner_width / len(words)
    marks: list[Mark] = []
    for k, text in enumerate(words):
        x = form.left + k * wide
        start = x + text_width(text, size_pt=8.0, weight="semibold") + 1.5
        marks += [Text(x, flow.y + 4.6, text, 8.0, "semibold"),
                  Stroke(((start, flow.y + 5.0), (x + wide - 4.0, flow.y + 5.0)), 0.2, INK, "dotted")]
    flow.put(marks, 8.0)
