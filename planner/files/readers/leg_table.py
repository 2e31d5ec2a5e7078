"""A file of traverse legs, read as text whatever it was saved by."""

from __future__ import annotations

from pathlib import Path

from planner.errors import FileTrouble
from planner.survey.traverse_legs import LegTable, LengthUnit, parse_legs


def read_legs(path: Path, *, unit: LengthUnit = "m", packed: bool = False) -> LegTable:
    """Legs from a CSV of bearings and distances.

    Args:
        path: The file, in UTF-8 or Windows-1252.
        unit: Unit of distances that state none.
        packed: True when 92.1420 means 92°14'20".

    Raises:
        FileTrouble: There is no such file, or it holds no text.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise FileTrouble(f"cannot be read: {error.strerror or error}", where=str(path),
                          remedy="check the name, and your rights to it") from None
    if b"\0" in raw:
        raise FileTrouble("this is no text", where=str(path), remedy="save the legs as CSV")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("cp1252", errors="replace")
    return parse_legs(text, unit=unit, packed=packed, file=str(path))
