"""Materials and cost: what is bought and why, how it is cut, what it costs, and the fence type behind it."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from planner.jobpack.page.measures import NO_BREAK, grouped, pieces_down, pieces_up
from planner.ui.document import Selection
from planner.ui.measures import count
from planner.ui.panels.cards import Fold, Words, action_button
from planner.ui.panels.fence_card import FenceCard
from planner.ui.panels.fields import SettingField
from planner.ui.panels.figures import line_of_section, mass, packs_words, quantity, share
from planner.ui.panels.marks import Refusal
from planner.ui.panels.pairs import Pair, Pairs
from planner.ui.panels.panel import StepPanel
from planner.ui.panels.price_card import PriceCard
from planner.ui.panels.roll_bars import RollBars, roll_words
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable
from planner.wording import listed

if TYPE_CHECKING:
    from planner.job.plan import JobPlan
    from planner.materials.takeoff import TakeoffRow

_UNKNOWN = "not known"
ALLOWANCES = (
    ("order_confidence", "Chance that an order is enough"), ("waste_mesh", "Waste on mesh"),
    ("waste_wire", "Waste on wire"), ("waste_posts", "Waste on posts"), ("waste_fixings", "Waste on fixings"),
    ("min_useful_m", "Offcut worth keeping, from"), ("join_worth_m", "Length that a join is worth"),
    ("tax_rate", "Tax"), ("trailer_payload_kg", "The trailer carries"))


class MaterialsPanel(StepPanel):
    """The panel of materials and cost."""

    KEY = "materials"

    def build(self) -> Iterator[None]:
        """Puts the cards of the panel into its column, a piece a turn."""
        self.head = self.card("Materials and cost")
        self.incomplete, self.totals, self.nothing = Refusal(), Pairs(), Words()
        self.head.add(self.incomplete, self.totals, self.nothing)
        self.terms = action_button("terms", "Rates and terms…", tip="Mark-up, labour rates and terms of the quote")
        self.options = action_button("options", "Options and stages…", tip="Ways to build the job, side by side")
        self.head.add_row(self.terms, self.options)
        yield
        self._build_items()
        yield
        self._build_rolls()
        self.prices = PriceCard(self.document, self.attempt)
        self.column.addWidget(self.prices)
        yield
        self._build_labour()
        yield
        self.fence = FenceCard(self.document, self.attempt)
        self.column.addWidget(self.fence)
        yield
        self.allowances_card = self.card("Allowances")
        self.allowances = [SettingField(name, label, self.take_setting) for name, label in ALLOWANCES]
        self.allowances_card.add(*self.allowances)

    def close_down(self) -> None:
        """Ends background work."""
        self.prices.close_down()

    def _build_items(self) -> None:
        self.items_card = self.card("To buy")
        self.items = RowTable("Materials", (
            Column("item, net", lambda row: row.description, stretch=True,
                   tip="And below it, what ends up in the fence",
                   under=lambda row: f"{quantity(row.net, row.unit, self.measures)} net"),
            Column("order", lambda row: packs_words(row, self.measures).partition(" + ")[0], right=True, strong=True,
                   tip="Whole packs, waste included",
                   under=lambda row: "".join(packs_words(row, self.measures).partition(" + ")[1:]).strip()),
            Column("amount", lambda row: self._amount(row), right=True,
                   loud=lambda row: self._amount(row) == "no price"),
        ), key=lambda row: row.item, most=9)
        self.items.chosen.connect(lambda _: self._show_item())
        self.items_card.add(self.items)
        self.item_card = self.card("Item")
        self.item_card.aside.hide()
        self.item_facts, self.rules = Pairs(), Words()
        self.by_section = RowTable("Quantity by section", (
            Column("section", lambda row: row[0], strong=True), Column("line", lambda row: row[1], stretch=True),
            Column("quantity", lambda row: row[2], right=True)), key=lambda row: row[0], most=6)
        self.by_section.chosen.connect(self._take_section)
        self.item_card.add(self.item_facts, self.rules, self.by_section)

    def _build_rolls(self) -> None:
        self.rolls_card = self.card("Rolls and their cuts")
        self.rolls, self.roll_words = RollBars(), Words()
        self.rolls.chosen.connect(self._take_section)
        self.rolls_card.add(self.roll_words, self.rolls)

    def _build_labour(self) -> None:
        self.labour_card = self.card("Labour")
        self.labour = RowTable("Labour", (
            Column("what is done", lambda row: row.component, stretch=True),
            Column("number", lambda row: quantity(row.quantity, row.unit, self.measures), right=True, spare=1),
            Column("hours", lambda row: grouped(row.hours, 1), right=True, strong=True),
        ), key=lambda row: row.component, most=8)
        self.labour_fold, self.labour_words = Fold("By component"), Words()
        self.labour_fold.add(self.labour)
        self.labour_card.add(self.labour_words, self.labour_fold)

    # showing

    def fill(self) -> None:
        """Shows the job and its plan as they are now."""
        plan = self.document.plan
        has = plan is not None and bool(plan.materials)
        for widget in (self.items_card, self.item_card, self.rolls_card, self.prices, self.labour_card, self.fence):
            widget.setVisible(has)
        for field in self.allowances:
            field.show_setting(self.document.job.settings, self.measures)
        self.nothing.say("" if has else self.without_plan(
            "There is nothing to buy yet. Draw a line, or bring in files."))
        self._amounts = {}
        if plan is None or not has:
            self.totals.show_rows([], self.look)
            self.incomplete.say("")
            self.head.aside.setText("")
            return
        self._amounts = amounts_of(plan)
        self._show_totals(plan)
        self.items.show_rows(plan.materials)
        self.items_card.aside.setText(f"{count(len(plan.materials), 'item')}, {plan.estimate.currency}")
        if self.items.key_in_hand is None:
            self.items.choose(plan.materials[0].item, seen=False)
        self.prices.show_prices(plan)
        self._show_labour(plan)
        fence = self.line.line.fence if self.line is not None else ""
        self.fence.show_fences(fence if fence != self._fence_of else "", self.look, self.measures)
        self._fence_of = fence
        self._show_item()

    def show_selection(self) -> None:
        """Shows what is in hand."""
        fence = self.line.line.fence if self.line is not None else ""
        if fence and fence != self._fence_of:
            self._fence_of = fence
            self.fence.show_fences(fence, self.look, self.measures)
        self.by_section.choose(self.document.selection.section or None)
        plan, row = self.document.plan, self._item()
        if plan is not None and row is not None:
            self._show_rolls(plan, row)

    def _show_totals(self, plan: JobPlan) -> None:
        cost, settings = plan.estimate, plan.job.settings
        words = {row.item: row.description for row in plan.materials} | {"labour": "labour"}
        lacking = [words.get(item, item) for item in dict.fromkeys(cost.missing)]
        named = listed(lacking) if len(lacking) <= 4 else f"{', '.join(lacking[:3])} and {len(lacking) - 3} more"
        self.incomplete.say("" if cost.complete else f"INCOMPLETE. No price is known of {named}; the total leaves "
                                                     "them out and is too low.")
        labour = sum((row.amount for row in cost.rows if row.item == "labour" and row.amount is not None),
                     start=Decimal(0))
        bought = cost.subtotal - labour
        rows = [Pair("Materials", _told(bought, set(cost.missing) - {"labour"})),
                Pair("Labour", _told(labour, set(cost.missing) & {"labour"})),
                *([Pair(f"Mark-up, {share(float(cost.mark_up_rate))}", _money(float(cost.mark_up)))]
                  if cost.mark_up else []),
                Pair(f"Tax, {share(settings.tax_rate)}", _told(cost.tax, cost.missing)),
                Pair("Total", f"{cost.currency}{NO_BREAK}{_money(float(cost.total))}") if cost.complete else
                Pair("Total, INCOMPLETE", f"{cost.currency}{NO_BREAK}{_money(float(cost.total))}" if cost.total else
                     _UNKNOWN, "and more" if cost.total else "", True)]
        length = sum(float(line.ground.slope_m[-1]) for line in plan.lines)
        if length > 0 and cost.complete:
            rows.append(Pair("A metre of fence", f"{cost.currency}{NO_BREAK}{_money(float(cost.total) / length)}"))
        rows.append(Pair("To cart", mass(plan.carting.total_kg, self.measures),
                         count(plan.carting.loads, "trailer load"),
                         tip=f"To {count(len(plan.carting.drops), 'drop point')} along the lines."))
        if cost.stale:
            rows.append(Pair("Prices older than allowed", str(len(cost.stale)),
                             f"over {settings.price_stale_days} days", True))
        self.totals.show_rows(rows, self.look)
        self.head.aside.setText("complete" if cost.complete else "INCOMPLETE")

    def _show_labour(self, plan: JobPlan) -> None:
        self.labour.show_rows(plan.labour)
        hours = sum(row.hours for row in plan.labour)
        self.labour_card.aside.setText(f"{grouped(hours, 0)} h")
        ground = sorted({row.factor for row in plan.labour if row.factor != 1.0})
        self.labour_words.say(f"{grouped(hours, 0)} person-hours, about {grouped(hours / 16.0, 0)} days of two people. "
                              + ("Harder ground counts with its factor." if ground else
                                 "Every metre is taken as soil; mark rock and hard ground where there is any."))

    def _item(self) -> TakeoffRow | None:
        return next((row for row in self.items.rows if row.item == self.items.key_in_hand), None)

    def _show_item(self) -> None:
        plan, row = self.document.plan, self._item()
        if plan is None or row is None:
            return
        measures, unit = self.measures, row.unit
        self.item_card.title.setText(row.description)
        chance = share(plan.job.settings.order_confidence)
        facts = [Pair("In the fence", quantity(row.net, unit, measures)),
                 Pair("Waste", quantity(pieces_up(unit, row.waste), unit, measures)),
                 Pair("Order", packs_words(row, measures), quantity(row.order, unit, measures)),
                 Pair(f"To be enough at {chance}", quantity(row.confidence, unit, measures),
                      over=row.confidence > row.order + 1e-6),
                 Pair("Left over", quantity(pieces_down(unit, row.left_over), unit, measures)),
                 Pair("Amount", self._amount(row))]
        self.item_facts.show_rows(facts, self.look)
        self.rules.say("\n".join(f"– {rule}" for rule in row.rule))
        self.by_section.show_rows([(section, self._line_name(plan, section), quantity_exact(value, unit, self))
                                   for section, value in row.by_section])
        self._show_rolls(plan, row)

    def _show_rolls(self, plan: JobPlan, row: TakeoffRow) -> None:
        rolls = plan.roll_plans.get(row.item)
        self.rolls_card.setVisible(rolls is not None)
        if rolls is not None:
            self.rolls_card.aside.setText(row.description.partition(",")[0])
            self.roll_words.say(roll_words(rolls, self.measures))
            self.rolls.show_plan(rolls, self.document.selection.section, self.look, self.measures)

    def _line_name(self, plan: JobPlan, section: str) -> str:
        line = line_of_section(plan, section)
        return line.line.name if line is not None else ""

    def _amount(self, row: TakeoffRow) -> str:
        return self._amounts.get(row.item, "")

    def _take_section(self, section: object) -> None:
        line = line_of_section(self.document.plan, str(section))
        if line is not None:
            self.document.select(Selection(line.line.name, str(section)))

    _amounts: dict[str, str] = {}  # noqa: RUF012 - replaced whole, never changed
    _fence_of = ""


def amounts_of(plan: JobPlan) -> dict[str, str]:
    """Item key to its amount in whole money, or ``no price``.

    Args:
        plan: The plan.
    """
    sums: dict[str, float] = {}
    for row in plan.estimate.rows:
        if row.amount is not None:
            sums[row.item] = sums.get(row.item, 0.0) + float(row.amount)
    found = {item: _money(value) for item, value in sums.items()}
    return found | {row.item: "no price" for row in plan.estimate.rows if row.amount is None}


def quantity_exact(value: float, unit: str, panel: StepPanel) -> str:
    """A quantity as it is charged to a section.

    Args:
        value: Quantity.
        unit: Unit of the item.
        panel: The panel that shows it.
    """
    return panel.measures.length(value) if unit == "m" else quantity(value, unit, panel.measures)


def _told(amount: Decimal, lacking: Collection[str]) -> str:
    """A sum of money; where nothing of it has a price, that, and no nought."""
    return _UNKNOWN if lacking and not amount else _money(float(amount))


def _money(amount: float) -> str:
    return grouped(amount, 0 if abs(amount) >= 100 else 2)
