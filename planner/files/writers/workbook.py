"""Workbooks: sheets of typed cells with frozen heads, print areas and formulas whose values are already there.

A text is always written as a text, whatever it begins with, so that no name or note can become a formula.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal, TypeAlias

from planner.files.atomic_save import whole_file

Kind = Literal["text", "whole", "quantity", "number", "money", "share", "factor", "date"]
Look = Literal["plain", "input", "strong", "loud", "faint", "heading"]
HEAD_ROW, FIRST_ROW = 3, 4
"""Rows, counted from 0, of the column heads and of the first cells under them."""
_FORMATS: dict[Kind, str] = {
    "text": "@", "whole": "#,##0", "quantity": "#,##0.0", "number": "#,##0.00", "money": "#,##0.00",
    "share": "0.0#%", "factor": "0.00", "date": "yyyy-mm-dd"}
_LOOKS: dict[Look, dict[str, Any]] = {
    "plain": {}, "input": {"bg_color": "#FFF8DC", "locked": False}, "strong": {"bold": True, "top": 1},
    "loud": {"bold": True, "bg_color": "#FFD6D6", "font_color": "#8B0000"}, "faint": {"font_color": "#5C665F"},
    "heading": {"bold": True, "bg_color": "#ECEEE8"}}
_LONGEST_TEXT, _LONGEST_HEADER = 32_767, 200
_LINE_PT, _UPRIGHT_PT, _TALLEST_PT = 15.0, 6.0, 400.0
_ONE_LINE = 30
"""Letters of a head written upward that stand on one line; longer ones take two."""
_LETTER = 1.0
"""Width of a mean letter, in the widths that columns are measured by, with some room."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula and the value it has now, so that a viewer that cannot compute shows the same figures.

    Attributes:
        text: The formula, without the equals sign.
        value: Its value.
    """

    text: str
    value: float | int | str | Decimal


Value: TypeAlias = "str | int | float | Decimal | date | Formula | None"


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell that looks otherwise than its column.

    Attributes:
        value: What stands in it.
        look: How it looks.
        kind: What kind of value it is; that of its column when None.
    """

    value: Value
    look: Look = "plain"
    kind: Kind | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """One column.

    Attributes:
        title: Its head, with the unit.
        kind: What kind of value it holds.
        width: Width in letters.
        upright: True where the head is written upward, for narrow columns.
        input: True where a person may change what stands in it.
    """

    title: str
    kind: Kind = "text"
    width: float = 12.0
    upright: bool = False
    input: bool = False


@dataclass(frozen=True, slots=True)
class WorkSheet:
    """One sheet.

    Attributes:
        name: Name on its tab, at most 31 characters.
        title: First line.
        note: Second line.
        columns: Its columns.
        rows: Rows under the heads; a row shorter than the columns leaves the rest empty.
        landscape: True when printed across.
        frozen: Columns that stay in view when it is moved sideways.
        loud_unless_number: Columns that turn red while a cell in them is no number, and the rows meant: first, last.
        filtered: True where rows can be filtered by their heads.
    """

    name: str
    title: str
    note: str
    columns: tuple[Column, ...]
    rows: tuple[Sequence[Value | Cell], ...]
    landscape: bool = True
    frozen: int = 0
    loud_unless_number: tuple[tuple[int, int, int], ...] = field(default=())
    filtered: bool = False


