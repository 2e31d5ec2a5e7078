"""A price list as a CSV file: item, unit, pack, price, supplier, date, tax class."""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path

from planner.errors import FileTrouble, PriceTrouble
from planner.findings import Finding, Place, Severity
from planner.materials.estimate import LABOUR
from planner.materials.prices import Price, PriceList
from planner.spec.items import Item

RULES = {
    "materials-20": "a row of a price list names an item that is known",
    "materials-21": "a row's price is a number, not below zero",
    "materials-22": "a row's unit is the item's",
    "materials-23": "a row's pack is a number above zero, and one that is sold",
    "materials-24": "a row has its date and its supplier",
    "materials-25": "an item has one price for each pack",
    "materials-26": "a row's tax class is standard or free",
}
_COLUMNS = {"item": "item", "unit": "unit", "pack": "pack", "price": "price", "supplier": "supplier", "date": "date",
            "dated": "date", "tax": "tax", "tax class": "tax", "tax_class": "tax"}
_NEEDED = ("item", "unit", "pack", "price", "date")
_UNITS = {"metre": "m", "metres": "m", "meter": "m", "meters": "m", "ea": "each", "piece": "each", "pc": "each",
          "hour": "h", "hours": "h", "hr": "h", "kilogram": "kg"}
_LABOUR_UNIT = "h"
_BYTES_MOST = 20_000_000
_NUMBER = re.compile(r"^-?\d[\d.,]*$")
_SIGNS = re.compile(r"[\s\u00a0\u202f'\u2019$\u20ac\u00a3\u00a5\u20b9]|^[A-Z]{3}|[A-Z]{3}$")


@dataclass(frozen=True, slots=True)
class _Reading:
    """What is known while rows are read."""

    file: str
    items: Mapping[str, Item]
    decimal_comma: bool | None
    named: Mapping[str, str]


class _BadCell(Exception):
    """A cell that cannot be used: rule, message, remedy."""

    def __init__(self, rule: str, message: str, remedy: str) -> None:
        super().__init__(message)
        self.rule, self.message, self.remedy = rule, message, remedy


def read_price_list(path: Path, items: Mapping[str, Item]) -> tuple[PriceList, tuple[Finding, ...]]:
    """Prices from a CSV file; every row that can be used is kept, every other one is told with its number.

    The first row names the columns: item, unit, pack, price, date, and if wished supplier and tax class. Columns are
    set apart by commas, semicolons or tabs. Numbers may have a decimal comma and a currency sign. Dates are written
    2026-07-31 or 31.7.2026. Items are named by key or by description. Text that looks like a formula is text. Of two
    prices for one pack the later stands.

    Args:
        path: The file, UTF-8 or Windows-1252.
        items: Items by key; ``labour``, in hours, is known as well.

    Returns:
        The prices; what was wrong or worth saying.

    Raises:
        FileTrouble: The file cannot be read.
        PriceTrouble: It has no heading row with the columns that are needed.
    """
    (_, first), *others = _table(_text(path), path)
    heading = [_COLUMNS.get(cell.strip().lower(), "") for cell in first]
    lacking = [name for name in _NEEDED if name not in heading]
    if lacking:
        raise PriceTrouble(f"the first row does not name the column{'s' if len(lacking) > 1 else ''} "
                           f"{', '.join(lacking)}", where=path.name,
                           remedy="start the file with: item,unit,pack,price,supplier,date,tax class")
    body = [(number, {name: cell.strip() for name, cell in zip(heading, row, strict=False) if name})
            for number, row in others]
    numbers = [cells.get(name, "") for _, cells in body for name in ("price", "pack")]
    described = {" ".join(item.description.split()).casefold(): key for key, item in items.items()}
    named = {**described, **{key.casefold(): key for key in (LABOUR, *items)}}
    reading = _Reading(path.name, items, _decimal_comma(numbers), named)
    return _collected(body, reading)


def _text(path: Path) -> str:
    try:
        raw = path.read_bytes()
    except OSError as trouble:
        raise FileTrouble(f"it cannot be read ({trouble.strerror})", where=str(path),
                          remedy="check the name and that you may read it") from trouble
    if len(raw) > _BYTES_MOST:
        raise PriceTrouble("it is far too large for a price list", where=path.name, remedy="give a CSV file of prices")
    if b"\x00" in raw:
        raise PriceTrouble("it is not a CSV file", where=path.name, remedy="save the price list as CSV, UTF-8")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")


