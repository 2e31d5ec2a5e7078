"""Prices: of everything that is bought, typed over in place or read from a price list."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from planner.errors import OutOfRange, PlannerError
from planner.jobpack.page.measures import grouped
from planner.numerals import decimal_of
from planner.ui.background import Task
from planner.ui.document import Document
from planner.ui.measures import count
from planner.ui.panels.cards import Card, Words, button
from planner.ui.panels.marks import Refusal
from planner.ui.panels.rows_model import Column
from planner.ui.panels.table import RowTable

if TYPE_CHECKING:
    from planner.findings import Finding
    from planner.job.plan import JobPlan
    from planner.materials.prices import Price, PriceList

TYPED_HERE = "typed in"


@dataclass(frozen=True, slots=True)
class PriceRow:
    """Something that is bought, with its price.

    Attributes:
        item: Item key.
        description: What it is.
        unit: Unit it is counted in.
        pack: Pack or roll length that is bought.
        price: Its price; None when none is known.
    """

    item: str
    description: str
    unit: str
    pack: float
    price: Price | None


class PriceCard(Card):
    """Prices of what is bought.

    Args:
        document: The document.
        attempt: Does an edit; raises PlannerError when it cannot be done.
    """

    def __init__(self, document: Document, attempt: Callable[..., None]) -> None:
        super().__init__("Prices")
        self._document, self._attempt = document, attempt
        self._task: Task | None = None
        has_price = lambda row: row.price is not None  # noqa: E731 - said thrice below
        self.table = RowTable("Prices", (
            Column("item", lambda row: row.description, stretch=True),
            Column("for", _pack, right=True, edit=self._edit_pack, may_edit=has_price, tip="Quantity the price is for"),
            Column("price", _price, right=True, edit=self._edit_price, loud=lambda row: row.price is None,
                   typed=lambda row: "" if row.price is None else f"{row.price.price:.2f}", tip="Before tax"),
            Column("of", lambda row: row.price.dated.isoformat() if row.price else "", edit=self._edit_date,
                   may_edit=has_price, tip="When it was given, as 2026-07-31"),
            Column("supplier", lambda row: row.price.supplier if row.price else "", edit=self._edit_supplier,
                   may_edit=has_price, spare=1),
        ), key=lambda row: (row.item, row.pack), most=9)
        self.refusal, self.words, self.supplier = Refusal(), Words(), Words()
        self.table.refused.connect(self.refusal.say)
        self.table.chosen.connect(lambda _: self._say_supplier())
        self.read = button("Read a price list", self._choose, tip="A CSV file: item, unit, pack, price, date, supplier")
        self.add(self.table, self.supplier, self.refusal, self.words)
        self.add_row(self.read)

    def show_prices(self, plan: JobPlan | None) -> None:
        """Shows the prices of what a plan buys."""
        rows = price_rows(plan, self._document.job.prices) if plan is not None else []
        self.table.show_rows(rows)
        self.table.setVisible(bool(rows))
        settings = self._document.job.settings
        lacking = sum(row.price is None for row in rows)
        self.aside.setText(f"{settings.currency}, before tax" if rows else "")
        if not rows:
            self.words.say("Nothing is bought yet.")
        elif lacking:
            self.words.say(f"{lacking} of {len(rows)} have no price. Type one in the table, or read a price list.")
        elif self.words.text().startswith(("Nothing", f"{self._lacking} of")):
            self.words.say("")
        self._lacking = lacking
        self._say_supplier()

    def read_list(self, path: Path) -> None:
        """Reads a price list in the background and takes its prices in.

        Args:
            path: The file.
        """
        plan = self._document.plan
        if plan is None:
            return
        from planner.files.readers.price_list import read_price_list

        items = plan.catalogue.items
        task = Task(f"reading {path.name}", lambda progress: read_price_list(path, items), self)
        task.done.connect(lambda found: self._take(path.name, *found))
        task.failed.connect(self._failed)
        task.finished.connect(lambda: self._end(task))
        self._task = task
        self._document.working.emit(task)
        task.start()

    def close_down(self) -> None:
        """Ends background work."""
        if self._task is not None:
            self._task.cancel()
            self._task.wait()

    def _choose(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Read a price list", "", "Price lists (*.csv);;Everything (*)")
        if name:
            self.read_list(Path(name))

    def _take(self, name: str, prices: PriceList, findings: tuple[Finding, ...]) -> None:
        if self._change({**dict(self._document.job.prices.prices), **dict(prices.prices)}):
            left = "\n".join(f"– {f.message}" for f in findings[:6])
            more = f"\n– and {len(findings) - 6} more" if len(findings) > 6 else ""
            taken = f"{count(len(prices.prices), 'price')} taken in from {name}."
            self.words.say(f"{taken}\n{left}{more}" if findings else taken)

    def _failed(self, trouble: object) -> None:
        if isinstance(trouble, PlannerError):
            self.refusal.say(str(trouble))
        else:
            self._document.troubled.emit(trouble)

    def _end(self, task: Task) -> None:
        self._task = None
        task.deleteLater()

    def _say_supplier(self) -> None:
        row = next((r for r in self.table.rows if (r.item, r.pack) == self.table.key_in_hand), None)
        price = row.price if row is not None else None
        self.supplier.say("" if row is None or price is None else
                          f"{row.description}: {price.supplier or 'no supplier named'}, {price.dated:%d %B %Y}.")

    # changing

    def _change(self, prices: Mapping[tuple[str, float], Price]) -> bool:
        from planner.job.edits import ChangePrices
        from planner.materials.prices import PriceList

        self._attempt(ChangePrices(PriceList(dict(prices))))
        return True

    def _put(self, old: Price | None, new: Price) -> None:
        prices = dict(self._document.job.prices.prices)
        if old is not None and (old.item, old.pack) in prices and (old.item, old.pack) != (new.item, new.pack):
            if (new.item, new.pack) in prices:
                raise OutOfRange(f"there is a price for {new.pack:g} {new.unit} already", remedy="change that one")
            del prices[old.item, old.pack]
        prices[new.item, new.pack] = new
        self._change(prices)

    def _edit_price(self, row: PriceRow, text: str) -> None:
        from planner.materials.prices import Price

        amount = parse_money(text, self._document.job.settings.currency)
        new = replace(row.price, price=amount) if row.price is not None else Price(
            row.item, row.unit, row.pack, amount, TYPED_HERE, date.today())
        self._put(row.price, new)

    def _edit_pack(self, row: PriceRow, text: str) -> None:
        if row.price is None:
            return
        pack = float(decimal_of(text.removesuffix(row.unit)) or 0)
        if not 0.0 < pack <= 1e6:
            raise OutOfRange(f"'{text}' is no quantity of {row.unit}", remedy="type a number above zero")
        self._put(row.price, replace(row.price, pack=pack))

    def _edit_date(self, row: PriceRow, text: str) -> None:
        try:
            dated = date.fromisoformat(text)
        except ValueError:
            raise OutOfRange(f"'{text}' is no date", remedy="type it as 2026-07-31") from None
        if dated > date.today():
            raise OutOfRange(f"{text} is yet to come", remedy="type the day on which the price was given")
        if row.price is not None:
            self._put(row.price, replace(row.price, dated=dated))

    def _edit_supplier(self, row: PriceRow, text: str) -> None:
        if row.price is not None:
            self._put(row.price, replace(row.price, supplier=text))

    _lacking = 0


def price_rows(plan: JobPlan, prices: PriceList) -> list[PriceRow]:
    """Everything that a plan buys, with its price, labour last; what has none stands first.

    Args:
        plan: The plan.
        prices: The prices of the job now, which may be newer than the plan.
    """
    from planner.materials.estimate import LABOUR

    rows = []
    for row in plan.materials:
        for pack, number in row.lots or ((row.pack, row.packs),):
            if number:
                roll = row.unit == "m" and row.pack > 1
                price = prices.of(row.item, unit=row.unit, pack=pack, is_roll=roll)
                rows.append(PriceRow(row.item, row.description, row.unit, pack, price))
    if plan.labour:
        rows.append(PriceRow(LABOUR, "Labour", "h", 1.0, prices.of(LABOUR, unit="h", pack=1.0)))
    return sorted(rows, key=lambda row: row.price is not None)


def parse_money(text: str, currency: str) -> Decimal:
    """The amount of what was typed.

    Args:
        text: A number, with or without the currency.
        currency: ISO 4217 code.

    Raises:
        OutOfRange: It is no amount.

    Example:
        >>> parse_money("AUD 1 234,50", "AUD")
        Decimal('1234.50')
    """
    amount = decimal_of(text.replace(currency, "").replace("$", "").replace("€", "").replace("£", ""))
    if amount is None or not 0 <= amount < 10_000_000:
        raise OutOfRange(f"'{text}' is no price", remedy="type a number such as 418.00")
    return amount


def _pack(row: PriceRow) -> str:
    pack = row.price.pack if row.price is not None else row.pack
    return f"{pack:g}" if row.unit in ("each", "") else f"{pack:g} {row.unit}"


def _price(row: PriceRow) -> str:
    return "no price" if row.price is None else grouped(float(row.price.price), 2)
