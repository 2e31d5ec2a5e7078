"""The sheets of the workbook that add up to money: summary, what to buy, hours, prices."""

from __future__ import annotations

from decimal import Decimal

from planner.files.writers.workbook import (
    Cell,
    Column,
    Formula,
    Kind,
    Look,
    Value,
    WorkSheet,
    cell_at,
    cells_of,
)
from planner.job.plan import JobPlan, LinePlan
from planner.jobpack.workbook_prices import (
    HOURS,
    NO_PRICE,
    PRICE_COLUMN,
    PRICES,
    SUMMARY,
    TAKEOFF,
    TO_BUY,
    Lot,
    Priced,
)
from planner.materials.estimate import STANDARD_HOURS
from planner.survey.datum import grid_name
from planner.wording import counted

_BUY_NET, _BUY_SHARE, _BUY_WASTE, _BUY_PACK, _BUY_PACKS, _BUY_ORDER, _BUY_LEFT = 3, 4, 5, 6, 7, 8, 9
_BUY_PER, _BUY_PRICE, _BUY_AMOUNT, _BUY_TAX = 10, 11, 12, 13
_NOT_ALL = "NOT ALL PRICED: what has no price is left out"
_HOUR_HOURS, _HOUR_AS, _RATE_HOURS, _RATE_RATE, _RATE_AMOUNT, _RATE_TAX = 5, 6, 5, 6, 7, 8


def summary_sheet(plan: JobPlan, prices: Priced) -> WorkSheet:
    """What the job comes to. The mark-up and the tax rate can be changed here.

    Args:
        plan: The plan.
        prices: What everything costs.
    """
    cost, job = plan.estimate, plan.job
    rows: list[tuple[Value | Cell, ...]] = [("Job", job.name), ("Working grid", grid_name(job.crs)),
                                            (Cell("Cost", "heading"), *[Cell(None, "heading")] * 3)]
    rows += _money_rows(plan, prices, len(rows))
    rows.append((Cell("Lines", "heading"), Cell("Length along the ground", "heading"), Cell("", "heading"),
                 Cell("Fence; strains, ends, posts, gates, crossings", "heading")))
    first = len(rows)
    rows += [(line.line.name, Cell(float(line.ground.slope_m[-1]), kind="number"), "m", _line_words(line))
             for line in plan.lines]
    total = sum(float(line.ground.slope_m[-1]) for line in plan.lines)
    if plan.lines:
        cells = f"{cell_at(first, 1)}:{cell_at(len(rows) - 1, 1)}"
        rows.append((Cell("All lines", "strong"), Cell(Formula(f"SUM({cells})", total), "strong", "number"),
                     Cell("m", "strong"), Cell("", "strong")))
    rows += [(Cell("Carting", "heading"), *[Cell(None, "heading")] * 3),
             ("Mass to cart", Cell(plan.carting.total_kg, kind="whole"), "kg", "of everything whose mass is known"),
             ("Trailer loads by mass", Cell(plan.carting.loads, kind="whole"), "",
              f"of {job.settings.trailer_payload_kg:g} kg")]
    state = "" if cost.complete else "INCOMPLETE, prices are missing. "
    return WorkSheet(SUMMARY, job.name, f"{state}Cells with a yellow ground can be changed; every total follows.",
                     (Column("What", width=34), Column("Value", width=26), Column("Unit", width=10),
                      Column("Note", width=66)), tuple(rows), landscape=False)


