"""Tables: columns as wide as what they hold, cells that wrap, and nothing that is cut off."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from planner.jobpack.page.lettering import ASCENT, line_height, text_width, wrapped
from planner.jobpack.page.records import BAND, INK, PT_MM, RULE, Align, Mark, Stroke, Text, Weight, box

TICK = "\x00tick"
"""A cell that holds a box to tick."""
BLANK = "\x00blank"
"""A cell to write into: a dotted line."""
PAD_MM = 1.3
_TICK_MM = 3.2
_WRITE_MM = 14.0
_WIDEST_WORD_SHARE = 0.4


@dataclass(frozen=True, slots=True)
class Column:
    """One column.

    Attributes:
        title: Its head.
        align: How its cells stand.
        weight: Weight of its letters.
        grow: Its part of the room that is left over; 0 keeps it as wide as its widest cell. Above 1, it is also that
            many times as wide as others before it gives way where room is short.
        least: Least width. [mm]
    """

    title: str
    align: Align = "left"
    weight: Weight = "regular"
    grow: float = 1.0
    least: float = 0.0


@dataclass(frozen=True, slots=True)
class Row:
    """One row.

    Attributes:
        cells: A text for each column, or ``TICK``, or ``BLANK``.
        style: plain, strong (letters semibold) or band (on a tint, semibold).
        loud: Numbers of the cells that are semibold in a plain row, whatever their column.
    """

    cells: tuple[str, ...]
    style: Literal["plain", "strong", "band"] = "plain"
    loud: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """A table.

    Attributes:
        columns: Its columns.
        rows: Its rows.
        size_pt: Size of its letters. [pt]
        tall: Least height of a row, for hands to write in. [mm]
    """

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    size_pt: float = 8.0
    tall: float = 0.0


def rows_of(cells: Iterable[Sequence[str]]) -> tuple[Row, ...]:
    """Plain rows.

    Args:
        cells: The cells of each row.
    """
    return tuple(Row(tuple(row)) for row in cells)


@dataclass(frozen=True, slots=True)
class LaidRow:
    """A row broken to its column widths.

    Attributes:
        lines: Lines of each cell.
        row: The row.
        height: Its height. [mm]
    """

    lines: tuple[tuple[str, ...], ...]
    row: Row
    height: float


@dataclass(frozen=True, slots=True)
class LaidTable:
    """A table laid out to a width, ready to be drawn row by row.

    Attributes:
        table: The table.
        widths: Width of each column. [mm]
        head: Its head.
        rows: Its rows.
    """

    table: Table
    widths: tuple[float, ...]
    head: LaidRow
    rows: tuple[LaidRow, ...] = field(default=())

    def head_marks(self, x: float, y: float) -> list[Mark]:
        """The head of the table.

        Args:
            x: Left edge. [mm]
            y: Upper edge. [mm]
        """
        if not any(c.title for c in self.table.columns):
            return []
        marks = self._cells(self.head, x, y)
        base = y + self.head.height
        marks.append(Stroke(((x, base), (x + sum(self.widths), base)), 0.4, INK))
        return marks

    def row_marks(self, laid: LaidRow, x: float, y: float) -> list[Mark]:
        """One row of the table.

        Args:
            laid: The row.
            x: Left edge. [mm]
            y: Upper edge. [mm]
        """
        wide = sum(self.widths)
        under: list[Mark] = [box(x, y, wide, laid.height, fill=BAND, edge="")] if laid.row.style == "band" else []
        base = y + laid.height
        rule = Stroke(((x, base), (x + wide, base)), 0.12, RULE)
        return [*under, *self._cells(laid, x, y), rule]

    def _cells(self, laid: LaidRow, x: float, y: float) -> list[Mark]:
        size = self.table.size_pt
        marks: list[Mark] = []
        for k, (column, width, lines) in enumerate(zip(self.table.columns, self.widths, laid.lines, strict=True)):
            if lines == (TICK,):
                middle = {"left": x + PAD_MM, "middle": x + (width - _TICK_MM) / 2,
                          "right": x + width - PAD_MM - _TICK_MM}[column.align]
                marks.append(box(middle, y + (laid.height - _TICK_MM) / 2, _TICK_MM, _TICK_MM, width_mm=0.3))
            elif lines == (BLANK,):
                base = y + laid.height - 1.1
                marks.append(Stroke(((x + PAD_MM, base), (x + width - PAD_MM, base)), 0.2, INK, "dotted"))
            else:
                at = {"left": x + PAD_MM, "middle": x + width / 2, "right": x + width - PAD_MM}[column.align]
                first = y + PAD_MM * 0.7 + ASCENT * size * PT_MM
                weight = _weight(laid.row, column, k)
                marks += [Text(at, first + n * line_height(size), line, size, weight, column.align)
                          for n, line in enumerate(lines) if line]
            x += width
        return marks


def lay_table(table: Table, width: float) -> LaidTable:
    """A table laid out to a width.

    Columns are as wide as their widest cell where there is room; where there is not, those that can wrap do, and the
    longest words last of all.

    Args:
        table: The table.
        width: Width to fill. [mm]
    """
    for row in table.rows:
        if len(row.cells) != len(table.columns):
            raise ValueError(f"{len(row.cells)} cells for {len(table.columns)} columns")
    widths = _widths(table, width)
    head = _laid(Row(tuple(c.title for c in table.columns), "strong"), table, widths)
    return LaidTable(table, widths, head, tuple(_laid(row, table, widths) for row in table.rows))


def split_row(laid: LaidRow, table: Table, room: float) -> tuple[LaidRow, LaidRow]:
    """A row that is taller than the room, in two.

    Args:
        laid: The row.
        table: Its table.
        room: Height of the first part. [mm] One line at least is taken.
    """
    keep = max(1, int((room - PAD_MM * 1.4) / line_height(table.size_pt)))
    return (_sized(tuple(lines[:keep] or ("",) for lines in laid.lines), laid.row, table),
            _sized(tuple(lines[keep:] or ("",) for lines in laid.lines), laid.row, table))


def _laid(row: Row, table: Table, widths: Sequence[float]) -> LaidRow:
    lines = tuple((cell,) if cell in (TICK, BLANK) else
                  wrapped(cell, width=width - 2 * PAD_MM, size_pt=table.size_pt,
                          weight=_weight(row, column, k))
                  for k, (cell, column, width) in enumerate(zip(row.cells, table.columns, widths, strict=True)))
    return _sized(lines, row, table)


def _sized(lines: tuple[tuple[str, ...], ...], row: Row, table: Table) -> LaidRow:
    most = max(len(part) for part in lines)
    return LaidRow(lines, row, max(table.tall, most * line_height(table.size_pt) + 1.4 * PAD_MM))


def _weight(row: Row, column: Column, number: int) -> Weight:
    return column.weight if row.style == "plain" and number not in row.loud else "semibold"


def _widths(table: Table, width: float) -> tuple[float, ...]:
    natural, least = [], []
    for k, column in enumerate(table.columns):
        whole, word = _cell_widths(column.title, table.size_pt, "semibold")
        for row in table.rows:
            wide, longest = _cell_widths(row.cells[k], table.size_pt, _weight(row, column, k))
            whole, word = max(whole, wide), max(word, longest)
        natural.append(max(whole + 2 * PAD_MM + 0.01, column.least))
        least.append(max(min(word, _WIDEST_WORD_SHARE * width) + 2 * PAD_MM + 0.01, column.least))
    spare = width - sum(natural)
    if spare >= 0.0:
        growing = sum(c.grow for c in table.columns) or 1.0
        return tuple(w + spare * c.grow / growing for w, c in zip(natural, table.columns, strict=True))
    if sum(least) >= width:
        return tuple(w * width / sum(least) for w in least)
    return _shrunk(natural, least, [max(1.0, column.grow) for column in table.columns], width)


def _shrunk(natural: Sequence[float], least: Sequence[float], parts: Sequence[float],
            width: float) -> tuple[float, ...]:
    """Widths that sum to the width: the widest columns give way first, none below its longest word.

    A column whose part is twice that of another stays twice as wide before it gives way.
    """
    low, high = 0.0, max(natural)
    for _ in range(60):
        most = (low + high) / 2
        if sum(max(min(n, most * p), m) for n, m, p in zip(natural, least, parts, strict=True)) > width:
            high = most
        else:
            low = most
    found = [max(min(n, low * p), m) for n, m, p in zip(natural, least, parts, strict=True)]
    spare = (width - sum(found)) / len(found)
    return tuple(w + spare for w in found)


def _cell_widths(cell: str, size_pt: float, weight: Weight) -> tuple[float, float]:
    """Width of a cell in one line, and of its longest word."""
    if cell == TICK:
        return _TICK_MM, _TICK_MM
    if cell == BLANK:
        return _WRITE_MM, _WRITE_MM
    whole = max(text_width(line, size_pt=size_pt, weight=weight) for line in cell.split("\n"))
    words = cell.split()
    longest = max(words, key=len) if words else ""
    return whole, text_width(longest, size_pt=size_pt, weight=weight)