def write_workbook(target: Path, sheets: Sequence[WorkSheet], *, title: str, made_at: str) -> None:
    """Writes a workbook, whole or not at all; the same sheets give the same file, byte for byte.

    Args:
        target: Where it shall stand.
        sheets: Its sheets, one at least.
        title: Title in its properties and in the head of every printed page.
        made_at: ISO time in its properties; empty for the year 2000.

    Raises:
        FileTrouble: It cannot be written there.
    """
    import xlsxwriter

    with whole_file(target) as draft:
        book = xlsxwriter.Workbook(str(draft), {
            "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False, "in_memory": True})
        book.set_properties({"title": title, "created": _time(made_at),
                             "comments": "Quantities as planned; not a survey."})
        book.set_calc_mode("auto")
        formats = _Formats(book)
        for sheet in sheets:
            _write_sheet(book, sheet, formats, title)
        book.close()


def cell_at(row: int, column: int, *, sheet: str = "") -> str:
    """Name of a cell for a formula.

    Args:
        row: Place of its row among the rows of its sheet, from 0.
        column: Its column, from 0.
        sheet: Name of its sheet, where it is another one.

    Example:
        >>> cell_at(0, 1), cell_at(2, 27, sheet="To buy")
        ('B5', "'To buy'!AB7")
    """
    from xlsxwriter.utility import quote_sheetname, xl_rowcol_to_cell

    name: str = xl_rowcol_to_cell(row + FIRST_ROW, column)
    return f"{quote_sheetname(sheet)}!{name}" if sheet else name


def cells_of(column: int, rows: int, *, sheet: str = "") -> str:
    """Name of the cells of a column, from its first row on, for a formula.

    Args:
        column: The column, from 0.
        rows: How many, one at least.
        sheet: Name of the sheet, where it is another one.

    Example:
        >>> cells_of(3, 10), cells_of(3, 10, sheet="Hours")
        ('D5:D14', 'Hours!D5:D14')
    """
    return f"{cell_at(0, column, sheet=sheet)}:{cell_at(max(rows, 1) - 1, column)}"


class _Formats:
    def __init__(self, book: Any) -> None:
        self._book, self._known = book, dict[tuple[Kind, Look], Any]()
        self.title = book.add_format({"bold": True, "font_size": 14})
        self.note = book.add_format({"font_color": "#5C665F", "italic": True})
        head = {"bold": True, "bottom": 2, "text_wrap": True, "valign": "bottom", "bg_color": "#ECEEE8"}
        self.head = book.add_format(head)
        self.upright = book.add_format({**head, "rotation": 90})
        self.loud = book.add_format(_LOOKS["loud"])

    def of(self, kind: Kind, look: Look) -> Any:
        if (kind, look) not in self._known:
            wraps = look not in ("strong", "heading")
            wrap = {"text_wrap": wraps, "align": "left", "indent": 1} if kind == "text" else {}
            self._known[kind, look] = self._book.add_format(
                {"num_format": _FORMATS[kind], "valign": "top", **wrap, **_LOOKS[look]})
        return self._known[kind, look]


def _write_sheet(book: Any, sheet: WorkSheet, formats: _Formats, title: str) -> None:
    page = book.add_worksheet(sheet.name)
    last_row, last_column = HEAD_ROW + max(len(sheet.rows), 1), len(sheet.columns) - 1
    page.write_string(0, 0, _fit(sheet.title), formats.title)
    page.write_string(1, 0, _fit(sheet.note), formats.note)
    for k, column in enumerate(sheet.columns):
        page.set_column(k, k, column.width)
        page.write_string(HEAD_ROW, k, column.title, formats.upright if column.upright else formats.head)
    page.set_row(HEAD_ROW, _head_height(sheet))
    for at, row in enumerate(sheet.rows, start=FIRST_ROW):
        lines = _lines(sheet, row)
        if lines > 1:
            page.set_row(at, lines * _LINE_PT)
        for k, value in enumerate(row):
            column = sheet.columns[k]
            cell = value if isinstance(value, Cell) else Cell(value, "input" if column.input else "plain")
            _write_cell(page, at, k, cell.value, formats.of(cell.kind or column.kind, cell.look))
    for k, first, last in sheet.loud_unless_number:
        if last >= first:
            page.conditional_format(first + FIRST_ROW, k, last + FIRST_ROW, k, {
                "type": "formula", "criteria": f"=NOT(ISNUMBER({cell_at(first, k)}))", "format": formats.loud})
    page.freeze_panes(FIRST_ROW, sheet.frozen)
    if sheet.filtered and sheet.rows:
        page.autofilter(HEAD_ROW, 0, last_row, last_column)
    _set_up_print(page, sheet, title, last_row, last_column)


def _head_height(sheet: WorkSheet) -> float:
    """Height of the heads: as many lines as they wrap to, or as long as the longest that is written upward. [pt]"""
    upward = max((len(c.title) * _UPRIGHT_PT * (0.6 if len(c.title) > _ONE_LINE else 1.0) for c in sheet.columns
                  if c.upright), default=0.0)
    lines = max(_wrapped_lines(c.title, c.width) for c in sheet.columns if not c.upright)
    return max(_LINE_PT * lines + 2.0, min(upward + 8.0, _TALLEST_PT))


def _lines(sheet: WorkSheet, row: Sequence[Value | Cell]) -> int:
    """Lines that the texts of a row wrap to."""
    texts = [(cell.value if isinstance(cell, Cell) and cell.look not in ("strong", "heading") else cell, column)
             for cell, column in zip(row, sheet.columns, strict=False)]
    return max((_wrapped_lines(text, column.width - 1.0) for text, column in texts if isinstance(text, str)), default=1)


def _wrapped_lines(text: str, width: float) -> int:
    return sum(math.ceil(max(len(part), 1) * _LETTER / width) for part in text.split("\n"))


def _write_cell(page: Any, row: int, column: int, value: Value, form: Any) -> None:
    if value is None or value == "":
        page.write_blank(row, column, None, form)
    elif isinstance(value, Formula):
        shown = value.value if isinstance(value.value, str) else float(value.value)
        page.write_formula(row, column, f"={value.text}", form, shown)
    elif isinstance(value, str):
        page.write_string(row, column, _fit(value), form)
    elif isinstance(value, date):
        page.write_datetime(row, column, datetime(value.year, value.month, value.day), form)
    else:
        page.write_number(row, column, float(value), form)


def _set_up_print(page: Any, sheet: WorkSheet, title: str, last_row: int, last_column: int) -> None:
    if sheet.landscape:
        page.set_landscape()
    page.set_paper(9)  # A4
    page.set_margins(left=0.5, right=0.5, top=0.7, bottom=0.6)
    page.fit_to_pages(1, 0)
    page.repeat_rows(HEAD_ROW)
    page.print_area(0, 0, last_row, last_column)
    name = _fit(title, _LONGEST_HEADER).replace("&", "&&")
    page.set_header(f"&L{name}&R{sheet.name}")
    page.set_footer("&LNot a survey. Loads are advisory.&RPage &P of &N")


def _fit(text: str, most: int = _LONGEST_TEXT) -> str:
    return text if len(text) <= most else text[:most - 1] + "…"


def _time(made_at: str) -> datetime:
    if not made_at:
        return datetime(2000, 1, 1)
    time = datetime.fromisoformat(made_at)
    return time.astimezone(UTC).replace(tzinfo=None) if time.tzinfo else time
