"""Tables as CSV: UTF-8 with a mark for spreadsheets, and no cell that could be taken for a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from planner.files.atomic_save import write_text

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def write_csv(target: Path, head: tuple[str, ...], rows: Iterable[tuple[Any, ...]]) -> None:
    """Writes a table, whole or not at all.

    Args:
        target: Where it shall stand.
        head: Column names.
        rows: Cells of each row.

    Raises:
        FileTrouble: It cannot be written there.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([[plain_cell(value) for value in row] for row in rows])
    write_text(target, "\ufeff" + out.getvalue())


def plain_cell(value: Any) -> Any:
    """A cell that no spreadsheet takes for a formula; numbers, negative ones too, stay as they are.

    Args:
        value: Text or number.

    Example:
        >>> plain_cell("=1+1"), plain_cell("-2.5"), plain_cell("gate")
        ("'=1+1", '-2.5', 'gate')
    """
    if isinstance(value, str) and value.startswith(_FORMULA_STARTS) and not _is_number(value):
        return "'" + value
    return value


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