def _money_rows(plan: JobPlan, prices: Priced, at: int) -> list[tuple[Value | Cell, ...]]:
    cost, settings = plan.estimate, plan.job.settings
    materials = sum((lot.amount for lot in prices.lots if lot.amount is not None), Decimal("0.00"))
    hours = sum((rate.amount for rate in prices.rates if rate.amount is not None), Decimal("0.00"))
    taxed = sum((row.amount for row in cost.rows if row.amount is not None and row.tax_class != "free"),
                Decimal("0.00"))
    missing = sum(row.amount is None for row in cost.rows)
    place = {name: cell_at(at + k, 1) for k, name in enumerate(
        ("materials", "labour", "subtotal", "rate", "mark-up", "taxed", "tax rate", "tax", "total", "missing"))}
    buy, work = len(prices.lots), len(prices.rates)
    offset = len(plan.labour) + 2
    bought = {c: cells_of(c, buy, sheet=TO_BUY) for c in (_BUY_AMOUNT, _BUY_TAX)}
    worked = {c: f"{cell_at(offset, c, sheet=HOURS)}:{cell_at(offset + max(work, 1) - 1, c)}"
              for c in (_RATE_AMOUNT, _RATE_TAX)}
    sums = (f'SUMIF({bought[_BUY_TAX]},"standard",{bought[_BUY_AMOUNT]})'
            f'+SUMIF({worked[_RATE_TAX]},"standard",{worked[_RATE_AMOUNT]})')
    count = f'COUNTIF({bought[_BUY_AMOUNT]},"{NO_PRICE}")+COUNTIF({worked[_RATE_AMOUNT]},"{NO_PRICE}")'
    state = f'IF({place["missing"]}=0,"complete","INCOMPLETE: what has no price is left out")'
    look: Look = "strong" if cost.complete else "loud"
    unit = cost.currency

    def money(formula: str, value: Decimal, look: Look = "plain") -> Cell:
        return Cell(Formula(formula, value), look, "money")

    def whole(amounts: str, sheet: str, lacking: bool) -> Cell:
        words = f"sheet '{sheet}'"
        text = f'IF(COUNTIF({amounts},"{NO_PRICE}")>0,"{_NOT_ALL}","{words}")'
        return Cell(Formula(text, _NOT_ALL if lacking else words), "loud" if lacking else "plain")

    lots = any(lot.amount is None for lot in prices.lots)
    rates = any(rate.amount is None for rate in prices.rates)
    return [
        ("Materials", money(f"SUM({bought[_BUY_AMOUNT]})", materials), unit, whole(bought[_BUY_AMOUNT], TO_BUY, lots)),
        ("Labour", money(f"SUM({worked[_RATE_AMOUNT]})", hours), unit, whole(worked[_RATE_AMOUNT], HOURS, rates)),
        ("Materials and labour", money(f"ROUND({place['materials']}+{place['labour']},2)", cost.subtotal), unit, ""),
        ("Mark-up, share", Cell(cost.mark_up_rate, "input", "share"), "", "quote terms"),
        ("Mark-up", money(f"ROUND({place['subtotal']}*{place['rate']},2)", cost.mark_up), unit, ""),
        ("of which taxed, before mark-up", money(f"ROUND({sums},2)", taxed), unit, "tax class standard"),
        ("Tax, share", Cell(settings.tax_rate, "input", "share"), "", "settings"),
        ("Tax", money(f"ROUND(({place['taxed']}+ROUND({place['taxed']}*{place['rate']},2))*{place['tax rate']},2)",
                      cost.tax), unit, ""),
        (Cell("Total, tax included", "strong"),
         money(f"ROUND({place['subtotal']}+{place['mark-up']}+{place['tax']},2)", cost.total, look),
         Cell(unit, "strong"),
         Cell(Formula(state, "complete" if cost.complete else "INCOMPLETE: what has no price is left out"), look)),
        ("Prices missing", Cell(Formula(count, missing), "plain" if not missing else "loud", "whole"), "rows",
         f"fill them in on sheet '{PRICES}'" if missing else ""),
    ]


def _line_words(line: LinePlan) -> str:
    ends = sum(len(work.assemblies) for work in line.works)
    gates = sum(s.is_gate for s in line.sections)
    crossings = sum(s.is_crossing for s in line.sections)
    words = ((len(line.joins), "strain"), (ends, "end"), (len(line.posts), "post"), (gates, "gate"),
             (crossings, "crossing"))
    return f"{line.fence.name}; {', '.join(counted(number, word) for number, word in words)}"