def _table(text: str, path: Path) -> list[tuple[int, list[str]]]:
    """Rows that are not blank, each with its number in the file."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(",;\t", key=first.count)
    try:
        read = enumerate(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), start=1)
        rows = [(number, row) for number, row in read if any(cell.strip() for cell in row)]
    except csv.Error as trouble:
        raise PriceTrouble(f"it is not a readable CSV file ({trouble})", where=path.name,
                           remedy="save the price list as CSV again") from trouble
    if not rows:
        raise PriceTrouble("it is empty", where=path.name,
                           remedy="start the file with: item,unit,pack,price,supplier,date,tax class")
    return rows


def _decimal_comma(numbers: Sequence[str]) -> bool | None:
    """Whether the file writes a decimal comma; None when no number in it can tell."""
    comma = point = False
    for text in numbers:
        digits = _bare(text)
        if not _NUMBER.match(digits):
            continue
        last = max(digits.rfind(","), digits.rfind("."))
        if last < 0:
            continue
        both = "," in digits and "." in digits
        if both or (digits.count(digits[last]) == 1 and len(digits) - last - 1 != 3):
            comma |= digits[last] == ","
            point |= digits[last] == "."
    return None if comma == point else comma


def _bare(text: str) -> str:
    return _SIGNS.sub("", text.strip())


def _number(text: str, reading: _Reading) -> Decimal | None:
    """The number a cell holds; None when it holds none, or one that can be read in two ways."""
    digits = _bare(text)
    if not _NUMBER.match(digits):
        return None
    comma = reading.decimal_comma
    if comma is None and "," in digits:
        return None
    whole, mark = (".", ",") if comma else (",", ".")
    head, _, tail = digits.partition(mark)
    if whole in tail or (whole in head and not re.fullmatch(rf"-?\d{{1,3}}(\{whole}\d{{3}})+", head)):
        return None
    try:
        return Decimal(head.replace(whole, "") + (f".{tail}" if tail else ""))
    except InvalidOperation:
        return None


def _collected(body: Sequence[tuple[int, Mapping[str, str]]],
               reading: _Reading) -> tuple[PriceList, tuple[Finding, ...]]:
    prices: dict[tuple[str, float], Price] = {}
    findings: list[Finding] = []
    for number, cells in body:
        place = Place(file=reading.file, row=number)
        try:
            price = _price(cells, reading)
        except _BadCell as bad:
            findings.append(Finding(bad.rule, "error", f"{bad.message}; the row is left out.", bad.remedy, place))
            continue
        findings += [Finding(rule, severity, message, remedy, place)
                     for rule, severity, message, remedy in _worth_saying(price, cells, reading)]
        key = (price.item, price.pack)
        older = prices.get(key)
        if older is not None:
            later = price if price.dated >= older.dated else older
            findings.append(Finding(
                "materials-25", "warning",
                f"'{price.item}' is priced twice for a pack of {price.pack:g}; the price of {later.dated} stands.",
                "Remove the other row.", place))
            price = later
        prices[key] = price
    return PriceList(prices), tuple(findings)


def _price(cells: Mapping[str, str], reading: _Reading) -> Price:
    key = _key(cells.get("item", ""), reading)
    item = reading.items.get(key)
    unit = _unit(cells, item, key)
    return Price(key, unit, _pack(cells, item, reading), _amount(cells, reading), cells.get("supplier", ""),
                 _date(cells.get("date", "")), _tax(cells.get("tax", "")))


def _key(text: str, reading: _Reading) -> str:
    """The key of the item that a cell names by its key or by what is written on an order."""
    key = reading.named.get(" ".join(text.split()).casefold())
    if key is None:
        near = difflib.get_close_matches(text.casefold(), reading.named, n=3, cutoff=0.5)
        keys = ", ".join(dict.fromkeys(reading.named[name] for name in near))
        raise _BadCell("materials-20", f"there is no item {_shown(text)}",
                       "Name it by its key or its description in materials.csv of the job pack"
                       + (f" (such as {keys})" if keys else "") + ", or 'labour' for a person-hour.")
    return key


def _unit(cells: Mapping[str, str], item: Item | None, key: str) -> str:
    text = cells.get("unit", "").lower()
    unit = _UNITS.get(text, text)
    wanted = item.unit if item is not None else _LABOUR_UNIT
    if unit != wanted:
        raise _BadCell("materials-22", f"'{key}' is priced by {_shown(cells.get('unit', ''))} but counted in {wanted}",
                       f"Give its price in {wanted}, and the pack in {wanted} too.")
    return unit


def _pack(cells: Mapping[str, str], item: Item | None, reading: _Reading) -> float:
    pack = _number(cells.get("pack", ""), reading)
    if pack is None or not (0 < pack < 10**9):
        raise _BadCell("materials-23", f"the pack {_shown(cells.get('pack', ''))} is not a number above zero",
                       "Write how many the price is for, or the length of the roll, as a plain number.")
    return float(pack)


def _amount(cells: Mapping[str, str], reading: _Reading) -> Decimal:
    amount = _number(cells.get("price", ""), reading)
    if amount is None:
        raise _BadCell("materials-21", f"the price {_shown(cells.get('price', ''))} cannot be read as one number",
                       "Write it as 12.50 or 12,50, without a formula, the same way in the whole file.")
    if amount < 0:
        raise _BadCell("materials-21", f"the price {amount} is below zero", "Write what the pack costs before tax.")
    return amount


def _date(text: str) -> date:
    try:
        found = re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", text)
        if found:
            return date(int(found[3]), int(found[2]), int(found[1]))
        return date.fromisoformat(text)
    except ValueError:
        raise _BadCell("materials-24", f"the date {_shown(text)} cannot be read in one way only",
                       "Write it as year-month-day, such as 2026-07-31.") from None


def _tax(text: str) -> str:
    tax_class = text.lower() or "standard"
    if tax_class not in ("standard", "free"):
        raise _BadCell("materials-26", f"there is no tax class {_shown(text)}", "Write standard or free.")
    return tax_class


def _worth_saying(price: Price, cells: Mapping[str, str],
                  reading: _Reading) -> list[tuple[str, Severity, str, str]]:
    said: list[tuple[str, Severity, str, str]] = []
    item = reading.items.get(price.item)
    if item is not None and item.stock_m and price.pack != 1 and price.pack not in item.stock_m:
        lengths = ", ".join(f"{a:g}" for a in item.stock_m)
        said.append(("materials-23", "warning",
                     f"'{price.item}' is priced for a roll of {price.pack:g} m, but the item list has {lengths} m.",
                     "Correct the roll length, or add it to the item's stock lengths; the price is not used as it is."))
    if not price.supplier:
        said.append(("materials-24", "note", f"the price of '{price.item}' names no supplier.", "Say who gave it."))
    return said


def _shown(text: str) -> str:
    short = " ".join(text.split())
    return f"'{short if len(short) <= 40 else short[:37] + '...'}'" if short else "left blank"
