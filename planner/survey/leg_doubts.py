"""What can be read in two ways in a table of legs: packed angles, and commas in lengths."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from planner.findings import Finding, Place
from planner.geometry.bearings import could_be_packed
from planner.numerals import reads_two_ways

Cell = tuple[int, str]
"""Row of a table, counted from 1, and what stands in it."""
_NUMBER = re.compile(r"\d*[.,]\d+")


def packed_doubt(bearings: Sequence[Cell], file: str) -> list[Finding]:
    """Decimal bearings that could be degrees, minutes and seconds run together.

    Args:
        bearings: Bearings as written.
        file: Name of the file.
    """
    decimal = [(row, text) for row, text in bearings if re.fullmatch(r"\d+[.,]\d{2,}", text)]
    told = np.array([float(text.replace(",", ".")) for _, text in decimal])
    if len(decimal) < 3 or not could_be_packed(told):
        return []
    row, text = decimal[0]
    return [Finding(
        "traverse-03", "warning", f"Bearings such as {text} were read as decimal degrees; they "
        "could be degrees, minutes and seconds run together.", "If so, say that the angles are packed.",
        Place(file=file, row=row))]


def comma_doubt(bearings: Sequence[Cell], lengths: Sequence[Cell], file: str) -> list[Finding]:
    """Lengths such as ``1,234``, whose comma may set thousands apart, where nothing in the table tells.

    A comma in a bearing tells that it is the decimal mark, and so does a length such as ``12,5``. Beside lengths with a
    decimal point it cannot be, and the row cannot be read.

    Args:
        bearings: Bearings as written.
        lengths: Distances, radii, arcs and chords as written.
        file: Name of the file.
    """
    numbers = [(row, number) for row, text in lengths for number in _NUMBER.findall(text)]
    doubtful = [(row, number) for row, number in numbers if reads_two_ways(number)]
    if not doubtful:
        return []
    if any("." in number for _, number in numbers):
        return [Finding("traverse-01", "error", f"'{number}' has a comma, and other lengths have a decimal point.",
                        "Leave the comma out, or write a point for it.", Place(file=file, row=row))
                for row, number in doubtful]
    if len(doubtful) < len(numbers) or any(re.fullmatch(r"\d+,\d+", text) for _, text in bearings):
        return []
    row, number = doubtful[0]
    return [Finding(
        "traverse-05", "warning", f"Lengths such as {number} were read with a decimal comma; the comma could set "
        "thousands apart.", "If so, leave the comma out.", Place(file=file, row=row))]