def to_buy_sheet(plan: JobPlan, prices: Priced) -> WorkSheet:
    """What to buy, in whole packs and rolls, priced.

    Args:
        plan: The plan.
        prices: What everything costs.
    """
    at_item = {row.item: k for k, row in enumerate(plan.materials)}
    rows: list[tuple[Value | Cell, ...]] = []
    for k, lot in enumerate(prices.lots):
        same = [j for j, other in enumerate(prices.lots) if other.row.item == lot.row.item]
        rows.append(_buy_row(plan, prices, lot, k, same, at_item[lot.row.item]))
    total = sum((lot.amount for lot in prices.lots if lot.amount is not None), Decimal("0.00"))
    if rows:
        cells = cells_of(_BUY_AMOUNT, len(prices.lots))
        rows.append((Cell("Materials, before mark-up and tax", "strong"), *[Cell("", "strong")] * (_BUY_AMOUNT - 1),
                     Cell(Formula(f"SUM({cells})", total), "strong", "money"), *[Cell("", "strong")] * 3))
    last = len(prices.lots) - 1
    money = plan.estimate.currency
    return WorkSheet(
        TO_BUY, f"{plan.job.name}: what to buy", "Rolls are counted by the roll plan; packs are rounded up after "
        f"waste. Prices stand on sheet '{PRICES}', before tax.",
        (Column("Item", width=23), Column("Description", width=52), Column("Unit", width=6),
         Column("In the fence", "quantity", 10), Column("Waste, share", "share", 8, input=True),
         Column("Waste", "quantity", 9), Column("Pack or roll", "quantity", 8, input=True),
         Column("Packs or rolls", "whole", 8), Column("Order", "quantity", 10), Column("Left over", "quantity", 9),
         Column("Priced per", "quantity", 8), Column(f"Price, {money}", "money", 10),
         Column(f"Amount, {money}", "money", 13), Column("Tax class", width=11), Column("Supplier", width=22),
         Column("Price dated", "date", 11)), tuple(rows), frozen=2,
        loud_unless_number=((_BUY_PRICE, 0, last), (_BUY_AMOUNT, 0, last)))


def _buy_row(plan: JobPlan, prices: Priced, lot: Lot, k: int, same: list[int], item: int) -> tuple[Value | Cell, ...]:
    row, price = lot.row, prices.rows[lot.price]

    def here(column: int, at: int = k) -> str:
        return cell_at(at, column)

    head: tuple[Value | Cell, ...] = (Cell("", "plain"),) * 3
    left: Value = None
    packs: Value | Cell = Cell(lot.packs, "input")
    if k == same[0]:
        total = cell_at(len([s for line in plan.lines for s in line.sections]), 2 + item, sheet=TAKEOFF)
        share = row.waste / row.net if row.net else 0.0
        head = (Cell(Formula(total, row.net), kind=quantity_kind(row.unit)), Cell(share, "input"),
                Formula(f"ROUND({here(_BUY_NET)}*{here(_BUY_SHARE)},4)", row.waste))
        orders = "+".join(here(_BUY_ORDER, j) for j in same)
        left = Formula(f"ROUND({orders}-{here(_BUY_NET)}-{here(_BUY_WASTE)},4)", row.left_over)
        if not plan.catalogue.items[row.item].stock_m:
            need = f"ROUND(({here(_BUY_NET)}+{here(_BUY_WASTE)})/{here(_BUY_PACK)},6)"
            packs = Formula(f"ROUNDUP({need},0)", lot.packs)
    cost = f"{here(_BUY_ORDER)}/{here(_BUY_PER)}*{here(_BUY_PRICE)}"
    source = cell_at(lot.price, PRICE_COLUMN, sheet=PRICES)
    per = cell_at(lot.price, 3, sheet=PRICES)
    kind = quantity_kind(row.unit)
    return (row.item, row.description, row.unit, *head, Cell(lot.pack, "input", kind), packs,
            Cell(Formula(f"{here(_BUY_PACK)}*{here(_BUY_PACKS)}", lot.pack * lot.packs), kind=kind), left,
            Cell(Formula(per, price.per), kind=kind),
            Formula(f'IF(ISNUMBER({source}),{source},"{NO_PRICE}")', NO_PRICE if price.price is None else price.price),
            Formula(f'IF(ISNUMBER({here(_BUY_PRICE)}),ROUND({cost},2),"{NO_PRICE}")',
                    NO_PRICE if lot.amount is None else lot.amount),
            price.tax_class, price.supplier, price.dated)


def quantity_kind(unit: str) -> Kind:
    """How quantities of a unit are written: pieces whole, metres and kilograms with a decimal.

    Args:
        unit: Unit of the item list.
    """
    return "whole" if unit == "each" else "quantity"


def hours_sheet(plan: JobPlan, prices: Priced) -> WorkSheet:
    """Person-hours by component, then the hours at each rate.

    Args:
        plan: The plan.
        prices: What everything costs.
    """
    own = {rate.name.removeprefix("Labour, "): rate.name for rate in prices.rates}
    standard = STANDARD_HOURS
    rows: list[tuple[Value | Cell, ...]] = []
    for k, row in enumerate(plan.labour):
        formula = f"ROUND({cell_at(k, 1)}*{cell_at(k, 3)}*{cell_at(k, 4)},6)"
        rows.append((row.component, Cell(row.quantity, "input"), row.unit, Cell(row.hours_each, "input"),
                     Cell(row.factor, "input"), Formula(formula, round(row.hours, 6)), own.get(row.work, standard)))
    count = len(plan.labour)
    money = plan.estimate.currency
    rows.append(())
    rows.append(tuple(Cell(title, "heading") for title in (
        "Hours at each rate", "", "", "", "", "Hours", f"Rate, {money}", f"Amount, {money}", "Tax class")))
    for k, rate in enumerate(prices.rates, start=len(rows)):
        price = prices.rows[rate.price]
        source = cell_at(rate.price, PRICE_COLUMN, sheet=PRICES)
        sums = f"SUMIF({cells_of(_HOUR_AS, count)},{cell_at(k, 0)},{cells_of(_HOUR_HOURS, count)})"
        amount = f"ROUND({cell_at(k, _RATE_HOURS)}*{cell_at(k, _RATE_RATE)},2)"
        rows.append((rate.name, "", "", "", "", Formula(f"ROUND({sums},2)", rate.hours),
                     Cell(Formula(f'IF(ISNUMBER({source}),{source},"{NO_PRICE}")',
                                  NO_PRICE if price.price is None else price.price), kind="money"),
                     Formula(f'IF(ISNUMBER({cell_at(k, _RATE_RATE)}),{amount},"{NO_PRICE}")',
                             NO_PRICE if rate.amount is None else rate.amount), price.tax_class))
    first, last = count + 2, len(rows) - 1
    return WorkSheet(
        HOURS, f"{plan.job.name}: person-hours", "On prepared line with materials on site; clearing, travel and "
        "weather come on top. Hours each: common practice, to be replaced by the crew's own.",
        (Column("Work", width=58), Column("Quantity", "quantity", 11), Column("Unit", width=7),
         Column("Hours each", "number", 9), Column("Multiplier", "factor", 10), Column("Hours", "number", 10),
         Column("Priced as", width=27), Column("Amount", "money", 13), Column("Tax class", width=11)), tuple(rows),
        loud_unless_number=((_RATE_RATE, first, last), (_RATE_AMOUNT, first, last)))


def prices_sheet(plan: JobPlan, prices: Priced) -> WorkSheet:
    """Prices with supplier and date; those that are missing stand out until they are filled in.

    Args:
        plan: The plan.
        prices: What everything costs.
    """
    days = plan.job.settings.price_stale_days
    rows: list[tuple[Value | Cell, ...]] = []
    for k, row in enumerate(prices.rows):
        missing = Formula(f'IF(ISNUMBER({cell_at(k, PRICE_COLUMN)}),"","NO PRICE")', "NO PRICE")
        remark: Value | Cell = Cell(missing, "loud") if row.price is None else (
            Cell(f"older than {days} days: ask again", "loud") if row.is_stale else "")
        rows.append((row.item, row.description, row.unit, row.per, row.price, row.supplier, row.dated, row.tax_class,
                     remark))
    count = sum(row.price is None for row in prices.rows)
    lack = f"{count} PRICES ARE MISSING. " if count else ""
    return WorkSheet(
        PRICES, f"{plan.job.name}: prices", f"{lack}Before tax, in {plan.estimate.currency}. None comes with the "
        "program: every price is the job's own.",
        (Column("Item", width=26), Column("Description", width=50), Column("Unit", width=7),
         Column("Per", "quantity", 9, input=True), Column(f"Price, {plan.estimate.currency}", "money", 12, input=True),
         Column("Supplier", width=26, input=True), Column("Dated", "date", 12, input=True),
         Column("Tax class", width=10, input=True), Column("Remark", width=30)), tuple(rows), frozen=2,
        loud_unless_number=((PRICE_COLUMN, 0, len(rows) - 1),))
